// SPDX-License-Identifier: Apache-2.0
// Spaces without a way outside: what leaks by assumption, and the fans that get less than they would move.
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "airflow/leakage.hpp"
#include "airflow/openings.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using airflow::fan_fade;
using airflow::fan_pressure;
using testing::SiteBuilder;

FlowField balanced(const Site& site) {
  auto result = balance_flows(site, state_at(site, CaseIndex{0}, 0.0));
  if (const auto* fault = std::get_if<FlowFault>(&result)) ADD_FAILURE() << fault->message;
  return std::holds_alternative<FlowField>(result) ? std::get<FlowField>(result) : FlowField{};
}

/// mol/s in less mol/s out of the worst space, over the most that passes a space.
double worst_imbalance(const Site& site, const FlowField& field) {
  double worst = 0.0, largest = 0.0;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    double net = field.release[i] - field.storage[i], through = field.release[i];
    for (const MolarFlow& flow : field.flows) {
      if (flow.to == Side{SpaceIndex{i}}) net += flow.rate;
      if (flow.from == Side{SpaceIndex{i}}) net -= flow.rate;
      if (flow.to == Side{SpaceIndex{i}} || flow.from == Side{SpaceIndex{i}}) through += flow.rate;
    }
    largest = std::max(largest, through);
    worst = std::max(worst, std::abs(net));
  }
  return largest > 0.0 ? worst / largest : worst;
}

/// m3/s through an effective leakage area at `pressure` Pa, exponent 0.65.
double leak(double area, double pressure) {
  const double density = 101325.0 * molar_mass_of_air / (gas_constant * 293.15);
  return area * std::sqrt(8.0 / density) * std::pow(pressure / 4.0, 0.65);
}

/// Where a fan that keeps `flow` up to 100 Pa and fades over 1 Pa meets what `passes` at a pressure.
template <class Passes>
double meeting(double flow, const Passes& passes) {
  double low = fan_pressure, high = fan_pressure + fan_fade;
  for (int k = 0; k < 100; ++k) {
    const double middle = 0.5 * (low + high);
    (flow * (fan_pressure + fan_fade - middle) / fan_fade > passes(middle) ? low : high) = middle;
  }
  return passes(low);
}

TEST(AssumedLeak, FloorAreaAndSizesOfOpenings) {
  Space space;
  space.volume = 50.0;
  EXPECT_DOUBLE_EQ(airflow::assumed_leakage(space), 20e-4);
  space.volume = 8.0;
  EXPECT_DOUBLE_EQ(airflow::assumed_leakage(space), 4e-4) << "a cube";
  space.floor_area = 3.0;
  EXPECT_DOUBLE_EQ(airflow::assumed_leakage(space), 3e-4);
  Airway airway;
  airway.kind = Gap{{}, SpaceIndex{0}, 7e-4, 0.65, 0.0, {}};
  EXPECT_NEAR(*airflow::leakage_of_opening(airway), 7e-4, 1e-15);
  airway.kind = Gap{{}, SpaceIndex{0}, 7e-4, 0.5, 0.0, {}};
  EXPECT_NEAR(*airflow::leakage_of_opening(airway), 7e-4 * std::pow(250.0, -0.15), 1e-15);
  airway.kind = Doorway{{}, SpaceIndex{0}, 0.8, 2.0, 0.0, 0.0, 0.6};
  EXPECT_NEAR(*airflow::leakage_of_opening(airway), 0.6 * 1.6 * std::pow(250.0, -0.15), 1e-12);
  airway.kind = Opening{{}, SpaceIndex{0}};
  EXPECT_FALSE(airflow::leakage_of_opening(airway));
  EXPECT_NEAR(free_area_for(0.0416667), 0.0416667 / (0.6 * std::sqrt(40.0 / 1.2)), 1e-12);
}

