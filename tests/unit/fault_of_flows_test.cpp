// SPDX-License-Identifier: Apache-2.0
// Whose fault it is that flows cannot be had: the site's, or the computation's.
#include <gtest/gtest.h>

#include "hazard/judge.hpp"

namespace leanside {
namespace {

TEST(FaultOfFlows, IsBadInputUnlessThePressuresDidNotConverge) {
  Site site;
  site.cases.push_back({"normal", "", {}});
  const Fault of_site = hazard::fault_of_flows(site, CaseIndex{0}, {"nothing leads outside", SpaceIndex{0}});
  EXPECT_TRUE(of_site.is_bad_input());
  EXPECT_EQ(of_site.message, "case 'normal': nothing leads outside");
  EXPECT_FALSE(
      hazard::fault_of_flows(site, CaseIndex{0}, {"no balance", SpaceIndex{0}, FaultKind::unsolved}).is_bad_input());
}

}  // namespace
}  // namespace leanside
