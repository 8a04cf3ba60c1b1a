// SPDX-License-Identifier: Apache-2.0
// Balanced flows: openings, assumed leaks, sealed and overflowing vessels, and what cannot be balanced.
#include "leanside/advanced/airflow.hpp"

#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "airflow/open_paths.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

FlowField balanced(const Site& site, double t = 0.0) {
  auto result = balance_flows(site, state_at(site, CaseIndex{0}, t));
  if (const auto* fault = std::get_if<FlowFault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<FlowField>(std::move(result));
}

std::string fault_of(const Site& site) {
  const auto result = balance_flows(site, state_at(site, CaseIndex{0}, 0.0));
  const auto* fault = std::get_if<FlowFault>(&result);
  return fault == nullptr ? "" : fault->message;
}

/// Largest |in + release - out - storage| over what passes, of all spaces.
double worst_imbalance(const Site& site, const FlowField& field) {
  std::vector<double> net(site.spaces.size(), 0.0), through(site.spaces.size(), 1e-300);
  for (std::size_t i = 0; i < net.size(); ++i) {
    net[i] = field.release[i] - field.storage[i];
    through[i] += field.release[i];
  }
  for (const MolarFlow& flow : field.flows) {
    if (flow.from) net[flow.from->value] -= flow.rate, through[flow.from->value] += flow.rate;
    if (flow.to) net[flow.to->value] += flow.rate, through[flow.to->value] += flow.rate;
  }
  double worst = 0.0;
  for (std::size_t i = 0; i < net.size(); ++i) worst = std::max(worst, std::abs(net[i]) / through[i]);
  return worst;
}

TEST(Balance, OneOpeningCarriesWhatTheFanTakes) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  const auto fan = b.fan("extract", room, std::nullopt, 0.05);
  const auto grille = b.opening("grille", std::nullopt, room);
  const auto field = balanced(b.site);
  EXPECT_DOUBLE_EQ(field.airways[fan.value].forward, b.molar(0.05));
  EXPECT_DOUBLE_EQ(field.airways[grille.value].forward, b.molar(0.05));
  EXPECT_EQ(field.airways[grille.value].backward, 0.0);
  EXPECT_TRUE(field.leaks.empty());
}

TEST(Balance, SeveralOpeningsShareAsEqualConductancesWould) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0), lobby = b.space("lobby", 20.0);
  b.fan("supply", std::nullopt, room, 0.06);
  const auto direct = b.opening("direct", room, std::nullopt);
  const auto inner = b.opening("inner", room, lobby);
  b.opening("outer", lobby, std::nullopt);
  const auto field = balanced(b.site);
  // One conductance beside two in series: two thirds and one third.
  EXPECT_NEAR(field.airways[direct.value].forward, b.molar(0.04), 1e-15);
  EXPECT_NEAR(field.airways[inner.value].forward, b.molar(0.02), 1e-15);
}

TEST(Balance, RoomWithoutOpeningLeaksOnlyTheDifference) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  b.fan("extract", room, std::nullopt, 0.05);
  b.fan("supply", std::nullopt, room, 0.03);
  const auto field = balanced(b.site);
  ASSERT_EQ(field.leaks.size(), 1u);
  EXPECT_EQ(field.leaks[0].space, room);
  EXPECT_NEAR(field.leaks[0].rate, b.molar(0.02), 1e-15);
  EXPECT_LT(worst_imbalance(b.site, field), 1e-14);
}

TEST(Balance, RoomsJoinedByOpeningsLeakOnlyTheirSum) {
  SiteBuilder b;
  const auto a = b.space("a", 50.0), c = b.space("c", 50.0);
  b.fan("supply", std::nullopt, a, 0.05);
  b.fan("extract", c, std::nullopt, 0.03);
  const auto door = b.opening("door", a, c);
  const auto field = balanced(b.site);
  ASSERT_EQ(field.leaks.size(), 1u);
  EXPECT_EQ(field.leaks[0].space, a);
  EXPECT_NEAR(field.leaks[0].rate, -b.molar(0.02), 1e-15);
  EXPECT_NEAR(field.airways[door.value].forward, b.molar(0.03), 1e-15);
}

TEST(Balance, ReleaseDisplacesTheSameAmountOfAir) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto bottle = b.vessel("bottle", 1e-3);
  const auto room = b.space("room", 100.0);
  const auto mouth = b.opening("mouth", bottle, room);
  b.steady("fill", bottle, h2, 1e-5);
  const auto field = balanced(b.site);
  EXPECT_NEAR(field.airways[mouth.value].forward, b.molar(1e-5), 1e-18);
  ASSERT_EQ(field.leaks.size(), 1u);
  EXPECT_EQ(field.leaks[0].space, room);
  EXPECT_FALSE(field.sealed[bottle.value]);
}

