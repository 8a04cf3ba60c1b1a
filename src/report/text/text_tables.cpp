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
namespace {

bool oxygen_out(const Site& site, const SpaceResult& result) {
  const auto outside = [&](double oxygen) {
    return oxygen < site.criteria.oxygen_low || oxygen > site.criteria.oxygen_high;
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

Flows shown_flows(const Site& site, const VolumeFlows& air, const Airway& airway, const AirwayFlow& flow) {
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

std::string worst_cell(const Site& site, const Warning& warning) {
  switch (subject_of(warning)) {
    case Subject::oxygen:
      return percent_of_oxygen(site, warning.oxygen) + " O2";
    case Subject::pressure:
      return format_quantity(warning.pressure, "kPa", 3, site.conditions.units);
    case Subject::toxic:
      return concentration_words(warning.toxic->worst);
    case Subject::source:
      return "at the source";
    default:
      return percent_of_limit(site, warning.lfl_fraction);
  }
}

std::string from_cell(const Warning& warning) {
  if (!warning.time) return "steady state";
  return *warning.time > 0.0 ? format_duration(*warning.time) : "the start";
}

std::string source_cell(const Site& site, const Warning& warning) {
  if (warning.causes.empty()) return "-";
  const Cause& cause = warning.causes.front();
  if (cause.release) return label(site, *cause.release);
  return cause.initial_of ? "held at the start: " + label(site, *cause.initial_of) : "-";
}

std::string help_cell(const Site& site, const Remedy& remedy) {
  switch (remedy.kind) {
    case RemedyKind::more_fresh_air:
    case RemedyKind::more_air_for_peak:
    case RemedyKind::restore_oxygen:
      return remedy.extra_air ? "+" + hourly(site, *remedy.extra_air, true) + " air" : "more fresh air";
    case RemedyKind::keep_air_out:
      return "keep air out, purge";
    case RemedyKind::vent_vessel:
      return "vent it";
    case RemedyKind::vents:
      return remedy.vent_area ? "vents of " + area_words(site, *remedy.vent_area) : "vents high and low";
    case RemedyKind::open_inlet:
      return remedy.opening && !remedy.opening->inlet ? "open an outlet" : "open an inlet";
    case RemedyKind::stop_source:
      return "stop the source";
    case RemedyKind::reduce_source:
      return "less gas";
    case RemedyKind::remove_source:
      return "no ignition source near it";
    case RemedyKind::leave:
      return "leave";
    case RemedyKind::air_before_opening:
      return "air it first";
    case RemedyKind::watch:
      return "watch";
  }
  return {};
}

}  // namespace

std::string oxygen_cell(const Site& site, const SpaceResult& result) {
  const double low = result.worst.lowest_oxygen, high = result.worst.highest_oxygen;
  const bool too_high = high > site.criteria.oxygen_high;
  if (too_high && low < site.criteria.oxygen_low) {
    return percent_of_oxygen(site, low) + " to " + percent_of_oxygen(site, high);
  }
  return percent_of_oxygen(site, too_high ? high : low);
}

Table warning_table(const Site& site, std::span<const Warning> warnings, std::size_t first_rank) {
  Table table;
  table.columns = {{"", true, false}, {"severity"}, {"space", false, true},       {"case", false, true},
                   {"worst", true},   {"from"},     {"mostly from", false, true}, {"what helps"}};
  for (const Warning& warning : warnings) {
    table.rows.push_back({std::to_string(first_rank++), std::string{word_of(warning.severity)},
                          label(site, warning.space), plain_text(site.cases[warning.case_index.value].id),
                          worst_cell(site, warning), from_cell(warning), source_cell(site, warning),
                          help_cell(site, warning.remedy)});
  }
  return table;
}

bool brief_tables(const Site& site, const Assessment& assessment) {
  constexpr std::size_t most_rows = 120;
  return site.spaces.size() * assessment.cases.size() > most_rows;
}

std::vector<std::string> without_steady_state(const Site& site, const CaseResult& result) {
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
    if (spaces.size() > most_names) names += " and " + std::to_string(spaces.size() - most_names) + " more";
    out.push_back("No steady state for " + names + ": " + (reason.empty() ? "no reason was given" : reason));
  }
  return out;
}

SpaceTable space_table(const Site& site, const Assessment& assessment, const CaseResult& result, bool brief) {
  const bool start_only = without_transient(site, assessment);
  SpaceTable out;
  out.table.columns = {{"space", false, true}, {"state", false}, {start_only ? "at start" : "peak", true},
                       {"when", true},         {"steady", true}, {"oxygen", true},
                       {"in range", true},     {"air /h", true}};
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
        {label(site, SpaceIndex{i}), std::string{word_of(space.worst.state)},
         percent_of_limit(site, space.peak.lfl_fraction),
         any ? space.peak.time > 0.0 ? format_duration(space.peak.time) : "start" : "-",
         space.steady.reached ? percent_of_limit(site, space.steady.at.lfl_fraction) : std::string{"none"},
         oxygen_cell(site, space), time_in_range(space),
         i < air_changes.size() && air_changes[i] ? format_number(*air_changes[i], 2) : std::string{"-"}});
  }
  if (left_out > 0) {
    out.feet.push_back(std::to_string(left_out) + (left_out == 1 ? " space" : " spaces") + " stay under " +
                       percent(site.criteria.note_at) + " (the highest: " + percent_of_limit(site, largest) +
                       ") and are not listed here; `--format csv` or `json` has them all.");
  }
  for (std::string& sentence : without_steady_state(site, result)) out.feet.push_back(std::move(sentence));
  return out;
}

