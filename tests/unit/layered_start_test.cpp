// SPDX-License-Identifier: Apache-2.0
// A room in layers whose gas is there from the start.
#include <vector>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "published/run.hpp"
#include "unit/plant_room.hpp"

namespace leanside {
namespace {

// Both layers begin with what the file says is there, and none of it is lost.
TEST(LayeredStart, InitialGasIsInBothLayers) {
  const Site site =
      published::read(testing::plant_room("stratification = \"layered\"\ninitial = { methane = \"1 %\" }\n"));
  AssessOptions options;
  options.series_points = 5;
  std::vector<LayerState> seen;
  options.series = [](CaseIndex, double, const FractionField&) {};
  options.layer_series = [&](CaseIndex, double, const LayerState& state) { seen.push_back(state); };
  const auto outcome = assess(site, options);
  ASSERT_TRUE(std::holds_alternative<Assessment>(outcome));
  const auto& assessment = std::get<Assessment>(outcome);
  EXPECT_LT(assessment.balance_error, 1e-9);
  ASSERT_FALSE(seen.empty());
  std::size_t methane = site.gases.size();
  for (std::size_t k = 0; k < site.gases.size(); ++k) {
    if (site.gases[k].substance.id == "methane") methane = k;
  }
  ASSERT_LT(methane, site.gases.size());
  EXPECT_NEAR(seen.front().lower[methane], 0.01, 1e-9);
  EXPECT_NEAR(seen.front().upper[methane], 0.01, 1e-9);
  EXPECT_LT(seen.back().upper[methane], 0.005);  // aired out after 8 h
}

}  // namespace
}  // namespace leanside
