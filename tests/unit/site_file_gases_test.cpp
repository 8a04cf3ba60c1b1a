// SPDX-License-Identifier: Apache-2.0
/// Gases and releases of a site file.
#include <gtest/gtest.h>

#include "leanside/site_file.hpp"

namespace leanside {
namespace {

constexpr std::string_view small = R"(title = "Gas store"

[[space]]
id = "store"
kind = "room"
volume = "30 m3"
)";

SiteReading read(const std::string& text) { return parse_site(text, "store.toml", built_in_substances()); }

Site good(const std::string& text) {
  auto reading = read(text);
  for (const auto& d : reading.diagnostics) EXPECT_EQ(d.level, DiagnosticLevel::notice) << to_text(d);
  if (!reading.usable()) {
    ADD_FAILURE() << "not usable";
    return {};
  }
  return *reading.usable();
}

std::string with(std::string_view more) { return std::string{small} + std::string{more}; }

TEST(SiteFile, FillingsMayBeMixtures) {
  const auto site = good(
      R"(title = "Filling"
[[gas]]
id = "half"
source = "invented for this test"
parts = { methane = "50 %", air = "50 %" }
[[space]]
id = "v"
kind = "vessel"
volume = "1 L"
initial = { half = "60 %", methane = "10 %", air = "20 %" }
)");
  ASSERT_EQ(site.gases.size(), 1u);
  ASSERT_EQ(site.spaces[0].initial.size(), 1u);
  EXPECT_NEAR(site.spaces[0].initial[0].fraction, 0.4, 1e-15);
}

const std::string releases_of_every_size = R"(
[conditions]
temperature = "25 degC"
pressure = "90 kPa"
[[gas]]
id = "mix"
source = "invented for this test"
parts = { hydrogen = "50 %", nitrogen = "50 %" }
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "methane"
rate = "6 L/min"
[[release]]
id = "b"
kind = "steady"
into = "store"
gas = "mix"
rate = "3 g/s"
duration = "90 s"
[[release]]
id = "c"
kind = "steady"
into = "store"
gas = "methane"
rate = "6 mol/min"
start = "1 h"
on = false
[[release]]
id = "d"
name = "Bottle"
kind = "dump"
into = "store"
gas = "hydrogen"
amount = " 20 L"
over = "10 min"
[[release]]
id = "e"
kind = "fittings"
into = "store"
gas = "hydrogen"
count = 12
each = "2 mL/min"
)";

TEST(SiteFile, SizesOfReleasesBecomeMoles) {
  // Ideal gas at site conditions: n = P V / (R T); mass by the molar mass of what is released.
  const auto site = good(with(releases_of_every_size));
  const double mol_per_m3 = 90000.0 / (gas_constant * 298.15);
  ASSERT_EQ(site.releases.size(), 5u);
  const auto& a = std::get<SteadyRelease>(site.releases[0].kind);
  EXPECT_NEAR(a.rate, 1e-4 * mol_per_m3, 1e-15);
  EXPECT_FALSE(a.duration);
  EXPECT_EQ(site.releases[0].as_written, "6 L/min");
  EXPECT_EQ(site.releases[0].gas.name, "methane");

  const auto& b = std::get<SteadyRelease>(site.releases[1].kind);
  const double molar = 0.5 * built_in_substances().find("hydrogen")->molar_mass.value +
                       0.5 * built_in_substances().find("nitrogen")->molar_mass.value;
  EXPECT_NEAR(b.rate, 3e-3 / molar, 1e-12);
  EXPECT_DOUBLE_EQ(b.duration.value(), 90.0);
  EXPECT_EQ(site.releases[1].as_written, "3 g/s for 90 s");

  EXPECT_DOUBLE_EQ(std::get<SteadyRelease>(site.releases[2].kind).rate, 0.1);
  EXPECT_DOUBLE_EQ(site.releases[2].start, 3600.0);
  EXPECT_FALSE(site.releases[2].on);

  const auto& d = std::get<DumpRelease>(site.releases[3].kind);
  EXPECT_NEAR(d.amount, 0.02 * mol_per_m3, 1e-14);
  EXPECT_DOUBLE_EQ(d.over, 600.0);
  EXPECT_EQ(site.releases[3].as_written, "20 L over 10 min");
  EXPECT_EQ(site.releases[3].name, "Bottle");

  const auto& e = std::get<FittingsRelease>(site.releases[4].kind);
  EXPECT_EQ(e.count, 12.0);
  EXPECT_NEAR(e.each, 2e-6 / 60.0 * mol_per_m3, 1e-18);
  EXPECT_EQ(site.releases[4].as_written, "12 fittings of 2 mL/min");
}

