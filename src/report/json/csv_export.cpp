// SPDX-License-Identifier: Apache-2.0
/// A site and an answer as tables for spreadsheets. The tables of the site can be imported again.
#include <algorithm>
#include <string>
#include <vector>

#include "hazard/facts.hpp"
#include "leanside/advanced/airflow.hpp"
#include "leanside/report.hpp"
#include "report/json/csv_line.hpp"
#include "report/words/findings.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using report::CsvLine;
using report::field;

/// In twelve figures, so that 450 m3/h come back as 450.
std::string shown(double si, std::string_view unit, UnitSystem units) {
  constexpr int digits = 12;
  const std::string text = format_quantity(si, unit, digits, units);
  return text.substr(0, text.find(' '));
}

/// "area (m2)", or "area (ft2)": a head that `import` reads.
std::string head(const Site& site, std::string_view name, std::string_view unit) {
  return std::string{name} + " (" + std::string{counterpart(unit, site.conditions.units)} + ")";
}

/// "pressure_pa", or "pressure_inH2O".
std::string column(const Site& site, std::string_view name, std::string_view si_suffix, std::string_view unit) {
  const bool us = site.conditions.units == UnitSystem::us;
  return std::string{name} + "_" + std::string{us ? counterpart(unit, UnitSystem::us) : si_suffix};
}

/// `si` in SI, or in the unit that stands for `unit`.
double in_column(const Site& site, double si, std::string_view unit) {
  return site.conditions.units == UnitSystem::us ? report::in_unit(site, si, unit) : si;
}
std::optional<double> in_column(const Site& site, const std::optional<double>& si, std::string_view unit) {
  return si ? std::optional{in_column(site, *si, unit)} : std::nullopt;
}

/// What a system with return air added stands at the place of the system.
bool is_added(const Site& site, const SourceLocation& place) {
  return std::any_of(site.systems.begin(), site.systems.end(), [&](const System& system) {
    return system.return_fan && system.place.line == place.line && system.place.column == place.column;
  });
}

/// A side as the file has it: the ducts of a system stand for outside.
std::string side(const Site& site, const Side& side) {
  if (!side || is_added(site, site.spaces[side->value].place)) return "outside";
  return site.spaces[side->value].id;
}

struct AirwayCells {
  std::string kind;
  std::string flow = {}, leakage_area = {}, exponent = {}, width = {}, height = {}, sill = {}, free_share = {},
              open = {}, discharge = {}, wind = {}, curve = {};
};

std::string wind_of(const std::optional<double>& coefficient) { return coefficient ? format_exact(*coefficient) : ""; }

AirwayCells cells_of(const Fan& fan, UnitSystem units) {
  AirwayCells out{.kind = "fan"};
  if (fan.curve.empty()) out.flow = shown(fan.flow, "m3/h", units);
  const auto with_unit = [&](double si, std::string_view unit) {
    return shown(si, unit, units) + " " + std::string{counterpart(unit, units)};
  };
  for (const FanPoint& point : fan.curve) {
    out.curve +=
        (out.curve.empty() ? "" : " | ") + with_unit(point.pressure, "Pa") + " : " + with_unit(point.flow, "m3/h");
  }
  return out;
}
AirwayCells cells_of(const Exchange& exchange, UnitSystem units) {
  return {.kind = "exchange", .flow = shown(exchange.flow, "m3/h", units)};
}
AirwayCells cells_of(const Opening&, UnitSystem) { return {.kind = "opening"}; }
AirwayCells cells_of(const Gap& gap, UnitSystem units) {
  AirwayCells out{.kind = "gap"};
  out.leakage_area = shown(gap.leakage_area, "cm2", units);
  out.exponent = format_exact(gap.exponent);
  if (gap.height > 0.0) out.height = shown(gap.height, "m", units);
  out.wind = wind_of(gap.wind_coefficient);
  return out;
}
/// Of a louvre or a window the free area is what was computed; its width is that of this area.
AirwayCells cells_of(const Doorway& door, UnitSystem units) {
  AirwayCells out{.kind = std::string{word_of(door.form)}};
  out.width = shown(door.width, "m", units);
  out.height = shown(door.height, "m", units);
  out.sill = shown(door.sill, "m", units);
  if (door.form == OpeningForm::louvre) out.free_share = "100";
  out.open = shown(door.open, "%", units);
  out.discharge = format_exact(door.discharge);
  out.wind = wind_of(door.wind_coefficient);
  return out;
}

std::string words_of(const SpaceKind kind) { return std::string{word_of(kind)}; }

}  // namespace

std::string spaces_csv(const Site& site) {
  const UnitSystem units = site.conditions.units;
  std::string out = "room,name,kind," + head(site, "area", "m2") + "," + head(site, "height", "m") + "," +
                    head(site, "volume", "m3") + "," + head(site, "elevation", "m") + "," +
                    head(site, "temperature", "degC") + "\n";
  for (const Space& space : site.spaces) {
    if (is_added(site, space.place)) continue;
    CsvLine line;
    line.put(field(space.id));
    line.put(field(space.name));
    line.put(words_of(space.kind));
    const bool sized = space.floor_area && space.height;
    line.put(sized ? shown(*space.floor_area, "m2", units) : "");
    line.put(space.height ? shown(*space.height, "m", units) : "");
    line.put(sized || space.kind == SpaceKind::junction ? "" : shown(space.volume, "m3", units));
    line.put(shown(space.elevation, "m", units));
    line.put(shown(space.temperature, "degC", units));
    out += line.finished();
  }
  return out;
}

