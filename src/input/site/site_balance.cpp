// SPDX-License-Identifier: Apache-2.0
/// balance = "fit": measured flows that do not add up, changed by least squares until they do.
#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include <fmt/format.h>

#include "base/graph/graph.hpp"
#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

/// One given flow that may be changed.
struct Flow {
  AirwayIndex airway;
  double given = 0.0;      ///< m3/s
  double weight = 0.0;     ///< 1/K: flows are balanced in mol, and that is per volume what the air is colder
  int from = -1, to = -1;  ///< the groups that have to balance; -1: outside, or a group that does not
};

/// Groups of spaces that openings of any kind join, -1 where they lead outside: those balance by themselves.
std::vector<int> closed_groups(const Site& site) {
  std::vector<network::Edge> edges;
  std::vector<std::size_t> outlets;
  for (const Airway& airway : site.airways) {
    const bool given = std::holds_alternative<Exchange>(airway.kind) ||
                       (std::holds_alternative<Fan>(airway.kind) && !follows_pressure(airway));
    if (!airway.on || given) continue;
    const Side a = first_side(airway), b = second_side(airway);
    if (a && b) {
      edges.push_back({static_cast<int>(a->value), static_cast<int>(b->value)});
    } else {
      outlets.push_back(a ? a->value : b->value);
    }
  }
  auto parts = network::connected_parts(static_cast<int>(site.spaces.size()), edges);
  std::vector<bool> open(static_cast<std::size_t>(parts.count), false);
  for (const std::size_t space : outlets) open[static_cast<std::size_t>(parts.part_of[space])] = true;
  std::vector<int> out;
  for (const int part : parts.part_of) out.push_back(open[static_cast<std::size_t>(part)] ? -1 : part);
  return out;
}

std::vector<Flow> given_flows(const Site& site, const std::vector<int>& group) {
  std::vector<Flow> out;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const auto* fan = std::get_if<Fan>(&site.airways[i].kind);
    if (!fan || !fan->curve.empty() || !site.airways[i].on || !(fan->flow > 0.0)) continue;
    const double temperature =
        fan->from ? site.spaces[fan->from->value].temperature : site.conditions.outside_temperature;
    const auto group_of = [&](const Side& side) { return side ? group[side->value] : -1; };
    out.push_back({AirwayIndex{i}, fan->flow, 1.0 / temperature, group_of(fan->from), group_of(fan->to)});
  }
  return out;
}

double dot(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i) sum += a[i] * b[i];
  return sum;
}

/// What the groups gain by the flows: A q.
std::vector<double> gains(const std::vector<Flow>& flows, const std::vector<double>& q, std::size_t groups) {
  std::vector<double> out(groups, 0.0);
  for (std::size_t k = 0; k < flows.size(); ++k) {
    const Flow& flow = flows[k];
    if (flow.from >= 0) out[static_cast<std::size_t>(flow.from)] -= flow.weight * q[k];
    if (flow.to >= 0) out[static_cast<std::size_t>(flow.to)] += flow.weight * q[k];
  }
  return out;
}

/// W A' lambda, with W the squares of the given flows.
std::vector<double> steps(const std::vector<Flow>& flows, const std::vector<double>& lambda) {
  std::vector<double> out;
  for (const Flow& flow : flows) {
    double sum = 0.0;
    if (flow.from >= 0) sum -= flow.weight * lambda[static_cast<std::size_t>(flow.from)];
    if (flow.to >= 0) sum += flow.weight * lambda[static_cast<std::size_t>(flow.to)];
    out.push_back(flow.given * flow.given * sum);
  }
  return out;
}

/// Flows with A q = 0 of which the sum of ((q - given)/given)^2 is least: q = given - W A' l with A W A' l = A given,
/// by conjugate gradients. That system has a solution even where its matrix is singular, since A given lies in the
/// range of A W.
std::vector<double> fitted_flows(const std::vector<Flow>& flows, std::size_t groups) {
  constexpr double enough = 1e-13;
  std::vector<double> q;
  for (const Flow& flow : flows) q.push_back(flow.given);
  std::vector<double> lambda(groups, 0.0), residual = gains(flows, q, groups), direction = residual;
  double left = dot(residual, residual);
  const double first = left;
  for (std::size_t n = 0; n < 20 * groups + 20 && left > enough * enough * first && left > 0.0; ++n) {
    const auto product = gains(flows, steps(flows, direction), groups);
    const double curvature = dot(direction, product);
    if (!(curvature > 0.0)) break;
    const double length = left / curvature;
    for (std::size_t i = 0; i < groups; ++i) {
      lambda[i] += length * direction[i];
      residual[i] -= length * product[i];
    }
    const double now = dot(residual, residual);
    for (std::size_t i = 0; i < groups; ++i) direction[i] = residual[i] + now / left * direction[i];
    left = now;
  }
  const auto change = steps(flows, lambda);
  for (std::size_t k = 0; k < q.size(); ++k) q[k] -= change[k];
  return q;
}

/// The flows that would have to change by more than is allowed, the largest change first.
void refuse(const std::vector<Flow>& flows, const std::vector<double>& q, Draft& draft) {
  std::vector<std::size_t> over;
  const auto change = [&](std::size_t k) { return std::abs(q[k] / flows[k].given - 1.0); };
  for (std::size_t k = 0; k < flows.size(); ++k) {
    if (change(k) > *draft.fit_within) over.push_back(k);
  }
  std::ranges::sort(over, [&](std::size_t a, std::size_t b) { return change(a) > change(b); });
  for (const std::size_t k : over) {
    const Airway& airway = draft.site.airways[flows[k].airway.value];
    draft.faults.error(
        airway.place,
        fmt::format("airway {}: balance = \"fit\" would have to change its flow from {} to {}, by {} and more than "
                    "'balance_within' ({}). Measure again, or give the rooms at its two ends the opening through which "
                    "the difference goes",
                    shown(airway.id), draft.faults.amount(flows[k].given, "m3/h"),
                    draft.faults.amount(std::max(q[k], 0.0), "m3/h"), format_quantity(change(k), "%", 2),
                    format_quantity(*draft.fit_within, "%")));
  }
}

}  // namespace

void fit_flows(Draft& draft) {
  if (!draft.fit_within || draft.faults.any_error()) return;
  Site& site = draft.site;
  const auto flows = given_flows(site, closed_groups(site));
  const auto q = fitted_flows(flows, site.spaces.size());
  constexpr double round_off = 1e-9;
  refuse(flows, q, draft);
  for (std::size_t k = 0; k < flows.size(); ++k) {
    if (std::abs(q[k] / flows[k].given - 1.0) <= round_off) continue;
    std::get<Fan>(site.airways[flows[k].airway.value].kind).flow = q[k];
    draft.fitted.push_back({AssumptionKind::fitted_flow, {}, {flows[k].airway}, {}, {}, {flows[k].given, q[k]}});
  }
}

}  // namespace leanside::input