std::string worst_words(const Site& site, const Warning& warning) {
  const std::string worst = worst_cell(site, warning);
  switch (subject_of(warning)) {
    case Subject::toxic:
      return worst + " " + plain_text(site.gases[warning.toxic->gas.value].substance.id);
    case Subject::source:
      return "ignitable " + worst;
    case Subject::oxygen:
    case Subject::pressure:
      return worst;
    default:
      return limit_words(site, warning.lfl_fraction);
  }
}

namespace {

/// All of a small site; of a large one those that carry most, then those with the largest pressures.
std::vector<std::size_t> airways_shown(const Site& site, const Assessment& assessment, std::size_t most) {
  const auto& flows = assessment.cases.front().flows.airways;
  std::vector<std::size_t> out(std::min(site.airways.size(), flows.size()));
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

std::string airways_left_out(const Site& site, std::size_t most) {
  if (site.airways.size() <= most) return {};
  return "Of " + std::to_string(site.airways.size()) +
         " airways these carry most, or hold back the largest pressures. `leanside export FILE --what flows` writes "
         "all of them, in every case.";
}

Table flow_table(const Site& site, const Assessment& assessment, std::size_t most) {
  Table table;
  if (assessment.cases.empty()) return table;
  table.columns = {{"airway", false, true}, {"from", false, true}, {"to", false, true}, {"flow", true}, {"back", true}};
  const auto& flows = assessment.cases.front().flows.airways;
  const bool pressures =
      std::any_of(flows.begin(), flows.end(), [](const AirwayFlow& flow) { return flow.pressure_difference; });
  if (pressures) table.columns.push_back({"pressure, " + unit_words(site, "Pa"), true});
  const VolumeFlows air{site, assessment.cases.front().case_index};
  for (const std::size_t i : airways_shown(site, assessment, most)) {
    const Airway& airway = site.airways[i];
    const Flows flow = shown_flows(site, air, airway, flows[i]);
    table.rows.push_back({plain_text(airway.id), label(site, first_side(airway)), label(site, second_side(airway)),
                          format_number(flow.forward, 3), flow.backward > 0.0 ? format_number(flow.backward, 3) : "-"});
    if (!pressures) continue;
    const auto& difference = flows[i].pressure_difference;
    table.rows.back().push_back(difference ? format_number(in_unit(site, *difference, "Pa"), 2) : std::string{"-"});
  }
  return table;
}

std::vector<std::string> flow_changes(const Site& site, const Assessment& assessment) {
  std::vector<std::string> out;
  constexpr std::size_t most = 12;
  for (const CaseResult& result : assessment.cases) {
    std::string changes;
    std::size_t left = result.differences.size();
    for (const FlowDifference& flow : result.differences) {
      if (result.differences.size() - left == most) break;
      --left;
      changes += (changes.empty() ? "" : ", ") + plain_text(site.airways[flow.airway.value].id) + " " +
                 format_number(in_unit(site, flow.forward, "m3/h"), 3);
      if (flow.backward > 0.0) changes += " and " + format_number(in_unit(site, flow.backward, "m3/h"), 3) + " back";
    }
    if (left > 0) changes += " and " + std::to_string(left) + " more";
    if (!changes.empty()) out.push_back("In the " + case_heading(site, result.case_index) + ": " + changes + ".");
  }
  return out;
}

Table limit_table(const Site& site) {
  Table table;
  table.columns = {{"gas", false, true}, {"lower", true},       {"from", false, true},
                   {"upper", true},      {"from", false, true}, {""}};
  for (const Gas& gas : site.gases) {
    if (!gas.limits) continue;
    std::string remark = gas.limits->recalled ? "recalled, not read again" : "";
    if (gas.limits->fell_back) {
      remark += (remark.empty() ? "" : "; ") + ("not in " + plain_text(site.criteria.limits) + ": cautious pair");
    }
    table.rows.push_back({plain_text(gas.substance.id), percent(gas.limits->lower),
                          plain_text(gas.limits->lower_source), percent(gas.limits->upper),
                          plain_text(gas.limits->upper_source), remark});
  }
  return table;
}

}  // namespace leanside::report
