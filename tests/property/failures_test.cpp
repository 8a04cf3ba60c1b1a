// SPDX-License-Identifier: Apache-2.0
/// What must hold of every answer about failures: with pairs it says of the singles what it says without, and each pair
/// is what the site with both failures in it does.
#include "leanside/study/failures.hpp"

#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "property/draw.hpp"
#include "support/build_site.hpp"

namespace {

using leanside::Consequence;
using leanside::FailureKind;
using leanside::FailureOptions;
using leanside::FailureOutcome;
using leanside::FailureStudy;
using leanside::Site;

FailureStudy study_of(const Site& site, const FailureOptions& options) {
  return property::solved<FailureStudy>(study_failures(site, options));
}

bool same(const Consequence& a, const Consequence& b) {
  return a.space == b.space && a.severity == b.severity && a.subject == b.subject && a.time == b.time &&
         a.starts == b.starts && a.lfl_fraction == b.lfl_fraction && a.oxygen == b.oxygen;
}

bool same(const FailureOutcome& a, const FailureOutcome& b) {
  return a.failures == b.failures && a.in_time == b.in_time && a.fault == b.fault && a.unreached == b.unreached &&
         std::equal(a.consequences.begin(), a.consequences.end(), b.consequences.begin(), b.consequences.end(),
                    [](const Consequence& x, const Consequence& y) { return same(x, y); });
}

RC_GTEST_PROP(Failures, WithPairsTellOfEverySingleWhatTheyTellWithout, ()) {
  const Site site = property::draw_site(4);
  FailureOptions options;
  options.threads = 1;
  const FailureStudy alone = study_of(site, options);
  options.pairs = true;
  const FailureStudy both = study_of(site, options);
  RC_ASSERT(alone.singles == both.singles);
  RC_ASSERT(alone.groups.size() <= both.groups.size());
  for (std::size_t k = 0; k < alone.singles; ++k) RC_ASSERT(same(alone.outcomes[k], both.outcomes[k]));
  for (std::size_t g = 0; g < alone.groups.size(); ++g) RC_ASSERT(alone.groups[g].outcomes == both.groups[g].outcomes);
  RC_CLASSIFY(both.pairs_worse > 0, "with pairs that are worse");
}

/// The first outcomes of two failures of which no release starts: these need no moment.
std::vector<const FailureOutcome*> plain_pairs(const FailureStudy& study, std::size_t most) {
  std::vector<const FailureOutcome*> out;
  for (std::size_t k = study.singles; k < study.outcomes.size() && out.size() < most; ++k) {
    const FailureOutcome& outcome = study.outcomes[k];
    const bool starts = std::ranges::any_of(
        outcome.failures, [&](std::size_t f) { return study.failures[f].kind == FailureKind::release_starts; });
    if (!starts && outcome.fault.empty()) out.push_back(&outcome);
  }
  return out;
}

RC_GTEST_PROP(Failures, APairIsWhatTheSiteWithBothDoesInTime, ()) {
  Site site = property::draw_site(4);
  site.criteria.open_ended = false;
  FailureOptions options;
  options.pairs = true;
  options.threads = 1;
  const FailureStudy study = study_of(site, options);
  RC_ASSERT(study.pairs_in_time);
  for (const FailureOutcome* pair : plain_pairs(study, 3)) {
    RC_ASSERT(pair->in_time);
    const Site failed = with_failures(site, {study.failures[pair->failures[0]], study.failures[pair->failures[1]]});
    const auto assessment = property::assessment(failed);
    for (const Consequence& c : pair->consequences) {
      const bool there = std::ranges::any_of(assessment.warnings, [&](const leanside::Warning& w) {
        return w.space == c.space && w.severity == c.severity && w.time == c.time && w.lfl_fraction == c.lfl_fraction;
      });
      RC_ASSERT(there);
    }
  }
}

/// A row of rooms with a fan and a grille each, so many that no pair can be computed in time.
Site large_site(int rooms) {
  leanside::testing::SiteBuilder build;
  const auto methane = build.methane();
  for (int k = 0; k < rooms; ++k) {
    const std::string id = std::to_string(k);
    const auto room = build.space("room-" + id, 30.0);
    build.fan("a-" + id, room, std::nullopt, 0.02);
    build.fan("b-" + id, room, std::nullopt, 0.02);
    build.opening("grille-" + id, std::nullopt, room);
    build.steady("leak-" + id, room, methane, 3e-4);
  }
  return build.site;
}

TEST(FailuresOfALargeSite, AreFollowedInTimeWhereTheyAreWorst) {
  const Site site = large_site(60);
  FailureOptions options;
  options.pairs = true;
  const auto outcome = study_failures(site, options);
  const auto& study = std::get<FailureStudy>(outcome);
  EXPECT_TRUE(study.in_time);
  EXPECT_FALSE(study.pairs_in_time);
  EXPECT_GT(study.pairs_worse, study.pairs_followed) << "some are not followed, and the answer counts those that are";
  EXPECT_GE(study.pairs_followed, 60u) << "both fans of each room";
  std::size_t in_time = 0;
  for (std::size_t k = study.singles; k < study.outcomes.size(); ++k) in_time += study.outcomes[k].in_time;
  EXPECT_EQ(in_time, study.pairs_followed);
  // Both fans off: 0.3 L/s into 30 m3 come to the lower limit of 4.4 % when x = 0.044: V/v = -ln(1 - x) for the gas
  // that displaces room air.
  const FailureOutcome& worst = study.outcomes[study.groups[0].outcomes[0]].failures.size() > 1
                                    ? study.outcomes[study.groups[0].outcomes[0]]
                                    : study.outcomes[study.singles];
  EXPECT_TRUE(worst.in_time);
  ASSERT_FALSE(worst.consequences.empty());
  ASSERT_TRUE(worst.consequences.front().time);
  EXPECT_NEAR(*worst.consequences.front().time, -std::log(1.0 - 0.044) * 30.0 / 3e-4, 1.0);
}

}  // namespace
