// SPDX-License-Identifier: Apache-2.0
#include "report/words/remedy_parts.hpp"

#include <cmath>
#include <string_view>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// Names of this many releases; the rest is counted.
constexpr std::size_t most_named = 4;

std::string joined(const std::vector<std::string>& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? " and " : ", ";
    out += words[i];
  }
  return out;
}

/// The largest number of two figures that is not more than `value` (> 0).
double rounded_down(double value) {
  const double step = std::pow(10.0, std::floor(std::log10(value)) - 1.0);
  // Twenty steps that come out as 19.9999 are twenty.
  return std::floor(value / step * (1.0 + 1e-12)) * step;
}

/// `value`, in SI, rounded down in the unit that it is shown in.
std::string at_most(const Site& site, double value, std::string_view unit) {
  return format_number(rounded_down(in_unit(site, value, unit)), 2) + " " + unit_words(site, unit);
}

constexpr double litre = 1e-3, minute = 60.0;

/// Volume, m3, of gas at the conditions of the site, as the site file counts it.
double volume_of(const Site& site, double moles) {
  return moles * gas_constant * site.conditions.temperature / site.conditions.pressure;
}

std::string volume_words(const Site& site, double moles) {
  const double volume = volume_of(site, moles);
  return at_most(site, volume, volume < 1.0 ? "L" : "m3");
}

/// Litres a minute; millilitres where that is below one.
std::string flow_words(const Site& site, double rate) {
  const double flow = volume_of(site, rate);
  return at_most(site, flow, flow < litre / minute ? "mL/min" : "L/min");
}

struct Less {
  const Site& site;
  double share;

  std::string of_all(const std::string& what) const {
    return "with no more than " + format_number(rounded_down(100.0 * share), 2) + " % of its " + what;
  }
  std::string of_hole(const Hole& hole) const {
    return "through a hole of no more than " + at_most(site, std::sqrt(share) * hole.diameter, "mm");
  }
  std::string operator()(const SteadyRelease& r) const { return "at no more than " + flow_words(site, share * r.rate); }
  std::string operator()(const DumpRelease& r) const {
    return "with no more than " + volume_words(site, share * r.amount);
  }
  std::string operator()(const FittingsRelease& r) const {
    return "at no more than " + flow_words(site, share * r.each) + " each";
  }
  std::string operator()(const OrificeRelease& r) const { return of_hole(r.hole); }
  std::string operator()(const CylinderRelease& r) const { return of_hole(r.hole); }
  std::string operator()(const SpillRelease& r) const { return of_tray(share * r.pool.area); }
  std::string operator()(const BoilingRelease& r) const { return of_tray(share * r.area); }
  std::string of_tray(double area) const {
    return "kept to a tray of no more than " + at_most(site, area, area < 0.1 ? "cm2" : "m2");
  }
  std::string operator()(const ReactionRelease&) const { return of_all("reagents"); }
  std::string operator()(const ChargingRelease&) const { return of_all("charging current"); }
};

}  // namespace

std::string stop_words(const Site& site, ReleaseIndex release) {
  const auto& kind = site.releases[release.value].kind;
  const std::string name = "\"" + label(site, release) + "\"";
  if (std::holds_alternative<SpillRelease>(kind) || std::holds_alternative<BoilingRelease>(kind))
    return "remove the liquid of " + name;
  if (std::holds_alternative<ReactionRelease>(kind)) return "stop the reaction " + name;
  if (std::holds_alternative<ChargingRelease>(kind)) return "stop charging " + name;
  return "stop the gas from " + name;
}

std::string stop_all_words(const Site& site, const std::vector<ReleaseIndex>& releases) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < releases.size() && i < most_named; ++i) words.push_back(stop_words(site, releases[i]));
  if (releases.size() > most_named) {
    words.push_back("stop " + std::to_string(releases.size() - most_named) + " more that bring it");
  }
  return joined(words);
}

std::string less_words(const Site& site, const Reduction& reduction) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < reduction.releases.size() && i < most_named; ++i) {
    const Release& release = site.releases[reduction.releases[i].value];
    std::string text =
        "\"" + label(site, reduction.releases[i]) + "\" " + std::visit(Less{site, reduction.share}, release.kind);
    if (!release.as_written.empty()) text += " (now " + plain_text(release.as_written) + ")";
    words.push_back(std::move(text));
  }
  if (reduction.releases.size() > most_named) {
    words.push_back("the others at " + format_number(rounded_down(100.0 * reduction.share), 2) +
                    " % of what they give");
  }
  return joined(words);
}

}  // namespace leanside::report
