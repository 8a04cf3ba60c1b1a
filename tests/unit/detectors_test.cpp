// SPDX-License-Identifier: Apache-2.0
#include "leanside/study/detectors.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <random>
#include <variant>

#include <gtest/gtest.h>

#include "leanside/advanced/airflow.hpp"
#include "leanside/report.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

constexpr double never = std::numeric_limits<double>::infinity();
using Times = std::vector<std::vector<double>>;

double mean_of(const Times& time, const std::vector<std::size_t>& chosen, double horizon) {
  double sum = 0.0;
  for (const auto& row : time) {
    double best = horizon;
    for (const std::size_t c : chosen) best = std::min(best, row[c]);
    sum += best;
  }
  return sum / static_cast<double>(time.size());
}

/// The least mean time of all choices of `count`, each written as a mask.
double brute_force(const Times& time, std::size_t count, double horizon) {
  const std::size_t n = time.front().size();
  double least = never;
  for (std::size_t mask = 0; mask < (std::size_t{1} << n); ++mask) {
    std::vector<std::size_t> chosen;
    for (std::size_t c = 0; c < n; ++c) {
      if ((mask >> c & 1u) != 0) chosen.push_back(c);
    }
    if (chosen.size() == count) least = std::min(least, mean_of(time, chosen, horizon));
  }
  return least;
}

Times random_times(std::uint64_t seed, std::size_t scenarios, std::size_t candidates) {
  std::mt19937_64 dice{seed};
  std::uniform_real_distribution<double> draw{0.0, 1.0};
  Times time(scenarios, std::vector<double>(candidates, never));
  for (auto& row : time) {
    for (double& t : row) {
      if (draw(dice) < 0.5) t = 100.0 * draw(dice);
    }
  }
  return time;
}

TEST(Detectors, FindsTheBestSmallChoice) {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const Times time = random_times(seed, 9, 10);
    for (std::size_t count = 1; count <= 4; ++count) {
      const DetectorChoice choice = choose_detectors(time, count, 100.0);
      EXPECT_TRUE(choice.exact);
      EXPECT_EQ(choice.chosen.size(), count);
      EXPECT_NEAR(choice.mean_time, brute_force(time, count, 100.0), 1e-9);
      EXPECT_NEAR(choice.mean_time, mean_of(time, choice.chosen, 100.0), 1e-9);
      EXPECT_EQ(choice.bound, choice.mean_time);
    }
  }
}

TEST(Detectors, GreedyChoiceStaysWithinItsBound) {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const Times time = random_times(seed, 12, 11);
    for (std::size_t count = 1; count <= 4; ++count) {
      const DetectorChoice choice = choose_detectors(time, count, 100.0, 0.0);
      EXPECT_FALSE(choice.exact);
      const double best = brute_force(time, count, 100.0);
      EXPECT_LE(choice.bound, best + 1e-9);
      EXPECT_GE(choice.mean_time, best - 1e-9);
      // What it gains is at least 1 - 1/e of what the best choice gains.
      EXPECT_GE(100.0 - choice.mean_time, (1.0 - std::exp(-1.0)) * (100.0 - best) - 1e-9);
    }
  }
}

TEST(Detectors, AcceptsNoScenarioAndSparePlaces) {
  EXPECT_TRUE(choose_detectors({}, 3, 100.0).chosen.empty());
  const DetectorChoice all = choose_detectors({{5.0, never}, {never, 7.0}}, 9, 100.0);
  EXPECT_EQ(all.chosen.size(), 2u);
  EXPECT_NEAR(all.mean_time, 6.0, 1e-12);
}

/// A store and an office, each with a release of its own; hydrogen in one, propane in the other.
SiteBuilder two_rooms() {
  SiteBuilder b;
  const GasIndex hydrogen = b.hydrogen();
  const GasIndex propane = b.gas(testing::make_fuel("propane", 0.0441, 0.017, 0.109, 5.0));
  const SpaceIndex store = b.space("store", 20.0), office = b.space("office", 30.0);
  b.fan("extract", store, std::nullopt, 0.01);
  b.opening("door", office, store);
  b.opening("window", std::nullopt, office);
  b.steady("bottle", store, hydrogen, 2e-4);
  b.steady("heater", office, propane, 1e-4);
  return b;
}

DetectorPlan planned(const Site& site, const DetectorOptions& options = {}) {
  auto outcome = place_detectors(site, options);
  EXPECT_TRUE(std::holds_alternative<DetectorPlan>(outcome));
  return std::get<DetectorPlan>(std::move(outcome));
}

TEST(Detectors, TimesMatchTheClosedForm) {
  const SiteBuilder b = two_rooms();
  DetectorOptions options;
  options.count = 2;
  const DetectorPlan plan = planned(b.site, options);
  ASSERT_EQ(plan.scenarios.size(), 2u);
  // The store: x = G/Q (1 - exp(-Q t/V)), Q what the fan takes; the gas goes nowhere else.
  const double rate = 0.01 / 20.0, end = 2e-4 / 0.01;
  EXPECT_NEAR(plan.time[0][0], -std::log(1.0 - 0.1 * 0.04 / end) / rate, 1e-3);
  EXPECT_EQ(plan.time[0][1], never);
  // The office: all that goes through it is what the fan takes less the release of the store.
  const double through = 0.01 - 2e-4;
  EXPECT_NEAR(plan.time[1][1], -std::log(1.0 - 0.1 * 0.017 * through / 1e-4) * 30.0 / through, 1e-3);
  EXPECT_TRUE(plan.exact);
  ASSERT_EQ(plan.places.size(), 2u);
  EXPECT_NEAR(plan.mean_time, 0.5 * (plan.time[0][0] + plan.time[1][1]), 1e-9);
}