TEST(AssumedLeak, AFanGetsNoMoreThanOneRoomLeaks) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  const auto fan = b.fan("extract", room, std::nullopt, 0.2);
  const auto field = balanced(b.site);
  const double carried = meeting(0.2, [](double p) { return leak(20e-4, p); });
  EXPECT_NEAR(field.airways[fan.value].forward, b.molar(carried), 1e-9);
  ASSERT_EQ(field.starved.size(), 1u);
  EXPECT_EQ(field.starved[0].fan, fan);
  EXPECT_EQ(field.starved[0].space, room);
  EXPECT_TRUE(field.starved[0].inlet);
  EXPECT_DOUBLE_EQ(field.starved[0].given, b.molar(0.2));
  EXPECT_NEAR(field.starved[0].carried, b.molar(carried), 1e-9);
  EXPECT_NEAR(*field.starved[0].pressure, fan_pressure + fan_fade / 2, fan_fade / 2);
  ASSERT_EQ(field.leaks.size(), 1u);
  EXPECT_NEAR(field.leaks[0].rate, b.molar(carried), 1e-9);
  EXPECT_LT(worst_imbalance(b.site, field), 1e-12);
}

TEST(AssumedLeak, ASupplyFanPushesNoMoreOut) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  const auto fan = b.fan("supply", std::nullopt, room, 0.2);
  const auto field = balanced(b.site);
  EXPECT_NEAR(field.airways[fan.value].forward, b.molar(meeting(0.2, [](double p) { return leak(20e-4, p); })), 1e-9);
  ASSERT_EQ(field.starved.size(), 1u);
  EXPECT_FALSE(field.starved[0].inlet);
}

TEST(AssumedLeak, WithinItsLimitNothingStarves) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  const double most = leak(20e-4, fan_pressure);
  for (const double share : {0.999, 1.001}) {
    b.site.airways.clear();
    const auto fan = b.fan("extract", room, std::nullopt, share * most);
    const auto field = balanced(b.site);
    EXPECT_EQ(field.starved.size(), share > 1.0 ? 1u : 0u);
    EXPECT_NEAR(field.airways[fan.value].forward, b.molar(std::min(share, 1.0) * most), 1e-5 * b.molar(most));
  }
}

TEST(AssumedLeak, AReleaseFindsItsWayHoweverBigAndFeedsAnExtractFan) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto room = b.space("room", 50.0);
  const auto burst = b.steady("burst", room, h2, 1.0);
  auto field = balanced(b.site);
  EXPECT_NEAR(field.leaks.at(0).rate, -b.molar(1.0), 1e-12);
  EXPECT_TRUE(field.starved.empty());
  b.site.releases[burst.value].kind = SteadyRelease{b.molar(0.01), std::nullopt};
  const auto fan = b.fan("extract", room, std::nullopt, 0.2);
  field = balanced(b.site);
  const double carried = meeting(0.2, [](double p) { return leak(20e-4, p) + 0.01; });
  EXPECT_NEAR(field.airways[fan.value].forward, b.molar(carried), 1e-9);
}

TEST(AssumedLeak, AShutDoorLeaksFromTheRoomBehindIt) {
  SiteBuilder b;
  const auto store = b.space("store", 20.0), hall = b.space("hall", 100.0);
  b.opening("grille", hall, std::nullopt);
  const auto door = b.airway("door", Doorway{store, hall, 0.8, 2.0, 0.0, 1.0, 0.6}, false);
  const auto fan = b.fan("extract", store, std::nullopt, 0.005);
  auto field = balanced(b.site);
  EXPECT_EQ(field.leaking, std::vector{door});
  EXPECT_TRUE(field.leaks.empty());
  EXPECT_NEAR(field.airways[door.value].backward, b.molar(0.005), 1e-15);
  // Beyond the leak of the store, as much as its 8 m2 pass.
  std::get<Fan>(b.site.airways[fan.value].kind).flow = 0.5;
  field = balanced(b.site);
  EXPECT_NEAR(field.airways[door.value].backward, b.molar(meeting(0.5, [](double p) { return leak(8e-4, p); })), 1e-9);
  EXPECT_EQ(field.starved.size(), 1u);
  // And no more than the smallest opening that is shut.
  b.airway("slit", Gap{store, std::nullopt, 2e-4, 0.65, 0.0, {}}, false);
  field = balanced(b.site);
  EXPECT_NEAR(field.airways[fan.value].forward, b.molar(meeting(0.5, [](double p) { return leak(2e-4, p); })), 1e-9);
  EXPECT_NEAR(field.airways[door.value].backward, field.airways[fan.value].forward / 2, 1e-9) << "shared evenly";
  EXPECT_LT(worst_imbalance(b.site, field), 1e-12);
}

