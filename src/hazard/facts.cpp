// SPDX-License-Identifier: Apache-2.0
#include "hazard/facts.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <iterator>
#include <string_view>
#include <utility>

namespace leanside {

std::string_view word_of(FlowNotice::Kind kind) {
  switch (kind) {
    case FlowNotice::Kind::against_name:
      return "against-name";
    case FlowNotice::Kind::carries_nothing:
      return "carries-nothing";
    case FlowNotice::Kind::imbalance:
      return "imbalance";
    case FlowNotice::Kind::wind_without_effect:
      break;
  }
  return "wind-without-effect";
}

namespace hazard {
namespace {

int danger(MixtureState state) {
  switch (state) {
    case MixtureState::flammable:
      return 5;
    case MixtureState::rich:
      return 4;
    case MixtureState::inerted:
      return 3;
    case MixtureState::margin:
      return 2;
    case MixtureState::note:
      return 1;
    case MixtureState::clear:
      break;
  }
  return 0;
}

/// Words in the id of an airway that say which way air is meant to go through it.
enum class Purpose { none, inward, outward };

Purpose purpose_of(std::string_view id) {
  constexpr std::array<std::string_view, 4> inward{"supply", "intake", "inlet", "fresh"};
  constexpr std::array<std::string_view, 4> outward{"extract", "exhaust", "outlet", "extraction"};
  Purpose purpose = Purpose::none;
  std::string word;
  const auto close = [&] {
    const bool in = std::find(inward.begin(), inward.end(), word) != inward.end();
    const bool out = std::find(outward.begin(), outward.end(), word) != outward.end();
    // A name that says both ("supply-and-extract") says nothing.
    if (in || out) {
      const Purpose said = in ? Purpose::inward : Purpose::outward;
      purpose = purpose == Purpose::none || purpose == said ? said : Purpose::none;
    }
    word.clear();
  };
  for (const char c : id) {
    if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
      word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    } else {
      close();
    }
  }
  close();
  return purpose;
}

/// m3/s, of `rate` mol/s at the temperature of where it comes from.
double volume_flow(const Site& site, const SiteState& state, double rate, const Side& from) {
  const double temperature = from ? state.temperature[from->value] : site.conditions.outside_temperature;
  return rate * gas_constant * temperature / site.conditions.pressure;
}

std::optional<FlowNotice> against_name(const Site& site, const SiteState& state, AirwayIndex index,
                                       const AirwayFlow& flow) {
  const Airway& airway = site.airways[index.value];
  const Side first = first_side(airway), second = second_side(airway);
  if (first && second) return std::nullopt;
  const double outward = first ? flow.forward : flow.backward, inward = first ? flow.backward : flow.forward;
  const Purpose purpose = purpose_of(airway.id);
  const double wrong = purpose == Purpose::inward ? outward - inward : inward - outward;
  constexpr double noticeable = 0.01;
  if (purpose == Purpose::none || wrong <= noticeable * std::max(outward, inward)) return std::nullopt;
  const Side& inside = first ? first : second;
  const bool into = purpose == Purpose::outward;
  return FlowNotice{FlowNotice::Kind::against_name, index, inside, into,
                    volume_flow(site, state, wrong, into ? Side{} : inside)};
}

bool carries_nothing(const Site& site, const SiteState& state, AirwayIndex index, const AirwayFlow& flow) {
  const auto* door = std::get_if<Doorway>(&site.airways[index.value].kind);
  if (door == nullptr || door->form == OpeningForm::undercut) return false;  // a slit at rest is nothing unusual
  if (!state.airway_on[index.value] || state.airway_open[index.value] <= 0.0) return false;
  return !(flow.forward > 0.0 || flow.backward > 0.0);
}

std::vector<std::optional<double>> air_changes(const Site& site, const SiteState& state, const FlowField& field) {
  std::vector<double> into(site.spaces.size(), 0.0);
  for (const MolarFlow& flow : field.flows) {
    if (flow.to) into[flow.to->value] += flow.rate;
  }
  std::vector<std::optional<double>> rates(site.spaces.size());
  for (std::size_t i = 0; i < into.size(); ++i) {
    const double held = moles_held(site.spaces[i], site.conditions, state.temperature[i]);
    if (held > 0.0) rates[i] = 3600.0 * into[i] / held;
  }
  return rates;
}

std::vector<std::optional<double>> pressures_over_outside(const Site& site, const FlowField& field) {
  std::vector<std::optional<double>> pressures(site.spaces.size());
  for (std::size_t i = 0; i < field.airways.size() && i < site.airways.size(); ++i) {
    if (!field.airways[i].pressure_difference) continue;
    for (const Side& side : {first_side(site.airways[i]), second_side(site.airways[i])}) {
      if (side) pressures[side->value] = field.pressure[side->value];
    }
  }
  for (const SpaceIndex space : field.unvented) pressures[space.value] = std::nullopt;
  return pressures;
}

/// mol/s that the airways of the file carry into or out of a space, the larger of the two.
double through_airways(const Site& site, const FlowField& field, SpaceIndex space) {
  double in = 0.0, out = 0.0;
  for (std::size_t i = 0; i < site.airways.size() && i < field.airways.size(); ++i) {
    const Side first = first_side(site.airways[i]), second = second_side(site.airways[i]);
    const double forward = field.airways[i].forward, backward = field.airways[i].backward;
    if (first && *first == space) out += forward, in += backward;
    if (second && *second == space) in += forward, out += backward;
  }
  return std::max(in, out);
}

/// Rooms whose airways do not balance, the largest difference first.
std::vector<FlowNotice> imbalances(const Site& site, const SiteState& state, const CaseResult& result) {
  std::vector<FlowNotice> notices;
  for (const AssumedLeak& leak : result.leaks) {
    const double carried = through_airways(site, result.flows, leak.space);
    if (!(carried > 0.0) || std::abs(leak.rate) < notable_imbalance * carried) continue;
    FlowNotice notice;
    notice.kind = FlowNotice::Kind::imbalance;
    notice.inside = leak.space;
    notice.into = leak.rate > 0.0;
    notice.flow = volume_flow(site, state, std::abs(leak.rate), notice.into ? leak.other : Side{leak.space});
    notice.share = std::abs(leak.rate) / carried;
    notices.push_back(notice);
  }
  std::stable_sort(notices.begin(), notices.end(),
                   [](const FlowNotice& a, const FlowNotice& b) { return a.flow > b.flow; });
  return notices;
}

bool wind_acts_on_nothing(const Site& site) {
  return site.conditions.wind_speed > 0.0 &&
         std::none_of(site.airways.begin(), site.airways.end(), [](const Airway& airway) {
           const auto* gap = std::get_if<Gap>(&airway.kind);
           const auto* door = std::get_if<Doorway>(&airway.kind);
           return (gap != nullptr && gap->wind_coefficient) || (door != nullptr && door->wind_coefficient);
         });
}

/// Whether people would call two flows different.
bool differ(double a, double b) {
  constexpr double share = 0.01;
  return std::abs(a - b) > share * std::max(a, b);
}

}  // namespace

VolumeFlows::VolumeFlows(const Site& site, CaseIndex case_index)
    : conditions_{site.conditions}, temperature_{state_at(site, case_index, 0.0).temperature} {}

double VolumeFlows::volume_flow(double rate, Side from) const {
  const double temperature = from ? temperature_[from->value] : conditions_.outside_temperature;
  return rate * gas_constant * temperature / conditions_.pressure;
}

std::vector<FlowDifference> flow_differences(const Site& site, const CaseResult& first, const CaseResult& result) {
  const VolumeFlows air_first{site, first.case_index}, air{site, result.case_index};
  const std::vector<AirwayFlow>&before = first.flows.airways, &now = result.flows.airways;
  std::vector<FlowDifference> out;
  for (std::size_t i = 0; i < std::min(before.size(), now.size()); ++i) {
    const Side a = first_side(site.airways[i]), b = second_side(site.airways[i]);
    const FlowDifference one{AirwayIndex{i}, air_first.volume_flow(before[i].forward, a),
                             air_first.volume_flow(before[i].backward, b), air.volume_flow(now[i].forward, a),
                             air.volume_flow(now[i].backward, b)};
    if (differ(one.forward_first, one.forward) || differ(one.backward_first, one.backward)) out.push_back(one);
  }
  return out;
}

WorstOf worst_of(const SpaceResult& space) {
  const Instant* const steady = space.steady.reached ? &space.steady.at : nullptr;
  WorstOf out;
  // Where the steady state is approached from below without end, the two are equal but for round-off.
  constexpr double round_off = 1e-9;
  out.is_steady = steady != nullptr && steady->lfl_fraction > space.peak.lfl_fraction * (1.0 + round_off);
  const Instant& worst = out.is_steady ? *steady : space.peak;
  out.lfl_fraction = worst.lfl_fraction;
  out.at_worst = worst.state;
  out.state = space.flammable_from ? MixtureState::flammable : space.peak.state;
  out.lowest_oxygen = space.lowest_oxygen;
  out.highest_oxygen = space.highest_oxygen;
  const auto take = [&](const Instant& instant) {
    if (danger(instant.state) > danger(out.state)) out.state = instant.state;
  };
  take(space.end);
  if (steady == nullptr) return out;
  take(*steady);
  out.lowest_oxygen = std::min(out.lowest_oxygen, steady->oxygen);
  out.highest_oxygen = std::max(out.highest_oxygen, steady->oxygen);
  return out;
}

AirAtStart air_at_start(const Site& site, const CaseResult& result) {
  const SiteState state = state_at(site, result.case_index, 0.0);
  AirAtStart out;
  out.air_changes = air_changes(site, state, result.flows);
  out.pressure_over_outside = pressures_over_outside(site, result.flows);
  for (std::size_t i = 0; i < site.airways.size() && i < result.flows.airways.size(); ++i) {
    const AirwayFlow& flow = result.flows.airways[i];
    if (auto notice = against_name(site, state, AirwayIndex{i}, flow)) out.notices.push_back(*notice);
    if (carries_nothing(site, state, AirwayIndex{i}, flow)) {
      out.notices.push_back({FlowNotice::Kind::carries_nothing, AirwayIndex{i}, {}});
    }
  }
  auto unbalanced = imbalances(site, state, result);
  std::move(unbalanced.begin(), unbalanced.end(), std::back_inserter(out.notices));
  if (wind_acts_on_nothing(site)) out.notices.push_back({FlowNotice::Kind::wind_without_effect});
  return out;
}

}  // namespace hazard
}  // namespace leanside
