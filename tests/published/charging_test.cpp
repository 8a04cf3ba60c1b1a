// SPDX-License-Identifier: Apache-2.0
// Hydrogen from batteries on charge, compared with published values.
#include "leanside/advanced/sources.hpp"
#include "published/run.hpp"

namespace {

using namespace published;

using namespace leanside;

constexpr double per_hour = 1.0 / 3600.0;

/// Litres of hydrogen per ampere hour and cell.
double litres_per_ampere_hour(double celsius) {
  const double moles = 3600.0 * charging_hydrogen(1.0, 1.0);
  return 1000.0 * moles * gas_constant * (zero_celsius + celsius) / standard_atmosphere;
}

TEST(Overcharge, ReleasesHydrogenByFaradaysLaw) {
  cite("Hydrogen released by overcharging, by Faraday's law",
       "EN 50272-2/-3: 0.42 L per Ah at 0 degC; 0.46 L at about 25 degC (Servicepoolen, Ventilation in battery room). "
       "Tolerance 1 %: two figures.");
  expect_within(litres_per_ampere_hour(0.0), 0.42, 1.0, "hydrogen per Ah and cell at 0 degC, L");
  expect_within(litres_per_ampere_hour(25.0), 0.46, 1.0, "hydrogen per Ah and cell at 25 degC, L");
}

TEST(Overcharge, MatchesTheStationBatteryStandard) {
  cite("Hydrogen from a station battery",
       "IEEE 484 and IEEE 1635, ventilation of stationary batteries (from memory): at most 1.27e-7 m3/s of hydrogen "
       "per ampere and cell at 25 degC and 1 atm, or 0.000269 ft3/min.");
  const double volume = charging_hydrogen(1.0, 1.0) * gas_constant * 298.15 / standard_atmosphere;
  expect_near(volume, 1.27e-7, 5e-10, "hydrogen per A and cell, m3/s");
  expect_near(volume * 60.0 / published::foot3, 0.000269, 5e-7, "hydrogen per A and cell, ft3/min");
}

TEST(Overcharge, MatchesTheElectrochemicalEquivalent) {
  cite("Electrochemical equivalent of hydrogen",
       "Handbooks of chemistry, electrochemical equivalents (from memory): 0.0376 g of hydrogen per Ah.");
  expect_near(3600.0 * charging_hydrogen(1.0, 1.0) * 2.016, 0.0376, 5e-5, "hydrogen per Ah, g");
}

TEST(StandardAirflow, FollowsFromItsDerivation) {
  cite("Airflow required by the battery standards, and its derivation",
       "EN 50272-2:2001 (IEC 62485-2), clause 8: Q = v q s n I C with v = 24, q = 0.42e-3 m3/Ah, s = 5, printed as "
       "0.05; EN IEC 62485-3, quoted in ZVEI leaflet 14 (2020): 0.055, with the hydrogen at 25 degC.");
  expect_within(charging_airflow_of_standard(1.0, 1.0) * 3600.0, 0.05, 1e-9, "airflow per A and cell, m3/h");
  expect_within((100.0 - 4.0) / 4.0 * 5.0 * litres_per_ampere_hour(0.0) * 1e-3, 0.05, 1.0,
                "v q s with the hydrogen at 0 degC, m3/Ah");
  expect_within((100.0 - 4.0) / 4.0 * 5.0 * litres_per_ampere_hour(25.0) * 1e-3, 0.055, 1.0,
                "v q s with the hydrogen at 25 degC, m3/Ah");
}

TEST(GasCurrent, MatchesTheTableOfTheStandard) {
  cite("Gassing current by type of battery",
       "EN 50272-2:2001, table 1: I (float or boost), times gas factor, times safety factor, mA per Ah.");
  const auto milliamperes = [](Battery battery, ChargingRegime regime) {
    return 1000.0 * gas_current_per_capacity(battery, regime);
  };
  expect_within(milliamperes(Battery::vented_lead, ChargingRegime::float_charge), 1 * 1 * 5, 1e-9,
                "gas current of vented lead, float, mA/Ah");
  expect_within(milliamperes(Battery::vented_lead, ChargingRegime::boost_charge), 4 * 1 * 5, 1e-9,
                "gas current of vented lead, boost, mA/Ah");
  expect_within(milliamperes(Battery::valve_regulated_lead, ChargingRegime::float_charge), 1 * 0.2 * 5, 1e-9,
                "gas current of valve-regulated lead, float, mA/Ah");
  expect_within(milliamperes(Battery::valve_regulated_lead, ChargingRegime::boost_charge), 8 * 0.2 * 5, 1e-9,
                "gas current of valve-regulated lead, boost, mA/Ah");
  expect_within(milliamperes(Battery::vented_nickel_cadmium, ChargingRegime::float_charge), 1 * 1 * 5, 1e-9,
                "gas current of vented nickel-cadmium, float, mA/Ah");
  expect_within(milliamperes(Battery::vented_nickel_cadmium, ChargingRegime::boost_charge), 10 * 1 * 5, 1e-9,
                "gas current of vented nickel-cadmium, boost, mA/Ah");
}

TEST(Opening, MatchesTheEmergencyLightExample) {
  cite("Vent openings for an emergency-light battery",
       "INOTEC, Be- und Entlueftung von Batterien: 24 V, 48 Ah, 1 mA/Ah: openings of 0.8 cm2 by A = 28 Q. "
       "Tolerance 2 %: one figure is printed.");
  const double current = gas_current_per_capacity(Battery::valve_regulated_lead, ChargingRegime::float_charge) * 48.0;
  const double flow = charging_airflow_of_standard(12.0, current) * 3600.0;  // m3/h
  expect_within(1e4 * charging_opening_of_standard(flow / 3600.0), 0.8, 2.0, "each opening, cm2");
}

TEST(Opening, AdmitsAirAtOneTenthOfAMetrePerSecond) {
  cite("Air speed through the openings of the battery standard",
       "EN 50272-2/-3, natural ventilation (read on pages of Exide and ASE): A = 28 Q, cm2 and m3/h, with air at 0.1 "
       "m/s; 28 is 27.8 rounded up.");
  const double hourly = 1.0 / 3600.0;  // m3/s
  expect_within(hourly / charging_opening_of_standard(hourly), 0.1, 1.0, "air speed in the opening, m/s");
}

TEST(HundredCells, ReleaseTheHydrogenOfTheRule) {
  cite("Hydrogen from a hundred cells",
       "Battery room ventilation note: 0.0158 ft3 per Ah; 100 cells at 50 A give 79 ft3/h.");
  const double volume = charging_hydrogen(100.0, 50.0) * gas_constant * 293.15 / standard_atmosphere;
  expect_within(volume * 3600.0 / published::foot3, 79.0, 0.5, "hydrogen from 100 cells at 50 A, ft3/h");
}

TEST(Exhaust, KeepsAKnownGassingRateAtOnePercent) {
  cite("Exhaust for a known gassing rate",
       "Industrial Monitor Direct, Battery room ventilation design: keeping 15 ft3/h at 1 % takes 25 ft3/min.");
  leanside::testing::SiteBuilder build;
  const auto gas = build.hydrogen();
  const auto room = published::ventilated_room(build, 50.0, 25.0 * published::foot3 / 60.0);
  build.steady("cells", room, gas, 15.0 * published::foot3 / 3600.0);
  expect_near(published::steady_fraction(build.site, room, gas), 0.01, 1e-12, "hydrogen in the room, mol/mol");
}

TEST(SwedishRule, FollowsFromTheHydrogenAndItsDilution) {
  cite("Airflow by a Swedish rule for battery rooms",
       "Servicepoolen, Ventilation in battery room: 0.46 L/Ah, dilution 26, safety 5: 0.017 L/s per A and cell, 0.0166 "
       "rounded to two figures.");
  expect_within(litres_per_ampere_hour(25.0) * 26.0 * 5.0 * per_hour, 0.017, 3.5, "airflow per A and cell, L/s");
}

TEST(StandardAirflow, KeepsABatteryRoomAtAFifthOfTheLimit) {
  cite("Hydrogen in a battery room with the airflow of the standard",
       "0.05 m3/h per A and cell, hydrogen of 0.418 L/Ah at 0 degC: 0.836 %, a fifth of the lower limit. Calculated "
       "from these two values; no source of its own.");
  leanside::testing::SiteBuilder build;
  build.site.conditions.temperature = build.site.conditions.outside_temperature = zero_celsius;
  const auto gas = build.hydrogen();
  const auto room = published::ventilated_room(build, 50.0, charging_airflow_of_standard(24.0, 2.0));
  ChargingRelease charging;
  charging.cells = 24.0;
  charging.current = 2.0;
  build.release("cells", room, gas, charging);
  expect_within(published::steady_fraction(build.site, room, gas), 0.00836, 0.2, "hydrogen in the room, mol/mol");
}

}  // namespace
