// SPDX-License-Identifier: Apache-2.0
// Properties of every site with releases whose rate varies.
#include <numeric>

#include <gtest/gtest.h>

#include "property/draw.hpp"

namespace {

using leanside::CaseIndex;
using leanside::ReleaseIndex;
using leanside::SpaceIndex;

/// A random site in which some releases are cylinders, spills and first-order reactions of similar size.
leanside::Site draw_varying() {
  auto site = property::draw_site(6);
  for (auto& release : site.releases) {
    const bool junction = site.spaces[release.into.value].kind == leanside::SpaceKind::junction;
    const double moles = 0.3 * leanside::moles_held(site.spaces[release.into.value], site.conditions) + 1e-4;
    const double horizon = site.criteria.horizon;
    const auto kind = *rc::gen::inRange(0, 4);
    if (kind == 1) {
      leanside::CylinderRelease cylinder;
      cylinder.water_volume = moles * 8.314 * 293.15 / (1e7 - 101325.0);
      cylinder.pressure = 1e7;
      cylinder.hole = {std::cbrt(cylinder.water_volume) * 1e-3, 0.8};
      release.kind = cylinder;
    } else if (kind == 2) {
      leanside::ReactionRelease reaction;
      reaction.amount = moles;
      reaction.half_time = 0.05 * horizon;
      release.kind = reaction;
    } else if (kind == 3 && !junction && !release.gas.shares.empty()) {
      release.gas.shares = {{release.gas.shares.front().gas, 1.0}};
      leanside::SpillRelease spill;
      spill.amount = moles;
      spill.pool = {1.0, 1.0, 2.5e4, 293.15};
      spill.pool.transfer = 4.0 * moles / horizon / leanside::evaporation_rate(spill.pool, 0.0);
      release.kind = spill;
    }
  }
  return site;
}

RC_GTEST_PROP(VaryingReleases, ConserveGasAndKeepFractionsBetweenZeroAndOne, ()) {
  const auto site = draw_varying();
  double all_moles = 0.0;
  for (const auto& space : site.spaces) all_moles += leanside::moles_held(space, site.conditions);
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    double least = 0.0, most = 0.0;
    const auto observe = [&](const leanside::DensePiece& piece) {
      double sum = 0.0;
      for (std::size_t k = 0; k < site.gases.size(); ++k) {
        const double x = leanside::bernstein_value(
            piece.coefficients.subspan(k * (leanside::dense_degree + 1), leanside::dense_degree + 1), 1.0);
        least = std::min(least, x);
        sum += x;
      }
      most = std::max(most, sum);
    };
    const auto result = property::transient(site, CaseIndex{c}, leanside::gas_tracers(site), observe);
    RC_ASSERT(least >= -1e-7);
    RC_ASSERT(most <= 1.0 + 1e-7);
    for (const auto& balance : result.balance) {
      const double entered = balance.initial + balance.released;
      RC_ASSERT(balance.relative_error() * entered <= 1e-9 * entered + 1e-12 * all_moles);
    }
    for (std::size_t r = 0; r < site.releases.size(); ++r) {
      const double stock = leanside::total_amount(site.releases[r]);
      RC_ASSERT(result.releases[r].amount >= 0.0);
      RC_ASSERT(result.releases[r].amount <= stock * (1.0 + 1e-9));
      if (result.releases[r].spent) RC_ASSERT(property::agree(result.releases[r].amount, stock));
    }
  }
}

RC_GTEST_PROP(VaryingReleases, AttributeAllGasToTheirCauses, ()) {
  const auto site = draw_varying();
  const auto causes = leanside::cause_tracers(site);
  const auto whole = property::transient(site, CaseIndex{0}, leanside::gas_tracers(site)).end;
  const auto parts = property::transient(site, CaseIndex{0}, causes.tracers).end;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    for (std::size_t k = 0; k < site.gases.size(); ++k) {
      double sum = 0.0;
      const auto add = [&](const std::vector<leanside::GasShare>& shares, std::size_t column) {
        for (const auto& share : shares) {
          if (share.gas.value == k) sum += share.fraction * parts(SpaceIndex{i}, column);
        }
      };
      for (std::size_t r = 0; r < site.releases.size(); ++r) add(site.releases[r].gas.shares, r);
      for (std::size_t s = 0; s < causes.initial_of.size(); ++s) {
        add(site.spaces[causes.initial_of[s].value].initial, site.releases.size() + s);
      }
      const double found = whole(SpaceIndex{i}, k);
      RC_ASSERT(std::abs(sum - found) <= 1e-6 * std::max(std::abs(sum), std::abs(found)) + 1e-10);
    }
  }
}

}  // namespace