TEST(AssumedLeak, TwoRoomsInSeriesLeakAsTwoGapsInSeries) {
  SiteBuilder b;
  const auto inner = b.space("inner", 20.0), outer = b.space("outer", 50.0);
  const auto door = b.opening("door", inner, outer);
  b.site.airways[door.value].on = false;
  const auto fan = b.fan("extract", inner, std::nullopt, 0.5);
  const auto field = balanced(b.site);
  // What the door leaks, as the smaller floor, comes from outdoors through the room behind it.
  const auto passes = [](double p) {
    double low = 0.0, high = p;
    for (int k = 0; k < 200; ++k) {
      const double middle = 0.5 * (low + high);
      (leak(8e-4, p - middle) > leak(20e-4, middle) ? low : high) = middle;
    }
    return leak(20e-4, low);
  };
  EXPECT_NEAR(field.airways[fan.value].forward, b.molar(meeting(0.5, passes)), 1e-8);
  EXPECT_EQ(field.leaking, std::vector{door});
  ASSERT_EQ(field.leaks.size(), 1u);
  EXPECT_EQ(field.leaks[0].space, outer);
  EXPECT_LT(worst_imbalance(b.site, field), 1e-12);
}

TEST(AssumedLeak, FansInARingFallTogether) {
  // Three closed rooms in a ring of fans, one of which is weaker: what goes round is not limited, what does not leaks.
  SiteBuilder b;
  const auto one = b.space("one", 20.0), two = b.space("two", 20.0), three = b.space("three", 20.0);
  const auto first = b.fan("first", one, two, 0.5), second = b.fan("second", two, three, 0.5);
  const auto third = b.fan("third", three, one, 0.45);
  const auto field = balanced(b.site);
  EXPECT_LT(worst_imbalance(b.site, field), 1e-12);
  EXPECT_DOUBLE_EQ(field.airways[third.value].forward, b.molar(0.45));
  EXPECT_LE(field.airways[first.value].forward, b.molar(0.5) * (1 + 1e-12));
  EXPECT_NEAR(field.airways[second.value].forward, b.molar(0.45 + leak(8e-4, 100.0)), 0.01 * b.molar(0.02));
  EXPECT_FALSE(field.starved.empty());
}

TEST(AssumedLeak, AFanBetweenTwoClosedRoomsIsStarvedOnBothSides) {
  SiteBuilder b;
  const auto from = b.space("from", 20.0), to = b.space("to", 50.0);
  const auto fan = b.fan("transfer", from, to, 0.5);
  const auto field = balanced(b.site);
  // 8 cm2 in, 20 cm2 out, together against 100 to 101 Pa.
  const auto passes = [](double p) {
    double low = 0.0, high = p;
    for (int k = 0; k < 200; ++k) {
      const double middle = 0.5 * (low + high);
      (leak(8e-4, p - middle) > leak(20e-4, middle) ? low : high) = middle;
    }
    return leak(20e-4, low);
  };
  EXPECT_NEAR(field.airways[fan.value].forward, b.molar(meeting(0.5, passes)), 1e-8);
  ASSERT_EQ(field.starved.size(), 1u);
  EXPECT_EQ(field.starved[0].space, from) << "the tighter room";
}

TEST(AssumedLeak, AFanOnACurveWorksAgainstTheLeak) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  const Fan fan{room, std::nullopt, 0.0, {{0.0, 0.1}, {50.0, 0.06}, {80.0, 0.0}}};
  const auto extract = b.airway("extract", fan);
  const auto field = balanced(b.site);
  const double p = -field.pressure[room.value], q = leak(20e-4, p);
  EXPECT_GT(p, 10.0);
  EXPECT_NEAR(field.airways[extract.value].forward, b.molar(q), 1e-9);
  const std::vector<airflow::CurvePoint> curve{{0.0, 0.1}, {50.0, 0.06}, {80.0, 0.0}};
  EXPECT_NEAR(q, airflow::curve_flow(curve, p).value, 1e-9);
  EXPECT_EQ(field.starved.size(), 1u);
}

