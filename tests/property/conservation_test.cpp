// SPDX-License-Identifier: Apache-2.0
// Properties of every site: gas is conserved, fractions stay between 0 and 1, and causes add up to the total.
#include <numeric>

#include <gtest/gtest.h>

#include "property/draw.hpp"

namespace {

using leanside::CaseIndex;
using leanside::SpaceIndex;

RC_GTEST_PROP(EverySite, BalancesItsFlows, ()) {
  const auto site = property::draw_site();
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    for (const double t : {0.0, 0.31 * site.criteria.horizon, std::numeric_limits<double>::infinity()}) {
      const auto result = leanside::balance_flows(site, leanside::state_at(site, CaseIndex{c}, t));
      const auto* field = std::get_if<leanside::FlowField>(&result);
      if (!field) RC_FAIL(std::get<leanside::FlowFault>(result).message);
      std::vector<double> net = field->release;
      double largest = 0.0;
      for (const auto& flow : field->flows) {
        RC_ASSERT(flow.rate >= 0.0);
        RC_ASSERT(flow.from.has_value() || flow.to.has_value());
        largest = std::max(largest, flow.rate);
        if (flow.from) net[flow.from->value] -= flow.rate;
        if (flow.to) net[flow.to->value] += flow.rate;
      }
      for (std::size_t i = 0; i < net.size(); ++i) {
        RC_ASSERT(field->storage[i] >= 0.0);
        RC_ASSERT(std::abs(net[i] - field->storage[i]) <= 1e-12 * largest + 1e-18);
      }
    }
  }
}

RC_GTEST_PROP(EverySite, ConservesGas, ()) {
  const auto site = property::draw_site();
  double all_moles = 0.0;
  for (const auto& space : site.spaces) all_moles += leanside::moles_held(space, site.conditions);
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    const auto result = property::transient(site, CaseIndex{c}, leanside::gas_tracers(site));
    RC_ASSERT(result.balance.size() == site.gases.size());
    for (std::size_t k = 0; k < site.gases.size(); ++k) {
      const auto& balance = result.balance[k];
      const double entered = balance.initial + balance.released;  // for traces, the tolerance of fractions applies
      RC_ASSERT(balance.relative_error() * entered <= 1e-9 * entered + 1e-12 * all_moles);
      // The released amount must equal the emission of this gas within the horizon, counted here.
      double released = 0.0;
      for (std::size_t r = 0; r < site.releases.size(); ++r) {
        double share = 0.0;
        for (const auto& part : site.releases[r].gas.shares) share += part.gas.value == k ? part.fraction : 0.0;
        for (const auto& span : leanside::emission(site.releases[r], leanside::ReleaseIndex{r}, site.cases[c].events)) {
          const double end = std::min(span.end, site.criteria.horizon);
          if (end > span.begin) released += share * span.rate * (end - span.begin);
        }
      }
      RC_ASSERT(property::agree(balance.released, released));
      // The held amount must follow from the final fractions.
      double held = 0.0;
      for (std::size_t i = 0; i < site.spaces.size(); ++i) {
        double moles = leanside::moles_held(site.spaces[i], site.conditions);
        for (const auto& pressure : result.pressures) {
          if (pressure.space == SpaceIndex{i}) moles *= pressure.final_factor;
        }
        held += moles * result.end(SpaceIndex{i}, k);
      }
      RC_ASSERT(property::agree(balance.held, held));
    }
  }
}

RC_GTEST_PROP(EverySite, KeepsFractionsBetweenZeroAndOne, ()) {
  const auto site = property::draw_site();
  const auto gases = site.gases.size();
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    double least = 0.0, most = 0.0;
    property::transient(site, CaseIndex{c}, leanside::gas_tracers(site), [&](const leanside::DensePiece& piece) {
      const std::size_t width = leanside::dense_degree + 1;
      for (const double s : {0.0, 0.03, 0.2, 0.5, 0.8, 0.97, 1.0}) {
        double sum = 0.0;
        for (std::size_t k = 0; k < gases; ++k) {
          const double x = leanside::bernstein_value(piece.coefficients.subspan(k * width, width), s);
          least = std::min(least, x);
          sum += x;
        }
        most = std::max(most, sum);
      }
    });
    RC_ASSERT(least >= -1e-15);
    RC_ASSERT(most <= 1.0 + 1e-9);
    const auto final = property::steady_state(site, CaseIndex{c}, leanside::gas_tracers(site));
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      if (!final.reached[i]) continue;
      const auto x = final.fractions.of(SpaceIndex{i});
      for (const double value : x) RC_ASSERT(value >= -1e-15);
      RC_ASSERT(std::accumulate(x.begin(), x.end(), 0.0) <= 1.0 + 1e-9);
    }
  }
}

RC_GTEST_PROP(EverySite, AttributesAllGasToItsCauses, ()) {
  const auto site = property::draw_site();
  const auto causes = leanside::cause_tracers(site);
  RC_ASSERT(causes.tracers.size() == site.releases.size() + causes.initial_of.size());
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    const auto whole = property::transient(site, CaseIndex{c}, leanside::gas_tracers(site)).end;
    const auto parts = property::transient(site, CaseIndex{c}, causes.tracers).end;
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
        RC_ASSERT(property::agree(sum, whole(SpaceIndex{i}, k)));
      }
    }
  }
}

RC_GTEST_PROP(EveryWarning, HasCausesThatAddUpToTheTotal, ()) {
  const auto result = property::assessment(property::draw_site());
  for (const auto& warning : result.warnings) {
    if (warning.storage) continue;  // storage warnings are not about released gas
    RC_ASSERT(!warning.causes.empty());
    double sum = 0.0, before = 1.0;
    for (const auto& cause : warning.causes) {
      RC_ASSERT(cause.share >= -1e-12);
      RC_ASSERT(cause.share <= before + 1e-12);  // the largest first
      before = cause.share;
      sum += cause.share;
    }
    RC_ASSERT(std::abs(sum - 1.0) < 1e-6);
  }
}

}  // namespace
