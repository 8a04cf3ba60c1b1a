// SPDX-License-Identifier: Apache-2.0
#include "airflow/pressure.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>

#include "base/linalg/worse.hpp"
#include "base/units/overloaded.hpp"

namespace leanside::airflow {
namespace {

/// Largest imbalance of a node, over what passes through it, at which the pressures count as found.
constexpr double good_balance = 1e-12;
/// The same where round-off lets it come no nearer.
constexpr double fair_balance = 1e-10;
constexpr int most_iterations = 400;
/// After so many, no step may pass the bottom along its direction.
constexpr int bold_iterations = 40;
/// A step that brings the imbalance down to this share of it was made with a Jacobian good enough for the next.
constexpr double kept_contraction = 0.2;

std::vector<linalg::Conductance> links_of(std::span<const DrivenOpening> openings) {
  std::vector<linalg::Conductance> links;
  links.reserve(openings.size());
  for (const DrivenOpening& opening : openings) {
    const bool swap = opening.first.node == linalg::Conductance::ground;
    links.push_back(swap ? linalg::Conductance{opening.second.node, opening.first.node}
                         : linalg::Conductance{opening.first.node, opening.second.node});
  }
  return links;
}

OpeningFlow one_way_or_other(const DrivenOpening& opening, double volume_flow, double slope, double dp) {
  OpeningFlow flow;
  flow.pressure_difference = dp;
  const double molar_volume = volume_flow >= 0.0 ? opening.first.molar_volume : opening.second.molar_volume;
  (volume_flow >= 0.0 ? flow.forward : flow.backward) = std::abs(volume_flow) / molar_volume;
  flow.slope = slope / molar_volume;
  return flow;
}

/// Pa: the largest of the pressures at an opening, over outside air, that its pressure difference is the sum of.
double head_at(const DrivenOpening& opening) {
  const auto larger = [&](double z) {
    return std::max(std::abs(opening.first.over_at(z)), std::abs(opening.second.over_at(z)));
  };
  return std::visit(
      Overloaded{
          [&](const DoorwayShape& door) { return std::max(larger(door.sill), larger(door.sill + door.height)); },
          [&](const auto& shape) { return larger(shape.z); },
      },
      opening.shape);
}

}  // namespace

OpeningFlow flow_through(const DrivenOpening& opening, double dp) {
  const SideState &a = opening.first, &b = opening.second;
  const auto at = [&](double z) { return dp + a.over_at(z) - b.over_at(z); };
  return std::visit(Overloaded{
                        [&](const GapShape& gap) {
                          const Flow flow = gap_flow(gap.leakage_area, gap.exponent, at(gap.z), a.density, b.density);
                          return one_way_or_other(opening, flow.value, flow.slope, at(gap.z));
                        },
                        [&](const DoorwayShape& door) {
                          const TwoWayFlow both = doorway_flow(door.width, door.height, door.discharge, at(door.sill),
                                                               at(door.sill + door.height), a.density, b.density);
                          return OpeningFlow{both.forward.value / a.molar_volume, both.backward.value / b.molar_volume,
                                             both.forward.slope / a.molar_volume - both.backward.slope / b.molar_volume,
                                             at(door.sill + 0.5 * door.height)};
                        },
                        [&](const CurveShape& fan) {
                          const Flow flow = curve_flow(fan.curve, -at(fan.z));
                          return OpeningFlow{flow.value / a.molar_volume, 0.0, -flow.slope / a.molar_volume, at(fan.z)};
                        },
                    },
                    opening.shape);
}

PressureSolver::PressureSolver(int nodes, std::span<const DrivenOpening> openings)
    : nodes_{nodes},
      jacobian_{nodes, links_of(openings)},
      net_(static_cast<std::size_t>(nodes)),
      through_(static_cast<std::size_t>(nodes)),
      slope_(openings.size()),
      head_(openings.size()),
      step_(static_cast<std::size_t>(nodes)),
      trial_(static_cast<std::size_t>(nodes)) {}

/// What each node gets more than it passes on, and the worst of it over what passes. What a pressure or a head rounded
/// to the last digit carries is no imbalance: it counts as passing. (Rooms whose gas draws level through a doorway come
/// to this: their heads differ by less than the last digit of each.)
double PressureSolver::residual(std::span<const DrivenOpening> openings, std::span<const double> injection,
                                std::span<const double> pressure) {
  std::copy(injection.begin(), injection.end(), net_.begin());
  double highest = 0.0;
  for (std::size_t i = 0; i < net_.size(); ++i) {
    through_[i] = std::abs(injection[i]);
    highest = std::max(highest, std::abs(pressure[i]));
  }
  constexpr double last_digits = 1e-15;
  const auto pressure_of = [&](int node) { return node < 0 ? 0.0 : pressure[static_cast<std::size_t>(node)]; };
  for (std::size_t k = 0; k < openings.size(); ++k) {
    const int a = openings[k].first.node, b = openings[k].second.node;
    const OpeningFlow flow = flow_through(openings[k], pressure_of(a) - pressure_of(b));
    slope_[k] = flow.slope;
    const double net = flow.forward - flow.backward;
    const double rounded = last_digits / good_balance * std::max(highest, head_[k]);
    const double passing = flow.forward + flow.backward + rounded * flow.slope;
    if (a >= 0) {
      net_[static_cast<std::size_t>(a)] -= net;
      through_[static_cast<std::size_t>(a)] += passing;
    }
    if (b >= 0) {
      net_[static_cast<std::size_t>(b)] += net;
      through_[static_cast<std::size_t>(b)] += passing;
    }
  }
  double worst = 0.0;
  for (std::size_t i = 0; i < net_.size(); ++i) {
    if (net_[i] != 0.0) worst = linalg::worse(worst, std::abs(net_[i]) / through_[i]);
  }
  return worst;
}

bool PressureSolver::factorise() {
  // A one-way fan at the end of its curve has no slope: a trace of conductance keeps the matrix definite.
  const double largest = *std::max_element(slope_.begin(), slope_.end());
  for (double& slope : slope_) slope = std::max(slope, 1e-15 * largest);
  ++factorisations_;
  kept_slope_ = slope_;
  return jacobian_.factorise(slope_);
}

// The net flows are the gradient of a convex function of the pressures (each grows with its own pressure difference),
// so that Newton's direction always descends, and so does that of an older Jacobian, which is definite too; the step is
// shortened where it goes too far past the bottom along it. A step that stops short of it is a good one: near nothing
// the flows are steep, and the first steps are small. A Jacobian is kept as long as it brings the balance down fast.
std::optional<int> PressureSolver::solve(std::span<const DrivenOpening> openings, std::span<const double> injection,
                                         std::span<double> pressure) {
  assert(pressure.size() == net_.size() && injection.size() == net_.size() && openings.size() == slope_.size());
  factorisations_ = 0;
  if (nodes_ == 0) return std::nullopt;
  std::transform(openings.begin(), openings.end(), head_.begin(), head_at);
  double worst = residual(openings, injection, pressure);
  int stalled = 0;
  bool factorised = false;
  for (iterations_ = 0; iterations_ < most_iterations && worst > good_balance && stalled < 4; ++iterations_) {
    if (!factorised && !factorise()) break;
    step_ = net_;
    jacobian_.solve(step_);
    const auto along = [&] {
      double sum = 0.0;
      for (std::size_t i = 0; i < step_.size(); ++i) sum += net_[i] * step_[i];
      return sum;
    };
    const double descent = along();
    const double previous = worst;
    double length = 1.0;
    // A fan that stops within a pascal makes longer steps swing about the bottom: then none passes it.
    const double too_far = iterations_ < bold_iterations ? 0.9 : 0.0;
    for (int shorten = 0; shorten < 60; ++shorten) {
      for (std::size_t i = 0; i < trial_.size(); ++i) trial_[i] = pressure[i] + length * step_[i];
      worst = residual(openings, injection, trial_);
      if (along() >= -too_far * descent || worst <= good_balance) break;
      length *= 0.5;
    }
    std::copy(trial_.begin(), trial_.end(), pressure.begin());
    factorised = worst <= kept_contraction * previous;
    stalled = worst <= fair_balance && worst > 0.5 * previous ? stalled + 1 : 0;
  }
  if (worst <= fair_balance) {
    step_ = net_;
    if (factorised || factorise()) {
      jacobian_.solve(step_);
    } else {
      std::fill(step_.begin(), step_.end(), 0.0);
    }
    return std::nullopt;
  }
  std::size_t node = 0;
  for (std::size_t i = 1; i < net_.size(); ++i) {
    if (std::abs(net_[i]) * through_[node] > std::abs(net_[node]) * through_[i]) node = i;
  }
  return static_cast<int>(node);
}

}  // namespace leanside::airflow
