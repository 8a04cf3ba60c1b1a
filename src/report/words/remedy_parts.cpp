// SPDX-License-Identifier: Apache-2.0
#include "report/words/remedy_parts.hpp"

#include <cmath>
#include <string_view>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

/// Names of this many releases; the rest is counted.
constexpr std::size_t most_named = 4;

/// The largest number of two figures that is not more than `value` (> 0).
double rounded_down(double value) {
  const double step = std::pow(10.0, std::floor(std::log10(value)) - 1.0);
  // Twenty steps that come out as 19.9999 are twenty.
  return std::floor(value / step * (1.0 + 1e-12)) * step;
}

/// `value`, in SI, rounded down in the unit that it is shown in.
std::string at_most(Told site, double value, std::string_view unit) {
  return format_number(rounded_down(in_unit(site, value, unit)), 2) + " " + unit_words(site, unit);
}

constexpr double litre = 1e-3, minute = 60.0;

/// Volume, m3, of gas at the conditions of the site, as the site file counts it.
double volume_of(Told site, double moles) {
  return moles * gas_constant * site->conditions.temperature / site->conditions.pressure;
}

std::string volume_words(Told site, double moles) {
  const double volume = volume_of(site, moles);
  return at_most(site, volume, volume < 1.0 ? "L" : "m3");
}

/// Litres a minute; millilitres where that is below one.
std::string flow_words(Told site, double rate) {
  const double flow = volume_of(site, rate);
  return at_most(site, flow, flow < litre / minute ? "mL/min" : "L/min");
}

/// Whether somebody wrote an amount by its mass: "13 kg over 20 min".
bool is_in_mass(const std::string& written) {
  const std::size_t blank = written.find(' ');
  if (blank == std::string::npos) return false;
  const std::string unit = written.substr(blank + 1, written.find(' ', blank + 1) - blank - 1);
  return unit == "kg" || unit == "g" || unit == "lb";
}

/// A release made smaller: `share` of what it is.
struct Less {
  Told site;
  double share;
  std::string name;
  const Release& release;

  std::string amount_words(double moles) const {
    if (!is_in_mass(release.as_written)) return volume_words(site, moles);
    const double mass = moles * molar_mass(release.gas, site->gases);
    return at_most(site, mass, mass < 1.0 ? "g" : "kg");
  }

  std::string tell(Phrase phrase, const std::string& most) const {
    return site.tell(phrase, {{"source", name}, {"most", most}});
  }
  std::string of_all(Phrase phrase) const {
    return site.tell(phrase, {{"source", name}, {"percent", format_number(rounded_down(100.0 * share), 2)}});
  }
  std::string of_hole(const Hole& hole) const {
    return tell(P::less_hole, at_most(site, std::sqrt(share) * hole.diameter, "mm"));
  }
  std::string of_tray(double area) const { return tell(P::less_tray, at_most(site, area, area < 0.1 ? "cm2" : "m2")); }

  std::string operator()(const SteadyRelease& r) const { return tell(P::less_rate, flow_words(site, share * r.rate)); }
  std::string operator()(const DumpRelease& r) const { return tell(P::less_amount, amount_words(share * r.amount)); }
  std::string operator()(const FittingsRelease& r) const {
    return tell(P::less_each, flow_words(site, share * r.each));
  }
  std::string operator()(const OrificeRelease& r) const { return of_hole(r.hole); }
  std::string operator()(const CylinderRelease& r) const { return of_hole(r.hole); }
  std::string operator()(const SpillRelease& r) const { return of_tray(share * r.pool.area); }
  std::string operator()(const BoilingRelease& r) const { return of_tray(share * r.area); }
  std::string operator()(const ReactionRelease&) const { return of_all(P::less_reagents); }
  std::string operator()(const ChargingRelease&) const { return of_all(P::less_current); }
};

}  // namespace

std::string stop_words(Told site, ReleaseIndex release) {
  const auto& kind = site->releases[release.value].kind;
  Phrase phrase = P::stop_gas;
  if (std::holds_alternative<SpillRelease>(kind) || std::holds_alternative<BoilingRelease>(kind)) {
    phrase = P::stop_liquid;
  } else if (std::holds_alternative<ReactionRelease>(kind)) {
    phrase = P::stop_reaction;
  } else if (std::holds_alternative<ChargingRelease>(kind)) {
    phrase = P::stop_charging;
  }
  return site.tell(phrase, {{"source", label(site, release)}});
}

std::string stop_all_words(Told site, const std::vector<ReleaseIndex>& releases) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < releases.size() && i < most_named; ++i) words.push_back(stop_words(site, releases[i]));
  if (releases.size() > most_named) {
    words.push_back(site.tell(P::stop_more, {{"n", std::to_string(releases.size() - most_named)}}));
  }
  return site.listed(words);
}

std::string less_words(Told site, const Reduction& reduction) {
  std::vector<std::string> words;
  for (std::size_t i = 0; i < reduction.releases.size() && i < most_named; ++i) {
    const Release& release = site->releases[reduction.releases[i].value];
    std::string text =
        std::visit(Less{site, reduction.share, label(site, reduction.releases[i]), release}, release.kind);
    if (!release.as_written.empty()) {
      text = site.tell(P::less_now, {{"less", text}, {"written", plain_text(release.as_written)}});
    }
    words.push_back(std::move(text));
  }
  if (reduction.releases.size() > most_named) {
    words.push_back(site.tell(P::less_others, {{"percent", format_number(rounded_down(100.0 * reduction.share), 2)}}));
  }
  return site.listed(words);
}

}  // namespace leanside::report
