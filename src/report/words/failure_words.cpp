// SPDX-License-Identifier: Apache-2.0
#include "report/words/failure_words.hpp"

#include "hazard/assumptions.hpp"
#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

std::string opening_word(const Airway& airway) {
  if (std::holds_alternative<Gap>(airway.kind)) return "gap";
  if (const auto* door = std::get_if<Doorway>(&airway.kind)) return std::string{word_of(door->form)};
  if (std::holds_alternative<Exchange>(airway.kind)) return "exchange";
  return std::holds_alternative<Opening>(airway.kind) ? "opening" : "fan";
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
    case FailureKind::system_off:
      return "the system " + label(site, *failure.system) + " stops";
    case FailureKind::release_starts:
      break;
  }
  return "the release \"" + label(site, *failure.release) + "\" starts";
}

std::vector<std::string> failure_assumptions(const Site& site, std::span<const FailureStudy> studies) {
  std::vector<std::string> out;
  for (const Assumption& one : assumptions_of(studies)) {
    out.push_back(assumption_sentence(site, one) + case_words(site, one, studies.size()));
  }
  return out;
}

/// What the answer with nothing failed rests on and nobody wrote down: leaks may be smaller than assumed.
std::vector<std::string> assumed_leaks(const Site& site, const FailureStudy& study) {
  return assumption_sentences(site, hazard::leaks_of(site, study.case_index, study.leaks, study.leaking));
}

}  // namespace leanside::report
