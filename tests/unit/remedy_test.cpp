// SPDX-License-Identifier: Apache-2.0
// Fresh air that is advised where the other air answers to it.
#include <string>

#include <gtest/gtest.h>

#include "hazard/judge.hpp"
#include "published/run.hpp"

namespace leanside {
namespace {

using published::assessed;
using testing::SiteBuilder;

TEST(Remedy, FreshAirBesideVentsOfTheirOwnIsJustEnough) {
  SiteBuilder b;
  const auto store = b.space("store", 30.0);
  for (const double z : {0.0, 2.0}) {
    b.airway("vent" + std::to_string(z), Gap{store, std::nullopt, 0.003, 0.5, z, {}});
  }
  b.steady("leak", store, b.hydrogen(), 20e-3 / 60.0);
  const Assessment before = assessed(b.site);
  ASSERT_FALSE(before.warnings.empty());
  const Remedy& remedy = before.warnings[0].remedy;
  ASSERT_EQ(remedy.kind, RemedyKind::more_fresh_air);
  ASSERT_TRUE(remedy.extra_air);
  const auto after = [&](double share) {
    const Site changed = hazard::with_extra_air(b.site, store, share * *remedy.extra_air);
    return assessed(changed).cases[0].spaces[0].sustained.at.lfl_fraction;
  };
  EXPECT_LT(after(1.0), 0.25);
  EXPECT_NEAR(after(1.0), remedy.value_after, 1e-6);
  EXPECT_GT(after(0.998), 0.25);
}

}  // namespace
}  // namespace leanside
