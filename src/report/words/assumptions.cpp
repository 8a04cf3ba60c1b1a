// SPDX-License-Identifier: Apache-2.0
/// What had to be assumed, in words.
#include <algorithm>
#include <cmath>
#include <unordered_map>
#include <utility>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// Sentences with the cases that each holds in, in the order met.
class ByCase {
 public:
  void add(std::string sentence, CaseIndex which) {
    const auto [known, is_new] = at_.try_emplace(sentence, entries_.size());
    if (is_new) entries_.push_back({std::move(sentence), {}});
    entries_[known->second].cases.push_back(which);
  }
  struct Entry {
    std::string sentence;
    std::vector<CaseIndex> cases;
  };
  const std::vector<Entry>& entries() const { return entries_; }

 private:
  std::vector<Entry> entries_;
  std::unordered_map<std::string, std::size_t> at_;
};

std::string case_words(const Site& site, const std::vector<CaseIndex>& cases, std::size_t computed) {
  if (computed < 2) return {};
  if (cases.size() == computed) return " (in every case)";
  std::string out = cases.size() == 1 ? " (in the case " : " (in the cases ";
  for (std::size_t i = 0; i < cases.size(); ++i) {
    if (i > 0) out += ", ";
    out += plain_text(site.cases[cases[i].value].id);
  }
  return out + ")";
}

}  // namespace

VolumeFlows::VolumeFlows(const Site& site, CaseIndex which)
    : conditions_{site.conditions}, temperature_{state_at(site, which, 0.0).temperature} {}

double VolumeFlows::volume_flow(double rate, Side from) const {
  const double temperature = from ? temperature_[from->value] : conditions_.outside_temperature;
  return rate * gas_constant * temperature / conditions_.pressure;
}

std::string leak_sentence(const Site& site, const VolumeFlows& air, const AssumedLeak& leak) {
  const std::string space = label(site, leak.space);
  const bool out = leak.rate < 0.0;
  const double flow = air.volume_flow(std::abs(leak.rate), out ? Side{leak.space} : leak.other);
  const std::string other = label(site, leak.other);
  return "assumed: " + hourly(flow) + " leaks " +
         (out ? "out of " + space + " to " + other + ", because more comes into it than its airways carry away"
              : "into " + space + " from " + other + ", because its airways carry away more than comes into it") +
         " and no opening in the file carries the difference" + (leak.other ? "" : " outside") +
         (out ? "" : ". If the place is tighter than that, its fans get less air");
}

std::string leaking_sentence(const Site& site, AirwayIndex airway) {
  const Airway& way = site.airways[airway.value];
  return "assumed: " + plain_text(way.id) + " between " + label(site, first_side(way)) + " and " +
         label(site, second_side(way)) +
         " leaks although it is shut, because no open way carries the difference (at most 1 cm2 of leakage area to "
         "each m2 of floor, and not more than the smallest opening that is shut there)";
}

std::string overflow_sentence(const Site& site, AirwayIndex airway) {
  const Airway& way = site.airways[airway.value];
  return "assumed: the exchange " + plain_text(way.id) + " between " + label(site, first_side(way)) + " and " +
         label(site, second_side(way)) +
         " carries more one way than the other, because what is too much in the vessel or cabinet has no other way";
}

std::string off_curve_sentence(const Site& site, AirwayIndex airway) {
  return "the fan " + plain_text(site.airways[airway.value].id) +
         " works outside the pressures of its curve; its flow is held at the end of it, which is a guess";
}

std::string condensing_sentence(const Site& site, const Condensing& release) {
  return "only " + percent(release.share, 2) + " of the " + spoken(site.releases[release.release.value].gas.name) +
         " from \"" + label(site, release.release) +
         "\" stays in the air and the rest condenses at once, because saturated air holds no more";
}

std::string adrift_sentence(const Site& site, const std::vector<SpaceIndex>& spaces) {
  constexpr std::size_t most = 5;
  std::string names;
  for (std::size_t i = 0; i < std::min(most, spaces.size()); ++i) names += (i > 0 ? ", " : "") + label(site, spaces[i]);
  if (spaces.size() > most) names += " and others";
  return "no gap, doorway or relief leads from " + names +
         " to outside, so only differences of pressure are known there; add the gap under the door or at the window "
         "that there "
         "surely is";
}

std::vector<std::string> assumption_sentences(const Site& site, const Assessment& assessment) {
  std::vector<std::string> out;
  for (const std::string& text : assessment.assumptions) out.push_back(plain_text(text));
  ByCase found;
  for (const CaseResult& result : assessment.cases) {
    const VolumeFlows air{site, result.which};
    for (const AssumedLeak& leak : result.leaks) found.add(leak_sentence(site, air, leak), result.which);
    for (const AirwayIndex airway : result.leaking) found.add(leaking_sentence(site, airway), result.which);
    for (const AirwayIndex airway : result.overflowing) found.add(overflow_sentence(site, airway), result.which);
    for (const AirwayIndex airway : result.off_curve) found.add(off_curve_sentence(site, airway), result.which);
    for (const Condensing& release : result.condensing) found.add(condensing_sentence(site, release), result.which);
    for (std::string& sentence : flow_sentences(site, result)) found.add(std::move(sentence), result.which);
    if (!result.adrift.empty()) found.add(adrift_sentence(site, result.adrift), result.which);
  }
  for (const auto& [sentence, cases] : found.entries()) {
    out.push_back(sentence + case_words(site, cases, assessment.cases.size()));
  }
  return out;
}

}  // namespace leanside::report
