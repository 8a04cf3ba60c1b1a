// SPDX-License-Identifier: Apache-2.0
// Rooms in two layers: runs of the engine compared with published closed forms. Each check names its source; "from
// memory" means that the formula was not looked up again.
#include <algorithm>
#include <cmath>
#include <vector>

#include "leanside/advanced/plumes.hpp"
#include "published/run.hpp"

namespace {

using namespace published;
using namespace leanside;
using leanside::testing::make_inert;
using leanside::testing::SiteBuilder;

constexpr double height = 3.0, area = 8.0;

/// A layered room with one release without momentum: a gas of `molar_mass` kg/mol at `from` m above the floor.
struct Room {
  explicit Room(double molar_mass, double rate, double from = 0.0) {
    gas = build.gas(make_inert("gas", molar_mass));
    space = build.space("room", area * height);
    Space& room = build.site.spaces[space.value];
    room.floor_area = area;
    room.height = height;
    room.stratification = Stratification::layered;
    release = build.steady("leak", space, gas, rate);
    build.site.releases[release.value].height = from;
  }
  void opening(const std::string& id, double leakage_area, double at) {
    build.airway(id, Gap{space, std::nullopt, leakage_area, 0.5, at, std::nullopt});
  }
  double buoyancy(double rate) const {
    const double mass = build.site.gases[gas.value].substance.molar_mass.value;
    return std::abs(buoyancy_flux(molar_mass_of_air, mass, rate));
  }

