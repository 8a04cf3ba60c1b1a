// SPDX-License-Identifier: Apache-2.0
/// Fans that draw from, or blow into, spaces without a way outside: what they move is solved with what leaks.
#include <algorithm>
#include <cmath>
#include <functional>
#include <iterator>
#include <utility>

#include "airflow/balance.hpp"

namespace leanside::airflow {
namespace {

/// A fan with a curve is starved where it moves less than this share of what it moves against no pressure.
constexpr double fair_share = 0.9;
/// The same of a fan of given flow: less than all, but for round-off.
constexpr double nearly_all = 1.0 - 1e-9;

}  // namespace

std::vector<bool> Balance::leaky_groups() const {
  std::vector<bool> leaky(grounded_.size(), false);
  for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
    const SpaceKind kind = site_.spaces[i].kind;
    if (kind == SpaceKind::room || kind == SpaceKind::cabinet) leaky[group_of(SpaceIndex{i})] = true;
  }
  return leaky;
}

std::vector<Balance::FanLink> Balance::running_fans() const {
  std::vector<FanLink> links;
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    const auto* fan = std::get_if<Fan>(&site_.airways[i].kind);
    if (fan == nullptr || !state_.airway_on[i] || (fan->curve.empty() && !(state_.airway_flow[i] > 0.0))) continue;
    links.push_back({fan->from, fan->to, !fan->curve.empty()});
  }
  return links;
}

std::vector<bool> Balance::groups_with_limited_fans(const std::vector<FanLink>& fans, const std::vector<bool>& leaky) {
  std::vector<bool> in(grounded_.size(), false);
  for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
    if (beyond_leakage_[i] && is_closed(SpaceIndex{i})) in[group_of(SpaceIndex{i})] = true;
  }
  for (const FanLink& fan : fans) {
    for (const Side& side : {fan.a, fan.b}) {
      if (!fan.curve || !is_closed(side) || !leaky[group_of(side)]) continue;
      in[group_of(side)] = true;
      if (ways_out_of(group_of(side)).empty()) continue;
      for (const int member : groups_.of(groups_.part_of[side->value])) draws_[static_cast<std::size_t>(member)] = true;
    }
  }
  return in;
}

// A fan moves the same air out of one group and into another: where its flow falls, that other one lacks it too. So all
// groups without a way outside that fans or shut openings join to such a one are solved with it.
void Balance::add_joined_groups(std::vector<FanLink> links, const std::vector<bool>& leaky,
                                std::vector<bool>& in) const {
  const auto may_leak = [&](const Side& side) {
    return side && site_.spaces[side->value].kind != SpaceKind::vessel && leaky[group_of(side)];
  };
  for (const AirwayIndex i : shut_) {
    const Side a = first_side(site_.airways[i.value]), b = second_side(site_.airways[i.value]);
    if (may_leak(a) && may_leak(b)) links.push_back({a, b, false});
  }
  const auto is_in = [&](const Side& side) { return is_closed(side) && in[group_of(side)]; };
  for (bool again = true; again;) {
    again = false;
    for (const FanLink& link : links) {
      if (!link.a || !link.b || is_in(link.a) == is_in(link.b)) continue;
      const Side& other = is_in(link.a) ? link.b : link.a;
      if (!is_closed(other)) continue;
      in[group_of(other)] = again = true;
    }
  }
}

bool Balance::find_limited_fans() {
  const auto assumed = [](const OpenPath& path) { return path.assumed; };
  std::vector<OpenPath> kept;
  std::copy_if(open_paths_.begin(), open_paths_.end(), std::back_inserter(kept), std::not_fn(assumed));
  const bool any_assumed = kept.size() != open_paths_.size();
  if (any_assumed) {
    std::swap(open_paths_, kept);
    group();
  }
  const std::vector<bool> leaky = leaky_groups();
  std::vector<FanLink> fans = running_fans();
  std::vector<bool> in = groups_with_limited_fans(fans, leaky);
  if (std::none_of(in.begin(), in.end(), [](bool is) { return is; })) {
    if (any_assumed) {
      std::swap(open_paths_, kept);
      group();
    }
    return false;
  }
  add_joined_groups(std::move(fans), leaky, in);
  const auto is_in = [&](const Side& side) { return is_closed(side) && in[group_of(side)]; };
  for (std::size_t i = 0; i < site_.spaces.size(); ++i) solved_[i] = is_in(SpaceIndex{i});
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    const auto* fan = std::get_if<Fan>(&site_.airways[i].kind);
    if (fan == nullptr || !state_.airway_on[i] || !fan->curve.empty() || !(state_.airway_flow[i] > 0.0)) continue;
    const bool within = fan->from && fan->to && group_of(fan->from) == group_of(fan->to);
    limited_[i] = !within && (is_in(fan->from) || is_in(fan->to));
  }
  return true;
}

