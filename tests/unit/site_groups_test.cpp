// SPDX-License-Identifier: Apache-2.0
/// By which floors and systems tables are grouped.
#include "report/words/site_groups.hpp"

#include <gtest/gtest.h>

#include "support/build_site.hpp"

namespace leanside::report {
namespace {

TEST(SiteGroups, AreOneWhereTheFileTellsNothingApart) {
  testing::SiteBuilder b;
  b.space("a", 30.0);
  b.space("b", 30.0);
  EXPECT_FALSE(site_groups(b.site).any());
}

TEST(SiteGroups, AreFloorsAndSystems) {
  testing::SiteBuilder b;
  const SpaceIndex low = b.space("low", 30.0), high = b.space("high", 30.0), other = b.space("other", 30.0);
  b.site.spaces[high.value].elevation = b.site.spaces[other.value].elevation = 3.5;
  b.site.systems.emplace_back();
  b.site.systems.back().id = "ahu";
  b.site.systems.back().name = "Roof unit";
  const AirwayIndex fan = b.fan("extract", high, std::nullopt, 0.1);
  b.site.airways[fan.value].system = SystemIndex{0};
  const SpaceIndex hood = b.space("hood", 1.0, SpaceKind::cabinet);
  b.site.spaces[hood.value].stands_in = StandsIn{high, false};
  const SiteGroups groups = site_groups(b.site);
  ASSERT_EQ(groups.names.size(), 3u);
  EXPECT_EQ(groups.names[groups.of_space[low.value]], "floor at 0 m, no system");
  EXPECT_EQ(groups.names[groups.of_space[high.value]], "floor at 3.5 m, Roof unit");
  EXPECT_EQ(groups.names[groups.of_space[other.value]], "floor at 3.5 m, no system");
  EXPECT_EQ(groups.of_space[hood.value], groups.of_space[high.value]) << "it is with the room that it stands in";
}

}  // namespace
}  // namespace leanside::report
