// SPDX-License-Identifier: Apache-2.0
#include "report/words/failure_words.hpp"

#include <algorithm>
#include <cstddef>

#include "base/text/lists.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

std::string opening_word(const Airway& airway) {
  if (std::holds_alternative<Gap>(airway.kind)) return "gap";
  if (std::holds_alternative<Doorway>(airway.kind)) return "doorway";
  if (std::holds_alternative<Exchange>(airway.kind)) return "exchange";
  return std::holds_alternative<Relief>(airway.kind) ? "relief" : "fan";
}

}  // namespace

std::string failure_words(const Site& site, const Failure& failure) {
  switch (failure.kind) {
    case FailureKind::fan_off:
      return "the fan " + plain_text(site.airways[failure.airway->value].id) + " stops";
    case FailureKind::shut:
    case FailureKind::opened: {
      const Airway& airway = site.airways[failure.airway->value];
      const bool door = std::holds_alternative<Doorway>(airway.kind);
      const std::string what = "the " + opening_word(airway) + " " + plain_text(airway.id);
      if (failure.kind == FailureKind::opened) return what + (door ? " stands wide open" : " is opened");
      return what + (door ? " is shut" : " is blocked");
    }
    case FailureKind::no_air_change:
      return "the air changes of " + label(site, *failure.space) + " stop";
    case FailureKind::release_starts:
      break;
  }
  return "the release \"" + label(site, *failure.release) + "\" starts";
}

std::vector<std::string> failure_assumptions(const Site& site, std::span<const FailureStudy> studies) {
  const FailureStudy& first = studies.front();
  std::vector<std::string> out;
  out.push_back("fans and openings fail at time 0 and do not recover; all else is as in the case " +
                std::string{studies.size() == 1 ? "that was looked at" : "at hand"});
  if (first.in_time) {
    out.push_back(
        "a release that is off is started at time 0, when all else is near its steady state, at the worst instants of "
        "the space that it gets into and at events; of each space the worst of these counts, over the whole release");
  }
  out.push_back(
      "tried are: each fan off, each relief, gap and exchange blocked (opened where it is off), each doorway shut "
      "and wide open, the air changes of each space stopped, each release that is off started");
  if (first.pairs) out.push_back("of the pairs only those are shown that are worse than each of the two alone");
  const auto any = [&](const auto& holds) { return std::any_of(studies.begin(), studies.end(), holds); };
  if (any([](const FailureStudy& study) { return !study.in_time; })) {
    out.push_back(
        "only the steady state was computed: peaks of releases that end, and times, are not known (--in-time "
        "computes them)");
  } else if (any([](const FailureStudy& study) { return study.pairs && !study.pairs_in_time; })) {
    out.push_back(
        "of the pairs only the steady state was computed, since there are too many: peaks of releases that end, and "
        "times, are not known of them (--in-time computes them)");
  }
  for (const FailureStudy& study : studies) {
    const std::string where = studies.size() > 1 ? " in the case " + label(site, study.which) : std::string{};
    std::size_t kept = 0;
    for (const FailureOutcome& outcome : study.outcomes) kept += outcome.failures.size() > 1;
    if (study.pairs_worse > kept) {
      out.push_back("the worst " + std::to_string(kept) + " of " + count_of(study.pairs_worse, "such pair") +
                    " are kept" + where);
    }
    if (study.moments_left_out > 0) {
      out.push_back("at " + count_of(study.moments_left_out, "more moment") + where +
                    " a release was not started, since there are too many or it could not be computed");
    }
  }
  for (const FailureStudy& study : studies) {
    for (const std::string& text : study.assumptions) {
      std::string plain = plain_text(text);
      if (std::find(out.begin(), out.end(), plain) == out.end()) out.push_back(std::move(plain));
    }
  }
  return out;
}

/// What the answer with nothing failed rests on and nobody wrote down: leaks may be smaller than assumed.
std::vector<std::string> assumed_leaks(const Site& site, const FailureStudy& study) {
  const VolumeFlows air{site, study.which};
  std::vector<std::string> out;
  for (const AssumedLeak& leak : study.leaks) out.push_back(leak_sentence(site, air, leak));
  for (const AirwayIndex airway : study.leaking) out.push_back(leaking_sentence(site, airway));
  return out;
}

}  // namespace leanside::report
