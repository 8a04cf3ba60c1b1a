// SPDX-License-Identifier: Apache-2.0
// What a site file may ask of cylinders, holes and spills, and what comes out of them.
#include <cmath>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "leanside/advanced/release.hpp"
#include "leanside/advanced/sources.hpp"
#include "leanside/advanced/transport.hpp"
#include "leanside/assess.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "published/run.hpp"

namespace leanside {
namespace {

using published::named;

constexpr double room = 293.15, bar = 1e5;

std::string release(const std::string& kind, const std::string& gas, const std::string& pressure,
                    const std::string& more = "") {
  return fmt::format(
      "title = \"x\"\n[[space]]\nid = \"hall\"\nkind = \"room\"\nvolume = \"100 m3\"\nair_changes = \"2 /h\"\n"
      "[[release]]\nid = \"r\"\ninto = \"hall\"\nkind = \"{}\"\ngas = \"{}\"\npressure = \"{}\"\nhole = \"1 mm\"\n{}{}",
      kind, gas, pressure, kind == "cylinder" ? "water_volume = \"27 L\"\n" : "", more);
}

/// The first error; empty where there is none.
std::string error_of(const std::string& text) {
  for (const auto& found : parse_site(text, "x.toml", built_in_substances()).diagnostics) {
    if (found.level == DiagnosticLevel::error) return to_text(found);
  }
  return "";
}

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

TEST(HeldGas, ThatIsPartlyLiquidInALineIsRefusedWithAPlace) {
  const std::string error = error_of(release("orifice", "lpg", "7 bar"));
  EXPECT_TRUE(has(error, "x.toml:12:12: error: ")) << error;
  EXPECT_TRUE(has(error, "'lpg' is partly liquid at 7 bar and 20 degC")) << error;
  EXPECT_TRUE(has(error, "'orifice' of 'propane', its most volatile part, at 8.3 bar")) << error;
  EXPECT_EQ(error_of(release("orifice", "propane", "8.3 bar")), "");
  EXPECT_EQ(error_of(release("orifice", "ethylene", "80 bar")), "");
}

/// The release of a file that must be sound.
Release only_release(const std::string& text) {
  const Site site = published::read(text);
  return site.releases.at(0);
}

double kilograms(const Release& release, double molar_mass) { return total_amount(release) * molar_mass; }

TEST(HeldGas, NoCylinderIsRefused) {
  for (const char* gas : {"lpg",         "propane",        "n-butane",  "isobutane",     "ethane",
                          "propylene",   "carbon-dioxide", "ammonia",   "nitrous-oxide", "dimethyl-ether",
                          "ethylene",    "chlorine",       "acetylene", "hydrogen",      "oxygen",
                          "forming-gas", "helium",         "air",       "natural-gas",   "5 % hydrogen in argon"}) {
    EXPECT_EQ(error_of(release("cylinder", gas, "7 bar")), "") << gas;
    EXPECT_EQ(error_of(release("cylinder", gas, "70 bar")), "") << gas;
  }
}

TEST(HeldGas, OfCylindersByTheirLabel) {
  const double propane = 0.044097;
  // 27 L at 42.4 % (0.95 of the density at 50 degC).
  EXPECT_NEAR(kilograms(only_release(release("cylinder", "propane", "7 bar")), propane), 27e-3 * 424.0, 0.1);
  const std::string hall =
      "title = \"x\"\n[[space]]\nid = \"hall\"\nkind = \"room\"\nvolume = \"100 m3\"\nair_changes = \"2 /h\"\n"
      "[[release]]\nid = \"r\"\ninto = \"hall\"\nkind = \"cylinder\"\nhole = \"1 mm\"\n";
  EXPECT_NEAR(kilograms(only_release(hall + "gas = \"propane\"\ncontents = \"13 kg\"\n"), propane), 13.0, 1e-9);
  EXPECT_NEAR(kilograms(only_release(hall + "gas = \"propane\"\ncontents = \"13 kg\"\nfilled = 0.5\n"), propane), 6.5,
              1e-9);
  // 50 L of carbon dioxide: 0.76 kg/L fills it to 250 bar at 65 degC (P200).
  EXPECT_NEAR(kilograms(only_release(hall + "gas = \"carbon-dioxide\"\nwater_volume = \"50 L\"\n"), 0.04401), 38.0,
              0.8);
  // 50 L of hydrogen at 200 bar and 15 degC hold 0.747 kg, of which 1 bar stays.
  const double kept = standard_atmosphere * 0.05 / (gas_constant * 288.15) * 2.016e-3;
  EXPECT_NEAR(kilograms(only_release(hall + "gas = \"hydrogen\"\nwater_volume = \"50 L\"\npressure = \"200 bar\"\n"
                                            "temperature = \"15 degC\"\n"),
                        2.016e-3),
              0.747 - kept, 0.002);
}

TEST(HeldGas, OfALyingCylinderComesAsLiquid) {
  const std::string upright = release("cylinder", "propane", "7 bar"), lying = upright + "position = \"lying\"\n";
  const Release gas = only_release(upright), liquid = only_release(lying);
  EXPECT_NEAR(total_amount(gas), total_amount(liquid), 1e-9);
  EXPECT_GT(emission_rate(liquid, 0.0), 4.0 * emission_rate(gas, 0.0));
  // Bernoulli: 0.85 A sqrt(2 x 500 kg/m3 x 7.36e5 Pa).
  EXPECT_NEAR(emission_rate(liquid, 0.0) * 0.044097, 0.85 * 7.854e-7 * std::sqrt(2.0 * 500.0 * 7.36e5), 3e-4);
}

TEST(HeldGas, OfARealGasGivesAllThatItHeld) {
  for (const char* id : {"hydrogen", "methane", "ethylene", "nitrogen"}) {
    const GasPart parts[] = {{&named(id), 1.0}};
    const HeldGas held{room, named(id).molar_mass.value, 1.3};
    const double volume = 0.05, pressure = 100.0 * bar;
    const Outflow course = real_gas_outflow(parts, held, {1e-3, 0.85}, volume, pressure, standard_atmosphere);
    const auto content = [&](double p) {
      return p * volume / (*compressibility(parts, room, p) * gas_constant * room);
    };
    EXPECT_NEAR(course.stock() / (content(pressure) - content(standard_atmosphere)), 1.0, 1e-12) << id;
    EXPECT_NEAR(course.amount_out(course.duration() * (1.0 - 1e-12)) / course.stock(), 1.0, 1e-9) << id;
    // The amount is the integral of the rate.
    double sum = 0.0, from = 0.0;
    auto ends = course.joints();
    ends.push_back(course.duration());
    for (const double end : ends) {
      constexpr int pieces = 200;
      const double step = (end - from) / pieces;
      for (int k = 0; k < pieces; ++k) sum += step * course.rate_at(from + (k + 0.5) * step);
      from = end;
    }
    EXPECT_NEAR(sum / course.stock(), 1.0, 1e-4) << id;
  }
  // As an ideal gas would, where the gas is nearly one.
  const GasPart parts[] = {{&named("nitrogen"), 1.0}};
  const HeldGas held{room, 0.028014, 1.4};
  const Outflow real = real_gas_outflow(parts, held, {1e-3, 0.85}, 0.05, 10.0 * bar, standard_atmosphere);
  const Blowdown ideal{held, {1e-3, 0.85}, 0.05, 10.0 * bar, standard_atmosphere};
  EXPECT_NEAR(real.stock() / ideal.stock(), 1.0, 0.01);
  EXPECT_NEAR(real.duration() / ideal.duration(), 1.0, 0.06);
  EXPECT_NEAR(real.amount_out(60.0) / ideal.amount_out(60.0), 1.0, 0.02);
}

TEST(Outflow, AtAShareOfItsRatesGivesTheSameLater) {
  const Outflow pool = boiling_pool(10.0, 0.5, 200.0, 6e3);
  const Outflow slower = pool.at_share(0.25);
  EXPECT_NEAR(slower.stock(), pool.stock(), 1e-12);
  EXPECT_NEAR(slower.duration(), 4.0 * pool.duration(), 1e-9);
  EXPECT_NEAR(slower.amount_out(40.0), pool.amount_out(10.0), 1e-9);
}

TEST(HeldGas, ThatCannotBeCheckedIsStated) {
  const auto assumptions = [](const std::string& text) {
    std::string all;
    const Site site = published::read(text);
    for (const Assumption& one : site.assumptions) all += assumption_sentence(site, one) + "\n";
    return all;
  };
  const std::string own =
      "[[gas]]\nid = \"mine\"\nmolar_mass = \"30 g/mol\"\nheat_capacity_ratio = 1.3\nsource = \"label\"\n";
  EXPECT_TRUE(has(assumptions(release("cylinder", "mine", "20 bar", own)), "could be checked"));
  const std::string critical =
      own + "critical_temperature = \"282.4 K\"\ncritical_pressure = \"50.4 bar\"\nacentric_factor = 0.087\n";
  EXPECT_FALSE(has(assumptions(release("cylinder", "mine", "20 bar", critical)), "could be checked"));
}

TEST(StandingCylinder, GetsThreeCasesAndLeaksNothingAsARule) {
  const Site site = published::read(
      "title = \"x\"\n[[space]]\nid = \"hall\"\nkind = \"room\"\nvolume = \"100 m3\"\nair_changes = \"2 /h\"\n"
      "[[release]]\nid = \"bottle\"\ninto = \"hall\"\nkind = \"cylinder\"\ngas = \"propane\"\ncontents = \"13 kg\"\n"
      "count = 2\n");
  ASSERT_EQ(site.releases.size(), 3u);
  ASSERT_EQ(site.cases.size(), 4u);
  EXPECT_EQ(site.cases[1].id, "bottle:seep");
  EXPECT_EQ(site.cases[3].name, "bottle: entire contents");
  for (const Release& release : site.releases) {
    EXPECT_FALSE(release.on);
    EXPECT_NEAR(total_amount(release) * 0.044097, 13.0, 1e-9);
  }
  EXPECT_TRUE(emission(site.releases[0], ReleaseIndex{0}, site.cases[0].events).empty());
  EXPECT_EQ(emission(site.releases[0], ReleaseIndex{0}, site.cases[3].events).size(), 1u);
  EXPECT_LT(emission_rate(site.releases[1], 0.0), emission_rate(site.releases[2], 0.0));
  const Stock stock = stock_of(site);
  ASSERT_EQ(stock.held.size(), 1u);
  EXPECT_NEAR(stock.held[0].fuel * 0.044097, 26.0, 1e-9);
}

// Whatever boils at room temperature comes in cylinders. None is refused, whether it stands there, leaks or lies down.
TEST(Cylinders, OfEveryGasOfTheTableAreComputed) {
  const std::string hall =
      "title = \"x\"\n[[space]]\nid = \"hall\"\nkind = \"room\"\nvolume = \"100 m3\"\nair_changes = \"2 /h\"\n";
  std::size_t gases = 0;
  for (const Substance& substance : built_in_substances().substances()) {
    if (!substance.boiling_point || substance.boiling_point->value > room) continue;
    ++gases;
    for (const char* kind : {"", "hole = \"1 mm\"\n", "hole = \"typical fitting\"\nposition = \"lying\"\n"}) {
      const std::string text = hall + "[[release]]\nid = \"r\"\ninto = \"hall\"\nkind = \"cylinder\"\ngas = \"" +
                               substance.id + "\"\ncontents = \"2 kg\"\n" + kind;
      const auto reading = parse_site(text, "x.toml", built_in_substances());
      ASSERT_NE(reading.usable(), nullptr) << substance.id << ": " << to_text(reading.diagnostics.front());
      const Release& release = reading.usable()->releases.front();
      const double mass = total_amount(release) * substance.molar_mass.value;
      EXPECT_GT(mass, 1.8) << substance.id;
      EXPECT_LT(mass, 2.0 + 1e-9) << substance.id;
      EXPECT_TRUE(std::isfinite(emission_time(release))) << substance.id;
    }
  }
  EXPECT_GT(gases, 25u);
}

// A liquid of the table is refused only where its vapour pressure is not known, as far below or above as that is: a
// frozen liquid, for instance.
TEST(Spills, OfEveryLiquidOfTheTableAreComputed) {
  const std::string hall =
      "title = \"x\"\n[[space]]\nid = \"hall\"\nkind = \"room\"\nvolume = \"100 m3\"\nair_changes = \"2 /h\"\n";
  std::size_t liquids = 0, computed = 0;
  for (const Substance& substance : built_in_substances().substances()) {
    if (!substance.is_classed("flammable-liquid")) continue;
    ++liquids;
    for (const char* temperature : {"5 degC", "20 degC", "45 degC"}) {
      const std::string text = hall + "[[release]]\nid = \"r\"\ninto = \"hall\"\nkind = \"spill\"\ngas = \"" +
                               substance.id + "\"\namount = \"1 kg\"\narea = \"1 m2\"\ntemperature = \"" + temperature +
                               "\"\n";
      const auto reading = parse_site(text, "x.toml", built_in_substances());
      if (reading.usable() != nullptr) {
        ++computed;
        continue;
      }
      const std::string why = to_text(reading.diagnostics.back());
      EXPECT_NE(why.find("is not known at"), std::string::npos) << substance.id << ": " << why;
    }
  }
  EXPECT_GT(liquids, 30u);
  EXPECT_GT(computed, 9 * 3 * liquids / 10);
}

TEST(Spills, OfAMixtureGiveOffTheirLightPartsFirst) {
  const std::string room_text =
      "title = \"x\"\n[[space]]\nid = \"hall\"\nkind = \"room\"\nvolume = \"100 m3\"\nair_changes = \"2 /h\"\n"
      "[[gas]]\nid = \"mix\"\nsource = \"invented\"\nparts = { acetone = \"50 %\", toluene = \"50 %\" }\n"
      "[[release]]\nid = \"r\"\ninto = \"hall\"\nkind = \"spill\"\ngas = \"mix\"\namount = \"1 kg\"\narea = \"1 m2\"\n";
  const Release release = only_release(room_text);
  const auto& spill = std::get<SpillRelease>(release.kind);
  const double acetone = 0.5 * *vapour_pressure(named("acetone"), room);
  const double toluene = 0.5 * *vapour_pressure(named("toluene"), room);
  EXPECT_NEAR(spill.pool.vapour_pressure, acetone + toluene, 1e-6);
  // The composition of the release is that of the liquid.
  EXPECT_NEAR(release.gas.shares.at(0).fraction, 0.5, 1e-12);
  EXPECT_NEAR(spill.amount * 0.5 * (0.05808 + 0.092141), 1.0, 1e-4);
  double given = 0.0;
  for (const PoolStage& stage : spill.stages) given += stage.amount;
  EXPECT_NEAR(given, spill.amount, 1e-12);
  const SpillNow first = spill_now(release, spill.amount), last = spill_now(release, 1e-6);
  // The mean over the first stage, in which the pool loses acetone: leaner than the vapour of the fresh liquid, and
  // richer than that of what the stage leaves.
  const double rest = spill_now(release, first.later).vapour[0].fraction;
  EXPECT_LE(first.vapour[0].fraction, acetone / (acetone + toluene));
  EXPECT_GE(first.vapour[0].fraction, rest);
  EXPECT_GT(rest, 0.8);
  EXPECT_LT(last.vapour[0].fraction, 0.3);
  EXPECT_LT(last.pool.vapour_pressure, 0.4 * first.pool.vapour_pressure);
  EXPECT_NEAR(last.left, 1e-6, 1e-18);
  // At the very end of a stage the next one begins, with nothing lost between them.
  const SpillNow second = spill_now(release, first.later);
  EXPECT_DOUBLE_EQ(second.left + second.later, first.later);
  EXPECT_LT(second.pool.vapour_pressure, first.pool.vapour_pressure);
}

// Two pools in rooms alike, one with the parts spilled as a mixture: in the end all of each part has come out, and no
// earlier than the first vapour of the mixture could bring it.
TEST(Spills, OfAMixtureGiveAllOfEachPart) {
  const Site site = published::read(
      "title = \"x\"\n[criteria]\nhorizon = \"12 h\"\n[[space]]\nid = \"box\"\nkind = \"vessel\"\nvolume = \"40 m3\"\n"
      "[[gas]]\nid = \"mix\"\nsource = \"invented\"\nparts = { acetone = \"30 %\", toluene = \"70 %\" }\n"
      "[[release]]\nid = \"r\"\ninto = \"box\"\nkind = \"spill\"\ngas = \"mix\"\namount = \"1 kg\"\narea = \"1 m2\"\n");
  const auto result = solve_transient(site, CaseIndex{0}, gas_tracers(site), site.criteria.horizon, {});
  ASSERT_FALSE(std::holds_alternative<Fault>(result));
  const auto& run = std::get<TransientResult>(result);
  ASSERT_TRUE(run.releases[0].spent.has_value());
  const double all = total_amount(site.releases[0]);
  EXPECT_NEAR(run.releases[0].amount, all, 1e-11 * all);
  // A sealed box keeps everything.
  const double held = standard_atmosphere * 40.0 / (gas_constant * 293.15) + all;
  EXPECT_NEAR(run.end(SpaceIndex{0}, 0) * held, 0.3 * all, 1e-9 * all);
  EXPECT_NEAR(run.end(SpaceIndex{0}, 1) * held, 0.7 * all, 1e-9 * all);
  EXPECT_GE(*run.releases[0].spent, emission_time(site.releases[0]));
}

TEST(Spills, OfABoilingLiquidTakeTheHeatOfTheFloor) {
  const std::string text =
      "title = \"x\"\n[[space]]\nid = \"hall\"\nkind = \"room\"\nvolume = \"100 m3\"\nair_changes = \"2 /h\"\n"
      "[[release]]\nid = \"r\"\ninto = \"hall\"\nkind = \"spill\"\ngas = \"nitrogen\"\namount = \"10 L\"\n"
      "area = \"1 m2\"\n";
  const Release release = only_release(text);
  // 10 L of 806 kg/m3.
  EXPECT_NEAR(total_amount(release) * 0.028014, 8.06, 0.05);
  // A layer of 1 cm is gone after 21 s on concrete without convection and limit; faster with convection, slower with
  // it.
  EXPECT_GT(emission_time(release), 5.0);
  EXPECT_LT(emission_time(release), 60.0);
}

}  // namespace
}  // namespace leanside
