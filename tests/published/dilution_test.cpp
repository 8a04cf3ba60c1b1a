// SPDX-License-Identifier: Apache-2.0
// Dilution ventilation: vapour volumes of solvents, and the air that limits a concentration. Each check names its
// source; "from memory" means that the value was not looked up again.
#include "published/run.hpp"

namespace {

using leanside::GasIndex;
using leanside::SpaceIndex;
using leanside::testing::SiteBuilder;
using namespace published;

/// Volume of vapour, m3 at the site temperature, from `amount` (text) of `gas`. It is found by releasing the vapour
/// into a closed room: the vapour displaces an equal volume of the mixture, so x = 1 - exp(-volume / room).
double vapour_volume(const std::string& gas, const std::string& amount, const std::string& temperature,
                     const std::string& definition = {}) {
  const auto site = read("title = \"closed room\"\n" + definition + "[conditions]\ntemperature = \"" + temperature +
                         "\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"1000 m3\"\n"
                         "[[release]]\nid = \"spilt\"\nkind = \"dump\"\ninto = \"room\"\ngas = \"" +
                         gas + "\"\namount = \"" + amount + "\"\nover = \"1 min\"\n");
  return -1000.0 * std::log1p(-fraction_at(site, SpaceIndex{0}, GasIndex{0}, 120.0));
}

std::string grams(double value) { return leanside::format_exact(value) + " g"; }

struct Solvent {
  const char* id;
  double density;     // g/mL near 21 degC, handbook
  double per_gallon;  // ft3 of vapour, as printed
  double percent;     // tolerance: every entry of the table is a multiple of 0.8 ft3/gal
};

TEST(VapourVolume, PerGallonOfSolventMatchesTheRegulation) {
  cite("Vapour volume per gallon of solvent",
       "29 CFR 1910.94(c)(6)(ii), Table G-11 (values from memory; the method was read in WAC 296-62-11019). For the "
       "two propanols the table is 3.9 % and 4.4 % above the value from density and molar mass, so their tolerance is "
       "4.5 %.");
  const std::vector<Solvent> solvents = {
      {"acetone", 0.79, 44.0, 2.0},     {"benzene", 0.878, 36.8, 2.0},       {"n-butyl-acetate", 0.881, 24.8, 2.0},
      {"1-butanol", 0.809, 35.2, 2.0},  {"cyclohexanone", 0.947, 31.2, 2.0}, {"ethyl-acetate", 0.899, 32.8, 2.0},
      {"ethanol", 0.788, 55.2, 2.0},    {"methanol", 0.791, 80.8, 2.0},      {"methyl-ethyl-ketone", 0.804, 36.0, 2.0},
      {"1-propanol", 0.803, 44.8, 4.5}, {"2-propanol", 0.785, 44.0, 4.5},    {"toluene", 0.866, 30.4, 2.0},
      {"o-xylene", 0.879, 26.4, 2.0}};
  for (const auto& solvent : solvents) {
    const bool own = !leanside::built_in_substances().find(solvent.id);
    const std::string definition =
        own ? "[[gas]]\nid = \"cyclohexanone\"\nname = \"Cyclohexanone\"\nmolar_mass = \"98.14 g/mol\"\nsource = "
              "\"handbook\"\n"
            : "";
    const double volume =
        vapour_volume(solvent.id, grams(us_gallon * 1e6 * solvent.density), "70 degF", definition) / foot3;
    expect_within(volume, solvent.per_gallon, solvent.percent)
        << "vapour of a gallon of " << plain(solvent.id) << ", ft3";
  }
}

TEST(VapourVolume, MatchesTheConstantsOfDilutionPractice) {
  cite("Constants of dilution practice",
       "ACGIH Industrial Ventilation, constant 403 of the pint form (read on a University of Toledo course page); NRC "
       "Training, Dilution and Local Exhaust, eq. 1 (387 ft3 per pound-mole); R. Palluzi, Ventilation dilution (0.85 "
       "ft3 per gram-mole, quoting ACGIH 4.3.3). All at 70 degF. The last page says to enter the limit in per cent; "
       "with 0.85 it must be a fraction, which changes the result by a factor of 100. The constant itself is correct.");
  const double pint = us_gallon / 8.0;
  expect_within(vapour_volume("toluene", grams(pint * 1e6), "70 degF") / foot3 * 92.141, 403.0, 0.3,
                "vapour from a pint of liquid as dense as water, ft3 times g/mol");
  expect_within(vapour_volume("nitrogen", leanside::format_exact(pound * 1000.0) + " mol", "70 degF") / foot3, 387.0,
                0.2, "volume of a pound-mole, ft3");
  expect_within(vapour_volume("nitrogen", "1 mol", "70 degF") / foot3, 0.85, 0.5, "volume of a gram-mole, ft3");
}

TEST(VapourVolume, OfAMoleMatchesTheMolarVolume) {
  cite("Molar volume of a gas",
       "CODATA and IUPAC: 22.414 L at 0 degC and 1 atm; 24.055 L at 20 and 24.465 L at 25 degC, as used in safety "
       "tables (from memory). Exact arithmetic.");
  for (const auto& [celsius, litres] : {std::pair{0, 22.414}, {20, 24.055}, {25, 24.465}}) {
    expect_near(1e3 * vapour_volume("nitrogen", "1 mol", std::to_string(celsius) + " degC"), litres, 0.0006)
        << "volume of a mole at " << celsius << " degC, L";
  }
}

TEST(VapourVolume, ConvertsMilligramsToPartsPerMillion) {
  cite("Milligrams per cubic metre and parts per million",
       "NIOSH Pocket Guide to Chemical Hazards, 2005-149, conversion of 1 ppm to mg/m3 at 25 degC and 1 atm, two "
       "decimals (from memory). The guide rounds the molar mass and uses 24.45 L; tolerance 0.01.");
  struct Row {
    const char* id;
    double milligrams;
  };
  for (const auto& [id, milligrams] : {Row{"acetone", 2.38}, Row{"ammonia", 0.70}, Row{"benzene", 3.19},
                                       Row{"carbon-monoxide", 1.15}, Row{"ethanol", 1.89}, Row{"n-hexane", 3.53},
                                       Row{"methanol", 1.31}, Row{"styrene", 4.26}, Row{"toluene", 3.77}}) {
    const double volume = vapour_volume(id, "1 g", "25 degC");  // m3
    expect_near(1e-6 * 1e3 / volume, milligrams, 0.01) << "mass concentration of 1 ppm of " << plain(id) << ", mg/m3";
  }
}

/// Share of the lower limit in a room at 70 degF that receives `vapour` m3/s of a solvent with the lower limit `lower`
/// and `air` m3/s of air.
double share_of_the_limit(double vapour, double air, double lower, double room_temperature = seventy_fahrenheit) {
  SiteBuilder build;
  build.site.conditions.temperature = build.site.conditions.outside_temperature = seventy_fahrenheit;
  const auto gas = build.gas(leanside::testing::make_fuel("toluene", 0.092141, lower, 0.078, 9.0));
  const auto room = build.space("room", 100.0);
  build.site.spaces[0].temperature = room_temperature;
  build.fan("supply", std::nullopt, room, air);
  build.opening("outlet", room, std::nullopt);
  build.steady("coating", room, gas, vapour);
  return assessed(build.site).cases.at(0).spaces.at(0).steady.at.lfl_fraction;
}

TEST(DilutionAir, DilutesTolueneToAQuarterOfTheLimit) {
  cite("Air that dilutes toluene to a quarter of its lower limit",
       "29 CFR 1910.94(c)(6)(ii), example below Table G-11 (from memory; its beginning was read in WAC 296-62-11019). "
       "The printed formula treats the volume of the vapour only approximately: 8564 ft3 per gallon gives 25.27 % of "
       "the limit, and 25 % of the limit needs 8655 ft3 of air. leanside is compared with the exact values.");
  const double gallon_a_minute = 30.4 * foot3 / 60.0, air = foot3 / 60.0;
  expect_within(share_of_the_limit(gallon_a_minute, 8564.0 * air, 0.014), 30.4 / (8564.0 + 30.4) / 0.014, 0.001,
                "share of the limit with 8564 ft3 of air per gallon, calculated");
  expect_within(share_of_the_limit(gallon_a_minute, 8564.0 * air, 0.014), 0.2527, 0.1,
                "share of the limit with 8564 ft3 of air per gallon, as printed");
  expect_within(share_of_the_limit(gallon_a_minute, 8655.0 * air, 0.014), 0.25, 0.1,
                "share of the limit with 8655 ft3 of air per gallon");
}

TEST(DilutionAir, OfTheRegulationMatchesSizing) {
  cite("Airflow needed for a gallon of toluene per minute",
       "29 CFR 1910.94(c)(6)(ii), the example below Table G-11, solved for the airflow. The regulation's formula, 4 "
       "(100 - LEL) V / (LEL B) of air per gallon, allows for the volume of the solvent at the lower limit, not at a "
       "quarter of it; leanside's airflow is the exact one for the mixture that leaves.");
  SiteBuilder build;
  build.site.conditions.temperature = build.site.conditions.outside_temperature = seventy_fahrenheit;
  const auto gas = build.gas(leanside::testing::make_fuel("toluene", 0.092141, 0.014, 0.078, 9.0));
  const auto room = build.space("room", 300.0);  // within 60 air changes an hour
  build.site.spaces[0].temperature = seventy_fahrenheit;
  build.fan("supply", std::nullopt, room, 1000.0 * foot3 / 60.0);
  build.opening("outlet", room, std::nullopt);
  build.steady("coating", room, gas, 30.4 * foot3 / 60.0);
  const auto outcome = leanside::size_site(build.site);
  const auto& sizing = std::get<leanside::Sizing>(outcome);
  ASSERT_TRUE(sizing.found);
  const double cubic_feet_a_minute = sizing.fans.at(0).least / (foot3 / 60.0);
  expect_within(cubic_feet_a_minute, 30.4 * (1.0 / (0.25 * 0.014) - 1.0), 0.001,
                "airflow found by sizing, compared with the exact value, ft3/min");
  expect_within(cubic_feet_a_minute, 8564.0, 1.1,
                "airflow found by sizing, compared with the printed value, ft3/min");  // as printed
}

TEST(DilutionAir, KeepsAHotOvenAtAQuarterOfTheLimit) {
  cite("Air per gallon of solvent in a hot oven",
       "NFPA 86, solvent safety ventilation, estimating method (from memory): 12 000 ft3 per gallon allows for a lower "
       "limit that is the cold one divided by 1.4, for ovens of up to 500 degF. "
       "Tolerance 3 %: 12 000 is a rounded figure.");
  const double hot = leanside::zero_celsius + 260.0;
  const double gallon_a_minute = 30.4 * foot3 / 60.0, air = foot3 / 60.0;
  expect_within(share_of_the_limit(gallon_a_minute, 12000.0 * air, 0.014, hot), 0.2527, 3.0,
                "share of the hot lower limit with 12 000 ft3 of air per gallon");
}

TEST(DilutionAir, KeepsMethylChloroformAtItsExposureLimit) {
  cite("Air that keeps methyl chloroform at its exposure limit",
       "ACGIH, Industrial Ventilation, dilution ventilation for health, worked example (from memory): methyl "
       "chloroform (133.4, specific gravity 1.32) evaporates at 1.5 pints per hour, mixing factor 5: 1425 ft3/min keep "
       "it at 350 ppm. The handbook's constant 403 is rounded; tolerance 0.3 %.");
  SiteBuilder build;
  build.site.conditions.temperature = build.site.conditions.outside_temperature = seventy_fahrenheit;
  const auto gas = build.gas(leanside::testing::make_inert("methyl-chloroform", 0.1334));
  const auto room = build.space("room", 500.0);
  build.site.spaces[0].temperature = seventy_fahrenheit;
  build.site.spaces[0].mixing_factor = 5.0;
  build.fan("extract", room, std::nullopt, 1425.0 * foot3 / 60.0);
  build.opening("door", std::nullopt, room);
  const double grams_a_second = 1.5 * us_gallon / 8.0 * 1.32e6 / 3600.0;
  build.release("tank", room, gas, leanside::SteadyRelease{grams_a_second / 133.4, std::nullopt});
  expect_within(1e6 * steady_fraction(build.site, room, gas), 350.0, 0.3, "methyl chloroform in the room, ppm");
}

TEST(DilutionAir, KeepsXyleneInAnOvenAtATenthOfTheLimit) {
  cite("Air for an oven that drives off xylene",
       "ACGIH, Industrial Ventilation, dilution ventilation for fire and explosion, worked example (from memory): 3 "
       "pints of xylene (106, specific gravity 0.88, lower limit 1 %) per hour, a tenth of the limit, with the limit "
       "multiplied by 0.7 because of the heat: 239 ft3/min of standard air. The formula neglects the volume of the "
       "vapour; tolerance 0.3 %.");
  const double pints_a_second = 3.0 / 3600.0, pint = us_gallon / 8.0;
  const double vapour = pints_a_second * vapour_volume("o-xylene", grams(pint * 0.88e6), "70 degF") * 106.168 / 106.0;
  expect_within(share_of_the_limit(vapour, 239.0 * foot3 / 60.0, 0.7 * 0.01), 0.1, 0.3,
                "share of the lower limit in the hot oven");
}

TEST(DilutionAir, KeepsBenzeneAtThePublishedConcentration) {
  cite("Benzene diluted by a large airflow",
       "N. de Nevers, Fluid Mechanics for Chemical Engineers, example 3.11 (as reproduced in the FOSSEE textbook "
       "companion notebooks).");
  SiteBuilder build;
  const auto gas = build.gas(leanside::testing::make_fuel("benzene", 0.078114, 0.012, 0.08, 7.5));
  const auto room = ventilated_room(build, 1000.0, 133.547);
  build.release("evaporation", room, gas, leanside::SteadyRelease{0.625 / 3600.0 / 0.078114, std::nullopt});
  const auto& conditions = build.site.conditions;
  const double moles = conditions.pressure / (leanside::gas_constant * conditions.temperature);  // mol of gas per m3
  expect_within(steady_fraction(build.site, room, gas) * moles * 0.078114, 1.3e-6, 0.01, "benzene in the air, kg/m3");
}

TEST(DilutionAir, KeepsOnePartPerMillionWithAMixingFactorOfTen) {
  cite("Vapour kept at one part per million with poor mixing",
       "Abulencia and Theodore, example 20.4 (FOSSEE notebooks), which uses 78 g/mol for a vapour that it calls vinyl "
       "chloride. The factor of 10 is the mixing factor of the room.");
  SiteBuilder build;
  build.site.conditions.temperature = build.site.conditions.outside_temperature = 298.0;
  const auto gas = build.gas(leanside::testing::make_fuel("vapour", 0.078, 0.036, 0.33, 2.5));
  const auto room = build.space("room", 500.0);
  build.site.spaces[0].mixing_factor = 10.0;
  build.fan("extract", room, std::nullopt, 1'107'000.0 * foot3 / 60.0);
  build.opening("door", std::nullopt, room);
  build.release("evaporation", room, gas, leanside::SteadyRelease{10.0 / 60.0 / 78.0, std::nullopt});
  expect_within(steady_fraction(build.site, room, gas), 1e-6, 0.1, "vapour in the air, mol/mol");
}

TEST(ClosedRoom, RetainsTheGasFromTwoBrokenBottles) {
  cite("Hydrogen sulfide from two broken bottles in a closed store",
       "Abulencia and Theodore, example 20.3 (FOSSEE notebooks). The printed 2732 ppm is 17 % high (the mass of "
       "hydrogen sulfide times the specific volume of air); 0.010 lb-mol in 1600 ft3 at 51 degF is 2330 ppm.");
  SiteBuilder build;
  const double fahrenheit_51 = 283.7055556;
  build.site.conditions.temperature = build.site.conditions.outside_temperature = fahrenheit_51;
  const auto gas = build.gas(leanside::testing::make_fuel("hydrogen-sulfide", 0.034076, 0.04, 0.455, 1.5));
  const auto room = build.space("store", 1600.0 * foot3);
  build.release("reaction", room, gas, leanside::DumpRelease{0.010 * pound * 1000.0, 1.0});
  expect_within(fraction_at(build.site, room, gas, 10.0), 2330.4e-6, 0.2, "hydrogen sulfide in the store, mol/mol");
}

TEST(Criteria, WarnAtAQuarterAndNoteAtATenthOfTheLowerLimit) {
  cite("Shares of the lower limit at which a warning and a note begin",
       "25 %: Ontario Regulation 851, section 63 (read in alert 16 of the Ministry of Labour); University of "
       "Nottingham, "
       "gas release safety page (read). 10 %: 29 CFR 1910.146(b) (read in two reproductions); AUVA, explosion "
       "protection "
       "lexicon (read). Exact.");
  const auto severity_at = [](double of_limit) -> std::optional<leanside::Severity> {
    SiteBuilder build;
    const auto gas = build.methane();
    const auto room = ventilated_room(build, 30.0, 0.05);
    build.steady("leak", room, gas, 0.05 * 0.044 * of_limit);
    const auto result = assessed(build.site);
    for (const leanside::Warning& warning : result.warnings) {
      if (!warning.source) return warning.severity;  // of the room as a whole
    }
    return std::nullopt;
  };
  EXPECT_FALSE(severity_at(0.099));
  EXPECT_EQ(severity_at(0.101), leanside::Severity::note);
  EXPECT_EQ(severity_at(0.249), leanside::Severity::note);
  EXPECT_EQ(severity_at(0.251), leanside::Severity::margin);
  EXPECT_EQ(severity_at(1.001), leanside::Severity::flammable);
  // Find each threshold by bisection.
  const auto begins = [&](double low, double high, std::optional<leanside::Severity> below) {
    while (high - low > 1e-6) (severity_at(0.5 * (low + high)) == below ? low : high) = 0.5 * (low + high);
    return 0.5 * (low + high);
  };
  expect_near(begins(0.05, 0.2, std::nullopt), 0.10, 1e-5, "share of the lower limit where a note begins");
  expect_near(begins(0.2, 0.3, leanside::Severity::note), 0.25, 1e-5,
              "share of the lower limit where a warning begins");
}

TEST(Criteria, TreatOnePercentHydrogenAsAQuarterOfTheLimit) {
  cite("One per cent of hydrogen in a battery room",
       "New York City Mechanical Code 502.4.1 (1.0 % of hydrogen in a battery room); EN 50272-2 / IEC 62485-2 (lower "
       "limit 4 %). One per cent is a quarter of the limit, where leanside warns by default.");
  const auto site = read(
      "title = \"battery room\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"40 m3\"\n"
      "[[airway]]\nid = \"extract\"\nkind = \"fan\"\nfrom = \"room\"\nto = \"outside\"\nflow = \"25 ft3/min\"\n"
      "[[airway]]\nid = \"door\"\nkind = \"opening\"\nbetween = [\"outside\", \"room\"]\n"
      "[[release]]\nid = \"charging\"\nkind = \"steady\"\ninto = \"room\"\ngas = \"hydrogen\"\nrate = \"15 ft3/h\"\n");
  // 25 ft3/min for 15 ft3/h at 1 %: Industrial Monitor Direct, battery room ventilation design, example.
  expect_within(steady_fraction(site, SpaceIndex{0}, GasIndex{0}), 0.01, 0.001, "hydrogen in the room, mol/mol");
  expect_within(assessed(site).cases.at(0).spaces.at(0).steady.at.lfl_fraction, 0.25, 0.001,
                "hydrogen in the room, share of the lower limit");
}

TEST(PumpSeal, ReachesTheLowerLimitAtTheReleaseCharacteristic) {
  cite("Leaking pump seal in the hazardous-area standard",
       "IEC 60079-10-1:2015, annex E, example 1 (from memory): a benzene pump seal of 5 mm2 and discharge coefficient "
       "0.75 at 15 bar releases 0.19 kg/s of liquid, of which 2 % become 0.00385 kg/s of vapour of density 3.25 kg/m3; "
       "the release characteristic, the airflow that dilutes it to the lower limit of 1.2 %, is 0.1 m3/s. Printed to "
       "two figures; tolerance 2 %.");
  const auto site = read(
      "title = \"pump seal\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"40 m3\"\n"
      "[[airway]]\nid = \"extract\"\nkind = \"fan\"\nfrom = \"room\"\nto = \"outside\"\nflow = \"0.1 m3/s\"\n"
      "[[airway]]\nid = \"door\"\nkind = \"opening\"\nbetween = [\"outside\", \"room\"]\n"
      "[[release]]\nid = \"seal\"\nkind = \"steady\"\ninto = \"room\"\ngas = \"benzene\"\nrate = \"0.00385 kg/s\"\n");
  expect_within(steady_fraction(site, SpaceIndex{0}, GasIndex{0}), 0.012, 2.0,
                "benzene diluted by the release characteristic, mol/mol");
  const double density =
      leanside::standard_atmosphere * site.gases[0].substance.molar_mass.value / (leanside::gas_constant * 293.15);
  expect_within(density, 3.25, 2.0, "density of benzene vapour at 20 degC, kg/m3");
}

}  // namespace
