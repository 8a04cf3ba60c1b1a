// SPDX-License-Identifier: Apache-2.0
// What is stored, where it gets to, and what should be kept apart.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "leanside/assess.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

double moles(const Site& site, double volume) {
  return volume * site.conditions.pressure / (gas_constant * site.conditions.temperature);
}

TEST(Stock, GivesTheAirEachStoreBringsToItsLimit) {
  SiteBuilder b;
  const auto gas = b.hydrogen();
  const auto store = b.space("store", 20.0), next = b.space("next", 30.0), far = b.space("far", 40.0);
  b.fan("to-next", store, next, 0.01);
  b.airway("shut", Exchange{next, far, 0.01}, false);
  b.release("cylinder", store, gas, DumpRelease{moles(b.site, 9.0), 600.0});
  const Stock stock = stock_of(b.site);
  ASSERT_EQ(stock.held.size(), 1u);
  EXPECT_NEAR(stock.held[0].air_to_limit, 9.0 / 0.04 - 9.0, 1e-9);
  EXPECT_EQ(stock.held[0].space_volume, 20.0);
  EXPECT_EQ(stock.held[0].reach_volume, 50.0);
  EXPECT_TRUE(stock.findings.empty());
}

TEST(Stock, FindsAnOxidiserWithAFuelAndNextToOne) {
  SiteBuilder b;
  const auto fuel = b.methane(), oxygen = b.oxygen();
  const auto store = b.space("store", 20.0), next = b.space("next", 30.0), far = b.space("far", 40.0);
  b.exchange("hatch", store, next, 0.01);
  b.exchange("door", next, far, 0.01);
  b.release("oxygen", store, oxygen, DumpRelease{100.0, 600.0});
  b.release("here", store, fuel, DumpRelease{100.0, 600.0});
  b.release("beside", next, fuel, DumpRelease{100.0, 600.0});
  b.release("away", far, fuel, DumpRelease{100.0, 600.0});
  for (Release& release : b.site.releases) release.on = false;
  const Stock stock = stock_of(b.site);
  ASSERT_EQ(stock.findings.size(), 2u);
  EXPECT_EQ(stock.findings[0].concern, StorageConcern::oxidiser_with_fuel);
  EXPECT_EQ(stock.findings[0].second.release, ReleaseIndex{1});
  EXPECT_EQ(stock.findings[1].concern, StorageConcern::oxidiser_beside_fuel);
  EXPECT_EQ(stock.findings[1].second.release, ReleaseIndex{2});

  const auto outcome = assess(b.site);
  const auto& answer = std::get<Assessment>(outcome);
  ASSERT_EQ(answer.warnings.size(), 2u) << "nothing leaks: what is stored is all there is to say";
  for (const Warning& warning : answer.warnings) {
    EXPECT_EQ(warning.severity, Severity::note);
    EXPECT_NE(summary_sentence(b.site, warning).find("oxidiser"), std::string::npos);
    EXPECT_NE(remedy_sentence(b.site, warning).find("29 CFR 1910.253"), std::string::npos);
  }
}

// The largest of each kind stand for the others, which are counted; shares go by the amounts of the two.
TEST(Stock, SeveralStoresInTwoPlacesAreOneFinding) {
  SiteBuilder b;
  const auto fuel = b.methane(), oxygen = b.oxygen();
  const auto store = b.space("store", 20.0), next = b.space("next", 30.0);
  b.exchange("hatch", store, next, 0.01);
  b.release("o-small", store, oxygen, DumpRelease{50.0, 600.0});
  b.release("o-large", store, oxygen, DumpRelease{300.0, 600.0});
  b.release("o-middle", store, oxygen, DumpRelease{80.0, 600.0});
  b.release("f-large", next, fuel, DumpRelease{100.0, 600.0});
  b.release("f-small", next, fuel, DumpRelease{60.0, 600.0});
  for (Release& release : b.site.releases) release.on = false;
  const Stock stock = stock_of(b.site);
  ASSERT_EQ(stock.findings.size(), 1u);
  EXPECT_EQ(stock.findings[0].first.release, ReleaseIndex{1});
  EXPECT_EQ(stock.findings[0].second.release, ReleaseIndex{3});
  EXPECT_EQ(stock.findings[0].more_first, 2);
  EXPECT_EQ(stock.findings[0].more_second, 1);
  const auto outcome = assess(b.site);
  const auto& warnings = std::get<Assessment>(outcome).warnings;
  ASSERT_EQ(warnings.size(), 1u);
  ASSERT_EQ(warnings[0].causes.size(), 2u);
  EXPECT_EQ(warnings[0].causes[0].release, ReleaseIndex{1});
  EXPECT_NEAR(warnings[0].causes[0].share, 0.75, 1e-12);
  EXPECT_NEAR(warnings[0].causes[1].share, 0.25, 1e-12);
}

