// SPDX-License-Identifier: Apache-2.0
/// The course of a gas over the height of a layered room: it keeps the amounts, is continuous, and never more than all.
#include <cmath>

#include <gtest/gtest.h>

#include "leanside/advanced/plumes.hpp"

namespace leanside {
namespace {

/// A room with one gas, as the functions want it.
struct Layers {
  double gas, ambient, share, brought;
  double far() const {
    const FarEnd end = far_end(share, gas, ambient, brought);
    return end.layer * gas + end.release;
  }
  double at(double height) const {
    return fraction_at(gas, ambient, far(), far_end_bend(share, gas, ambient, gas), share, height);
  }
  double mean(double from, double to) const {
    constexpr int steps = 20000;
    double sum = 0.0;
    for (int k = 0; k < steps; ++k) sum += at(from + (to - from) * (k + 0.5) / steps);
    return sum / steps;
  }
};

TEST(LayerProfile, KeepsTheAmounts) {
  for (const Layers& room : {Layers{0.3, 0.2, 0.4, 0.05}, Layers{0.05, 0.001, 0.2, 0.0}, Layers{0.05, 0.0, 0.2, 0.1},
                             Layers{0.4, 0.39, 0.9, 0.3}, Layers{0.01, 0.02, 0.5, 0.0}}) {
    const double edge = 1.0 - room.share;
    EXPECT_NEAR(room.mean(edge, 1.0), room.gas, 1e-7);
    EXPECT_NEAR(room.mean(0.0, edge), room.ambient, 1e-6 * room.gas + 1e-9);
    EXPECT_NEAR(room.at(1.0), room.far(), 1e-15);
  }
}

// With little gas and no plume, value and slope agree at the interface.
TEST(LayerProfile, IsSmoothAtTheInterface) {
  const Layers room{3e-6, 2e-6, 0.4, 0.0};
  constexpr double edge = 0.6, by = 1e-7;
  EXPECT_NEAR(room.at(edge - by) / room.at(edge + by), 1.0, 1e-5);
  const double below = (room.at(edge - by) - room.at(edge - 2.0 * by)) / by;
  const double above = (room.at(edge + 2.0 * by) - room.at(edge + by)) / by;
  EXPECT_NEAR(below / above, 1.0, 1e-3);
  EXPECT_NEAR(below, 3.0 * (room.gas - room.ambient), 1e-3 * below);
}

// Where gas has not got through the ambient layer yet: the two means give the reach, and from it the slope.
TEST(LayerProfile, EndsWhereTheGasHasGotTo) {
  for (const double share : {1e-3, 0.1, 0.4}) {
    for (const double reach : {0.06, 0.2, 0.5}) {
      const double slope = 0.02, gas = slope * (share / 3.0 + reach / 2.0);
      const double ambient = slope * reach * reach / 6.0 / (1.0 - share);
      EXPECT_NEAR(interface_slope(share, gas, ambient) / slope, 1.0, 1e-12) << share << " " << reach;
    }
  }
  EXPECT_NEAR(interface_slope(0.3, 0.05, 0.0), 0.05 / (0.1 + 0.025), 1e-15);
  EXPECT_NEAR(interface_slope(0.98, 0.05, 0.0), 0.05 / (0.98 / 3.0 + 0.01), 1e-15);
  EXPECT_EQ(interface_slope(0.3, 0.05, 0.06), 0.0);
}

TEST(LayerProfile, SlopeHasNoStepWhereTheGasReachesTheFarEnd) {
  constexpr double share = 0.3, slope = 0.02, deep = 1.0 - share;
  const double gas = slope * (share / 3.0 + deep / 2.0), ambient = slope * deep / 6.0;
  EXPECT_NEAR(interface_slope(share, gas, ambient * (1.0 - 1e-9)), slope, 1e-9);
  EXPECT_NEAR(interface_slope(share, gas, ambient * (1.0 + 1e-9)), slope, 1e-9);
  EXPECT_NEAR(interface_slope(share, gas, ambient), 3.0 * (gas - ambient), 1e-9);
}

TEST(LayerProfile, IsNeverMoreThanAllOrLessThanNothing) {
  for (double gas = 0.0; gas <= 1.0; gas += 0.05) {
    for (double ambient = 0.0; ambient <= 1.0; ambient += 0.1) {
      for (const double share : {1e-3, 0.3, 0.999}) {
        for (const double brought : {0.0, 0.5, 1.0}) {
          const Layers room{gas, ambient, share, brought};
          EXPECT_LE(room.far(), 1.0 + 1e-12);
          EXPECT_GE(room.far(), 0.0);
        }
      }
    }
  }
}

TEST(LayerProfile, IsRicherAtTheFarEndWhereMoreIsReleased) {
  double before = 0.0;
  for (const double rate : {1e-6, 1e-5, 1e-4, 1e-3, 1e-2}) {
    const double drawn = plume_flow(plume_constant(), buoyancy_flux(1.2, 0.084, rate), 2.0);
    const Layers room{undiluted(rate, drawn), 0.0, 0.3, undiluted(rate, drawn)};
    EXPECT_GT(room.far(), before);
    before = room.far();
  }
}

}  // namespace
}  // namespace leanside
