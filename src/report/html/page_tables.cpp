// SPDX-License-Identifier: Apache-2.0
/// The tables of the page: spaces, airways, releases, substances and criteria with their sources.
#include <algorithm>
#include <set>

#include <fmt/format.h>

#include "leanside/advanced/release.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/text/text_tables.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

std::string feet(const std::vector<std::string>& sentences) {
  std::string out;
  for (const std::string& sentence : sentences) out += "<p class=\"foot\">" + html::sentence(sentence) + "</p>\n";
  return out;
}

std::string space_tables(const Sources& from) {
  const bool brief = brief_tables(from.site, from.assessment);
  std::string out = "<h3>Spaces</h3>\n";
  for (const CaseResult& result : from.assessment.cases) {
    const SpaceTable spaces = space_table(from.site, from.assessment, result, brief);
    const std::string caption = "Spaces, % of the lower flammable limit: " + case_heading(from.site, result.case_index);
    if (spaces.table.rows.empty()) {
      out += "<p><b>" + html::text(caption) + ".</b></p>\n";
    } else {
      out += html::table(spaces.table, caption);
    }
    out += feet(spaces.feet);
  }
  return out;
}

std::string_view kind_words(const Airway& airway) {
  struct Words {
    std::string_view operator()(const Fan& fan) const { return fan.curve.empty() ? "fan" : "fan with a curve"; }
    std::string_view operator()(const Exchange&) const { return "exchange"; }
    std::string_view operator()(const Opening&) const { return "opening"; }
    std::string_view operator()(const Gap&) const { return "gap"; }
    std::string_view operator()(const Doorway& opening) const { return word_of(opening.form); }
  };
  return std::visit(Words{}, airway.kind);
}

std::string airway_table(const Sources& from) {
  const Site& site = from.site;
  if (site.airways.empty() || from.assessment.cases.empty()) return {};
  const CaseResult& result = from.assessment.cases.front();
  const VolumeFlows air{site, result.case_index};
  Table table;
  const std::string unit = unit_words(site, "m3/h");
  table.columns = {{"airway"}, {"kind"}, {"from"}, {"to"}, {unit, true}, {unit + " back", true}};
  for (std::size_t i = 0; i < site.airways.size() && i < result.flows.airways.size(); ++i) {
    const Airway& airway = site.airways[i];
    const AirwayFlow& flow = result.flows.airways[i];
    const double there = in_unit(site, air.volume_flow(flow.forward, first_side(airway)), "m3/h");
    const double back = in_unit(site, air.volume_flow(flow.backward, second_side(airway)), "m3/h");
    table.rows.push_back({airway.id, std::string{kind_words(airway)}, label(site, first_side(airway)),
                          label(site, second_side(airway)), format_number(there, 3),
                          back > 0.0 ? format_number(back, 3) : "-"});
  }
  return "<h3>Airways</h3>\n" + html::table(table, "Air flows at the start: " + case_heading(site, result.case_index)) +
         feet(flow_changes(site, from.assessment));
}

/// "from the start", "from 10 min to 20 min", "never in this case": when a release emits in the normal case.
std::string emission_words(const Site& site, ReleaseIndex index) {
  const auto spans = emission(site.releases[index.value], index, site.cases.front().events);
  if (spans.empty()) return "only in a case that turns it on";
  std::string out;
  constexpr std::size_t most = 3;
  for (std::size_t i = 0; i < std::min(most, spans.size()); ++i) {
    out += i > 0 ? ", " : "";
    out += spans[i].begin > 0.0 ? "from " + format_duration(spans[i].begin) : "from the start";
    if (spans[i].end <= site.criteria.horizon) out += " to " + format_duration(spans[i].end);
  }
  return out + (spans.size() > most ? ", ..." : "");
}

std::string release_table(const Sources& from) {
  const Site& site = from.site;
  if (site.releases.empty()) return "<h3>Releases</h3>\n<p>The file has none.</p>\n";
  Table table;
  table.columns = {{"release"}, {"gas"}, {"size, as written"}, {"into"}, {"when, in the normal case"}};
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    table.rows.push_back({label(site, ReleaseIndex{r}), release.gas.name, release.as_written, label(site, release.into),
                          emission_words(site, ReleaseIndex{r})});
  }
  return "<h3>Releases</h3>\n" + html::table(table, "Gas that gets in");
}

std::string substance_table(const Sources& from) {
  const Site& site = from.site;
  if (site.gases.empty()) return {};
  Table table;
  table.columns = {{"gas"},  {"lower limit", true},
                   {"from"}, {"upper limit", true},
                   {"from"}, {"least oxygen that burns", true},
                   {"from"}, {"remark"}};
  for (const Gas& gas : site.gases) {
    std::string name = gas.substance.name.empty() ? gas.substance.id : gas.substance.name;
    if (!gas.limits) {
      table.rows.push_back({name, "-", "", "-", "", "-", "", "does not burn"});
      continue;
    }
    std::string remark = gas.limits->recalled ? "recalled, not read again" : "";
    if (gas.limits->fell_back) {
      remark += (remark.empty() ? "" : "; ") + ("not in " + site.criteria.limits + ": the cautious pair");
    }
    const auto& oxygen = gas.substance.limiting_oxygen;
    table.rows.push_back({name, percent(gas.limits->lower), gas.limits->lower_source, percent(gas.limits->upper),
                          gas.limits->upper_source, oxygen ? percent(oxygen->value) : "any",
                          oxygen ? oxygen->source : "", remark});
  }
  return "<h3>Substances</h3>\n" + html::table(table, "Flammable limits used, in air at 25 degC") +
         "<p class=\"foot\">docs/sources.md of leanside says what the sources are; `leanside substances ID` shows the "
         "limits of every one.</p>\n";
}

std::string criteria_table(const Sources& from) {
  const Criteria& criteria = from.site.criteria;
  const Criteria usual;
  const auto origin = [](bool as_usual, std::string_view where) {
    return std::string{as_usual ? where : "chosen in the file"};
  };
  Table table;
  table.columns = {{"criterion"}, {"value", true}, {"where it is from"}};
  table.rows = {
      {"margin: warned of from", percent(criteria.warn_at) + " of the lower limit",
       origin(criteria.warn_at == usual.warn_at, "common practice, no single source")},
      {"noted from", percent(criteria.note_at) + " of the lower limit",
       origin(criteria.note_at == usual.note_at,
              "29 CFR 1910.146: more than a tenth of the lower limit makes air hazardous to enter")},
      {"oxygen too low below", percent(criteria.oxygen_low),
       origin(criteria.oxygen_low == usual.oxygen_low, "29 CFR 1910.146")},
      {"oxygen too high above", percent(criteria.oxygen_high),
       origin(criteria.oxygen_high == usual.oxygen_high, "29 CFR 1910.146")},
      {"whose limits", criteria.limits,
       origin(criteria.limits == usual.limits, "lowest lower and highest upper limit of all sources, gas by gas")},
      {"followed for", format_duration(criteria.horizon),
       origin(criteria.open_ended,
              "until the verdict can no longer change; at least a working day, at most a year, no source")}};
  return "<h3>Criteria</h3>\n" + html::table(table, "What is warned of");
}

}  // namespace

std::string tables(const Sources& from) {
  return "<section id=\"tables\"><h2>Tables</h2>\n" + space_tables(from) + airway_table(from) + release_table(from) +
         substance_table(from) + criteria_table(from) + "</section>\n";
}

}  // namespace leanside::report::page
