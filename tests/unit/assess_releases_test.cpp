// SPDX-License-Identifier: Apache-2.0
/// What releases give within the horizon, without a solved site and with one.
#include "leanside/assess_releases.hpp"

#include <gtest/gtest.h>

#include "leanside/site_file.hpp"
#include "leanside/substance_file.hpp"

namespace {

using namespace leanside;

TEST(AssessReleases, AmountsAreThoseOfTheSolvedSite) {
  const std::string text = R"(
title = "Releases of many kinds"
[criteria]
horizon = "2 h"
[[space]]
id = "room"
kind = "room"
volume = "60 m3"
air_changes = "2 /h"
[[release]]
id = "small"
kind = "cylinder"
into = "room"
gas = "hydrogen"
water_volume = "2 L"
pressure = "50 bar"
hole = "1 mm"
[[release]]
id = "large"
kind = "cylinder"
into = "room"
gas = "methane"
water_volume = "50 L"
pressure = "200 bar"
hole = "0.3 mm"
start = "30 min"
[[release]]
id = "dump"
kind = "dump"
into = "room"
gas = "propane"
amount = "1 kg"
over = "4 h"
[[case]]
id = "stopped"
event = [{ at = "1 h", release = "large", on = false }]
)";
  const auto reading = parse_site(text, "releases.toml", built_in_substances());
  ASSERT_NE(reading.usable(), nullptr);
  const Site& site = *reading.usable();
  const auto found = assess_releases(site, {}, true);
  AssessOptions options;
  options.only = CaseIndex{0};
  options.explain = false;
  const auto solved = assess(site, options);
  ASSERT_TRUE(std::holds_alternative<Assessment>(found) && std::holds_alternative<Assessment>(solved));
  const auto& quick = std::get<Assessment>(found).cases.front().releases;
  const auto& full = std::get<Assessment>(solved).cases.front().releases;
  ASSERT_EQ(quick.size(), 3u);
  ASSERT_EQ(full.size(), 3u);
  for (std::size_t r = 0; r < 3; ++r) {
    EXPECT_GT(quick[r].amount, 0.0);
    EXPECT_NEAR(quick[r].amount, full[r].amount, 1e-12 * full[r].amount) << r;
    EXPECT_EQ(quick[r].spent, full[r].spent) << r;
  }
  EXPECT_TRUE(quick[0].spent);
  EXPECT_FALSE(quick[1].spent || quick[2].spent);
}

}  // namespace
