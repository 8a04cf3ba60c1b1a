// SPDX-License-Identifier: Apache-2.0
/// The answer for spreadsheets, and the course in time.
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "hazard/mixture.hpp"
#include "leanside/report.hpp"
#include "report/json/csv_line.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using report::CsvLine;
using report::field;

struct RankedSeverity {
  std::size_t rank = 0;
  Severity severity = Severity::note;
};
/// The first warning of each case and space.
using FirstWarnings = std::map<std::pair<CaseIndex, SpaceIndex>, RankedSeverity>;

FirstWarnings first_warnings(const Assessment& assessment) {
  FirstWarnings out;
  std::size_t rank = 0;
  for (const Warning& warning : assessment.warnings) {
    out.try_emplace({warning.case_index, warning.space}, RankedSeverity{++rank, warning.severity});
  }
  return out;
}

std::string row(const Site& site, const CaseResult& result, SpaceIndex index, const FirstWarnings& warnings) {
  const SpaceResult& space = result.spaces[index.value];
  const bool us = site.conditions.units == UnitSystem::us;
  CsvLine line;
  line.put(field(site.cases[result.case_index.value].id));
  line.put(field(site.spaces[index.value].id));
  if (const auto warning = warnings.find({result.case_index, index}); warning != warnings.end()) {
    line.put(std::to_string(warning->second.rank));
    line.put(word_of(warning->second.severity));
  } else {
    line.put_empty(2);
  }
  line.put(word_of(space.peak.state));
  line.put(space.peak.lfl_fraction);
  line.put(space.peak.time);
  line.put(space.peak.oxygen);
  line.put(space.peak.fraction);
  if (space.steady.reached) {
    line.put(word_of(space.steady.at.state));
    line.put(space.steady.at.lfl_fraction);
    line.put(space.steady.at.oxygen);
    line.put(space.steady.at.fraction);
  } else {
    line.put("none");
    line.put_empty(2 + site.gases.size());
  }
  line.put(space.flammable_time);
  line.put(space.flammable_from);
  line.put(us ? report::in_unit(site, space.flammable_gas, "m3") : space.flammable_gas);
  line.put(space.lowest_oxygen);
  line.put(space.highest_oxygen);
  line.put(us ? report::in_unit(site, space.pressure, "kPa") : space.pressure);
  return line.finished();
}

}  // namespace

std::string csv_report(const Site& site, const Assessment& assessment) {
  const auto gases = [&](const std::string& when) {
    std::string names;
    for (const Gas& gas : site.gases) names.append(",").append(field(when + gas.substance.id));
    return names;
  };
  std::string out = "case,space,rank,severity,peak_state,peak_lfl_fraction,peak_time_s,peak_oxygen";
  out += gases("peak_");
  out += ",steady_state,steady_lfl_fraction,steady_oxygen";
  out += gases("steady_");
  const bool us = site.conditions.units == UnitSystem::us;
  out += std::string{",flammable_s,flammable_from_s,"} + (us ? "flammable_gas_ft3" : "flammable_gas_m3") +
         ",oxygen_lowest,oxygen_highest," + (us ? "pressure_psi" : "pressure_pa") + "\n";
  const FirstWarnings warnings = first_warnings(assessment);
  for (const CaseResult& result : assessment.cases) {
    for (std::size_t i = 0; i < result.spaces.size(); ++i) out += row(site, result, SpaceIndex{i}, warnings);
  }
  return out;
}

SeriesTable::SeriesTable(const Site& site) : site_{&site} {}

std::string_view SeriesTable::header() { return "case,time_s,space,gas,fraction\n"; }

void SeriesTable::know(CaseIndex case_index) {
  if (case_ != case_index) {
    models_ = std::make_shared<const hazard::MixtureModels>(hazard::mixture_models(*site_, case_index));
    case_ = case_index;
  }
}

void SeriesTable::put_rows(std::string& out, CaseIndex case_index, double time, SpaceIndex space, const std::string& id,
                           std::span<const double> x) const {
  std::string prefix = field(site_->cases[case_index.value].id);
  prefix.append(",").append(format_exact(time)).append(",").append(field(id)).append(",");
  const auto put = [&](const std::string& name, double value) {
    out.append(prefix).append(name).append(",").append(format_exact(value)).append("\n");
  };
  for (std::size_t g = 0; g < site_->gases.size(); ++g) put(field(site_->gases[g].substance.id), x[g]);
  const hazard::MixtureModel& model = models_->of(space);
  put("oxygen", model.oxygen_of(x));
  put("lfl_fraction", model.lfl_fraction(x));
}

void SeriesTable::append(std::string& out, CaseIndex case_index, double time, const FractionField& fractions) {
  know(case_index);
  for (std::size_t i = 0; i < site_->spaces.size(); ++i) {
    put_rows(out, case_index, time, SpaceIndex{i}, site_->spaces[i].id, fractions.of(SpaceIndex{i}));
  }
}

void SeriesTable::append(std::string& out, CaseIndex case_index, double time, const LayerState& layers) {
  know(case_index);
  const std::string& id = site_->spaces[layers.space.value].id;
  put_rows(out, case_index, time, layers.space, id + ":lower", layers.lower);
  put_rows(out, case_index, time, layers.space, id + ":upper", layers.upper);
  out.append(field(site_->cases[case_index.value].id)).append(",").append(format_exact(time)).append(",");
  out.append(field(id)).append(",interface_m,").append(format_exact(layers.interface_height)).append("\n");
}

}  // namespace leanside
