// SPDX-License-Identifier: Apache-2.0
/// Pressures and flows of networks of openings, fans and wind.
#include <algorithm>
#include <cmath>
#include <random>

#include <gtest/gtest.h>

#include "airflow/openings.hpp"
#include "leanside/advanced/transport.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using airflow::CurvePoint;
using testing::SiteBuilder;

TEST(Pressures, RoomWithOneDoorwayAndNothingElse) {
  SiteBuilder build;
  const auto room = build.space("room", 30.0);
  build.airway("door", Doorway{room, std::nullopt, 0.9, 2.0, 0.0, 1.0, 0.6});
  const auto hydrogen = build.hydrogen();
  build.steady("leak", room, hydrogen, 1e-5);
  const auto result = solve_steady(build.site, CaseIndex{0}, gas_tracers(build.site));
  ASSERT_TRUE(std::holds_alternative<SteadyFractions>(result)) << std::get<Fault>(result).message;
  EXPECT_GT(std::get<SteadyFractions>(result).fractions(room, 0), 0.0);
}

FlowField balanced(const Site& site, std::span<const double> density = {}) {
  auto result = balance_flows(site, state_at(site, CaseIndex{0}, 0.0), density);
  if (const auto* fault = std::get_if<FlowFault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<FlowField>(std::move(result));
}

double volume(const Site& site, double moles) {
  return moles * gas_constant * site.conditions.temperature / site.conditions.pressure;
}

TEST(Pressures, FanDrawsThroughTwoGapsInSeries) {
  SiteBuilder b;
  const auto lab = b.space("lab", 100.0), lobby = b.space("lobby", 50.0);
  b.fan("extract", lab, std::nullopt, 0.05);
  const auto inner = b.airway("inner", Gap{lobby, lab, 0.01, 0.65, 0.0, {}});
  const auto outer = b.airway("outer", Gap{std::nullopt, lobby, 0.02, 0.65, 0.0, {}});
  const auto field = balanced(b.site);
  EXPECT_NEAR(volume(b.site, field.airways[inner.value].forward), 0.05, 1e-12);
  EXPECT_NEAR(volume(b.site, field.airways[outer.value].forward), 0.05, 1e-12);
  const double rho = 101325.0 * molar_mass_of_air / (gas_constant * 293.15);
  const auto drop = [&](double area) { return 4.0 * std::pow(0.05 / (area * std::sqrt(8.0 / rho)), 1.0 / 0.65); };
  EXPECT_NEAR(field.pressure[lobby.value], -drop(0.02), 1e-8);
  EXPECT_NEAR(field.pressure[lab.value], -drop(0.02) - drop(0.01), 1e-8);
}

TEST(Pressures, ParallelGapsShareByTheirAreas) {
  SiteBuilder b;
  const auto lab = b.space("lab", 100.0);
  b.fan("extract", lab, std::nullopt, 0.06);
  const auto one = b.airway("one", Gap{std::nullopt, lab, 0.01, 0.65, 0.0, {}});
  const auto two = b.airway("two", Gap{std::nullopt, lab, 0.02, 0.65, 0.0, {}});
  const auto field = balanced(b.site);
  EXPECT_NEAR(volume(b.site, field.airways[one.value].forward), 0.02, 1e-12);
  EXPECT_NEAR(volume(b.site, field.airways[two.value].forward), 0.04, 1e-12);
}

TEST(Pressures, WarmChimneyDrawsAsItsHeightSays) {
  // Two equal gaps 10 m apart, inside 40 degC, outside 0 degC: half of the stack pressure across each.
  SiteBuilder b;
  const auto stair = b.space("stair", 300.0);
  b.site.spaces[0].temperature = 313.15;
  b.site.conditions.outside_temperature = 273.15;
  const auto low = b.airway("low", Gap{stair, std::nullopt, 0.02, 0.5, 0.0, {}});
  const auto high = b.airway("high", Gap{stair, std::nullopt, 0.02, 0.5, 10.0, {}});
  const auto field = balanced(b.site);
  const double rho_out = 101325.0 * molar_mass_of_air / (gas_constant * 273.15);
  const double rho_in = rho_out * 273.15 / 313.15;
  const double stack = (rho_out - rho_in) * standard_gravity * 10.0;
  EXPECT_NEAR(*field.airways[high.value].pressure_difference - *field.airways[low.value].pressure_difference, stack,
              1e-9);
  EXPECT_NEAR(field.airways[low.value].backward, field.airways[high.value].forward, 1e-12);
  // In with rho_out, out with rho_in, equal masses: dp_low/dp_high = rho_in/rho_out.
  EXPECT_NEAR(-*field.airways[low.value].pressure_difference, stack * rho_in / (rho_in + rho_out), 1e-6);
}

TEST(Pressures, WindOnTwoSidesBlowsThrough) {
  SiteBuilder b;
  b.site.conditions.wind_speed = 5.0;
  const auto hall = b.space("hall", 300.0);
  const auto windward = b.airway("windward", Gap{std::nullopt, hall, 0.01, 0.65, 1.0, 0.6});
  const auto leeward = b.airway("leeward", Gap{std::nullopt, hall, 0.01, 0.65, 1.0, -0.3});
  const auto field = balanced(b.site);
  const double rho = 101325.0 * molar_mass_of_air / (gas_constant * 293.15);
  EXPECT_NEAR(*field.airways[windward.value].pressure_difference, 0.5 * rho * 25.0 * 0.45, 1e-8);
  EXPECT_NEAR(field.airways[windward.value].forward, field.airways[leeward.value].backward, 1e-12);
}

TEST(Pressures, AnOpeningMakesThemEqualAtItsHeight) {
  SiteBuilder b;
  const auto low = b.space("low", 50.0), high = b.space("high", 50.0);
  b.site.spaces[low.value].temperature = 300.0;
  b.site.spaces[high.value].temperature = 280.0;
  b.site.spaces[high.value].elevation = 5.0;
  b.airway("leak-low", Gap{low, std::nullopt, 0.01, 0.65, 0.5, {}});
  b.airway("leak-high", Gap{high, std::nullopt, 0.02, 0.65, 2.0, {}});
  b.opening("stairs", low, high);
  const auto density = [](double t) { return 101325.0 * molar_mass_of_air / (gas_constant * t); };
  const auto field = balanced(b.site);
  // Pressures are relative to the outside air at each floor; the opening works at the floor of `low`, 5 m below `high`.
  const double outside = density(b.site.conditions.outside_temperature);
  const double high_at_floor_of_low = field.pressure[high.value] - (outside - density(280.0)) * standard_gravity * 5.0;
  EXPECT_NEAR(field.pressure[low.value], high_at_floor_of_low, 1e-9);
  EXPECT_GT(std::abs(field.pressure[high.value] - field.pressure[low.value]), 1.0);
}

TEST(Pressures, ADoorwayTellsTheDifferenceAtItsMiddle) {
  SiteBuilder b;
  const auto room = b.space("room", 50.0);
  b.site.spaces[room.value].temperature = 303.15;
  const auto door = b.airway("door", Doorway{room, std::nullopt, 0.9, 2.0, 0.4, 1.0, 0.6});
  const auto field = balanced(b.site);
  const double outside = 101325.0 * molar_mass_of_air / (gas_constant * b.site.conditions.outside_temperature);
  const double inside = 101325.0 * molar_mass_of_air / (gas_constant * 303.15);
  EXPECT_NEAR(*field.airways[door.value].pressure_difference,
              field.pressure[room.value] + (outside - inside) * standard_gravity * 1.4, 1e-12);
}

TEST(Pressures, FanOnItsCurveSettlesWhereTheGapsTakeItsFlow) {
  SiteBuilder b;
  const auto lab = b.space("lab", 100.0);
  Fan fan{lab, std::nullopt, 0.0, {{0.0, 0.1}, {50.0, 0.06}, {80.0, 0.0}}};
  const auto extract = b.airway("extract", fan);
  const auto leak = b.airway("leak", Gap{std::nullopt, lab, 0.01, 0.65, 0.0, {}});
  const auto field = balanced(b.site);
  const double q = volume(b.site, field.airways[extract.value].forward);
  const std::vector<CurvePoint> curve{{0.0, 0.1}, {50.0, 0.06}, {80.0, 0.0}};
  EXPECT_NEAR(q, airflow::curve_flow(curve, -field.pressure[lab.value]).value, 1e-12);
  EXPECT_NEAR(q, volume(b.site, field.airways[leak.value].forward), 1e-12);
  EXPECT_TRUE(field.off_curve.empty());
}

TEST(Pressures, OpeningsAndGapsMixFreely) {
  // The grille pins the lobby to outside: all of the resistance is in the gap.
  SiteBuilder b;
  const auto lab = b.space("lab", 100.0), lobby = b.space("lobby", 50.0);
  b.fan("extract", lab, std::nullopt, 0.05);
  const auto door = b.airway("under-door", Gap{lobby, lab, 0.01, 0.65, 0.0, {}});
  const auto grille = b.opening("grille", std::nullopt, lobby);
  const auto field = balanced(b.site);
  EXPECT_EQ(field.pressure[lobby.value], 0.0);
  EXPECT_LT(field.pressure[lab.value], -1.0);
  EXPECT_NEAR(field.airways[grille.value].forward, field.airways[door.value].forward, 1e-14);
  EXPECT_TRUE(field.leaks.empty());
}

TEST(Pressures, RoomsWithoutAWayOutsideAreNamedAndStillExchange) {
  SiteBuilder b;
  const auto warm = b.space("warm", 50.0), cold = b.space("cold", 50.0);
  b.site.spaces[0].temperature = 303.15;
  const auto door = b.airway("door", Doorway{warm, cold, 0.9, 2.0, 0.0, 1.0, 0.6});
  const auto field = balanced(b.site);
  EXPECT_EQ(field.unvented.size(), 2u);
  EXPECT_GT(field.airways[door.value].forward, 0.0);
  EXPECT_NEAR(field.airways[door.value].forward, field.airways[door.value].backward, 1e-10);
}

TEST(Pressures, RandomNetworksConvergeFromNothing) {
  std::mt19937 random(11);
  const auto u = [&] { return std::uniform_real_distribution<double>(0.0, 1.0)(random); };
  for (int trial = 0; trial < 300; ++trial) {
    SiteBuilder b;
    const std::size_t n = 1 + random() % 25;
    std::vector<double> density;
    for (std::size_t i = 0; i < n; ++i) {
      b.space("s" + std::to_string(i), 30.0);
      b.site.spaces[i].elevation = 3.0 * static_cast<double>(i % 4);
      density.push_back(0.6 + u());
    }
    const auto link = [&](Side a, Side c) {
      const double kind = u();
      const std::string id = "w" + std::to_string(b.site.airways.size());
      if (kind < 0.5) {
        b.airway(id, Gap{a, c, std::pow(10.0, -5.0 + 4.0 * u()), 0.5 + 0.5 * u(), 2.0 * u(), {}});
      } else if (kind < 0.85) {
        b.airway(id, Doorway{a, c, 0.9, 2.0 * u() + 0.1, 0.5 * u(), 1.0, 0.6});
      } else {
        b.opening(id, a, c);
      }
    };
    for (std::size_t i = 0; i < n; ++i) link(SpaceIndex{i}, i == 0 ? Side{} : Side{SpaceIndex{random() % i}});
    for (std::size_t k = 0; k < 2 * n; ++k) {
      const std::size_t a = random() % n, c = random() % (n + 1);
      if (a != c) link(SpaceIndex{a}, c == n ? Side{} : Side{SpaceIndex{c}});
    }
    for (std::size_t k = 0; k < n / 3; ++k)
      b.fan("f" + std::to_string(k), SpaceIndex{random() % n}, std::nullopt, 0.2 * u());
    const auto field = balanced(b.site, density);
    std::vector<double> net(n, 0.0), through(n, 1e-6);
    for (const MolarFlow& flow : field.flows) {
      if (flow.from) net[flow.from->value] -= flow.rate, through[flow.from->value] += flow.rate;
      if (flow.to) net[flow.to->value] += flow.rate, through[flow.to->value] += flow.rate;
    }
    for (std::size_t i = 0; i < n; ++i) EXPECT_LT(std::abs(net[i]), 1e-10 * through[i]) << "trial " << trial;
  }
}

TEST(Pressures, MirroredSitesHaveMirroredFlows) {
  std::mt19937 random(23);
  const auto u = [&] { return std::uniform_real_distribution<double>(0.0, 1.0)(random); };
  for (int trial = 0; trial < 50; ++trial) {
    SiteBuilder site, mirrored;
    const std::size_t n = 2 + random() % 8;
    std::vector<double> density(n), mirrored_density(n);
    for (std::size_t i = 0; i < n; ++i) {
      site.space("s" + std::to_string(i), 30.0);
      mirrored.space("s" + std::to_string(i), 30.0);
      density[i] = mirrored_density[n - 1 - i] = 0.9 + 0.3 * u();
    }
    const auto mirror = [&](Side side) { return side ? Side{SpaceIndex{n - 1 - side->value}} : side; };
    const auto link = [&](Side a, Side c) {
      const std::string id = "w" + std::to_string(site.site.airways.size());
      if (u() < 0.6) {
        const Gap gap{a, c, std::pow(10.0, -4.0 + 3.0 * u()), 0.5 + 0.5 * u(), 2.0 * u(), {}};
        site.airway(id, gap);
        mirrored.airway(id, Gap{mirror(c), mirror(a), gap.leakage_area, gap.exponent, gap.height, {}});
      } else {
        const Doorway door{a, c, 0.9, 2.0 * u() + 0.1, 0.5 * u(), 1.0, 0.6};
        site.airway(id, door);
        mirrored.airway(id, Doorway{mirror(c), mirror(a), door.width, door.height, door.sill, 1.0, 0.6});
      }
    };
    for (std::size_t i = 0; i < n; ++i) link(SpaceIndex{i}, i == 0 ? Side{} : Side{SpaceIndex{random() % i}});
    for (std::size_t i = 0; i < n; ++i) link(SpaceIndex{i}, std::nullopt);
    const auto flows = balanced(site.site, density), image = balanced(mirrored.site, mirrored_density);
    double largest = 0.0;
    for (const AirwayFlow& flow : flows.airways) largest = std::max({largest, flow.forward, flow.backward});
    ASSERT_GT(largest, 0.0);
    for (std::size_t k = 0; k < flows.airways.size(); ++k) {
      EXPECT_NEAR(flows.airways[k].forward, image.airways[k].backward, 1e-9 * largest) << "trial " << trial;
      EXPECT_NEAR(flows.airways[k].backward, image.airways[k].forward, 1e-9 * largest) << "trial " << trial;
    }
  }
}

}  // namespace
}  // namespace leanside
