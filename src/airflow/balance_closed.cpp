// SPDX-License-Identifier: Apache-2.0
/// Groups of spaces without a way outside: what is assumed of them.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "airflow/balance.hpp"

namespace leanside::airflow {

bool Balance::Sum::balanced() const { return std::abs(surplus) <= surplus_round_off * through; }

double Balance::Sum::wanted() const { return surplus < 0.0 ? -surplus : std::max(0.0, surplus - release); }

Balance::Sum Balance::sum_of(std::size_t g) const {
  Sum sum;
  for (const int member : groups_.of(static_cast<int>(g))) {
    const auto i = static_cast<std::size_t>(member);
    sum.surplus += surplus_[i];
    sum.through += through_[i];
    sum.release += field_.release[i];
    const SpaceKind kind = site_.spaces[i].kind;
    sum.rooms = sum.rooms || kind == SpaceKind::room;
    sum.cabinets = sum.cabinets || kind == SpaceKind::cabinet;
    sum.vessels = sum.vessels || kind == SpaceKind::vessel;
  }
  return sum;
}

/// Where cabinets or vessels, and the junctions joined to them, are not in balance and have no other way, their
/// exchanges carry the surplus too. True where any did.
bool Balance::open_exchanges() {
  std::vector<bool> wanting(static_cast<std::size_t>(groups_.count), false);
  bool any = false;
  for (std::size_t g = 0; g < wanting.size(); ++g) {
    if (grounded_[g]) continue;
    const Sum sum = sum_of(g);
    if (!sum.balanced() && !sum.rooms && (sum.cabinets || sum.vessels)) any = wanting[g] = true;
  }
  if (!any) return false;
  const auto wants = [&](const Side& side) { return side && wanting[group_of(side)]; };
  bool opened = false;
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    const Airway& airway = site_.airways[i];
    if (!is_open_exchange(site_, state_, i)) continue;
    const auto& exchange = std::get<Exchange>(airway.kind);
    if (overflows_[i] || !(wants(exchange.first) || wants(exchange.second))) continue;
    overflows_[i] = true;
    OpenPath& path = open_paths_.emplace_back(OpenPath{exchange.first, exchange.second, AirwayIndex{i}});
    if (memory_.parts != nullptr) path.conductance = memory_.parts->airway[i];
    opened = true;
  }
  for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
    if (site_.spaces[i].air_changes <= 0.0 || !wants(SpaceIndex{i})) continue;
    if (breathes_out_[i]) continue;
    breathes_out_[i] = true;
    OpenPath& path = open_paths_.emplace_back(OpenPath{SpaceIndex{i}, std::nullopt, std::nullopt});
    if (memory_.parts != nullptr) path.conductance = memory_.parts->space[i];
    opened = true;
  }
  return opened;
}

std::vector<AssumedGap> Balance::shut_ways_out_of(std::size_t g) const {
  const auto inside = [&](const Side& side) { return side && group_of(side) == g; };
  // A sealed vessel stays sealed, and a duct that leads nowhere has nothing to give.
  const auto leads_on = [&](const Side& side) {
    if (!side) return true;
    const SpaceKind kind = site_.spaces[side->value].kind;
    return kind == SpaceKind::room || kind == SpaceKind::cabinet || (kind == SpaceKind::junction && !is_closed(side));
  };
  std::vector<AssumedGap> out;
  for (const AirwayIndex i : shut_) {
    const Airway& airway = site_.airways[i.value];
    const Side a = first_side(airway), b = second_side(airway);
    if (inside(a) == inside(b)) continue;
    const Side& own = inside(a) ? a : b;
    const Side& other = inside(a) ? b : a;
    if (site_.spaces[own->value].kind == SpaceKind::vessel || !leads_on(other)) continue;
    // All at one height, or gas would rise through one leak and air come in by another.
    out.push_back({a, b, i, 0.0, height_above_datum(site_, airway, 0.0)});
  }
  return out;
}

std::vector<AssumedGap> Balance::ways_out_of(std::size_t g) const {
  std::vector<AssumedGap> out = shut_ways_out_of(g);
  if (!out.empty() || sum_of(g).rooms) return out;
  for (const int member : groups_.of(static_cast<int>(g))) {
    const SpaceIndex index{static_cast<std::size_t>(member)};
    const Space& space = site_.spaces[index.value];
    if (space.kind != SpaceKind::cabinet || !space.stands_in) continue;
    out.push_back({index, space.stands_in->place, std::nullopt, 0.0, space.elevation});
  }
  return out;
}

