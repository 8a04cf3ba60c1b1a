// SPDX-License-Identifier: Apache-2.0
// Openings one by one, pressures of networks, and gas that drives its own flow.
#include "airflow/openings.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <random>

#include <gtest/gtest.h>

#include "airflow/pressure.hpp"
#include "leanside/advanced/transport.hpp"
#include "leanside/assess.hpp"
#include "support/build_site.hpp"
#include "transport/coupled/collocation.hpp"

namespace leanside {
namespace {

using airflow::CurvePoint;
using airflow::doorway_flow;
using airflow::gap_flow;
using testing::SiteBuilder;

TEST(Gap, HasItsRatedFlowAtFourPascals) {
  // q = L sqrt(2 dp/rho) at the reference, whatever the exponent.
  for (const double n : {0.5, 0.65, 1.0}) {
    EXPECT_NEAR(gap_flow(0.01, n, 4.0, 1.2, 1.2).value, 0.01 * std::sqrt(8.0 / 1.2), 1e-15) << n;
    EXPECT_NEAR(gap_flow(0.01, n, 16.0, 1.2, 1.2).value, std::pow(4.0, n) * 0.01 * std::sqrt(8.0 / 1.2), 1e-14) << n;
  }
}

TEST(Gap, TakesTheDensityOfTheSideThatFlows) {
  EXPECT_NEAR(gap_flow(0.01, 0.5, 4.0, 0.3, 1.2).value, -2.0 * gap_flow(0.01, 0.5, -4.0, 0.3, 1.2).value, 1e-15);
}

TEST(Gap, IsOddMonotoneAndSmoothThroughZero) {
  double last = gap_flow(0.01, 0.65, -1.0, 1.2, 1.2).value;
  for (double dp = -1.0; dp <= 1.0; dp += 1e-3) {
    const auto flow = gap_flow(0.01, 0.65, dp, 1.2, 1.2);
    EXPECT_GE(flow.value, last);
    EXPECT_GT(flow.slope, 0.0);
    EXPECT_NEAR(flow.value, -gap_flow(0.01, 0.65, -dp, 1.2, 1.2).value, 1e-16);
    last = flow.value;
  }
  const double join = airflow::smooth_below;
  EXPECT_NEAR(gap_flow(1.0, 0.5, join * (1 - 1e-9), 1.2, 1.2).value,
              gap_flow(1.0, 0.5, join * (1 + 1e-9), 1.2, 1.2).value, 1e-10);
  EXPECT_NEAR(gap_flow(1.0, 0.5, join * (1 - 1e-9), 1.2, 1.2).slope,
              gap_flow(1.0, 0.5, join * (1 + 1e-9), 1.2, 1.2).slope, 1e-3);
}

/// The same by adding up thin slices with the plain square root.
airflow::TwoWayFlow by_slices(double w, double h, double cd, double bottom, double top, double rho_a, double rho_b) {
  airflow::TwoWayFlow sum;
  constexpr int slices = 200000;
  for (int k = 0; k < slices; ++k) {
    const double dp = bottom + (top - bottom) * (k + 0.5) / slices;
    const double q = cd * w * h / slices * std::sqrt(2.0 * std::abs(dp) / (dp > 0.0 ? rho_a : rho_b));
    (dp > 0.0 ? sum.forward : sum.backward).value += q;
  }
  return sum;
}

TEST(Doorway, AgreesWithTheIntegralOverItsHeight) {
  for (const auto& [bottom, top] : {std::pair{-0.4, 0.7}, {0.2, 0.9}, {-0.9, -0.1}, {1.5, -0.2}, {0.3, 0.3 + 1e-9}}) {
    const auto flow = doorway_flow(0.9, 2.0, 0.6, bottom, top, 1.1, 1.25);
    const auto slices = by_slices(0.9, 2.0, 0.6, bottom, top, 1.1, 1.25);
    EXPECT_NEAR(flow.forward.value, slices.forward.value, 1e-5);
    EXPECT_NEAR(flow.backward.value, slices.backward.value, 1e-5);
  }
}

TEST(Doorway, SlopesAreThoseOfDifferences) {
  for (const auto& [bottom, top] : {std::pair{-0.4, 0.7}, {0.2, 0.9}, {-1e-5, 3e-5}, {0.5, 0.5}, {-2e-4, 1e-3}}) {
    const double d = 1e-8;
    const auto flow = doorway_flow(0.9, 2.0, 0.6, bottom, top, 1.1, 1.25);
    const auto more = doorway_flow(0.9, 2.0, 0.6, bottom + d, top + d, 1.1, 1.25);
    const auto less = doorway_flow(0.9, 2.0, 0.6, bottom - d, top - d, 1.1, 1.25);
    const double scale = 1.0 + flow.forward.slope;
    EXPECT_NEAR(flow.forward.slope, (more.forward.value - less.forward.value) / (2 * d), 1e-3 * scale);
    EXPECT_NEAR(flow.backward.slope, (more.backward.value - less.backward.value) / (2 * d), 1e-3 * scale);
  }
}

// At no pressure and equal densities the slope is that of either side, or a lone doorway would look shut.
TEST(Doorway, SlopeIsSmoothThroughNothing) {
  const auto slope = [](double dp) {
    const auto flow = doorway_flow(0.9, 2.0, 0.6, dp, dp, 1.2, 1.2);
    return flow.forward.slope - flow.backward.slope;
  };
  EXPECT_NEAR(slope(0.0) / slope(1e-12), 1.0, 1e-9);
  EXPECT_NEAR(slope(0.0) / slope(-1e-12), 1.0, 1e-9);
}

TEST(Pressures, RoomWithOneDoorwayAndNothingElse) {
  SiteBuilder build;
  const auto room = build.space("room", 30.0);
  build.airway("door", Doorway{room, std::nullopt, 0.9, 2.0, 0.0, 1.0, 0.6});
  const auto hydrogen = build.hydrogen();
  build.steady("leak", room, hydrogen, 1e-5);
  const auto result = solve_steady(build.site, CaseIndex{0}, gas_tracers(build.site));
  ASSERT_TRUE(std::holds_alternative<SteadyFractions>(result)) << std::get<SolveFault>(result).message;
  EXPECT_GT(std::get<SteadyFractions>(result).fractions(room, 0), 0.0);
}

TEST(Doorway, MirrorImageHasMirroredFlows) {
  const auto flow = doorway_flow(0.9, 2.0, 0.6, -0.4, 0.7, 1.1, 1.25);
  const auto mirrored = doorway_flow(0.9, 2.0, 0.6, 0.4, -0.7, 1.25, 1.1);
  EXPECT_DOUBLE_EQ(flow.forward.value, mirrored.backward.value);
  EXPECT_DOUBLE_EQ(flow.backward.value, mirrored.forward.value);
}

TEST(FanCurve, PassesThroughItsPointsAndNeverRises) {
  const std::vector<CurvePoint> curve{{0.0, 0.11}, {60.0, 0.1}, {90.0, 0.05}, {100.0, 0.0}};
  for (const auto& point : curve) EXPECT_NEAR(airflow::curve_flow(curve, point.pressure).value, point.flow, 1e-15);
  double last = 1.0;
  for (double p = -10.0; p < 110.0; p += 0.01) {
    const auto flow = airflow::curve_flow(curve, p);
    EXPECT_LE(flow.value, last + 1e-15);
    EXPECT_LE(flow.slope, 1e-15);
    last = flow.value;
  }
  EXPECT_EQ(airflow::curve_flow(curve, 200.0).value, 0.0);
  EXPECT_EQ(airflow::curve_flow(curve, -5.0).value, 0.11);
}

// By hand: secants -1/6000, -1/600, -1/200 m3/s/Pa, so slopes -1/3300 at 60 Pa and -1/400 at 90 Pa (harmonic means),
// and halfway the mean of the flows plus an eighth of the width times the difference of the slopes.
TEST(FanCurve, BetweenItsPointsIsTheCubicThatMeetsTheirSlopes) {
  const std::vector<CurvePoint> curve{{0.0, 0.11}, {60.0, 0.1}, {90.0, 0.05}, {100.0, 0.0}};
  const auto halfway = airflow::curve_flow(curve, 75.0);
  EXPECT_NEAR(halfway.value, 0.075 + 30.0 / 8.0 * (1.0 / 400.0 - 1.0 / 3300.0), 1e-15);
  EXPECT_NEAR(halfway.slope, -1.5 / 600.0 + 0.25 * (1.0 / 3300.0 + 1.0 / 400.0), 1e-15);
  EXPECT_NEAR(airflow::curve_flow(curve, 60.0 + 1e-9).slope, -1.0 / 3300.0, 1e-10);
  EXPECT_NEAR(airflow::curve_flow(curve, 90.0 - 1e-9).slope, -1.0 / 400.0, 1e-10);
  for (const double p : {10.0, 42.0, 61.0, 88.0, 97.0}) {
    constexpr double h = 1e-4;
    const double rise = airflow::curve_flow(curve, p + h).value - airflow::curve_flow(curve, p - h).value;
    EXPECT_NEAR(airflow::curve_flow(curve, p).slope, rise / (2.0 * h), 1e-9) << p;
  }
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

TEST(Pressures, AReliefMakesThemEqualAtItsHeight) {
  SiteBuilder b;
  const auto low = b.space("low", 50.0), high = b.space("high", 50.0);
  b.site.spaces[low.value].temperature = 300.0;
  b.site.spaces[high.value].temperature = 280.0;
  b.site.spaces[high.value].elevation = 5.0;
  b.airway("leak-low", Gap{low, std::nullopt, 0.01, 0.65, 0.5, {}});
  b.airway("leak-high", Gap{high, std::nullopt, 0.02, 0.65, 2.0, {}});
  b.relief("stairs", low, high);
  const auto density = [](double t) { return 101325.0 * molar_mass_of_air / (gas_constant * t); };
  const auto field = balanced(b.site);
  // Pressures are told over the outside air at each floor; the relief works at the floor of `low`, 5 m below `high`.
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

TEST(Pressures, ReliefsAndGapsMixFreely) {
  // The grille pins the lobby to outside: all of the resistance is in the gap.
  SiteBuilder b;
  const auto lab = b.space("lab", 100.0), lobby = b.space("lobby", 50.0);
  b.fan("extract", lab, std::nullopt, 0.05);
  const auto door = b.airway("under-door", Gap{lobby, lab, 0.01, 0.65, 0.0, {}});
  const auto grille = b.relief("grille", std::nullopt, lobby);
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
  EXPECT_EQ(field.adrift.size(), 2u);
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
        b.relief(id, a, c);
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

TEST(Radau, CoefficientsIntegratePolynomialsExactly) {
  const auto& r = transport::radau();
  for (std::size_t k = 1; k <= transport::stages; ++k) {
    for (std::size_t i = 0; i < transport::stages; ++i) {
      double sum = 0.0;
      for (std::size_t j = 0; j < transport::stages; ++j)
        sum += r.a[i][j] * std::pow(r.c[j], static_cast<double>(k - 1));
      EXPECT_NEAR(sum, std::pow(r.c[i], static_cast<double>(k)) / static_cast<double>(k), 1e-14);
    }
  }
  // At the end of a step: up to t^8.
  double sum = 0.0;
  for (std::size_t j = 0; j < transport::stages; ++j) sum += r.a[transport::stages - 1][j] * std::pow(r.c[j], 8.0);
  EXPECT_NEAR(sum, 1.0 / 9.0, 1e-14);
}

/// A store with two equal vents and a small hydrogen leak.
struct VentedStore {
  SiteBuilder b;
  GasIndex h2 = b.hydrogen();
  SpaceIndex store = b.space("store", 30.0);
  explicit VentedStore(double leak) {
    for (const double z : {0.0, 2.0}) {
      b.airway("vent" + std::to_string(z), Gap{store, std::nullopt, 0.03, 0.5, z, {}});  // C_d A of 0.05 m2 at C_d 0.6
    }
    b.steady("leak", store, h2, leak);
  }
};

TEST(Coupled, HydrogenDrivesItsOwnVents) {
  VentedStore s(5.9e-3 / 60.0);
  const auto solved = solve_steady(s.b.site, CaseIndex{0}, gas_tracers(s.b.site));
  const auto& x = std::get<SteadyFractions>(solved).fractions;
  const auto run = solve_transient(s.b.site, CaseIndex{0}, gas_tracers(s.b.site), 24.0 * 3600.0, {});
  const auto& end = std::get<TransientResult>(run);
  EXPECT_NEAR(end.end(s.store, 0), x(s.store, 0), 1e-6 * x(s.store, 0));
  EXPECT_LT(end.balance[0].relative_error(), 1e-9);
  // Sixteen times less leak: x goes with the power 2/3.
  VentedStore less(5.9e-3 / 60.0 / 64.0);
  const auto solved_less = solve_steady(less.b.site, CaseIndex{0}, gas_tracers(less.b.site));
  EXPECT_NEAR(x(s.store, 0) / std::get<SteadyFractions>(solved_less).fractions(less.store, 0), 16.0, 0.2);
}

TEST(Coupled, AgreesWithTheOrdinaryDifferentialEquation) {
  // One space, two gaps: the flow is explicit in x, integrated here by many small Runge-Kutta steps.
  const double leak = 2e-4, horizon = 3600.0;
  VentedStore s(leak);
  double traced = 0.0;
  const auto run =
      solve_transient(s.b.site, CaseIndex{0}, gas_tracers(s.b.site), horizon, [&](const DensePiece& piece) {
        if (piece.begin <= 500.0 && 500.0 <= piece.end) {
          traced = bernstein_value(piece.coefficients.first(dense_degree + 1), piece.position_at(500.0));
        }
      });
  const double P = 101325.0, RT = gas_constant * 293.15, N = P * 30.0 / RT, G = leak * P / RT;
  const double rho_o = P * molar_mass_of_air / RT;
  const auto rate = [&](double x) {
    const double rho_i = P * (molar_mass_of_air + x * (0.002016 - molar_mass_of_air)) / RT;
    const double stack = (rho_o - rho_i) * standard_gravity * 2.0;
    // Inflow F through the low vent, F + G through the high one; drops add up to the stack: a scalar equation by
    // bisection.
    double low = 0.0, high = 100.0;
    for (int k = 0; k < 200; ++k) {
      const double F = 0.5 * (low + high), k_in = F * RT / P / 0.03, k_out = (F + G) * RT / P / 0.03;
      (0.5 * rho_o * k_in * k_in + 0.5 * rho_i * k_out * k_out < stack ? low : high) = F;
    }
    return (G - (low + G) * x) / N;
  };
  double x = 0.0, at500 = 0.0;
  const int steps = 72000;
  const double h = horizon / steps;
  for (int k = 0; k < steps; ++k) {
    const double k1 = rate(x), k2 = rate(x + 0.5 * h * k1), k3 = rate(x + 0.5 * h * k2), k4 = rate(x + h * k3);
    x += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    if (k + 1 == 10000) at500 = x;
  }
  EXPECT_NEAR(std::get<TransientResult>(run).end(s.store, 0), x, 2e-6 * x);
  EXPECT_NEAR(traced, at500, 2e-6 * at500);
}

TEST(Coupled, CausesStaySharesOfTheWhole) {
  VentedStore s(2e-4);
  const auto lab = s.b.space("lab", 60.0);
  s.b.airway("door", Doorway{s.store, lab, 0.8, 2.0, 0.0, 0.2, 0.6});
  s.b.airway("crack", Gap{lab, std::nullopt, 0.01, 0.65, 0.5, {}});
  s.b.steady("second", lab, s.h2, 3e-4);
  const auto assessed = assess(s.b.site);
  const auto& a = std::get<Assessment>(assessed);
  ASSERT_FALSE(a.warnings.empty());
  for (const Warning& w : a.warnings) {
    double sum = 0.0;
    for (const Cause& cause : w.causes) sum += cause.share;
    EXPECT_NEAR(sum, 1.0, 1e-9);
    EXPECT_EQ(w.causes.size(), w.source ? 1u : 2u);
  }
  EXPECT_LT(a.balance_error, 1e-9);
}

TEST(Events, WarmingARoomPushesGasOutAndCoolingDrawsAirIn) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto room = b.space("room", 30.0);
  b.site.spaces[0].initial = {{ch4, 0.02}};
  b.airway("crack", Gap{room, std::nullopt, 0.002, 0.65, 0.0, {}});
  b.site.cases[0].events = {{100.0, SetSpaceTemperature{room, 323.15}, {}},
                            {200.0, SetSpaceTemperature{room, 293.15}, {}}};
  const auto run = solve_transient(b.site, CaseIndex{0}, gas_tracers(b.site), 300.0, {});
  const auto& end = std::get<TransientResult>(run);
  EXPECT_LT(end.balance[0].relative_error(), 1e-9);
  // Out at 2 %, in with air: what is left after cooling is diluted by the ratio of temperatures.
  EXPECT_NEAR(end.end(room, 0), 0.02 * 293.15 / 323.15, 1e-5);
  // While it is warm it holds less.
  const auto warm = solve_transient(b.site, CaseIndex{0}, gas_tracers(b.site), 150.0, {});
  EXPECT_LT(std::get<TransientResult>(warm).balance[0].relative_error(), 1e-9);
}

TEST(Events, DoorwayOpensAndShuts) {
  SiteBuilder b;
  const auto ch4 = b.methane();
  const auto warm = b.space("warm", 30.0), cold = b.space("cold", 30.0);
  b.site.spaces[0].temperature = 303.15;
  b.site.spaces[0].initial = {{ch4, 0.02}};
  b.airway("crack", Gap{cold, std::nullopt, 1e-4, 0.65, 0.0, {}});
  const auto door = b.airway("door", Doorway{warm, cold, 0.9, 2.0, 0.0, 0.0, 0.6});
  b.site.cases[0].events = {{600.0, SetAirwayOpen{door, 1.0}, {}}};
  double before = -1.0;
  const auto run = solve_transient(b.site, CaseIndex{0}, gas_tracers(b.site), 3600.0, [&](const DensePiece& piece) {
    if (piece.space == cold && piece.end <= 600.0)
      before = bernstein_value(piece.coefficients.first(dense_degree + 1), 1.0);
  });
  const auto& end = std::get<TransientResult>(run);
  EXPECT_LT(before, 1e-6);
  EXPECT_GT(end.end(cold, 0), 0.005);
}

}  // namespace
}  // namespace leanside
