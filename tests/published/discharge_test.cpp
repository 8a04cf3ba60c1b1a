// SPDX-License-Identifier: Apache-2.0
// Gas flow through a hole and the blowdown of a cylinder, compared with published values.
#include <numbers>
#include <ostream>

#include "leanside/advanced/sources.hpp"
#include "published/run.hpp"

namespace {

using namespace published;

using namespace leanside;

constexpr double psi = 6894.757293168;  // Pa
constexpr double inch2 = 0.0254 * 0.0254;

/// A hole of this area, m2.
Hole hole_of(double area, double discharge = 1.0) { return {std::sqrt(4.0 * area / std::numbers::pi), discharge}; }

double kilograms(const HeldGas& gas, const Hole& hole, double pressure, double ambient) {
  return discharge_rate(gas, hole, pressure, ambient) * gas.molar_mass;
}

struct GasFactor {
  const char* gas;
  double molar_mass, ratio, factor;
};

void PrintTo(const GasFactor& row, std::ostream* out) { *out << row.gas; }

class GasFactorOfTheGuidance : public ::testing::TestWithParam<GasFactor> {};

TEST_P(GasFactorOfTheGuidance, MatchesTheChokedFlow) {
  cite("Gas factors of the EPA guidance for choked flow",
       "US EPA, Risk Management Program Guidance for Offsite Consequence Analysis, EPA 550-B-99-009 (1999), appendix "
       "D: QR = HA P GF / sqrt(T), lb/min, in2, psia, K, with a discharge coefficient of 0.8; factors GF of exhibits "
       "B-1 and C-2 (from memory), whole numbers.");
  const GasFactor& row = GetParam();
  const HeldGas gas{300.0, row.molar_mass, row.ratio};
  const double pressure = 100.0 * psi;
  const double pounds_per_minute =
      kilograms(gas, hole_of(inch2, 0.8), pressure, standard_atmosphere) * 60.0 / published::pound;
  expect_near(pounds_per_minute / 100.0 * std::sqrt(300.0), row.factor, 0.5) << "gas factor of " << row.gas;
}

INSTANTIATE_TEST_SUITE_P(, GasFactorOfTheGuidance,
                         ::testing::Values(GasFactor{"chlorine", 0.0709, 1.32, 29},
                                           GasFactor{"ammonia", 0.01703, 1.31, 14},
                                           GasFactor{"hydrogen", 0.002016, 1.41, 5},
                                           GasFactor{"methane", 0.01604, 1.3, 14},
                                           GasFactor{"propane", 0.0441, 1.13, 22}),
                         [](const auto& row) { return std::string{row.param.gas}; });

TEST(ChokedAir, MatchesTheExampleOfATenSquareCentimetreThroat) {
  cite("Choked air through a throat of 10 cm2",
       "M. J. Moran and H. N. Shapiro, Fundamentals of Engineering Thermodynamics, example 9.14(a): 2.13 kg/s.");
  expect_within(kilograms({360.0, 0.02897, 1.4}, hole_of(1e-3), 1e6, 5e5), 2.13, 0.4, "choked flow of air, kg/s");
}

TEST(ChokedAir, MatchesTheExampleOfANozzle) {
  cite("Choked air through the throat of a nozzle",
       "M. J. Moran and H. N. Shapiro, Fundamentals of Engineering Thermodynamics, example 9.15: the exact throat "
       "relation gives 1.027 kg/s; the book's 1.0624 uses a table at the exit, whose rounded Mach number (0.26 for "
       "0.2503) makes it 3.5 % high.");
  expect_within(kilograms({280.0, 0.02897, 1.4}, hole_of(6.25e-4), 6.8e5, standard_atmosphere), 1.0270, 0.2,
                "flow of air, kg/s");
}

TEST(SubsonicAir, MatchesTheExampleCloseToTheCriticalRatio) {
  cite("Air flow just below choking",
       "R. W. Fox and A. T. McDonald, Introduction to Fluid Mechanics, example 12.2, p. 634: 2.2 kg/s, ratio 0.591.");
  expect_within(kilograms({333.0, 0.02897, 1.4}, hole_of(1e-3), 1e6, 5.91e5), 2.2, 0.5, "flow of air, kg/s");
}

TEST(Nozzle, MatchesTheExampleWithInletVelocity) {
  cite("Nozzle with inlet velocity",
       "Y. A. Cengel and M. A. Boles, Thermodynamics, example 17-5, p. 839: 6.77 and 7.11 kg/s at back pressures of "
       "0.7 and 0.4 MPa; stagnation state of 1 MPa, 873 K at 150 m/s.");
  const double molar_mass = gas_constant / 287.0, heat = 1.4 / 0.4 * 287.0;
  const double temperature = 873.0 + 150.0 * 150.0 / (2.0 * heat);
  const double pressure = 1e6 * std::pow(temperature / 873.0, 3.5);
  const HeldGas air{temperature, molar_mass, 1.4};
  expect_within(kilograms(air, hole_of(5e-3), pressure, 0.7e6), 6.77, 0.5, "flow of air against 0.7 MPa, kg/s");
  expect_within(kilograms(air, hole_of(5e-3), pressure, 0.4e6), 7.11, 0.5,
                "flow of air against 0.4 MPa (choked), kg/s");
}

TEST(CriticalRatio, LiesInThePublishedRange) {
  cite("Critical pressure ratio of common gases",
       "M. Beychok, Choked mass flow rate of gases: 1.7 to 1.9 for k from 1.09 to 1.41.");
  expect_within(critical_pressure_ratio(1.09), 1.7, 0.5, "upstream over downstream pressure, k = 1.09");
  expect_within(critical_pressure_ratio(1.41), 1.9, 0.5, "upstream over downstream pressure, k = 1.41");
}

TEST(CriticalRatio, MatchesTheGasTables) {
  cite("Critical pressure ratio in gas tables",
       "NACA Report 1135 and F. M. White, Fluid Mechanics, downstream over upstream pressure where the flow chokes, "
       "four decimals (from memory).");
  expect_near(1.0 / critical_pressure_ratio(1.4), 0.5283, 5e-5, "k = 1.4, downstream over upstream pressure");
  expect_near(1.0 / critical_pressure_ratio(1.3), 0.5457, 5e-5, "k = 1.3, downstream over upstream pressure");
  expect_near(1.0 / critical_pressure_ratio(1.2), 0.5645, 5e-5, "k = 1.2, downstream over upstream pressure");
}

TEST(ChokedAir, MatchesFliegnersFormula) {
  cite("Fliegner's formula for choked air",
       "Fliegner's formula (from memory): 0.532 A p / sqrt(T) lb/s (in2, psia, degR), or 0.0404 A p / sqrt(T) kg/s "
       "(m2, Pa, K). Three figures.");
  const HeldGas air{288.0, molar_mass_of_air, 1.4};
  const double pounds = kilograms(air, hole_of(inch2), 100.0 * psi, standard_atmosphere) / published::pound;
  expect_near(pounds * std::sqrt(288.0 * 1.8) / 100.0, 0.532, 0.0005, "flow sqrt(T) / (A p), lb/s, in2, psia, degR");
  const double flow = kilograms(air, hole_of(1e-3), 1e6, standard_atmosphere);
  expect_near(flow * std::sqrt(288.0) / 1e3, 0.0404, 5e-5, "flow sqrt(T) / (A p), kg/s, m2, Pa, K");
}

TEST(ChokedAir, MatchesTheOrificesOfTheHandbook) {
  cite("Compressed air through round holes",
       "Compressed Air and Gas Institute, Compressed Air and Gas Handbook, discharge of air through an orifice at 100 "
       "psig, coefficient 1, ft3/min of free air at 14.7 psia and 70 degF, three figures (from memory). Its constant "
       "is rounded; tolerance 0.6 %.");
  const HeldGas air{published::seventy_fahrenheit, molar_mass_of_air, 1.4};
  for (const auto& [denominator, printed] : {std::pair{4, 104.0}, {8, 26.0}, {16, 6.49}, {32, 1.62}, {64, 0.406}}) {
    const double moles = discharge_rate(air, {0.0254 / denominator, 1.0}, 114.7 * psi, 14.7 * psi);
    const double volume = moles * gas_constant * published::seventy_fahrenheit / (14.7 * psi);
    expect_within(volume * 60.0 / published::foot3, printed, 0.6)
        << "air through a hole of 1/" << denominator << " in, ft3/min";
  }
}

TEST(LowPressure, LeaksHydrogenFasterThanMethane) {
  cite("Leak rate of hydrogen and methane",
       "M. R. Swain and M. N. Swain, Int. J. Hydrogen Energy 17 (1992) 807 (from memory): in turbulent flow 2.83 times "
       "the volume of methane through the same leak.");
  const auto volume = [](const char* id) {
    const Substance& gas = *built_in_substances().find(id);
    return discharge_rate({293.15, gas.molar_mass.value, gas.heat_capacity_ratio->value}, {0.001, 1.0},
                          1.001 * standard_atmosphere, standard_atmosphere);
  };
  expect_within(volume("hydrogen") / volume("methane"), 2.83, 0.4, "hydrogen over methane, by volume");
}

TEST(LowPressure, DrivesAirAtTheSpeedOfBernoulli) {
  cite("Air driven through a hole by a small pressure",
       "N. de Nevers, Fluid Mechanics for Chemical Engineers, example 5.2, p. 141: 35.094 ft/s from 0.01 psi, 528 "
       "degR, M 29.");
  const HeldGas air{528.0 / 1.8, 0.029, 1.4};
  const double ambient = 14.71 * psi, pressure = 14.72 * psi;
  const double density = ambient * air.molar_mass / (gas_constant * air.temperature);
  const double speed = kilograms(air, hole_of(1e-4), pressure, ambient) / (1e-4 * density);
  expect_within(speed / 0.3048, 35.094, 0.1, "speed of the air, ft/s");
}

TEST(LowPressure, DrivesFlowByTheInverseRootOfDensity) {
  cite("The same leak with helium in place of nitrogen, through a hole",
       "N. de Nevers, Fluid Mechanics for Chemical Engineers, example 5.11, p. 155: 100 cm3/min of nitrogen become "
       "264.575 cm3/min of helium.");
  const auto volume = [](double molar_mass) {
    return discharge_rate({293.15, molar_mass, 1.4}, {0.001, 1.0}, 1.0001 * standard_atmosphere, standard_atmosphere);
  };
  expect_near(100.0 * volume(0.004) / volume(0.028), 264.575, 0.01, "flow of helium, cm3/min");
}

TEST(Cylinder, BlowsDownByTheIsothermalFormula) {
  cite("Blowdown of a hydrogen cylinder",
       "G. Bar-Meir, Fundamentals of Compressible Fluid Mechanics, chapter 11, isothermal form: tau ln(P0/P), 485.55 s "
       "for 50 L of hydrogen from 200 to 2 bar through 1 mm (our inputs; calculated independently of this code).");
  const Blowdown cylinder({293.15, 0.002016, 1.41}, {0.001, 0.8}, 0.05, 2e7, standard_atmosphere);
  expect_near(cylinder.pressure_at(485.55) / 2e5, 1.0, 1e-3, "pressure after 485.55 s, of 2 bar");
}

TEST(Cylinder, BlowsDownCloseToTheAdiabaticFormula) {
  cite("Adiabatic blowdown of a hydrogen cylinder",
       "G. Bar-Meir, Fundamentals of Compressible Fluid Mechanics, chapter 11, adiabatic form, equation 11.44: 2 "
       "tau/(k - 1) ((P0/P)^((k-1)/2k) - 1), 490.33 s for the same cylinder (our inputs; calculated independently of "
       "this code). leanside keeps the gas at constant temperature, because the metal of the cylinder warms it; "
       "tolerance 1 %.");
  const Blowdown cylinder({293.15, 0.002016, 1.41}, {0.001, 0.8}, 0.05, 2e7, standard_atmosphere);
  double early = 0.0, late = 1000.0;
  while (late - early > 1e-6) (cylinder.pressure_at(0.5 * (early + late)) > 2e5 ? early : late) = 0.5 * (early + late);
  expect_within(late, 490.33, 1.0, "time to 2 bar, s");
}

TEST(Background, EqualsTheSteadyFractionOfAPoorlyMixedRoom) {
  cite("Background concentration in the hazardous-area standard",
       "IEC 60079-10-1:2015, annex C (from memory): background f Qg/(Qg + Q1), f the inefficiency of mixing.");
  for (const int f : {1, 3}) {
    leanside::testing::SiteBuilder build;
    const auto gas = build.methane();
    const auto room = build.space("room", 50.0);
    build.site.spaces[0].mixing_factor = f;
    build.fan("supply", std::nullopt, room, 0.99);
    build.opening("vent", room, std::nullopt);
    build.steady("leak", room, gas, 0.01);
    // The standard gives the dilute limit: at f = 3 the mixing zone receives a third of the air.
    const double expected = f * 0.01 / (0.99 + f * 0.01);
    expect_near(published::steady_fraction(build.site, room, gas), expected, 1e-12)
        << "background, exact, f = " << f << ", mol/mol";
    expect_within(published::steady_fraction(build.site, room, gas), f * 0.01, f)
        << "background by the standard, f = " << f << ", mol/mol";
  }
}

}  // namespace