/// As long as a group leads nowhere it gets more ways: its shut openings, the room that a cabinet stands in, outside.
void Balance::add_assumed_gaps() {
  for (bool again = true; again;) {
    again = false;
    std::vector<AssumedGap> found;
    for (std::size_t g = 0; g < grounded_.size(); ++g) {
      const auto members = groups_.of(static_cast<int>(g));
      const auto is_solved = [&](int member) { return solved_[static_cast<std::size_t>(member)]; };
      if (grounded_[g] || std::none_of(members.begin(), members.end(), is_solved)) continue;
      for (const int member : members) solved_[static_cast<std::size_t>(member)] = true;
      auto gaps = ways_out_of(g);
      leakage_area_of(g, gaps);
      if (gaps.empty()) {
        for (const SpaceIndex room : leaking_rooms(g)) {
          const Space& space = site_.spaces[room.value];
          gaps.push_back({room, std::nullopt, std::nullopt, assumed_leakage(space), space.elevation});
        }
      }
      found.insert(found.end(), gaps.begin(), gaps.end());
    }
    // One that is shut between two such groups stands in the list twice.
    for (const AssumedGap& gap : found) {
      const auto known = std::find_if(gaps_.begin(), gaps_.end(), [&](const AssumedGap& other) {
        return gap.airway && gap.airway == other.airway;
      });
      if (known == gaps_.end()) {
        gaps_.push_back(gap);
      } else {
        known->leakage_area = std::min(known->leakage_area, gap.leakage_area);
      }
    }
    again = !found.empty();
    if (again) group();
  }
}

double Balance::nothing() const {
  constexpr double share = 1e-16;
  double largest = 0.0;
  for (const double through : through_) largest = std::max(largest, through);
  for (std::size_t i = 0; i < limited_.size(); ++i) {
    if (limited_[i]) largest = std::max(largest, molar(given_flow(i), first_side(site_.airways[i])));
  }
  return share * largest;
}

/// Of fans that are solved with what leaks; none of them blows backwards.
void Balance::drop_round_off() {
  const double least = nothing();
  for (const AirwayIndex i : driven_) {
    if (!std::holds_alternative<Fan>(site_.airways[i.value].kind)) continue;
    AirwayFlow& flow = field_.airways[i.value];
    flow.backward = 0.0;
    if (flow.forward <= least) flow.forward = 0.0;
  }
}

void Balance::keep_gap_flows(const DrivenFlows& flows) {
  const double least = nothing();
  for (std::size_t k = 0; k < gaps_.size(); ++k) {
    const AssumedGap& gap = gaps_[k];
    const double flow = flows.gap_flows()[k];
    if (std::abs(flow) <= least) continue;
    stream(gap.a, gap.b, flow);
    stream(gap.b, gap.a, -flow);
    if (gap.airway) {
      AirwayFlow& airway = field_.airways[gap.airway->value];
      (flow > 0.0 ? airway.forward : airway.backward) += std::abs(flow);
      field_.leaking.push_back(*gap.airway);
    } else {
      field_.leaks.push_back({*gap.a, -flow, gap.b});
    }
  }
}

/// Fans that get less than they would move, and those of given flow that work against more than fans do.
void Balance::note_fans(const DrivenFlows& flows) {
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    const auto* fan = std::get_if<Fan>(&site_.airways[i].kind);
    if (fan == nullptr || !state_.airway_on[i]) continue;
    StarvedFan starved{AirwayIndex{i}, molar(given_flow(i), fan->from), field_.airways[i].forward, {}, {}, true};
    const double z = height_above_datum(site_, site_.airways[i], fan->height.value_or(0.0));
    const auto from = flows.pressure_at(fan->from, z, field_), to = flows.pressure_at(fan->to, z, field_);
    if (from && to) starved.pressure = *to - *from;
    const bool solved = (fan->from && solved_[fan->from->value]) || (fan->to && solved_[fan->to->value]);
    const double share = fan->curve.empty() ? nearly_all : fair_share;
    const bool starves = solved && starved.carried < share * starved.given;
    const bool strains = fan->curve.empty() && !limited_[i] && starved.given > 0.0 && starved.pressure &&
                         *starved.pressure > fan_pressure;
    if (!starves && !strains) continue;
    // The side with the greater pressure difference to outside lacks the opening.
    starved.inlet = fan->from && (!fan->to || -from.value_or(0.0) >= to.value_or(0.0));
    starved.space = starved.inlet ? *fan->from : *fan->to;
    field_.starved.push_back(starved);
  }
}

}  // namespace leanside::airflow