// 45 % nitrogen with 55 % oxygen is richer in oxygen than air: it takes none of it.
TEST(Stock, MinorInertGasDisplacesNoOxygen) {
  SiteBuilder b;
  const auto nitrogen = b.nitrogen(), oxygen = b.oxygen();
  const auto store = b.space("store", 5.0);
  for (const double share : {0.45, 0.95}) {
    b.site.releases.clear();
    b.release("bottle", store, nitrogen, DumpRelease{200.0, 600.0});
    b.site.releases[0].gas.shares = {{nitrogen, share}, {oxygen, 1.0 - share}};
    b.site.releases[0].on = false;
    const Stock stock = stock_of(b.site);
    const auto displacing = std::count_if(stock.findings.begin(), stock.findings.end(), [](const StorageFinding& f) {
      return f.concern == StorageConcern::displaces_oxygen;
    });
    EXPECT_EQ(displacing, share > 0.5 ? 1 : 0) << share;
  }
}

TEST(Stock, FindsInertGasThatCouldTakeTheOxygen) {
  SiteBuilder b;
  const auto nitrogen = b.nitrogen();
  const auto small = b.space("small", 20.0), large = b.space("large", 2000.0);
  b.release("one", small, nitrogen, DumpRelease{moles(b.site, 9.0), 600.0});
  b.release("two", large, nitrogen, DumpRelease{moles(b.site, 9.0), 600.0});
  for (Release& release : b.site.releases) release.on = false;
  const Stock stock = stock_of(b.site);
  ASSERT_EQ(stock.findings.size(), 1u);
  EXPECT_EQ(stock.findings[0].concern, StorageConcern::displaces_oxygen);
  EXPECT_NEAR(stock.findings[0].oxygen, 0.2095 * std::exp(-9.0 / 20.0), 1e-12);
  // Where the leak itself is warned of, the note would only repeat it.
  b.site.releases[0].on = true;
  const auto outcome = assess(b.site);
  const auto& warnings = std::get<Assessment>(outcome).warnings;
  EXPECT_EQ(std::count_if(warnings.begin(), warnings.end(), [](const Warning& w) { return w.storage.has_value(); }), 0);
  EXPECT_EQ(warnings.at(0).severity, Severity::oxygen);
}

TEST(Stock, CountsWhatSpacesHoldAtTheStart) {
  SiteBuilder b;
  const auto gas = b.hydrogen();
  const auto tank = b.vessel("tank", 2.0);
  b.site.spaces[tank.value].initial = {{gas, 0.5}};
  const Stock stock = stock_of(b.site);
  ASSERT_EQ(stock.held.size(), 1u);
  EXPECT_FALSE(stock.held[0].release);
  EXPECT_NEAR(stock.held[0].fuel, moles(b.site, 1.0), 1e-9);
}

std::vector<StorageConcern> concerns_of(const Stock& stock) {
  std::vector<StorageConcern> out;
  for (const StorageFinding& finding : stock.findings) out.push_back(finding.concern);
  return out;
}

/// A store with one cylinder of each, none of them leaking.
Site store_of(const std::vector<std::pair<std::string, std::string>>& gas_and_kind, const std::string& space) {
  std::string text = "title = \"Store\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"40 m3\"\n" + space;
  int n = 0;
  for (const auto& [gas, rest] : gas_and_kind) {
    text += "[[release]]\nid = \"r" + std::to_string(n++) + "\"\ngas = \"" + gas + "\"\non = false\n" + rest;
  }
  const SiteReading reading = parse_site(text, "store.toml", built_in_substances());
  if (reading.usable() == nullptr) {
    for (const Diagnostic& d : reading.diagnostics) ADD_FAILURE() << to_text(d);
    return {};
  }
  return without_added_cases(*reading.usable());
}

const std::string dump = "kind = \"dump\"\ninto = \"room\"\namount = \"1 m3\"\nover = \"10 min\"\n";