TEST(AssumedLeak, ACabinetLeaksWhereItStands) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0), cabinet = b.space("cabinet", 1.0, SpaceKind::cabinet);
  b.opening("grille", room, std::nullopt);
  b.fan("extract", cabinet, std::nullopt, 0.001);
  const auto state = state_at(b.site, CaseIndex{0}, 0.0);
  const auto refused = balance_flows(b.site, state);
  ASSERT_TRUE(std::holds_alternative<FlowFault>(refused));
  EXPECT_NE(std::get<FlowFault>(refused).message.find("stands_in"), std::string::npos);
  b.site.spaces[cabinet.value].stands_in = StandsIn{room, false};
  const auto field = balanced(b.site);
  ASSERT_EQ(field.leaks.size(), 1u);
  EXPECT_EQ(field.leaks[0].space, cabinet);
  EXPECT_EQ(field.leaks[0].other, Side{room});
  EXPECT_NEAR(field.leaks[0].rate, b.molar(0.001), 1e-15);
  EXPECT_TRUE(field.starved.empty());
}

TEST(AssumedLeak, RandomSitesBalanceAndCarryNoMoreThanTheyShould) {
  std::mt19937 random(7);
  const auto u = [&] { return std::uniform_real_distribution<double>(0.0, 1.0)(random); };
  std::size_t starved = 0;
  for (int trial = 0; trial < 1500; ++trial) {
    SiteBuilder b;
    const std::size_t n = 1 + random() % 7;
    for (std::size_t i = 0; i < n; ++i) {
      const bool cabinet = i > 0 && u() < 0.2;
      b.space("s" + std::to_string(i), std::pow(10.0, 3.0 * u()), cabinet ? SpaceKind::cabinet : SpaceKind::room);
      if (cabinet) b.site.spaces[i].stands_in = StandsIn{SpaceIndex{0}, false};
    }
    const auto side = [&]() -> Side { return u() < 0.3 ? Side{} : Side{SpaceIndex{random() % n}}; };
    for (std::size_t i = 0; i < 1 + random() % (2 * n); ++i) {
      const Side a = side(), c = side();
      if (a == c) continue;
      const double kind = u();
      const std::string id = "w" + std::to_string(i);
      if (kind < 0.4) {
        b.fan(id, a, c, std::pow(10.0, -4.0 + 4.0 * u()));
      } else if (kind < 0.5) {
        const double q = std::pow(10.0, -2.0 + 2.0 * u());
        b.airway(id, Fan{a, c, 0.0, {{0.0, q}, {50.0 + 100.0 * u(), 0.7 * q}, {200.0, 0.0}}});
      } else if (kind < 0.65) {
        b.airway(id, Gap{a, c, std::pow(10.0, -5.0 + 3.0 * u()), 0.65, 0.0, {}}, u() < 0.4);
      } else if (kind < 0.8) {
        b.airway(id, Opening{a, c}, u() < 0.4);
      } else {
        b.airway(id, Doorway{a, c, 0.8, 2.0, 0.0, 1.0, 0.6}, u() < 0.3);
      }
    }
    if (u() < 0.5) b.steady("leak", SpaceIndex{random() % n}, b.hydrogen(), std::pow(10.0, -5.0 + 4.0 * u()));
    const auto field = balanced(b.site);
    if (field.airways.empty()) continue;
    EXPECT_LT(worst_imbalance(b.site, field), 1e-9) << "trial " << trial;
    starved += field.starved.empty() ? 0 : 1;
    for (std::size_t i = 0; i < b.site.airways.size(); ++i) {
      const auto* fan = std::get_if<Fan>(&b.site.airways[i].kind);
      if (fan == nullptr || !fan->curve.empty()) continue;
      EXPECT_GE(field.airways[i].forward, -1e-12) << "trial " << trial;
      EXPECT_LE(field.airways[i].forward, b.molar(fan->flow) * (1 + 1e-9)) << "trial " << trial;
    }
  }
  EXPECT_GT(starved, 300u);
}

}  // namespace
}  // namespace leanside