double Balance::leakage_area_of(std::size_t g, std::span<AssumedGap> gaps) const {
  double area = 0.0;
  if (gaps.empty()) {  // only rooms leak outdoors by assumption
    for (const SpaceIndex room : leaking_rooms(g)) area += assumed_leakage(site_.spaces[room.value]);
    return area;
  }
  for (const int member : groups_.of(static_cast<int>(g))) {
    const Space& space = site_.spaces[static_cast<std::size_t>(member)];
    if (space.kind == SpaceKind::room || space.kind == SpaceKind::cabinet) area += assumed_leakage(space);
  }
  share_leakage(site_, area, gaps);
  return gaps.front().leakage_area * static_cast<double>(gaps.size());
}

/// mol/s that an assumed leakage area passes at the pressure of a fan.
double Balance::most_leaked(double leakage_area) const {
  const Conditions& conditions = site_.conditions;
  const double density = conditions.pressure * molar_mass_of_air / (gas_constant * conditions.outside_temperature);
  return molar(flow_at_fan_pressure(leakage_area, density), std::nullopt);
}

/// Where rooms or cabinets without a way outside are not in balance, their shut openings carry the difference, as
/// openings do. True where any did; notes the groups whose fans want more than leaks.
bool Balance::open_assumed_ways() {
  std::vector<OpenPath> opened;
  std::vector<bool> taken(site_.airways.size(), false);
  for (std::size_t g = 0; g < grounded_.size(); ++g) {
    const SpaceIndex member{static_cast<std::size_t>(groups_.of(static_cast<int>(g)).front())};
    if (grounded_[g] || solved_[member.value]) continue;
    const Sum sum = sum_of(g);
    if (sum.balanced() || (!sum.rooms && !sum.cabinets)) continue;
    auto gaps = ways_out_of(g);
    if (gaps.empty() && !sum.rooms) continue;
    if (!bursting_ && sum.wanted() > most_leaked(leakage_area_of(g, gaps))) {
      for (const int member : groups_.of(static_cast<int>(g))) beyond_leakage_[static_cast<std::size_t>(member)] = true;
    }
    for (const int member : groups_.of(static_cast<int>(g))) {
      if (!gaps.empty()) draws_[static_cast<std::size_t>(member)] = true;
    }
    for (const AssumedGap& gap : gaps) {
      if (gap.airway && taken[gap.airway->value]) continue;  // shut between two such groups
      if (gap.airway) taken[gap.airway->value] = true;
      opened.push_back({gap.a, gap.b, gap.airway, 0.0, true});
    }
  }
  open_paths_.insert(open_paths_.end(), opened.begin(), opened.end());
  return !opened.empty();
}

std::vector<SpaceIndex> Balance::leaking_rooms(std::size_t g) const {
  std::vector<SpaceIndex> all, others;
  for (const int member : groups_.of(static_cast<int>(g))) {
    const SpaceIndex index{static_cast<std::size_t>(member)};
    if (site_.spaces[index.value].kind != SpaceKind::room) continue;
    all.push_back(index);
    if (!draws_[index.value]) others.push_back(index);
  }
  return others.empty() ? all : others;
}

void Balance::leak(std::size_t g, const Sum& sum) {
  const std::vector<SpaceIndex> rooms = leaking_rooms(g);
  std::vector<double> surplus;
  for (const SpaceIndex room : rooms) surplus.push_back(surplus_[room.value]);
  const auto shares = leak_shares(surplus, sum.surplus, sum.through);
  for (std::size_t k = 0; k < rooms.size(); ++k) {
    const double rate = shares[k] * sum.surplus;
    if (rate == 0.0) continue;
    field_.leaks.push_back({rooms[k], -rate});
    if (rate > 0.0) {
      stream(rooms[k], std::nullopt, rate);
    } else {
      stream(std::nullopt, rooms[k], -rate);
    }
  }
}

void Balance::store(std::size_t g, double surplus) {
  double held = 0.0;
  for (const int member : groups_.of(static_cast<int>(g))) held += held_by(static_cast<std::size_t>(member));
  for (const int member : groups_.of(static_cast<int>(g))) {
    const auto i = static_cast<std::size_t>(member);
    field_.storage[i] = surplus * held_by(i) / held;
    surplus_[i] -= field_.storage[i];
  }
}

