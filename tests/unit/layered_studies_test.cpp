// SPDX-License-Identifier: Apache-2.0
/// Studies of sites with layered rooms.
#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "published/run.hpp"
#include "unit/plant_room.hpp"

namespace leanside {
namespace {

using testing::plant_room;

/// Warnings about the rooms themselves: air does not shorten what can be ignited close to a release.
std::size_t warnings_of_rooms(const Site& site) {
  const auto outcome = assess(site);
  if (!std::holds_alternative<Assessment>(outcome)) {
    ADD_FAILURE() << std::get<Fault>(outcome).message;
    return 0;
  }
  const auto& warnings = std::get<Assessment>(outcome).warnings;
  return static_cast<std::size_t>(std::count_if(warnings.begin(), warnings.end(), [](const Warning& warning) {
    return !warning.source && warning.severity != Severity::note;
  }));
}

TEST(LayeredRoom, FailuresAreThoseOfTheChangedSite) {
  const Site site = published::read(plant_room());
  for (const InTime in_time : {InTime::always, InTime::never}) {
    FailureOptions options;
    options.in_time = in_time;
    const auto outcome = study_failures(site, options);
    ASSERT_TRUE(std::holds_alternative<FailureStudy>(outcome));
    const auto& study = std::get<FailureStudy>(outcome);
    EXPECT_EQ(study.by_update, 0u);
    ASSERT_FALSE(study.failures.empty());
    for (std::size_t k = 0; k < study.singles; ++k) {
      AssessOptions assess_options;
      assess_options.explain = false;
      assess_options.steady_only = in_time == InTime::never;
      const auto changed = assess(with_failures(site, {study.failures[k]}), assess_options);
      ASSERT_TRUE(std::holds_alternative<Assessment>(changed));
      const double level = std::get<Assessment>(changed).cases[0].spaces[0].worst.lfl_fraction;
      for (const Consequence& consequence : study.outcomes[k].consequences) {
        if (consequence.subject != Subject::fuel) continue;
        EXPECT_NEAR(consequence.lfl_fraction, level, 1e-9 * level);
      }
    }
  }
}

TEST(LayeredRoom, SizedFansKeepTheLayerUnderItsMargin) {
  const Site site = published::read(plant_room("stratification = \"layered\"", "", R"(
[[airway]]
id = "extract"
kind = "fan"
from = "plant"
to = "outside"
flow = "20 m3/h"
height = "2.45 m"
)"));
  const auto outcome = size_site(site);
  ASSERT_TRUE(std::holds_alternative<Sizing>(outcome));
  const auto& sizing = std::get<Sizing>(outcome);
  if (!sizing.found) {
    EXPECT_FALSE(sizing.reason.empty());
    return;
  }
  EXPECT_LT(warnings_of_rooms(with_sizes(site, sizing)), warnings_of_rooms(site));
}

TEST(LayeredRoom, DerivativesAreNotGiven) {
  const Site site = published::read(plant_room());
  const auto given = derivatives(site, CaseIndex{0}, SpaceIndex{0});
  ASSERT_TRUE(std::holds_alternative<std::optional<Derivatives>>(given));
  EXPECT_FALSE(std::get<std::optional<Derivatives>>(given).has_value());
  EXPECT_TRUE(std::holds_alternative<DetectorPlan>(place_detectors(site)));
}

}  // namespace
}  // namespace leanside
