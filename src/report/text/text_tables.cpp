// SPDX-License-Identifier: Apache-2.0
#include "report/text/text_tables.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <optional>
#include <utility>

#include "leanside/report.hpp"
#include "report/words/site_groups.hpp"
#include "report/words/words.hpp"

namespace leanside::report {

using P = Phrase;

namespace {

Column column(Told site, Phrase head) { return {site.tell(head)}; }
Column numbers(Told site, Phrase head) { return {site.tell(head), true}; }
Column flexible(Told site, Phrase head) { return {site.tell(head), false, true}; }

/// A list of which `most` of `all` are named.
std::string and_more(Told site, const std::string& list, std::size_t all, std::size_t most) {
  return all <= most ? list : site.tell(P::list_more, {{"list", list}, {"n", std::to_string(all - most)}});
}

bool oxygen_out(Told site, const SpaceResult& result) {
  const auto outside = [&](double oxygen) {
    return oxygen < site->criteria.oxygen_low || oxygen > site->criteria.oxygen_high;
  };
  return outside(result.worst.lowest_oxygen) || outside(result.worst.highest_oxygen);
}

std::string time_in_range(const SpaceResult& result) {
  return result.flammable_time > 0.0 ? format_duration(result.flammable_time) : "-";
}

/// Flow each way, in the unit of the site, at the temperature of where it comes from.
struct Flows {
  double forward = 0.0, backward = 0.0;
};

Flows shown_flows(Told site, const VolumeFlows& air, const Airway& airway, const AirwayFlow& flow) {
  return {in_unit(site, air.volume_flow(flow.forward, first_side(airway)), "m3/h"),
          in_unit(site, air.volume_flow(flow.backward, second_side(airway)), "m3/h")};
}

/// Spaces by what they come to at their worst, those of the same level as in the file; group by group, the group with
/// the worst space first.
std::vector<std::size_t> worst_first(const CaseResult& result, const SiteGroups& groups) {
  std::vector<std::size_t> out(result.spaces.size());
  std::iota(out.begin(), out.end(), std::size_t{0});
  const auto worst = [&](std::size_t i) { return result.spaces[i].worst.lfl_fraction; };
  std::vector<double> of_group(groups.names.size(), -1.0);
  for (const std::size_t i : out) {
    double& most = of_group[groups.of_space[i]];
    most = std::max(most, worst(i));
  }
  std::stable_sort(out.begin(), out.end(), [&](std::size_t a, std::size_t b) {
    const std::size_t ga = groups.of_space[a], gb = groups.of_space[b];
    if (ga != gb) return std::pair(-of_group[ga], ga) < std::pair(-of_group[gb], gb);
    return worst(a) > worst(b);
  });
  return out;
}

std::string worst_cell(Told site, const Warning& warning) {
  switch (subject_of(warning)) {
    case Subject::oxygen:
      return site.tell(P::cell_oxygen, {{"percent", percent_of_oxygen(site, warning.oxygen)}});
    case Subject::pressure:
      return format_quantity(warning.pressure, "kPa", 3, site->conditions.units);
    case Subject::toxic:
      return site.tell(P::cell_toxic, {{"concentration", concentration_words(warning.toxic->worst)},
                                       {"gas", gas_name(site, warning.toxic->gas)}});
    case Subject::source:
      return site.tell(P::cell_at_source);
    default:
      return percent_of_limit(site, warning.lfl_fraction);
  }
}

std::string from_cell(Told site, const Warning& warning) {
  if (!warning.time) return site.tell(P::cell_steady_state);
  return *warning.time > 0.0 ? format_duration(*warning.time) : site.tell(P::cell_the_start);
}

std::string source_cell(Told site, const Warning& warning) {
  if (warning.causes.empty()) return "-";
  const Cause& cause = warning.causes.front();
  if (cause.release) return label(site, *cause.release);
  return cause.initial_of ? site.tell(P::cell_held_at_start, {{"space", label(site, *cause.initial_of)}}) : "-";
}

std::string help_cell(Told site, const Remedy& remedy) {
  switch (remedy.kind) {
    case RemedyKind::more_fresh_air:
    case RemedyKind::more_air_for_peak:
    case RemedyKind::restore_oxygen:
      return remedy.extra_air ? site.tell(P::cell_more_air, {{"flow", hourly(site, *remedy.extra_air, true)}})
                              : site.tell(P::cell_more_fresh_air);
    case RemedyKind::keep_air_out:
      return site.tell(P::cell_keep_air_out);
    case RemedyKind::vent_vessel:
      return site.tell(P::cell_vent_it);
    case RemedyKind::vents:
      return remedy.vent_area ? site.tell(P::cell_vents_of, {{"area", area_words(site, *remedy.vent_area)}})
                              : site.tell(P::cell_vents);
    case RemedyKind::open_inlet:
      return site.tell(remedy.opening && !remedy.opening->inlet ? P::cell_open_outlet : P::cell_open_inlet);
    case RemedyKind::stop_source:
      return site.tell(P::cell_stop_source);
    case RemedyKind::reduce_source:
      return site.tell(P::cell_less_gas);
    case RemedyKind::remove_source:
      return site.tell(P::cell_no_ignition);
    case RemedyKind::leave:
      return site.tell(P::cell_leave);
    case RemedyKind::air_before_opening:
      return site.tell(P::cell_air_first);
    case RemedyKind::watch:
      return site.tell(P::cell_watch);
  }
  return {};
}

}  // namespace

std::string oxygen_cell(Told site, const SpaceResult& result) {
  const double low = result.worst.lowest_oxygen, high = result.worst.highest_oxygen;
  const bool too_high = high > site->criteria.oxygen_high;
  if (too_high && low < site->criteria.oxygen_low) {
    return site.tell(P::cell_range, {{"low", percent_of_oxygen(site, low)}, {"high", percent_of_oxygen(site, high)}});
  }
  return percent_of_oxygen(site, too_high ? high : low);
}

Table warning_table(Told site, std::span<const Warning> warnings, std::size_t first_rank) {
  Table table;
  table.columns = {{"", true, false},
                   column(site, P::head_severity),
                   flexible(site, P::head_space),
                   flexible(site, P::head_case),
                   numbers(site, P::head_worst),
                   column(site, P::head_from_when),
                   flexible(site, P::head_mostly_from),
                   column(site, P::head_what_helps)};
  for (const Warning& warning : warnings) {
    table.rows.push_back({std::to_string(first_rank++), severity_word(site, warning.severity),
                          label(site, warning.space), plain_text(site->cases[warning.case_index.value].id),
                          worst_cell(site, warning), from_cell(site, warning), source_cell(site, warning),
                          help_cell(site, warning.remedy)});
  }
  return table;
}

bool brief_tables(Told site, const Assessment& assessment) {
  constexpr std::size_t most_rows = 120;
  return site->spaces.size() * assessment.cases.size() > most_rows;
}

std::vector<std::string> without_steady_state(Told site, const CaseResult& result) {
  std::map<std::string, std::vector<SpaceIndex>> by_reason;
  for (std::size_t i = 0; i < result.spaces.size(); ++i) {
    const SteadyInstant& steady = result.spaces[i].steady;
    if (!steady.reached) by_reason[plain_text(steady.reason)].push_back(SpaceIndex{i});
  }
  std::vector<std::string> out;
  constexpr std::size_t most_names = 6;
  for (const auto& [reason, spaces] : by_reason) {
    std::string names;
    for (std::size_t i = 0; i < std::min(spaces.size(), most_names); ++i) {
      names += (i > 0 ? ", " : "") + label(site, spaces[i]);
    }
    out.push_back(
        site.tell(P::no_steady_state_for, {{"spaces", and_more(site, names, spaces.size(), most_names)},
                                           {"reason", reason.empty() ? site.tell(P::no_reason_given) : reason}}));
  }
  return out;
}

SpaceTable space_table(Told site, const Assessment& assessment, const CaseResult& result, bool brief) {
  const bool start_only = without_transient(site, assessment);
  SpaceTable out;
  out.table.columns = {flexible(site, P::head_space), column(site, P::head_state),
                       numbers(site, start_only ? P::head_at_start : P::head_peak)};
  for (const Phrase head : {P::head_when, P::head_steady, P::head_oxygen, P::head_in_range, P::head_air_changes}) {
    out.table.columns.push_back(numbers(site, head));
  }
  const auto& air_changes = result.air.air_changes;
  const SiteGroups groups = site_groups(site);
  std::optional<std::size_t> group;
  std::size_t left_out = 0;
  double largest = 0.0;
  for (const std::size_t i : worst_first(result, groups)) {
    const SpaceResult& space = result.spaces[i];
    if (brief && space.worst.state == MixtureState::clear && !oxygen_out(site, space)) {
      ++left_out;
      largest = std::max(largest, space.worst.lfl_fraction);
      continue;
    }
    const bool any = space.peak.lfl_fraction > 0.0;
    if (groups.any() && group != groups.of_space[i]) {
      group = groups.of_space[i];
      out.table.titles.emplace_back(out.table.rows.size(), capital(groups.names[*group]));
    }
    out.table.rows.push_back(
        {label(site, SpaceIndex{i}), state_word(site, space.worst.state),
         percent_of_limit(site, space.peak.lfl_fraction),
         any ? space.peak.time > 0.0 ? format_duration(space.peak.time) : site.tell(P::cell_start) : "-",
         space.steady.reached ? percent_of_limit(site, space.steady.at.lfl_fraction) : site.tell(P::cell_none),
         oxygen_cell(site, space), time_in_range(space),
         i < air_changes.size() && air_changes[i] ? format_number(*air_changes[i], 2) : std::string{"-"}});
  }
  if (left_out > 0) {
    const Slot note{"percent", percent(site->criteria.note_at)}, most{"largest", percent_of_limit(site, largest)};
    out.feet.push_back(left_out == 1 ? site.tell(P::one_space_stays_under, {note, most})
                                     : site.tell(P::spaces_stay_under, {{"n", std::to_string(left_out)}, note, most}));
  }
  for (std::string& sentence : without_steady_state(site, result)) out.feet.push_back(std::move(sentence));
  return out;
}

std::string worst_words(Told site, const Warning& warning) {
  const std::string worst = worst_cell(site, warning);
  switch (subject_of(warning)) {
    case Subject::source:
      return site.tell(P::cell_ignitable);
    case Subject::toxic:
    case Subject::oxygen:
    case Subject::pressure:
      return worst;
    default:
      return limit_words(site, warning.lfl_fraction);
  }
}

namespace {

/// All of a small site; of a large one those that carry most, then those with the largest pressures.
std::vector<std::size_t> airways_shown(Told site, const Assessment& assessment, std::size_t most) {
  const auto& flows = assessment.cases.front().flows.airways;
  std::vector<std::size_t> out(std::min(site->airways.size(), flows.size()));
  std::iota(out.begin(), out.end(), std::size_t{0});
  if (out.size() <= most) return out;
  const auto carried = [&](std::size_t i) { return std::max(flows[i].forward, flows[i].backward); };
  std::stable_sort(out.begin(), out.end(), [&](std::size_t a, std::size_t b) { return carried(a) > carried(b); });
  const auto pressure = [&](std::size_t i) { return std::abs(flows[i].pressure_difference.value_or(0.0)); };
  const auto rest = out.begin() + static_cast<std::ptrdiff_t>(most - most / 3);
  std::stable_sort(rest, out.end(), [&](std::size_t a, std::size_t b) { return pressure(a) > pressure(b); });
  out.resize(most);
  return out;
}

}  // namespace

std::string airways_left_out(Told site, std::size_t most) {
  if (site->airways.size() <= most) return {};
  return site.tell(P::largest_of_airways, {{"n", std::to_string(site->airways.size())}});
}

Table flow_table(Told site, const Assessment& assessment, std::size_t most) {
  Table table;
  if (assessment.cases.empty()) return table;
  table.columns = {flexible(site, P::head_airway), flexible(site, P::head_from), flexible(site, P::head_to),
                   numbers(site, P::head_flow), numbers(site, P::head_back)};
  const auto& flows = assessment.cases.front().flows.airways;
  const bool pressures =
      std::any_of(flows.begin(), flows.end(), [](const AirwayFlow& flow) { return flow.pressure_difference; });
  if (pressures) table.columns.push_back({site.tell(P::head_pressure, {{"unit", unit_words(site, "Pa")}}), true});
  const VolumeFlows air{site, assessment.cases.front().case_index};
  for (const std::size_t i : airways_shown(site, assessment, most)) {
    const Airway& airway = site->airways[i];
    const Flows flow = shown_flows(site, air, airway, flows[i]);
    table.rows.push_back({plain_text(airway.id), label(site, first_side(airway)), label(site, second_side(airway)),
                          format_number(flow.forward, 3), flow.backward > 0.0 ? format_number(flow.backward, 3) : "-"});
    if (!pressures) continue;
    const auto& difference = flows[i].pressure_difference;
    table.rows.back().push_back(difference ? format_number(in_unit(site, *difference, "Pa"), 2) : std::string{"-"});
  }
  return table;
}

std::vector<std::string> flow_changes(Told site, const Assessment& assessment) {
  std::vector<std::string> out;
  constexpr std::size_t most = 12;
  for (const CaseResult& result : assessment.cases) {
    std::string changes;
    std::size_t left = result.differences.size();
    for (const FlowDifference& flow : result.differences) {
      if (result.differences.size() - left == most) break;
      --left;
      const auto number = [&](double value) { return format_number(in_unit(site, value, "m3/h"), 3); };
      const Slot airway{"airway", plain_text(site->airways[flow.airway.value].id)}, there{"flow", number(flow.forward)};
      changes += changes.empty() ? "" : ", ";
      changes += flow.backward > 0.0
                     ? site.tell(P::change_of_flow_and_back, {airway, there, {"back", number(flow.backward)}})
                     : site.tell(P::change_of_flow, {airway, there});
    }
    changes = and_more(site, changes, left, 0);
    if (!changes.empty()) {
      out.push_back(
          site.tell(P::changes_in_case, {{"case", case_heading(site, result.case_index)}, {"changes", changes}}));
    }
  }
  return out;
}

Table limit_table(Told site) {
  Table table;
  table.columns = {flexible(site, P::head_gas),  numbers(site, P::head_lower), flexible(site, P::head_from),
                   numbers(site, P::head_upper), flexible(site, P::head_from), {""}};
  for (const Gas& gas : site->gases) {
    if (!gas.limits) continue;
    std::string remark = gas.limits->recalled ? site.tell(P::cell_recalled) : "";
    if (gas.limits->fell_back) {
      remark +=
          (remark.empty() ? "" : "; ") + site.tell(P::cell_cautious, {{"limits", plain_text(site->criteria.limits)}});
    }
    table.rows.push_back({plain_text(gas.substance.id), percent(gas.limits->lower),
                          plain_text(gas.limits->lower_source), percent(gas.limits->upper),
                          plain_text(gas.limits->upper_source), remark});
  }
  return table;
}

}  // namespace leanside::report