bool Balance::cannot_close(const Sum& sum) const {
  const bool keeps =
      sum.vessels && sum.surplus > 0.0 && std::abs(sum.surplus - sum.release) <= surplus_round_off * sum.through;
  return !sum.balanced() && !sum.rooms && (sum.cabinets || !keeps);
}

/// Ducts and vessels that cannot be balanced, before fans are solved together with what leaks.
std::optional<FlowFault> Balance::find_fault() const {
  std::vector<std::size_t> groups;
  for (std::size_t g = 0; g < grounded_.size(); ++g) {
    if (grounded_[g]) continue;
    const Sum sum = sum_of(g);
    if (!sum.cabinets && cannot_close(sum)) groups.push_back(g);
  }
  return worst_of(std::move(groups));
}

/// The group with the largest difference in full; the others, by size, with theirs.
std::optional<FlowFault> Balance::worst_of(std::vector<std::size_t> groups) const {
  if (groups.empty()) return std::nullopt;
  const auto size = [&](std::size_t g) { return std::abs(sum_of(g).surplus); };
  std::stable_sort(groups.begin(), groups.end(), [&](std::size_t a, std::size_t b) { return size(a) > size(b); });
  FlowFault fault = cannot_balance(groups.front(), sum_of(groups.front()));
  if (groups.size() > 1) fault.message += ". The same holds for ";
  for (std::size_t k = 1; k < groups.size(); ++k) {
    const SpaceIndex member{static_cast<std::size_t>(groups_.of(static_cast<int>(groups[k])).front())};
    fault.message += fmt::format("{}'{}' ({})",
                                 k == 1                   ? ""
                                 : k + 1 == groups.size() ? " and "
                                                          : ", ",
                                 site_.spaces[member.value].id, flow_words(sum_of(groups[k])));
  }
  return fault;
}

std::string Balance::flow_words(const Sum& sum) const {
  const double volume = std::abs(sum.surplus) * gas_constant * site_.conditions.temperature / site_.conditions.pressure;
  return format_quantity(volume, "m3/h", 4);
}

/// What no opening can carry outside: rooms leak it, sealed vessels keep it.
std::optional<FlowFault> Balance::close_groups() {
  std::vector<std::size_t> impossible;
  for (std::size_t g = 0; g < grounded_.size(); ++g) {
    const SpaceIndex member{static_cast<std::size_t>(groups_.of(static_cast<int>(g)).front())};
    if (grounded_[g] || solved_[member.value]) continue;
    const Sum sum = sum_of(g);
    if (sum.balanced()) continue;
    if (cannot_close(sum)) {
      impossible.push_back(g);
    } else if (sum.rooms) {
      leak(g, sum);
    } else {
      store(g, sum.surplus);
    }
  }
  return worst_of(std::move(impossible));
}

FlowFault Balance::cannot_balance(std::size_t g, const Sum& sum) const {
  constexpr std::size_t most_names = 8;  // a duct system may have hundreds of junctions
  std::string names, cabinet;
  std::size_t named = 0;
  SpaceIndex blamed{static_cast<std::size_t>(groups_.of(static_cast<int>(g)).front())};
  int line = 0;
  for (const int member : groups_.of(static_cast<int>(g))) {
    const Space& space = site_.spaces[static_cast<std::size_t>(member)];
    if (named++ < most_names) names += (names.empty() ? "'" : ", '") + space.id + "'";
    if (space.kind != SpaceKind::cabinet || !cabinet.empty()) continue;
    cabinet = space.id;
    line = static_cast<int>(space.place.line);
    blamed = SpaceIndex{static_cast<std::size_t>(member)};
  }
  if (named > most_names) names += fmt::format(" and {} more", named - most_names);
  const std::string flow = flow_words(sum);
  const bool gains = sum.surplus > 0.0;
  if (!cabinet.empty()) {
    return {fmt::format("the cabinet '{}'{} gets {} {} than its airways carry {}, and the file does not say where it "
                        "stands: add stands_in = \"ID\" with the id of its room (or \"outside\")",
                        cabinet, line > 0 ? fmt::format(" (line {})", line) : "", flow, gains ? "more" : "less",
                        gains ? "away" : "off"),
            blamed};
  }
  const char* const what = sum.vessels ? "a vessel has no other way for it" : "a junction can neither leak nor store";
  return {fmt::format("{} {} {} more than it {}, and {}: add an opening airway, or change the fans so that they match",
                      names, gains ? "gets" : "loses", flow, gains ? "passes on" : "gets", what),
          blamed};
}

}  // namespace leanside::airflow
