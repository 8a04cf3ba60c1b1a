// SPDX-License-Identifier: Apache-2.0
#include "hazard/assumptions.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>
#include <set>
#include <tuple>
#include <utility>

#include "hazard/facts.hpp"
#include "hazard/judge.hpp"

namespace leanside::hazard {
namespace {

using Kind = AssumptionKind;

void assume_layers(const Site& site, std::vector<Assumption>& out) {
  if (!has_layers(site)) return;
  std::set<double> entrainment;
  bool air_changes = false;
  for (const Space& space : site.spaces) {
    if (space.stratification == Stratification::mixed) continue;
    entrainment.insert(space.entrainment);
    air_changes = air_changes || space.air_changes > 0.0;
  }
  out.push_back({Kind::plumes_and_layers, {}, {}, {}, {}, {entrainment.begin(), entrainment.end()}});
  out.push_back({Kind::layers_of_airways});
  if (air_changes) out.push_back({Kind::layers_of_air_changes});
}

/// What every answer of this engine rests on.
void assume_always(const Site& site, const AssessOptions& options, std::vector<Assumption>& out) {
  const bool short_circuits =
      std::any_of(site.spaces.begin(), site.spaces.end(), [](const Space& space) { return space.mixing_factor > 1.0; });
  const bool driven = std::any_of(site.airways.begin(), site.airways.end(), follows_pressure);
  out.push_back({short_circuits     ? Kind::partial_mixing
                 : has_layers(site) ? Kind::even_mixing_beside_layers
                                    : Kind::even_mixing});
  out.push_back({driven ? Kind::driven_airflows : Kind::given_airflows});
  out.push_back({Kind::ideal_gases});
  if (options.steady_only) out.push_back({Kind::steady_only});
  assume_layers(site, out);
}

Assumption of_notice(const FlowNotice& notice) {
  if (notice.kind == FlowNotice::Kind::carries_nothing) return {Kind::doorway_carries_nothing, {}, {notice.airway}};
  return {
      Kind::air_against_name, {*notice.inside}, {notice.airway}, {}, {}, {notice.into ? notice.flow : -notice.flow}};
}

std::vector<Assumption> found_in(const Site& site, const CaseResult& result) {
  std::vector<Assumption> out = leaks_of(site, result.case_index, result.leaks, result.leaking);
  for (const AirwayIndex airway : result.overflowing) out.push_back({Kind::exchange_overflows, {}, {airway}});
  for (const AirwayIndex airway : result.off_curve) out.push_back({Kind::fan_off_curve, {}, {airway}});
  for (const Condensing& one : result.condensing) {
    out.push_back({Kind::condensation, {}, {}, {one.release}, {}, {one.share}});
  }
  for (Assumption& one : mist_of(site, result)) out.push_back(std::move(one));
  for (const FlowNotice& notice : result.air.notices) {
    // An imbalance is a leak already, and wind that acts on nothing changes nothing.
    const bool of_airway =
        notice.kind == FlowNotice::Kind::against_name || notice.kind == FlowNotice::Kind::carries_nothing;
    if (of_airway) out.push_back(of_notice(notice));
  }
  if (!result.unvented.empty()) out.push_back({Kind::unvented, result.unvented});
  return out;
}

/// The values by which two assumptions of the same kind and place are two. How much leaks the same way, and how much
/// vapour is mist, differs from case to case: such an assumption appears once, with the least and the most.
std::vector<double> told_apart_by(const Assumption& one) {
  if (one.kind == Kind::leak) return {one.values.front() < 0.0 ? -1.0 : 1.0};
  if (one.kind == Kind::mist) return {};
  return one.values;
}

/// Takes the values of the same assumption in another case into `all`.
void widen(const Assumption& one, Assumption& all) {
  if (one.kind == Kind::mist) {
    all.values[0] = std::max(all.values[0], one.values[0]);
    all.values[1] = std::min(all.values[1], one.values[1]);
  }
  if (one.kind != Kind::leak) return;
  all.values.push_back(one.values.front());
  std::sort(all.values.begin(), all.values.end(), [](double a, double b) { return std::abs(a) < std::abs(b); });
  if (all.values.size() == 3) all.values.erase(all.values.begin() + 1);
  if (all.values.front() == all.values.back()) all.values.pop_back();
}

}  // namespace

std::vector<Assumption> leaks_of(const Site& site, CaseIndex case_index, const std::vector<AssumedLeak>& leaks,
                                 const std::vector<AirwayIndex>& shut) {
  std::vector<Assumption> out;
  if (!leaks.empty()) {
    const VolumeFlows air{site, case_index};
    for (const AssumedLeak& leak : leaks) {
      Assumption one{Kind::leak, {leak.space}};
      if (leak.other) one.spaces.push_back(*leak.other);
      one.values.push_back(air.volume_flow(leak.rate, leak.rate < 0.0 ? Side{leak.space} : leak.other));
      out.push_back(std::move(one));
    }
  }
  for (const AirwayIndex airway : shut) out.push_back({Kind::shut_opening_leaks, {}, {airway}});
  return out;
}

std::vector<Assumption> assumptions_of(const Site& site, const AssessOptions& options, const Assessment& assessment) {
  std::vector<Assumption> out = site.assumptions;
  assume_always(site, options, out);
  using Key = std::tuple<Kind, std::vector<SpaceIndex>, std::vector<AirwayIndex>, std::vector<ReleaseIndex>,
                         std::vector<double>, std::vector<std::string>>;
  std::map<Key, std::size_t> known;
  for (const CaseResult& result : assessment.cases) {
    for (Assumption& one : found_in(site, result)) {
      const auto [entry, is_new] = known.try_emplace(
          {one.kind, one.spaces, one.airways, one.releases, told_apart_by(one), one.names}, out.size());
      if (is_new) {
        out.push_back(std::move(one));
      } else {
        widen(one, out[entry->second]);
      }
      std::vector<CaseIndex>& cases = out[entry->second].cases;
      if (cases.empty() || cases.back() != result.case_index) cases.push_back(result.case_index);
    }
  }
  return out;
}

std::vector<Assumption> standing_of(const std::vector<Assumption>& assumptions) {
  std::vector<Assumption> out;
  std::copy_if(assumptions.begin(), assumptions.end(), std::back_inserter(out),
               [](const Assumption& one) { return one.cases.empty(); });
  return out;
}

}  // namespace leanside::hazard
