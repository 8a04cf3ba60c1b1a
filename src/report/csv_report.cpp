// SPDX-License-Identifier: Apache-2.0
/// The answer for spreadsheets, and the course in time.
#include <map>
#include <string>
#include <utility>

#include "leanside/report.hpp"

namespace leanside {
namespace {

/// A field as RFC 4180 has it: in quotes where it holds a comma, a quote or a line break.
std::string field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + "\"";
}

std::string number(const std::optional<double>& value) { return value ? format_exact(*value) : std::string{}; }

std::string fractions(const std::vector<double>& fraction, std::size_t gases) {
  std::string out;
  for (std::size_t g = 0; g < gases; ++g)
    out += "," + (g < fraction.size() ? format_exact(fraction[g]) : std::string{});
  return out;
}

/// Rank and severity of the first warning of each case and space.
using FirstWarnings = std::map<std::pair<CaseIndex, SpaceIndex>, std::string>;

FirstWarnings first_warnings(const Assessment& assessment) {
  FirstWarnings out;
  std::size_t rank = 0;
  for (const Warning& warning : assessment.warnings) {
    out.try_emplace({warning.which, warning.space},
                    std::to_string(++rank) + "," + std::string{word_of(warning.severity)});
  }
  return out;
}

std::string row(const Site& site, const CaseResult& result, SpaceIndex index, const FirstWarnings& warnings) {
  const SpaceResult& space = result.spaces[index.value];
  const SustainedInstant& sustained = space.sustained;
  const auto warning = warnings.find({result.which, index});
  std::string out = field(site.cases[result.which.value].id) + "," + field(site.spaces[index.value].id);
  out += "," + (warning == warnings.end() ? "," : warning->second);
  out += "," + std::string{word_of(space.peak.state)} + "," + format_exact(space.peak.lfl_fraction);
  out += "," + format_exact(space.peak.time) + "," + format_exact(space.peak.oxygen);
  out += fractions(space.peak.fraction, site.gases.size());
  if (sustained.reached) {
    out += "," + std::string{word_of(sustained.at.state)} + "," + format_exact(sustained.at.lfl_fraction) + "," +
           format_exact(sustained.at.oxygen) + fractions(sustained.at.fraction, site.gases.size());
  } else {
    out += ",none,," + fractions({}, site.gases.size());
  }
  out += "," + format_exact(space.flammable_time) + "," + number(space.flammable_from);
  out += "," + format_exact(space.flammable_gas) + "," + format_exact(space.lowest_oxygen);
  out += "," + format_exact(space.highest_oxygen) + "," + format_exact(space.pressure);
  return out + "\n";
}

}  // namespace

std::string csv_report(const Site& site, const Assessment& assessment) {
  std::string gases_at_peak, gases_sustained;
  for (const Gas& gas : site.gases) {
    gases_at_peak += "," + field("peak_" + gas.substance.id);
    gases_sustained += "," + field("sustained_" + gas.substance.id);
  }
  std::string out = "case,space,rank,severity,peak_state,peak_lfl_fraction,peak_time_s,peak_oxygen" + gases_at_peak +
                    ",sustained_state,sustained_lfl_fraction,sustained_oxygen" + gases_sustained +
                    ",flammable_s,flammable_from_s,flammable_gas_m3,oxygen_lowest,oxygen_highest,pressure_pa\n";
  const FirstWarnings warnings = first_warnings(assessment);
  for (const CaseResult& result : assessment.cases) {
    for (std::size_t i = 0; i < result.spaces.size(); ++i) out += row(site, result, SpaceIndex{i}, warnings);
  }
  return out;
}

SeriesTable::SeriesTable(const Site& site) : site_{&site} {
  const auto burns = fuels_at(site, site.conditions.temperature);
  for (std::size_t g = 0; g < burns.size(); ++g) {
    if (burns[g]) fuels_.push_back(g);
  }
  for (const Space& space : site.spaces) {
    const auto at = fuels_at(site, space.temperature);
    std::vector<Fuel> limits;
    for (const std::size_t g : fuels_) limits.push_back(*at[g]);
    limits_.push_back(std::move(limits));
  }
}

std::string_view SeriesTable::header() { return "case,time_s,space,gas,fraction\n"; }

void SeriesTable::append(std::string& out, CaseIndex which, double time, const FractionField& fractions) const {
  const std::string begin = field(site_->cases[which.value].id) + "," + format_exact(time) + ",";
  std::vector<double> of_fuels;
  for (std::size_t i = 0; i < site_->spaces.size(); ++i) {
    const std::string prefix = begin + field(site_->spaces[i].id) + ",";
    const auto put = [&](const std::string& name, double value) {
      out.append(prefix).append(name).append(",").append(format_exact(value)).append("\n");
    };
    const std::span<const double> x = fractions.of(SpaceIndex{i});
    for (std::size_t g = 0; g < site_->gases.size(); ++g) put(field(site_->gases[g].substance.id), x[g]);
    const double oxygen = oxygen_of(*site_, x);
    put("oxygen", oxygen);
    of_fuels.clear();
    for (const std::size_t g : fuels_) of_fuels.push_back(x[g]);
    put("lfl_fraction", range_of(limits_[i], of_fuels, oxygen, site_->conditions.oxygen_in_air).lfl_fraction);
  }
}

}  // namespace leanside
