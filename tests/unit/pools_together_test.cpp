// SPDX-License-Identifier: Apache-2.0
/// Two pools in cabinets that an exchange joins.
#include <gtest/gtest.h>

#include "published/run.hpp"

namespace leanside {
namespace {

// Both boil in the same small cabinets and dry at moments that may differ by roundings alone; the run gets past them,
// and what came in is what is held and what went out.
TEST(PoolsTogether, DryAtNearlyTheSameMoment) {
  const std::string text = R"(title = "Two pools"
[conditions]
temperature = "11.55 degC"
[criteria]
horizon = "0.15178 h"
[[space]]
id = "a"
kind = "cabinet"
volume = "1.9859 m3"
stands_in = "outside"
[[space]]
id = "b"
kind = "cabinet"
volume = "12.819 m3"
stands_in = "outside"
[[airway]]
id = "a-out"
kind = "exchange"
between = ["a", "outside"]
flow = "0.37876 m3/h"
[[airway]]
id = "a-opening"
kind = "opening"
between = ["a", "outside"]
[[airway]]
id = "b-out"
kind = "exchange"
between = ["b", "outside"]
flow = "0.0030899 m3/h"
[[airway]]
id = "b-opening"
kind = "opening"
between = ["b", "outside"]
[[airway]]
id = "joined"
kind = "exchange"
between = ["b", "a"]
flow = "1.1124 m3/h"
[[release]]
id = "pool-a"
kind = "spill"
into = "a"
gas = "propane"
amount = "0.012012 kg"
area = "0.0021133 m2"
[[release]]
id = "pool-b"
kind = "spill"
into = "b"
gas = "propane"
amount = "0.01143 kg"
area = "0.0022449 m2"
)";
  const auto assessment = published::assessed(published::read(text));
  ASSERT_EQ(assessment.cases.size(), 1u);
  const auto& releases = assessment.cases[0].releases;
  ASSERT_EQ(releases.size(), 2u);
  // 44.1 g/mol: 12.012 g and 11.43 g.
  EXPECT_NEAR(releases[0].amount, 12.012 / 44.0956, 1e-3 * releases[0].amount);
  EXPECT_NEAR(releases[1].amount, 11.43 / 44.0956, 1e-3 * releases[1].amount);
  EXPECT_LT(assessment.balance_error, 1e-9);
}

}  // namespace
}  // namespace leanside
