// SPDX-License-Identifier: Apache-2.0
/// Substances and their table: choosing limits, finding by name, vapour pressures, putting tables together.
#include "leanside/substance.hpp"

#include <algorithm>
#include <cmath>
#include <ostream>
#include <thread>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/substance_file.hpp"

namespace leanside {
namespace {

Substance substance_with(std::vector<LimitPair> limits) {
  Substance out;
  out.id = "sample";
  out.limits = std::move(limits);
  return out;
}

// ---- limits ----

TEST(ChooseLimits, TakesTheWidestPairOfAllSources) {
  const auto limits = choose_limits(
      substance_with({{"a", 0.05, 0.15, false}, {"b", 0.044, 0.14, false}, {"c", 0.046, 0.17, true}}), "cautious");
  ASSERT_TRUE(limits);
  EXPECT_EQ(limits->lower, 0.044);
  EXPECT_EQ(limits->lower_source, "b");
  EXPECT_EQ(limits->upper, 0.17);
  EXPECT_EQ(limits->upper_source, "c");
  EXPECT_TRUE(limits->recalled);
  EXPECT_FALSE(limits->fell_back);
}

TEST(ChooseLimits, PrefersAmongEqualsTheOneThatWasRead) {
  const auto limits = choose_limits(
      substance_with({{"recalled", 0.012, 0.08, true}, {"read", 0.012, 0.08, false}, {"later", 0.012, 0.08, false}}),
      "cautious");
  EXPECT_EQ(limits->lower_source, "read");
  EXPECT_EQ(limits->upper_source, "read");
  EXPECT_FALSE(limits->recalled);
}

TEST(ChooseLimits, TakesTheSourceAskedFor) {
  const auto limits = choose_limits(substance_with({{"a", 0.05, 0.15, false}, {"b", 0.044, 0.17, true}}), "a");
  EXPECT_EQ(limits->lower, 0.05);
  EXPECT_EQ(limits->upper, 0.15);
  EXPECT_FALSE(limits->recalled);
  EXPECT_FALSE(limits->fell_back);
}

TEST(ChooseLimits, JoinsTwoEntriesOfOneSource) {
  const auto limits = choose_limits(substance_with({{"a", 0.0137, {}, false}, {"a", {}, 0.96, true}}), "a");
  ASSERT_TRUE(limits);
  EXPECT_EQ(limits->lower, 0.0137);
  EXPECT_EQ(limits->upper, 0.96);
  EXPECT_TRUE(limits->recalled);
  EXPECT_FALSE(limits->fell_back);
}

TEST(ChooseLimits, FallsBackWhereTheSourceLacksEitherLimit) {
  const auto sample = substance_with({{"a", 0.02, {}, false}, {"b", 0.03, 0.12, false}});
  for (const char* choice : {"a", "no-such-source"}) {
    const auto limits = choose_limits(sample, choice);
    ASSERT_TRUE(limits);
    EXPECT_TRUE(limits->fell_back);
    EXPECT_EQ(limits->lower, 0.02);
    EXPECT_EQ(limits->upper, 0.12);
  }
}

TEST(ChooseLimits, IsEmptyForWhatDoesNotBurn) {
  EXPECT_FALSE(choose_limits(substance_with({}), "cautious"));
  EXPECT_FALSE(choose_limits(substance_with({{"a", 0.02, {}, false}}), "cautious"));
  EXPECT_FALSE(choose_limits(*built_in_substances().find("nitrogen"), "bulletin-627"));
}

// ---- the table ----

TEST(SubstanceTable, FindsByIdAndByNothingElse) {
  const auto& table = built_in_substances();
  ASSERT_NE(table.find("methane"), nullptr);
  EXPECT_EQ(table.find("methane")->formula, "CH4");
  EXPECT_EQ(table.find("Methane"), nullptr);
  EXPECT_EQ(table.find(""), nullptr);
  EXPECT_EQ(table.find("natural-gas"), nullptr);
  ASSERT_NE(table.find_mixture("natural-gas"), nullptr);
  EXPECT_EQ(table.find_mixture("methane"), nullptr);
}

TEST(SubstanceTable, ReplacesWhatHasTheSameId) {
  SubstanceTable table;
  for (const char* id : {"a", "b", "c"}) {
    Substance substance;
    substance.id = id;
    table.put(substance);
  }
  Substance again;
  again.id = "b";
  again.name = "the second b";
  table.put(again);
  EXPECT_EQ(table.substances().size(), 3u);
  EXPECT_EQ(table.find("b")->name, "the second b");

  Mixture mixture{"a", "a mixture", {{"c", 1.0}}, "here", {}, {}};
  table.put(mixture);  // an id means one thing
  EXPECT_EQ(table.find("a"), nullptr);
  ASSERT_NE(table.find_mixture("a"), nullptr);
  EXPECT_EQ(table.find("b")->name, "the second b");
  EXPECT_EQ(table.find("c")->id, "c");

  Substance back;
  back.id = "a";
  table.put(back);
  EXPECT_EQ(table.find_mixture("a"), nullptr);
  EXPECT_TRUE(table.mixtures().empty());
  EXPECT_EQ(table.substances().size(), 3u);
}

TEST(SubstanceTable, MergedHoldsBothAndLetsTheAdditionsWin) {
  SubstanceTable additions;
  Substance methane = *built_in_substances().find("methane");
  methane.name = "our methane";
  additions.put(methane);
  Substance own;
  own.id = "own";
  additions.put(own);
  const SubstanceTable both = merged(built_in_substances(), additions);
  EXPECT_EQ(both.substances().size(), built_in_substances().substances().size() + 1);
  EXPECT_EQ(both.find("methane")->name, "our methane");
  EXPECT_NE(both.find("own"), nullptr);
  EXPECT_NE(both.find("propane"), nullptr);
  EXPECT_EQ(both.mixtures().size(), built_in_substances().mixtures().size());
  EXPECT_EQ(built_in_substances().find("methane")->name, "Methane");
}

TEST(SubstanceTable, NamesItsSourcesOfLimitsInOrderAndOnce) {
  const auto sources = built_in_substances().limit_sources();
  EXPECT_TRUE(std::ranges::is_sorted(sources));
  EXPECT_EQ(std::ranges::adjacent_find(sources), sources.end());
  for (const char* source : {"bulletin-627", "iec-60079-20-1-2010", "nfpa-497-2008", "niosh-2005"}) {
    EXPECT_NE(std::ranges::find(sources, source), sources.end()) << source;
  }
}

TEST(SubstanceTable, IsReadOnceForAllThreads) {
  std::vector<const SubstanceTable*> seen(8);
  std::vector<std::thread> threads;
  for (auto& at : seen) threads.emplace_back([&at] { at = &built_in_substances(); });
  for (auto& thread : threads) thread.join();
  for (const auto* at : seen) EXPECT_EQ(at, seen.front());
}

TEST(BuiltInMixtures, AddUpAndAreMadeOfKnownSubstances) {
  for (const auto& mixture : built_in_substances().mixtures()) {
    double sum = 0.0;
    for (const auto& part : mixture.parts) {
      sum += part.fraction;
      EXPECT_GT(part.fraction, 0.0);
      EXPECT_NE(built_in_substances().find(part.substance), nullptr) << part.substance;
    }
    EXPECT_NEAR(sum, 1.0, 1e-15) << mixture.id;
    for (const auto& part : mixture.parts) {
      EXPECT_LE(part.fraction, mixture.parts.front().fraction) << mixture.id << ": the most comes first";
    }
  }
}

// ---- names ----

struct Meant {
  const char* word;
  const char* id;
};
void PrintTo(const Meant& meant, std::ostream* out) { *out << meant.word; }
class NearestSubstance : public testing::TestWithParam<Meant> {};

TEST_P(NearestSubstance, IsTheOneThatWasMeant) {
  EXPECT_EQ(built_in_substances().nearest(GetParam().word), GetParam().id) << GetParam().word;
}

INSTANTIATE_TEST_SUITE_P(BySynonym, NearestSubstance,
                         testing::Values(Meant{"marsh gas", "methane"}, Meant{"Marsh Gas", "methane"},
                                         Meant{"petrol", "gasoline"}, Meant{"IPA", "2-propanol"},
                                         Meant{"butane", "n-butane"}, Meant{"ether", "diethyl-ether"},
                                         Meant{"dry ice", "carbon-dioxide"}, Meant{"meths", "ethanol"}));
INSTANTIATE_TEST_SUITE_P(ByName, NearestSubstance,
                         testing::Values(Meant{"Carbon monoxide", "carbon-monoxide"},
                                         Meant{"carbon_monoxide", "carbon-monoxide"},
                                         Meant{"1,4-dioxane", "1-4-dioxane"}, Meant{"Natural gas", "natural-gas"},
                                         Meant{"hydrogen sulphide", "hydrogen-sulfide"},
                                         Meant{"sulphur hexafluoride", "sulfur-hexafluoride"}));
INSTANTIATE_TEST_SUITE_P(ByFormula, NearestSubstance,
                         testing::Values(Meant{"H2", "hydrogen"}, Meant{"ch4", "methane"},
                                         Meant{"CO2", "carbon-dioxide"}, Meant{"CO", "carbon-monoxide"},
                                         Meant{"H2S", "hydrogen-sulfide"}));
INSTANTIATE_TEST_SUITE_P(ByCasNumber, NearestSubstance,
                         testing::Values(Meant{"1333-74-0", "hydrogen"}, Meant{"68476-85-7", "lpg"}));
INSTANTIATE_TEST_SUITE_P(ByTradeName, NearestSubstance,
                         testing::Values(Meant{"LPG", "lpg"}, Meant{"forming gas", "forming-gas"},
                                         Meant{"Stoddard solvent", "white-spirit"}, Meant{"lamp oil", "kerosene"},
                                         Meant{"cellulose thinner", "thinner"}, Meant{"heating oil", "diesel"}));
INSTANTIATE_TEST_SUITE_P(BySlipOfThePen, NearestSubstance,
                         testing::Values(Meant{"metane", "methane"}, Meant{"hydorgen", "hydrogen"},
                                         Meant{"acetylen", "acetylene"}, Meant{"natural-gaz", "natural-gas"}));
INSTANTIATE_TEST_SUITE_P(OfAnId, NearestSubstance, testing::Values(Meant{"methane", "methane"}, Meant{"lpg", "lpg"}));
INSTANTIATE_TEST_SUITE_P(OfNothing, NearestSubstance,
                         testing::Values(Meant{"", ""}, Meant{" - ", ""}, Meant{"quicksilver fountain", ""},
                                         Meant{"C4H10", ""}, Meant{"C8H10", ""}));

// ---- vapour pressure ----

TEST(VapourPressureOfSubstance, TakesTheWideEquationBeforeAntoine) {
  Substance s;
  s.antoine = AntoineEquation{4.0, 0.0, 0.0, 200, 400, ""};                           // 10^4 kPa at any temperature
  s.vapour_pressure = WideVapourPressure{std::log(500.0), 0, 0, 0, 1, 250, 300, ""};  // 500 Pa
  EXPECT_NEAR(vapour_pressure(s, 275).value(), 500.0, 1e-9);
  EXPECT_NEAR(vapour_pressure(s, 250).value(), 500.0, 1e-9);
  EXPECT_NEAR(vapour_pressure(s, 300).value(), 500.0, 1e-9);
  EXPECT_NEAR(vapour_pressure(s, 249.9).value(), 1e7, 1e-3);
  EXPECT_NEAR(vapour_pressure(s, 400).value(), 1e7, 1e-3);
}

TEST(VapourPressureOfSubstance, UsesEveryTermOfTheWideEquation) {
  Substance s;
  s.vapour_pressure = WideVapourPressure{10.0, -2000.0, 1.5, 1e-6, 2.0, 100, 500, ""};
  const double t = 320.0;
  EXPECT_NEAR(vapour_pressure(s, t).value(), std::exp(10.0 - 2000.0 / t + 1.5 * std::log(t) + 1e-6 * t * t), 1e-6);
}

TEST(VapourPressureOfSubstance, IsNeverExtrapolated) {
  const auto& acetone = *built_in_substances().find("acetone");
  EXPECT_TRUE(vapour_pressure(acetone, 293.15));
  EXPECT_FALSE(vapour_pressure(acetone, 100.0));
  EXPECT_FALSE(vapour_pressure(acetone, 600.0));
  EXPECT_FALSE(vapour_pressure(acetone, std::nan("")));
  EXPECT_FALSE(vapour_pressure(*built_in_substances().find("kerosene"), 400.0));
}

}  // namespace
}  // namespace leanside
