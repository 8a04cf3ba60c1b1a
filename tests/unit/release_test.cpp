// SPDX-License-Identifier: Apache-2.0
// When and how fast a release emits.
#include "leanside/release.hpp"

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
  EXPECT_FALSE(is_sustained(steady(2.0, 60.0)));
  EXPECT_TRUE(is_sustained(steady(2.0, std::nullopt)));
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
  EXPECT_TRUE(is_sustained(fittings));
}

TEST(Emission, TotalAmount) {
  EXPECT_EQ(total_amount(steady(2.0, 60.0)), 120.0);
  EXPECT_EQ(total_amount(steady(2.0, std::nullopt)), std::numeric_limits<double>::infinity());
  EXPECT_EQ(total_amount(steady(0.0, std::nullopt)), 0.0);
}

}  // namespace
}  // namespace leanside