TEST(Balance, OpenVesselOverflowsThroughItsExchange) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto beaker = b.vessel("beaker", 1e-3);
  const auto room = b.space("room", 100.0);
  const auto mouth = b.exchange("mouth", beaker, room, 1e-4);
  b.steady("fizz", beaker, h2, 1e-5);
  const auto field = balanced(b.site);
  EXPECT_EQ(field.overflowing, std::vector{mouth});
  EXPECT_NEAR(field.airways[mouth.value].forward, b.molar(1.1e-4), 1e-17);
  EXPECT_NEAR(field.airways[mouth.value].backward, b.molar(1e-4), 1e-17);
  EXPECT_EQ(field.storage[beaker.value], 0.0);
  EXPECT_FALSE(field.sealed[beaker.value]);
}

TEST(Balance, SealedVesselsShareReleasedGas) {
  SiteBuilder b;
  const auto h2 = b.hydrogen();
  const auto drum = b.vessel("drum", 0.3), tank = b.vessel("tank", 0.1), alone = b.vessel("alone", 0.1);
  b.opening("pipe", drum, tank);
  b.steady("gassing", drum, h2, 4e-6);
  const auto field = balanced(b.site);
  EXPECT_NEAR(field.storage[drum.value], b.molar(3e-6), 1e-18);
  EXPECT_NEAR(field.storage[tank.value], b.molar(1e-6), 1e-18);
  EXPECT_TRUE(field.sealed[drum.value] && field.sealed[tank.value] && field.sealed[alone.value]);
  EXPECT_LT(worst_imbalance(b.site, field), 1e-14);
}

TEST(Balance, NamesAJunctionThatCannotBalance) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  const auto tee = b.junction("tee");
  b.fan("in", room, tee, 0.05);
  b.fan("out", tee, std::nullopt, 0.04);
  const std::string message = fault_of(b.site);
  EXPECT_NE(message.find("'tee'"), std::string::npos) << message;
  EXPECT_NE(message.find("36 m3/h"), std::string::npos) << message;
  EXPECT_NE(message.find("opening"), std::string::npos) << message;
}

TEST(Balance, FanOnAClosedVesselIsRefused) {
  SiteBuilder b;
  const auto drum = b.vessel("drum", 0.3);
  b.fan("pump", drum, std::nullopt, 1e-3);
  EXPECT_NE(fault_of(b.site).find("'drum'"), std::string::npos);
}

TEST(Balance, ConvertsFlowsAtTheTemperatureOfTheirOrigin) {
  SiteBuilder b;
  const auto oven = b.space("oven", 10.0);
  b.site.spaces[oven.value].temperature = 2.0 * 293.15;
  const auto out = b.fan("extract", oven, std::nullopt, 0.005);
  EXPECT_NEAR(balanced(b.site).airways[out.value].forward, 0.5 * b.molar(0.005), 1e-15);
}

TEST(Balance, RandomNetworksOfOpeningsBalanceAtEverySpace) {
  std::mt19937 random(7);
  for (int trial = 0; trial < 200; ++trial) {
    SiteBuilder b;
    const std::size_t n = 2 + random() % 30;
    for (std::size_t i = 0; i < n; ++i) {
      b.space("s" + std::to_string(i), 10.0, random() % 4 == 0 ? SpaceKind::cabinet : SpaceKind::room);
      if (b.site.spaces[i].kind == SpaceKind::cabinet) b.site.spaces[i].stands_in = StandsIn{};
    }
    const auto side = [&]() -> Side {
      const auto k = random() % (n + 1);
      return k == n ? Side{} : Side{SpaceIndex{k}};
    };
    const std::size_t m = n + random() % (2 * n);
    for (std::size_t i = 0; i < m; ++i) {
      const Side a = side(), c = side();
      if (a == c) continue;
      const double flow = std::pow(10.0, -6.0 + 6.0 * static_cast<double>(random() % 1000) / 1000.0);
      switch (random() % 3) {
        case 0:
          b.fan("f" + std::to_string(i), a, c, flow);
          break;
        case 1:
          b.exchange("e" + std::to_string(i), a, c, flow);
          break;
        default:
          b.opening("r" + std::to_string(i), a, c);
          break;
      }
    }
    const auto field = balanced(b.site);
    EXPECT_LT(worst_imbalance(b.site, field), 1e-11) << "trial " << trial;
    double leaked = 0.0;
    for (const AssumedLeak& leak : field.leaks) leaked += std::abs(leak.rate);
    for (const MolarFlow& flow : field.flows) EXPECT_GT(flow.rate, 0.0);
    EXPECT_TRUE(std::isfinite(leaked));
  }
}