  SiteBuilder build;
  SpaceIndex space;
  GasIndex gas;
  ReleaseIndex release;
};

TransientResult run(const Site& site, double horizon, const LayerObserver& observe = {}) {
  auto result = solve_transient(site, CaseIndex{0}, gas_tracers(site), horizon, {}, observe);
  if (const auto* fault = std::get_if<Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<TransientResult>(std::move(result));
}

SteadyFractions steady_state(const Site& site) {
  auto result = solve_steady(site, CaseIndex{0}, gas_tracers(site));
  if (const auto* fault = std::get_if<Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<SteadyFractions>(std::move(result));
}

TEST(LayeredRoom, FrontFollowsTheFillingBox) {
  cite("Descent of the layer in a closed room",
       "W. D. Baines and J. S. Turner, J. Fluid Mech. 37 (1969) 51 (from memory): the front of the layer in a closed "
       "room, z^(-2/3) = H^(-2/3) + (2/3)(C B^(1/3)/S) t. The formula neglects the released volume, a thousandth of "
       "the plume flow. leanside starts with a layer that takes a thousandth of the room, so H is 0.999 of the room "
       "height.");
  const double rate = 2e-6;
  Room room(0.002016, rate);
  const double c = plume_constant(), b = room.buoyancy(rate);
  for (const double t : {120.0, 600.0, 1800.0, 3600.0}) {
    const auto result = run(room.build.site, t);
    ASSERT_EQ(result.layers.size(), 1u);
    EXPECT_TRUE(result.layers[0].gas_above);
    expect_within(result.layers[0].interface_height, filling_front(c, b, area, 0.999 * height, t), 0.1)
        << "interface height after " << t << " s, m";
  }
}

// The same with the released volume: dz/dt = -(C B^(1/3) z^(5/3) + Q_0)/S, integrated here by the classical Runge-Kutta
// method. All of the gas stays in the upper layer, because the displaced air leaves from the lower one.
TEST(LayeredRoom, FrontAndGasMatchIntegrationOfAStrongRelease) {
  const double rate = 2e-4, t = 900.0;
  Room room(0.002016, rate);
  const double c = plume_constant(), b = room.buoyancy(rate);
  const auto speed = [&](double z) { return -(plume_flow(c, b, z) + rate) / area; };
  double z = (1.0 - 1e-3) * height;
  constexpr int steps = 2000;
  const double h = t / steps;
  for (int k = 0; k < steps; ++k) {
    const double k1 = speed(z), k2 = speed(z + 0.5 * h * k1), k3 = speed(z + 0.5 * h * k2), k4 = speed(z + h * k3);
    z += h / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
  }
  const auto result = run(room.build.site, t);
  ASSERT_EQ(result.layers.size(), 1u);
  EXPECT_NEAR(result.layers[0].interface_height / z, 1.0, 1e-6);
  EXPECT_NEAR(result.layers[0].lower[0], 0.0, 1e-12);
  const double depth = height - result.layers[0].interface_height;
  EXPECT_NEAR(result.layers[0].upper[0] * area * depth / (rate * t), 1.0, 1e-9);
  EXPECT_LT(result.balance[0].relative_error(), 1e-9);
}

TEST(LayeredRoom, SteadyInterfaceMatchesTheTheory) {
  cite("Interface height of a layer at steady state",
       "P. F. Linden, G. F. Lane-Serff and D. A. Smeed, J. Fluid Mech. 212 (1990) 309 (from memory): the interface at "
       "steady state, A*/H^2 = C^(3/2) (xi^5/(1 - xi))^(1/2), over two decades of A*/H^2 and for any strength of the "
       "plume. The theory neglects the released volume and the lower density of the layer.");
  for (const double opening : {1e-3, 3e-3, 1e-2, 3e-2, 1e-1}) {  // A*/H^2
    const double expected = steady_interface(opening, plume_constant());
    for (const double rate : {2e-6, 1e-5}) {
      Room room(0.002016, rate);
      const double each = opening * height * height;  // two equal openings: A* is the effective area of either
      room.opening("low", each, 0.0);
      room.opening("high", each, height);
      const auto result = steady_state(room.build.site);
      ASSERT_EQ(result.layers.size(), 1u);
      expect_within(result.layers[0].interface_height / height, expected, 0.2)
          << "interface height over room height, A*/H^2 = " << opening << ", " << rate * 6e4 << " L/min";
    }
  }
}

// The plume dilutes the gas to x = Q_0/(Q_p(z) + Q_0) in the steady layer.
TEST(LayeredRoom, SteadyLayerHasTheFractionOfItsPlume) {
  const double rate = 1e-4;
  Room room(0.002016, rate);
  room.opening("low", 0.03, 0.0);
  room.opening("high", 0.03, height);
  const auto result = steady_state(room.build.site);
  ASSERT_EQ(result.layers.size(), 1u);
  const double z = result.layers[0].interface_height;
  const double brought = plume_flow(plume_constant(), room.buoyancy(rate), z);
  EXPECT_NEAR(result.layers[0].upper[0], rate / (brought + rate), 1e-9);
  EXPECT_NEAR(result.layers[0].lower[0], 0.0, 1e-9);
  // Under the ceiling: half of what the plume would bring there over the whole height.
  const double there = undiluted(rate, plume_flow(plume_constant(), room.buoyancy(rate), height));
  const double share = 1.0 - z / height, x = result.layers[0].upper[0];
  // The ambient layer holds nothing: the parabola of the layer of gas ends a twentieth of the height below it.
  const double bend = share / 6.0 / (share / 3.0 + 0.5 * 0.05) * (1.0 - x);
  EXPECT_NEAR(result.layers[0].far_end[0], x * (1.0 + bend - 0.5 * there) + 0.5 * there, 1e-9);
  EXPECT_EQ(result.fractions(room.space, 0), result.layers[0].far_end[0]);
}

// The transient run approaches the same steady state.
TEST(LayeredRoom, TransientRunApproachesTheSteadyState) {
  Room room(0.002016, 1e-4);
  room.opening("low", 0.02, 0.0);
  room.opening("high", 0.02, height);
  const auto rest = steady_state(room.build.site);
  const auto end = run(room.build.site, 6.0 * 3600.0);
  ASSERT_EQ(end.layers.size(), 1u);
  EXPECT_NEAR(end.layers[0].interface_height, rest.layers[0].interface_height, 1e-6);
  EXPECT_NEAR(end.layers[0].upper[0] / rest.layers[0].upper[0], 1.0, 1e-6);
  EXPECT_LT(end.balance[0].relative_error(), 1e-9);
}

// The release is over, nothing moves, and gas is everywhere: the difference of the layers falls exponentially, by
// 3 D S/H (1/V + 1/V').
TEST(LayeredRoom, DiffusionEvensOutLayersAtItsRate) {
  const double rate = 1e-4, stop = 600.0, later = 3600.0;
  Room room(0.002016, rate);
  room.build.site.gases[0].substance.diffusivity_in_air = Sourced{7.5e-5, "test", false};
  std::get<SteadyRelease>(room.build.site.releases[0].kind).duration = stop;
  const double spread = 8.0 * 3600.0;
  const auto a = run(room.build.site, stop + spread), b = run(room.build.site, stop + spread + later);
  ASSERT_EQ(b.layers.size(), 1u);
  const LayerState &first = a.layers[0], &last = b.layers[0];
  EXPECT_NEAR(first.interface_height, last.interface_height, 1e-9);
  const double each_way =
      layer_exchange(diffusivity_at(7.5e-5, 293.15, standard_atmosphere), area, height, 0.5, 1.0, 1.0);
  const double z = first.interface_height, pace = each_way / area * (1.0 / z + 1.0 / (height - z));
  const double before = first.upper[0] - first.lower[0], after = last.upper[0] - last.lower[0];
  EXPECT_GT(after, 0.0);
  EXPECT_NEAR(after / (before * std::exp(-pace * later)), 1.0, 1e-6);
  EXPECT_LT(b.balance[0].relative_error(), 1e-9);
}

// Heavy gas is the mirror image of light gas: the same density difference from air, released from the ceiling
// downwards, in a room whose flows do not depend on density.
TEST(LayeredRoom, HeavyGasIsTheMirrorImageOfLightGas) {
  const double rate = 5e-5, t = 1200.0;
  Room light(0.6 * molar_mass_of_air, rate, 0.2), heavy(1.4 * molar_mass_of_air, rate, height - 0.2);
  const auto a = run(light.build.site, t), b = run(heavy.build.site, t);
  ASSERT_EQ(a.layers.size(), 1u);
  ASSERT_EQ(b.layers.size(), 1u);
  EXPECT_FALSE(b.layers[0].gas_above);
  EXPECT_NEAR(height - a.layers[0].interface_height, b.layers[0].interface_height, 1e-12 * height);
  EXPECT_NEAR(a.layers[0].upper[0], b.layers[0].lower[0], 1e-12);
}

// When the interface crosses a doorway, the layer flows out above it and air flows in below. Gas reaches the next room
// only after the layer has descended to the lintel, at the time that the filling box predicts.
TEST(LayeredRoom, LayerSpillsUnderTheLintel) {
  const double rate = 2e-6;
  Room room(0.002016, rate);
  const auto next = room.build.space("next", 30.0);
  room.build.airway("door", Doorway{room.space, next, 0.9, 2.0, 0.0, 1.0, 0.6});
  room.build.airway("crack", Gap{next, std::nullopt, 2e-3, 0.65, 0.0, std::nullopt});
  const double c = plume_constant(), b = room.buoyancy(rate);
  const double inverse = 1.5 * area / (c * std::cbrt(b));
  const double when = inverse * (std::pow(2.0, -2.0 / 3.0) - std::pow(0.999 * height, -2.0 / 3.0));
  const auto before = run(room.build.site, 0.97 * when), after = run(room.build.site, 3.0 * when);
  EXPECT_LT(before.end(next, 0), 1e-12);
  EXPECT_GT(after.end(next, 0), 1e-7);
  EXPECT_LT(after.balance[0].relative_error(), 1e-9);
}

}  // namespace
