// SPDX-License-Identifier: Apache-2.0
/// Studies of sites with layered rooms.
#include <string>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "published/run.hpp"
#include "unit/plant_room.hpp"

namespace leanside {
namespace {

using testing::plant_room;

std::size_t assess_warnings(const Site& site) {
  const auto outcome = assess(site);
  return std::holds_alternative<Assessment>(outcome) ? std::get<Assessment>(outcome).warnings.size() : 0;
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
      AssessOptions how;
      how.explain = false;
      how.steady_only = in_time == InTime::never;
      const auto changed = assess(with_failures(site, {study.failures[k]}), how);
      ASSERT_TRUE(std::holds_alternative<Assessment>(changed));
      const double level = std::get<Assessment>(changed).cases[0].spaces[0].worst.lfl_fraction;
      for (const Harm& harm : study.outcomes[k].harms) {
        if (harm.subject != Subject::fuel) continue;
        EXPECT_NEAR(harm.lfl_fraction, level, 1e-9 * level);
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
  const auto changed = assess(with_sizes(site, sizing));
  ASSERT_TRUE(std::holds_alternative<Assessment>(changed));
  EXPECT_LT(std::get<Assessment>(changed).warnings.size(), assess_warnings(site));
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