TEST(Stock, SaysWhatEachGasIs) {
  using enum StorageClass;
  const Site site = store_of({{"silane", dump},
                              {"ammonia", dump},
                              {"chlorine", dump},
                              {"acetylene", dump},
                              {"nitrogen", dump},
                              {"oxygen", dump},
                              {"forming-gas", dump}},
                             "");
  const Stock stock = stock_of(site);
  ASSERT_EQ(stock.held.size(), 7u);
  EXPECT_EQ(stock.held[0].classes, (std::vector{pyrophoric, toxic, flammable}));
  EXPECT_EQ(stock.held[1].classes, (std::vector{toxic, flammable, corrosive}));
  EXPECT_EQ(stock.held[2].classes, (std::vector{toxic, oxidising, corrosive}));
  EXPECT_EQ(stock.held[3].classes, (std::vector{flammable, decomposing}));
  EXPECT_EQ(stock.held[4].classes, (std::vector{inert}));
  EXPECT_EQ(stock.held[5].classes, (std::vector{oxidising}));
  EXPECT_EQ(stock.held[6].classes, (std::vector{flammable})) << "hydrogen in nitrogen";
}

// 1 m3 of chlorine (10 ppm IDLH) in 40 m3 makes 1 - exp(-1/40) of the air chlorine.
TEST(Stock, KnowsHowFarToxicGasPoisonsItsRoom) {
  const Stock stock = stock_of(store_of({{"chlorine", dump}, {"chlorine", dump}}, ""));
  ASSERT_EQ(concerns_of(stock), (std::vector{StorageConcern::poisons_room}));
  EXPECT_EQ(stock.findings[0].more_first, 1u);
  EXPECT_NEAR(stock.findings[0].times_idlh, (1.0 - std::exp(-1.0 / 40.0)) / 10e-6, 3.0);
}

TEST(Stock, AddsUpWhatASpaceHolds) {
  const std::string cylinders =
      "kind = \"cylinder\"\ninto = \"room\"\nwater_volume = \"50 L\"\npressure = \"200 bar\"\ncount = 3\n";
  const Site site = store_of({{"hydrogen", dump}, {"oxygen", dump}, {"nitrogen", cylinders}}, "");
  const Stock stock = stock_of(site);
  ASSERT_EQ(stock.spaces.size(), 1u);
  const SpaceStock& sum = stock.spaces[0];
  double fuel = 0.0, oxidiser = 0.0, inert = 0.0, mass = 0.0;
  for (const StoredGas& gas : stock.held) {
    fuel += gas.fuel, oxidiser += gas.oxidiser, inert += gas.inert, mass += gas.mass;
  }
  EXPECT_EQ(sum.containers, 5.0);
  EXPECT_DOUBLE_EQ(sum.fuel, fuel);
  EXPECT_DOUBLE_EQ(sum.oxidiser, oxidiser);
  EXPECT_DOUBLE_EQ(sum.inert, inert);
  EXPECT_NEAR(mass, fuel * 2.016e-3 + oxidiser * 31.998e-3 + inert * 28.014e-3, 1e-5);
  EXPECT_DOUBLE_EQ(sum.mass, mass);
  EXPECT_EQ(sum.classes, (std::vector{StorageClass::flammable, StorageClass::oxidising}));
}

// Ether (flash point -45 degC) can be lit in a refrigerator, butanol (about 30 degC) cannot.
TEST(Stock, FindsFlammableLiquidInARefrigerator) {
  const std::string fridge =
      "[[space]]\nid = \"fridge\"\nkind = \"cabinet\"\nvolume = \"200 L\"\ntemperature = \"4 degC\"\n"
      "stands_in = \"room\"\n";
  const auto bottle = [](const char* into) {
    return std::string{"kind = \"spill\"\ninto = \""} + into + "\"\namount = \"500 mL\"\narea = \"0.1 m2\"\n";
  };
  const Stock stock = stock_of(store_of(
      {{"diethyl-ether", bottle("fridge")}, {"1-butanol", bottle("fridge")}, {"diethyl-ether", bottle("room")}},
      fridge));
  std::vector<ReleaseIndex> cold;
  for (const StorageFinding& finding : stock.findings) {
    if (finding.concern == StorageConcern::cold_liquid) cold.push_back(*finding.first.release);
  }
  EXPECT_EQ(cold, (std::vector{ReleaseIndex{0}}));
  EXPECT_NEAR(stock.held[0].liquid_volume, 0.5e-3, 0.02e-3);
}

TEST(Stock, KeepsPyrophoricGasApart) {
  const Stock stock = stock_of(store_of({{"silane", dump}, {"hydrogen", dump}, {"nitrogen", dump}}, ""));
  const auto found = concerns_of(stock);
  EXPECT_EQ(std::count(found.begin(), found.end(), StorageConcern::pyrophoric_with_others), 1);
  EXPECT_EQ(stock.findings[0].second.release, ReleaseIndex{1});
}

}  // namespace
}  // namespace leanside