std::string airways_csv(const Site& site) {
  const UnitSystem units = site.conditions.units;
  std::string out = "airway,kind,from,to," + head(site, "flow", "m3/h") + "," + head(site, "leakage_area", "cm2") +
                    ",exponent," + head(site, "width", "m") + "," + head(site, "height", "m") + "," +
                    head(site, "sill", "m") + ",free_share (%),open (%),discharge,wind_coefficient,curve,on,system\n";
  for (const Airway& airway : site.airways) {
    if (is_added(site, airway.place)) continue;
    const AirwayCells cells = std::visit([&](const auto& kind) { return cells_of(kind, units); }, airway.kind);
    CsvLine line;
    line.put(field(airway.id));
    line.put(cells.kind);
    line.put(field(side(site, first_side(airway))));
    line.put(field(side(site, second_side(airway))));
    for (const std::string& cell :
         {cells.flow, cells.leakage_area, cells.exponent, cells.width, cells.height, cells.sill, cells.free_share,
          cells.open, cells.discharge, cells.wind, cells.curve}) {
      line.put(cell);
    }
    line.put(airway.on ? "yes" : "no");
    line.put(airway.system ? field(site.systems[airway.system->value].id) : "");
    out += line.finished();
  }
  return out;
}

std::string warnings_csv(const Site& site, const Assessment& assessment) {
  std::string out = "rank,severity,case,space,time_s,lfl_fraction,oxygen," + column(site, "pressure", "pa", "kPa") +
                    ",gas,release,what\n";
  std::size_t rank = 0;
  for (const Warning& warning : assessment.warnings) {
    const Subject subject = subject_of(warning);
    CsvLine line;
    line.put(std::to_string(++rank));
    line.put(word_of(warning.severity));
    line.put(field(site.cases[warning.case_index.value].id));
    line.put(field(site.spaces[warning.space.value].id));
    line.put(warning.time);
    line.put(warning.lfl_fraction);
    line.put(subject == Subject::oxygen ? std::optional{warning.oxygen} : std::nullopt);
    line.put(subject == Subject::pressure ? std::optional{in_column(site, warning.pressure, "kPa")} : std::nullopt);
    line.put(warning.toxic ? field(site.gases[warning.toxic->gas.value].substance.id) : "");
    line.put(warning.source ? field(site.releases[warning.source->release.value].id) : "");
    line.put(field(summary_sentence(site, warning)));
    out += line.finished();
  }
  return out;
}

std::string flows_csv(const Site& site, const Assessment& assessment) {
  std::string out = "case,airway,kind,from,to," + column(site, "flow", "m3_s", "m3/h") + "," +
                    column(site, "back", "m3_s", "m3/h") + "," + column(site, "pressure", "pa", "Pa") + ",on,system\n";
  for (const CaseResult& result : assessment.cases) {
    const hazard::VolumeFlows air{site, result.case_index};
    const SiteState state = state_at(site, result.case_index, 0.0);
    for (std::size_t i = 0; i < site.airways.size() && i < result.flows.airways.size(); ++i) {
      const Airway& airway = site.airways[i];
      const AirwayFlow& flow = result.flows.airways[i];
      const Side first = first_side(airway), second = second_side(airway);
      CsvLine line;
      line.put(field(site.cases[result.case_index.value].id));
      line.put(field(airway.id));
      line.put(std::visit([](const auto& kind) { return cells_of(kind, UnitSystem::si); }, airway.kind).kind);
      line.put(first ? field(site.spaces[first->value].id) : "outside");
      line.put(second ? field(site.spaces[second->value].id) : "outside");
      line.put(in_column(site, air.volume_flow(flow.forward, first), "m3/h"));
      line.put(in_column(site, air.volume_flow(flow.backward, second), "m3/h"));
      line.put(in_column(site, flow.pressure_difference, "Pa"));
      line.put(state.airway_shut[i] ? "no" : "yes");
      line.put(airway.system ? field(site.systems[airway.system->value].id) : "");
      out += line.finished();
    }
  }
  return out;
}

std::string findings_csv(const Site& site, const Assessment& assessment) {
  std::string out = "rank,severity,case,space,where,when,what_to_do\n";
  std::size_t rank = 0;
  for (const Finding& finding : assessment.findings) {
    const Warning& leading = assessment.warnings[finding.warnings.front()];
    const report::FindingWords words = report::finding_words(site, assessment, finding);
    CsvLine line;
    line.put(std::to_string(++rank));
    line.put(word_of(words.severity));
    line.put(field(site.cases[leading.case_index.value].id));
    line.put(field(site.spaces[leading.space.value].id));
    line.put(field(words.where));
    line.put(field(words.when));
    line.put(field(words.act));
    out += line.finished();
  }
  return out;
}

}  // namespace leanside