TEST(SiteFile, OnlyGasesThatOccurAreTrackedInOrderOfAppearance) {
  const auto site = good(with(R"(
initial = { nitrogen = "10 %" }
[[gas]]
id = "not-used"
molar_mass = "20 g/mol"
source = "invented for this test"
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "propane"
rate = "1 L/min"
[[release]]
id = "b"
kind = "steady"
into = "store"
gas = "nitrogen"
rate = "1 L/min"
[[release]]
id = "c"
kind = "steady"
into = "store"
gas = "air"
rate = "1 L/min"
)"));
  ASSERT_EQ(site.gases.size(), 2u);
  EXPECT_EQ(site.gases[0].substance.id, "nitrogen");
  EXPECT_FALSE(site.gases[0].limits);
  EXPECT_EQ(site.gases[1].substance.id, "propane");
  ASSERT_TRUE(site.gases[1].limits);
  EXPECT_GT(site.gases[1].limits->lower, 0.0);
  EXPECT_TRUE(site.releases[2].gas.shares.empty());
  EXPECT_DOUBLE_EQ(molar_mass(site.releases[2].gas, site.gases), molar_mass_of_air);
}

TEST(SiteFile, AGasOfTheFileBringsItsOwnValuesAndSource) {
  const auto site = good(with(R"(
[[gas]]
id = "lab-gas"
name = "Laboratory gas"
molar_mass = "20 g/mol"
lfl = "4 %"
ufl = "16 %"
loc = "10 %"
oxygen_demand = 2.5
net_heat = "800 kJ/mol"
flash_point = "-20 degC"
source = "sheet of the maker, 2021"
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "lab-gas"
rate = "1 g/min"
)"));
  ASSERT_EQ(site.gases.size(), 1u);
  const auto& gas = site.gases[0];
  EXPECT_EQ(gas.substance.name, "Laboratory gas");
  EXPECT_DOUBLE_EQ(gas.substance.molar_mass.value, 0.02);
  EXPECT_EQ(gas.substance.molar_mass.source, "sheet of the maker, 2021");
  ASSERT_TRUE(gas.limits);
  EXPECT_DOUBLE_EQ(gas.limits->lower, 0.04);
  EXPECT_DOUBLE_EQ(gas.limits->upper, 0.16);
  EXPECT_EQ(gas.limits->lower_source, "sheet of the maker, 2021");
  EXPECT_DOUBLE_EQ(gas.substance.limiting_oxygen->value, 0.10);
  EXPECT_DOUBLE_EQ(gas.substance.oxygen_demand->value, 2.5);
  EXPECT_DOUBLE_EQ(gas.substance.net_heat->value, 8e5);
  EXPECT_DOUBLE_EQ(gas.substance.flash_point->value, 253.15);
  EXPECT_NEAR(std::get<SteadyRelease>(site.releases[0].kind).rate, 1e-3 / 60.0 / 0.02, 1e-15);
}

TEST(SiteFile, AMixtureMayUseGasesOfTheFileWhereverTheyStand) {
  const auto site = good(with(R"(
[[gas]]
id = "town-gas"
source = "invented for this test"
parts = { special = "30 %", hydrogen = 0.5, air = "20 %" }
[[gas]]
id = "special"
molar_mass = "40 g/mol"
source = "invented for this test"
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "town-gas"
rate = "1 L/min"
)"));
  ASSERT_EQ(site.releases[0].gas.shares.size(), 2u);
  double sum = 0.0;
  for (const auto& share : site.releases[0].gas.shares) sum += share.fraction;
  EXPECT_NEAR(sum, 0.8, 1e-15);
}

TEST(SiteFile, PartsThatAreRoundedToAMillionthAddUpExactly) {
  const auto site = good(with(R"(
[[gas]]
id = "m"
source = "invented for this test"
parts = { hydrogen = 0.3333333, methane = 0.3333333, propane = 0.3333333 }
[[release]]
id = "a"
kind = "steady"
into = "store"
gas = "m"
rate = "1 L/min"
)"));
  double sum = 0.0;
  for (const auto& share : site.releases[0].gas.shares) sum += share.fraction;
  EXPECT_NEAR(sum, 1.0, 1e-15);
}

TEST(MolarMass, AirFillsWhatTheSharesLeave) {
  Gas gas;
  gas.substance.molar_mass.value = 0.002;
  const std::vector<Gas> gases{gas};
  EXPECT_DOUBLE_EQ(molar_mass({}, gases), molar_mass_of_air);
  EXPECT_DOUBLE_EQ(molar_mass({{{GasIndex{0}, 1.0}}, "g"}, gases), 0.002);
  EXPECT_NEAR(molar_mass({{{GasIndex{0}, 0.25}}, "g"}, gases), 0.0005 + 0.75 * molar_mass_of_air, 1e-15);
}

}  // namespace
}  // namespace leanside
