// SPDX-License-Identifier: Apache-2.0
/// The card of a substance.
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "leanside/report.hpp"
#include "leanside/substance_file.hpp"
#include "unit/sample_answer.hpp"

namespace leanside {
namespace {

TEST(SubstanceCard, TellsLimitsSourcesAndWhereTheGasGoes) {
  const Substance* hydrogen = built_in_substances().find("hydrogen");
  ASSERT_NE(hydrogen, nullptr);
  const std::string card = substance_card(*hydrogen, {120, false, false});
  for (const LimitPair& pair : hydrogen->limits) EXPECT_TRUE(has(card, pair.source)) << pair.source;
  EXPECT_TRUE(has(card, "4 %")) << card;
  EXPECT_TRUE(has(card, "77 %")) << card;
  EXPECT_TRUE(has(card, "29.5 %")) << card;  // stoichiometric
  EXPECT_TRUE(has(card, "rises")) << card;
  const Substance* propane = built_in_substances().find("propane");
  ASSERT_NE(propane, nullptr);
  EXPECT_TRUE(has(substance_card(*propane, {120, false, false}), "sinks"));
}

TEST(SubstanceCard, MarksEveryRecalledValue) {
  std::size_t checked = 0;
  for (const Substance& substance : built_in_substances().substances()) {
    if (!substance.limiting_oxygen || !substance.limiting_oxygen->recalled) continue;
    ++checked;
    bool marked = false;
    for (const std::string& line : lines_of(substance_card(substance, {140, false, false}))) {
      marked = marked || (has(line, "least oxygen") && has(line, "(recalled)"));
    }
    EXPECT_TRUE(marked) << substance.id;
  }
  EXPECT_GT(checked, 0u);
}

TEST(SubstanceCard, WorksForEverySubstanceAndMixture) {
  const SubstanceTable& table = built_in_substances();
  ASSERT_GE(table.substances().size(), 80u);
  for (const Substance& substance : table.substances()) {
    EXPECT_TRUE(has(substance_card(substance, {}), substance.id));
    EXPECT_EQ(json::parse(substance_json(substance))["id"], substance.id);
  }
  for (const Mixture& mixture : table.mixtures()) {
    const std::string card = mixture_card(mixture, table, {});
    for (const MixturePart& part : mixture.parts) EXPECT_TRUE(has(card, part.substance));
    EXPECT_EQ(json::parse(mixture_json(mixture))["parts"].size(), mixture.parts.size());
  }
  const json list = json::parse(substance_list_json(table));
  EXPECT_EQ(list["substances"].size(), table.substances().size());
  EXPECT_TRUE(has(substance_list(table, {}), "hydrogen"));
}

}  // namespace
}  // namespace leanside
