// SPDX-License-Identifier: Apache-2.0
// A room in layers whose gas is there from the start.
#include <string>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "published/run.hpp"

namespace leanside {
namespace {

std::string plant(const std::string& of_room) {
  return R"(title = "Plant room"
[[space]]
id = "plant"
kind = "room"
floor_area = "10 m2"
height = "2.5 m"
stratification = "layered"
)" + of_room +
         R"(
[[airway]]
id = "low"
kind = "gap"
between = ["plant", "outside"]
leakage_area = "100 cm2"
exponent = 0.5
height = "0.2 m"
[[airway]]
id = "high"
kind = "gap"
between = ["plant", "outside"]
leakage_area = "100 cm2"
exponent = 0.5
height = "2.4 m"
[[release]]
id = "seep"
kind = "steady"
into = "plant"
gas = "hydrogen"
rate = "3 L/min"
height = "0.5 m"
)";
}

// Both layers begin with what the file says is there, and none of it is lost.
TEST(LayeredStart, GasThatIsThereIsInBothLayers) {
  const Site site = published::read(plant("initial = { methane = \"1 %\" }\n"));
  AssessOptions how;
  how.series_points = 5;
  std::vector<LayerState> seen;
  how.series = [](CaseIndex, double, const FractionField&) {};
  how.layer_series = [&](CaseIndex, double, const LayerState& state) { seen.push_back(state); };
  const auto outcome = assess(site, how);
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