TEST(Detectors, OneDetectorHangsWhereItSeesBoth) {
  const SiteBuilder b = two_rooms();
  const DetectorPlan plan = planned(b.site);
  ASSERT_EQ(plan.places.size(), 1u);
  EXPECT_EQ(b.site.spaces[plan.places[0].space.value].id, "store");  // the office gas comes through it
  EXPECT_EQ(plan.places[0].first.size(), 2u);
  // Hydrogen rises, propane sinks: one detector cannot hang well for both.
  EXPECT_EQ(plan.places[0].mountings, (std::vector<Mounting>{Mounting::high, Mounting::low}));
}

TEST(Detectors, TimeCountsFromTheStartOfTheRelease) {
  SiteBuilder b = two_rooms();
  const DetectorPlan at_once = planned(b.site);
  for (Release& release : b.site.releases) release.start = 3600.0;
  const DetectorPlan later = planned(b.site);
  EXPECT_NEAR(at_once.time[0][0], later.time[0][0], 1e-3);
}

TEST(Detectors, NamesReleasesThatNeverReachTheAlarm) {
  SiteBuilder b = two_rooms();
  b.steady("trace", SpaceIndex{0}, GasIndex{0}, 1e-8);
  const DetectorPlan plan = planned(b.site);
  ASSERT_EQ(plan.silent.size(), 1u);
  EXPECT_EQ(b.site.releases[plan.silent[0].release.value].id, "trace");
}

TEST(Detectors, UsesOnlyTheGivenPlaces) {
  SiteBuilder b = two_rooms();
  DetectorOptions options;
  options.candidates = {SpaceIndex{1}};
  const DetectorPlan plan = planned(b.site, options);
  ASSERT_EQ(plan.places.size(), 1u);
  EXPECT_EQ(plan.places[0].space, SpaceIndex{1});
  // The hydrogen of the store does not come to the office: with this choice nobody can see it.
  EXPECT_EQ(plan.silent.size(), 1u);
}

TEST(Detectors, TextGivesPlacesAndTheCaution) {
  const SiteBuilder b = two_rooms();
  TextStyle style;
  style.width = 400;  // no line break within the words
  const std::string text = detectors_text(b.site, planned(b.site), style);
  EXPECT_NE(text.find("under the ceiling"), std::string::npos) << text;
  EXPECT_NE(text.find("near the floor"), std::string::npos);
  EXPECT_GT(text.rfind("Caution"), text.find("Assumptions"));
}

DetectorPlan plan_of(const Site& site, std::size_t count = 1) {
  DetectorOptions options;
  options.count = count;
  const auto outcome = place_detectors(site, options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) ADD_FAILURE() << fault->message;
  return std::get<DetectorPlan>(outcome);
}

TEST(Detectors, OfInertGasMeasureTheOxygen) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  b.site.criteria.horizon = 4.0 * 3600.0;
  b.release("leak", room, b.nitrogen(), SteadyRelease{0.2, {}});
  const DetectorPlan plan = plan_of(b.site);
  ASSERT_EQ(plan.scenarios.size(), 1u);
  EXPECT_EQ(plan.scenarios[0].sensor, Sensor::oxygen);
  ASSERT_EQ(plan.places.size(), 1u);
  EXPECT_EQ(plan.places[0].mountings, std::vector<Mounting>{Mounting::middle});
  // A closed room that leaks as much as it gets: x = 1 - exp(-q t / n), and the alarm at 1 - 0.195/0.2095.
  const double x = 1.0 - b.site.criteria.oxygen_low / b.site.conditions.oxygen_in_air;
  const double held = moles_held(b.site.spaces[0], b.site.conditions);
  ASSERT_TRUE(plan.seen[0]);
  EXPECT_NEAR(*plan.seen[0], -std::log1p(-x) * held / 0.2, 1.0);
}

TEST(Detectors, OfToxicGasAlarmAtAShareOfTheIdlh) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  b.site.criteria.horizon = 4.0 * 3600.0;
  Gas monoxide = testing::make_fuel("carbon-monoxide", 0.02801, 0.109, 0.74, 0.5, 0.055);
  monoxide.substance.idlh = Sourced{1.2e-3, "test", false};
  const auto gas = b.gas(monoxide);
  b.release("leak", room, gas, SteadyRelease{0.01, {}});
  const DetectorPlan plan = plan_of(b.site);
  ASSERT_EQ(plan.scenarios.size(), 2u) << "it burns and it poisons";
  EXPECT_EQ(plan.scenarios[1].sensor, Sensor::toxic);
  const double x = 0.1 * b.site.gases[0].substance.idlh->value;
  const double held = moles_held(b.site.spaces[0], b.site.conditions);
  EXPECT_NEAR(*plan.seen[1], -std::log1p(-x) * held / 0.01, 1.0);
  EXPECT_LT(*plan.seen[1], *plan.seen[0]);
}

TEST(Detectors, WithTheFansOffEveryReleaseCountsOnceMore) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  b.site.criteria.horizon = 4.0 * 3600.0;
  b.fan("extract", room, std::nullopt, 0.5);
  b.opening("inlet", std::nullopt, room);
  b.release("leak", room, b.hydrogen(), SteadyRelease{0.05, {}});
  EXPECT_TRUE(plan_of(b.site).scenarios.empty()) << "the fan keeps it under the alarm";
  const Site off = with_fans_off(b.site);
  const DetectorPlan plan = plan_of(off);
  ASSERT_EQ(plan.scenarios.size(), 1u);
  EXPECT_EQ(off.cases[plan.scenarios[0].case_index.value].id, "fans-off");
}

}  // namespace
}  // namespace leanside
