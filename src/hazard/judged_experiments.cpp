// SPDX-License-Identifier: Apache-2.0
/// What the experiments of a case make of its warnings.
#include <algorithm>
#include <cmath>

#include "hazard/experiments.hpp"
#include "hazard/judge.hpp"

namespace leanside {

std::string_view word_of(FlameState state) {
  switch (state) {
    case FlameState::steady:
      return "steady";
    case FlameState::may_strike:
      return "may_strike_back";
    case FlameState::out:
      break;
  }
  return "out";
}

namespace hazard {
namespace {

/// While gas comes the run lets no air in; where air gets in against it, the worse of the two decides.
void add_counterflow(const Experiment& experiment, Warning& warning) {
  if (!experiment.counterflow || !experiment.counterflow->from) return;
  const Counterflow& against = *experiment.counterflow;
  const bool earlier = warning.severity != Severity::flammable || !warning.time || *against.from < *warning.time;
  if (warning.severity != Severity::flammable) warning.flammable_time = 0.0;
  if (earlier) warning.time = *against.from;
  warning.severity = Severity::flammable;
  warning.flammable_time = std::max(warning.flammable_time, against.flammable_time);
}

}  // namespace

void judge_experiments(const CaseResult& result, std::vector<Warning>& warnings) {
  for (const Experiment& experiment : result.experiments) {
    for (Warning& warning : warnings) {
      const Subject subject = subject_of(warning);
      const bool about = subject == Subject::fuel || subject == Subject::pressure;
      if (warning.space != experiment.space || !about || warning.severity == Severity::note) continue;
      warning.experiment = experiment;
      if (experiment.heat > 0.0) warning.energy = experiment.heat;
      if (subject == Subject::pressure) continue;
      add_counterflow(experiment, warning);
      if (!experiment.window) continue;
      const FlameWindow& window = *experiment.window;
      const double from = experiment.left_alone + window.from;
      if (warning.severity != Severity::flammable) {
        warning.severity = Severity::flammable;
        warning.time = from;
        warning.flammable_time = 0.0;
      }
      if (std::isfinite(window.until)) warning.flammable_time += window.until - window.from;
    }
  }
}

}  // namespace hazard
}  // namespace leanside