TEST(State, EventsApplyInOrderAndUpToTheirTime) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  const auto fan = b.fan("extract", room, std::nullopt, 0.05);
  b.site.cases[0].events = {{10.0, SetAirwayFlow{fan, 0.02}, {}}, {20.0, SetAirwayOn{fan, false}, {}}};
  EXPECT_EQ(state_at(b.site, CaseIndex{0}, 0.0).airway_flow[0], 0.05);
  EXPECT_EQ(state_at(b.site, CaseIndex{0}, 10.0).airway_flow[0], 0.02);
  EXPECT_TRUE(state_at(b.site, CaseIndex{0}, 19.0).airway_on[0]);
  EXPECT_FALSE(state_at(b.site, CaseIndex{0}, 20.0).airway_on[0]);
  EXPECT_FALSE(state_at(b.site, CaseIndex{0}, INFINITY).airway_on[0]);
}

TEST(Balance, RoomsShareALeakInProportionToTheirSurplus) {
  using airflow::leak_shares;
  const auto shares = [](std::vector<double> surplus, double sum, double through) {
    return leak_shares(surplus, sum, through);
  };
  EXPECT_EQ(shares({1.0, 3.0}, 4.0, 10.0), (std::vector{0.25, 0.75}));
  EXPECT_EQ(shares({-1.0, -3.0}, -4.0, 10.0), (std::vector{0.25, 0.75}));
  EXPECT_EQ(shares({-1.0, 2.0}, 1.0, 10.0), (std::vector{0.0, 1.0}));
  EXPECT_EQ(shares({0.0, 0.0}, 1.0, 10.0), (std::vector{0.5, 0.5}));
  // What a last digit leaves tells no rooms apart; what is more does.
  EXPECT_EQ(shares({1e-13, 0.0}, 1.0, 10.0), (std::vector{0.5, 0.5}));
  EXPECT_EQ(shares({1e-10, 0.0}, 1.0, 10.0), (std::vector{1.0, 0.0}));
}

TEST(Balance, SurplusOfAJunctionLeaksEquallyFromItsRooms) {
  SiteBuilder b;
  const auto left = b.space("left", 10.0), right = b.space("right", 90.0), duct = b.junction("duct");
  b.fan("supply", std::nullopt, duct, 0.06);
  b.opening("to-left", duct, left);
  b.opening("to-right", duct, right);
  const auto field = balanced(b.site);
  ASSERT_EQ(field.leaks.size(), 2u);
  for (const auto& leak : field.leaks) EXPECT_NEAR(leak.rate, -b.molar(0.03), 1e-12);
  EXPECT_LT(worst_imbalance(b.site, field), 1e-12);
}

TEST(Balance, RoundOffCausesNoFlowIntoADeadEnd) {
  // A jar with one opening to a busy room gets no air from it, in whatever order they are listed.
  for (const bool jar_first : {true, false}) {
    for (int k = 1; k < 60; ++k) {
      SiteBuilder b;
      const auto first = b.space("one", 1.0, jar_first ? SpaceKind::vessel : SpaceKind::room);
      const auto second = b.space("two", 1.0, jar_first ? SpaceKind::room : SpaceKind::vessel);
      const auto box = b.vessel("box", 0.01);
      const auto jar = jar_first ? first : second, room = jar_first ? second : first;
      b.site.spaces[room.value].temperature = 282.555 + 0.1 * k;
      b.site.spaces[box.value].temperature = 282.166;
      b.site.spaces[room.value].air_changes = 7e-3 * k;
      b.exchange("port", room, box, 4.9177799e-4);
      b.exchange("crack", room, box, 3.888436e-6);
      b.fan("pump", room, box, 1.2944208e-6);
      b.opening("back", box, room);
      const auto lid = b.opening("lid", room, jar);
      const auto field = balanced(b.site);
      EXPECT_EQ(field.airways[lid.value].forward, 0.0) << k;
      EXPECT_EQ(field.airways[lid.value].backward, 0.0) << k;
    }
  }
}

TEST(State, FadingReleasesAgeOnlyWhileTheyRun) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  ReactionRelease reaction;
  reaction.amount = 2.0;
  reaction.half_time = 60.0;
  const auto release = b.release("fizz", room, b.hydrogen(), reaction);
  b.site.releases[release.value].start = 30.0;
  const double first = 2.0 * std::log(2.0) / 60.0;
  EXPECT_EQ(state_at(b.site, CaseIndex{0}, 29.0).release_rate[0], 0.0);
  EXPECT_NEAR(state_at(b.site, CaseIndex{0}, 30.0).release_rate[0], first, 1e-15);
  EXPECT_NEAR(state_at(b.site, CaseIndex{0}, 90.0).release_rate[0], first / 2.0, 1e-15);
  EXPECT_NEAR(state_at(b.site, CaseIndex{0}, 210.0).release_rate[0], first / 8.0, 1e-15);
  EXPECT_EQ(state_at(b.site, CaseIndex{0}, INFINITY).release_rate[0], 0.0);
}

}  // namespace
}  // namespace leanside
