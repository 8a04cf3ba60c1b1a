// SPDX-License-Identifier: Apache-2.0
// When and how fast a release emits.
#include "leanside/advanced/release.hpp"

#include <gtest/gtest.h>

namespace leanside {
namespace {

Release steady(double rate, std::optional<double> duration, double start = 0.0, bool on = true) {
  Release r;
  r.kind = SteadyRelease{rate, duration};
  r.start = start;
  r.on = on;
  return r;
}

double emitted(const std::vector<EmissionSpan>& spans) {
  double sum = 0.0;
  for (const EmissionSpan& span : spans) sum += span.rate * (span.end - span.begin);
  return sum;
}

TEST(Emission, SteadyGoesOnForEverFromItsStart) {
  const auto spans = emission(steady(2.0, std::nullopt, 30.0), ReleaseIndex{0}, {});
  ASSERT_EQ(spans.size(), 1u);
  EXPECT_EQ(spans[0].begin, 30.0);
  EXPECT_EQ(spans[0].end, std::numeric_limits<double>::infinity());
  EXPECT_EQ(spans[0].rate, 2.0);
}

TEST(Emission, DurationEndsIt) {
  const auto spans = emission(steady(2.0, 60.0, 30.0), ReleaseIndex{0}, {});
  ASSERT_EQ(spans.size(), 1u);
  EXPECT_EQ(spans[0].end, 90.0);
  EXPECT_FALSE(lasts(steady(2.0, 60.0)));
  EXPECT_TRUE(lasts(steady(2.0, std::nullopt)));
}

TEST(Emission, InterruptedDumpStillDeliversItsWholeAmount) {
  Release dump;
  dump.kind = DumpRelease{12.0, 60.0};
  dump.start = 10.0;
  const std::vector<Event> events{{30.0, SetReleaseOn{ReleaseIndex{3}, false}, {}},
                                  {50.0, SetReleaseOn{ReleaseIndex{3}, true}, {}}};
  const auto spans = emission(dump, ReleaseIndex{3}, events);
  ASSERT_EQ(spans.size(), 2u);
  EXPECT_EQ(spans[0].end, 30.0);
  EXPECT_EQ(spans[1].begin, 50.0);
  EXPECT_DOUBLE_EQ(spans[1].end, 90.0);
  EXPECT_DOUBLE_EQ(emitted(spans), 12.0);
  EXPECT_EQ(emission(dump, ReleaseIndex{0}, events).size(), 1u) << "the events are another release's";
}

TEST(Emission, OffUntilAnEventStartsIt) {
  const std::vector<Event> events{{100.0, SetReleaseOn{ReleaseIndex{0}, true}, {}}};
  const auto spans = emission(steady(1.0, 20.0, 0.0, false), ReleaseIndex{0}, events);
  ASSERT_EQ(spans.size(), 1u);
  EXPECT_EQ(spans[0].begin, 100.0);
  EXPECT_EQ(spans[0].end, 120.0);
  EXPECT_TRUE(emission(steady(1.0, 20.0, 0.0, false), ReleaseIndex{0}, {}).empty());
}

TEST(Emission, NothingOfZeroLengthOrRate) {
  EXPECT_TRUE(emission(steady(1.0, 0.0), ReleaseIndex{0}, {}).empty());
  EXPECT_TRUE(emission(steady(0.0, std::nullopt), ReleaseIndex{0}, {}).empty());
}

TEST(Emission, FittingsAddUp) {
  Release fittings;
  fittings.kind = FittingsRelease{12.0, 0.5};
  EXPECT_EQ(emission(fittings, ReleaseIndex{0}, {}).at(0).rate, 6.0);
  EXPECT_TRUE(lasts(fittings));
}

// While the flow is choked the jet and the pressure of the air on its hole add up to a force in step with the flow.
TEST(JetMomentum, OfACylinderFallsWithItsFlowAndEndsWithIt) {
  CylinderRelease bottle{{293.15, 0.002016, 1.406}, {5e-4, 0.85}, 0.01, 5e6, standard_atmosphere};
  Release release;
  release.kind = bottle;
  const double back = bottle.hole.discharge * bottle.hole.area() * bottle.ambient;
  const double at_first = jet_momentum(release, 0.0);
  EXPECT_EQ(at_first, jet_momentum(bottle.held, bottle.hole, 5e6, bottle.ambient));
  for (const double age : {10.0, 60.0, 200.0}) {
    EXPECT_LT(jet_momentum(release, age), at_first);
    EXPECT_NEAR((jet_momentum(release, age) + back) / (at_first + back),
                emission_rate(release, age) / emission_rate(release, 0.0), 1e-9);
  }
  EXPECT_EQ(jet_momentum(release, 1.001 * emission_time(release)), 0.0);
  release.momentum = 0.25;
  EXPECT_EQ(jet_momentum(release, 10.0), 0.25);  // as it was given
}

TEST(Emission, TotalAmount) {
  EXPECT_EQ(total_amount(steady(2.0, 60.0)), 120.0);
  EXPECT_EQ(total_amount(steady(2.0, std::nullopt)), std::numeric_limits<double>::infinity());
  EXPECT_EQ(total_amount(steady(0.0, std::nullopt)), 0.0);
}

}  // namespace
}  // namespace leanside
