// SPDX-License-Identifier: Apache-2.0
#include "report/words/first_lines.hpp"

#include <algorithm>

#include "leanside/report.hpp"
#include "report/words/findings.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

/// How much an assumption matters to a reader in a hurry, the least first: what was found out about this site, then how
/// gas mixes, then what the file leaves open, then defaults that hardly count.
int order_of(AssumptionKind kind) {
  using Kind = AssumptionKind;
  switch (kind) {
    case Kind::shut_opening_leaks:
    case Kind::fan_off_curve:
    case Kind::unvented:
    case Kind::condensation:
      return 0;
    case Kind::well_mixed:
    case Kind::plumes_and_layers:
    case Kind::closed_but_for_releases:
    case Kind::stated:
      return 1;
    case Kind::sealed:
    case Kind::stands_in_room:
    case Kind::default_discharge:
    case Kind::exchange_overflows:
    case Kind::leak:
      return 2;
    case Kind::default_temperature:
    case Kind::default_inside_temperature:
    case Kind::default_outside_temperature:
    case Kind::default_pressure:
    case Kind::air_against_name:         // said above
    case Kind::doorway_carries_nothing:  // said above
      return 4;
    default:
      return 3;
  }
}

bool holds_no_gas(const Site& site) {
  return site.releases.empty() &&
         std::all_of(site.spaces.begin(), site.spaces.end(), [](const Space& space) { return space.initial.empty(); });
}

}  // namespace

std::string verdict_words(Told site, const Assessment& assessment, const std::vector<StarvedWords>& starved) {
  const bool only_notes = std::all_of(assessment.warnings.begin(), assessment.warnings.end(),
                                      [](const Warning& w) { return w.severity == Severity::note; });
  std::string verdict = only_notes ? headline_without_warning(site, assessment) : std::string{};
  if (verdict.empty() && !assessment.findings.empty()) verdict = verdict_sentence(site, assessment);
  if (verdict.empty() && holds_no_gas(site)) verdict = site.tell(P::verdict_without_gas);
  if (verdict.empty()) {
    const bool bare = assessment.not_judged.empty();
    verdict = site.tell(
        P::verdict_checked,
        {{"first", !bare ? std::string{} : site.tell(starved.empty() ? P::no_warning : P::no_warning_starved)},
         {"spaces", site.count(site->spaces.size(), P::one_space, P::spaces)},
         {"cases", site.count(assessment.cases.size(), P::one_case, P::cases)},
         {"span", span_words(site, assessment)},
         {"note", percent(site->criteria.note_at)},
         {"margin", percent(site->criteria.warn_at)},
         {"low", percent(site->criteria.oxygen_low)},
         {"high", percent(site->criteria.oxygen_high)}});
  }
  // Beside a fan that cannot do what the file says every other figure is too low.
  return (starved.empty() ? std::string{} : starved.front().title + ". ") + verdict;
}

std::vector<std::string> open_items(Told site, const Assessment& assessment) {
  std::vector<std::string> items = open_sentences(site, assessment);
  for (std::string& sentence : zone_sentences(site, assessment)) items.push_back(sentence + ".");
  return items;
}

std::vector<std::string> air_notices(Told site, const Assessment& assessment) {
  std::vector<std::string> items;
  for (const CaseResult& result : assessment.cases) {
    for (std::string& sentence : flow_sentences(site, result)) {
      if (std::find(items.begin(), items.end(), sentence) == items.end()) items.push_back(std::move(sentence));
    }
  }
  for (std::string& item : items) item += ".";
  return items;
}

std::vector<std::string> leading_assumptions(Told site, const Assessment& assessment) {
  std::vector<const Assumption*> order;
  for (const Assumption& one : assessment.assumptions) order.push_back(&one);
  std::stable_sort(order.begin(), order.end(),
                   [](const Assumption* a, const Assumption* b) { return order_of(a->kind) < order_of(b->kind); });
  std::vector<std::string> out;
  for (const Assumption* one : order) {
    std::string sentence = assumption_told(site, *one) + case_words(site, *one, assessment.cases.size());
    if (std::find(out.begin(), out.end(), sentence) == out.end()) out.push_back(std::move(sentence));
  }
  return out;
}

}  // namespace leanside::report
