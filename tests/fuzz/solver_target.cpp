// SPDX-License-Identifier: Apache-2.0
/// Solves a drawn site and writes its answer in every form. Fractions are between 0 and 1, and no answer contains NaN
/// or infinity.
#include <cmath>

#include <nlohmann/json.hpp>

#include "fuzz/targets.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study/detectors.hpp"
#include "leanside/study/failures.hpp"
#include "leanside/study/size.hpp"

namespace leanside::fuzz {
namespace {

constexpr double slack = 1e-6;  ///< tolerance of a fraction

void check_fraction(double x) { promise(x >= -slack && x <= 1.0 + slack, "a fraction is from 0 to 1"); }

void check_instant(const Instant& at, double horizon) {
  promise(std::isfinite(at.time) && at.time >= 0.0 && at.time <= horizon * (1.0 + 1e-9), "an instant is in the run");
  double sum = 0.0;
  for (const double x : at.fraction) {
    check_fraction(x);
    sum += x;
  }
  promise(sum <= 1.0 + 1e-5, "fractions add up to 1 at most");
  check_fraction(at.oxygen);
  promise(!std::isnan(at.lfl_fraction) && at.lfl_fraction >= 0.0, "a share of the limit is not negative");
}

void check_space(const SpaceResult& space, double horizon) {
  if (space.steady.reached)
    check_instant(
        {0.0, space.steady.at.fraction, space.steady.at.oxygen, space.steady.at.lfl_fraction, space.steady.at.state},
        horizon);
  promise(space.steady.reached || !space.steady.reason.empty(), "a missing steady state has a reason");
  check_instant(space.peak, horizon);
  check_instant(space.end, horizon);
  check_fraction(space.lowest_oxygen);
  check_fraction(space.highest_oxygen);
  promise(space.flammable_time >= 0.0 && space.flammable_time <= horizon * (1.0 + 1e-9),
          "the time in the range is within the run");
  promise(std::isfinite(space.flammable_gas) && space.flammable_gas >= 0.0, "an amount of gas is not negative");
  promise(std::isfinite(space.pressure) && space.pressure > 0.0, "a pressure is positive");
  double before = 0.0;
  for (const Crossing& crossing : space.crossings) {
    promise(crossing.up >= before && crossing.up <= horizon * (1.0 + 1e-9), "crossings are in order");
    promise(!crossing.down || *crossing.down >= crossing.up, "a downward crossing follows its upward crossing");
    before = crossing.up;
  }
}

void check_assessment(const Site& site, const Assessment& assessment) {
  promise(assessment.cases.size() == site.cases.size(), "every case has a result");
  promise(std::isfinite(assessment.horizon) && assessment.horizon > 0.0, "the computed time is finite");
  for (const CaseResult& one : assessment.cases) {
    for (const SpaceResult& space : one.spaces) check_space(space, assessment.horizon);
    promise(std::isfinite(one.balance_error) && one.balance_error < 1e-3, "gas is conserved");
  }
  for (const Warning& warning : assessment.warnings) {
    double sum = 0.0;
    for (const Cause& cause : warning.causes) sum += cause.share;
    promise(warning.causes.empty() || std::abs(sum - 1.0) < 1e-3, "causes add up to the total");
    promise(!summary_sentence(site, warning).empty() && !remedy_sentence(site, warning).empty(), "a warning has text");
  }
}

void check_words(const std::string& text) {
  promise(!text.empty(), "an answer has text");
  // With the characters around a number, because words such as "maintenance" contain "nan" too.
  for (const char* word : {" nan", "-nan", "=nan", ",nan", "nan,", " inf,", " inf ", "-inf", "=inf", ",inf"}) {
    promise(text.find(word) == std::string::npos, "an answer contains no NaN or infinity");
  }
}

void write_answer(const Site& site, const Assessment& assessment, const Diagnostics& notices) {
  check_words(text_report(site, assessment, notices, {}));
  check_words(csv_report(site, assessment));
  promise(nlohmann::json::accept(json_report(site, assessment, notices)), "the answer is JSON");
  promise(!html_report(site, assessment, notices, CourseRecord{site}, {}).empty(), "the answer is a page");
  for (const CaseResult& one : assessment.cases) check_words(site_picture(site, one));
}

template <class Outcome>
bool solved(const Outcome& outcome) {
  const auto* const fault = std::get_if<Fault>(&outcome);
  promise(fault == nullptr || !fault->message.empty(), "a fault has a message");
  return fault == nullptr;
}

void study(const Site& site, std::size_t study_number) {
  if (study_number == 0) {
    FailureOptions options;
    options.pairs = true;
    options.in_time = InTime::never;
    options.threads = 1;
    const auto outcome = study_failures(site, options);
    if (!solved(outcome)) return;
    const std::vector<FailureStudy> studies = {std::get<FailureStudy>(outcome)};
    check_words(failures_text(site, studies, {}));
    promise(nlohmann::json::accept(failures_json(site, studies)), "the answer is JSON");
  }
  if (study_number == 1) {
    const auto outcome = size_site(site);
    if (solved(outcome)) check_words(sizing_text(site, std::get<Sizing>(outcome), {}));
  }
  if (study_number == 2) {
    const auto outcome = place_detectors(site);
    if (solved(outcome)) check_words(detectors_text(site, std::get<DetectorPlan>(outcome), {}));
  }
  if (study_number == 3) check_words(stock_report(site, stock_of(site), {}));
}

void solve_and_write(const SiteReading& reading, std::size_t study_number) {
  const Site* const site = reading.usable();
  if (site == nullptr) return;
  AssessOptions options;
  options.series_points = 7;
  double before = -1.0;
  options.series = [&](CaseIndex, double time, const FractionField& x) {
    promise(std::isfinite(time) && (time >= before || time == 0.0), "the time of a course increases");
    before = time;
    for (std::size_t i = 0; i < x.spaces(); ++i) {
      for (const double fraction : x.of(SpaceIndex{i})) check_fraction(fraction);
    }
  };
  options.layer_series = [](CaseIndex, double, const LayerState& layers) {
    promise(std::isfinite(layers.interface_height), "an interface has a height");
    for (const auto* layer : {&layers.lower, &layers.upper}) {
      for (const double fraction : *layer) check_fraction(fraction);
    }
  };
  const auto outcome = assess(*site, options);
  if (!solved(outcome)) return;
  const auto& assessment = std::get<Assessment>(outcome);
  check_assessment(*site, assessment);
  write_answer(*site, assessment, reading.diagnostics);
  study(*site, study_number);
}

}  // namespace

void solver(std::string_view bytes) {
  if (bytes.empty()) return;
  constexpr std::size_t studies = 8;  // in half of the cases none
  const auto study_number = static_cast<unsigned char>(bytes.front());
  const std::string text = drawn_site(bytes.substr(1));
  solve_and_write(parse_site(text, "drawn.toml", built_in_substances()), study_number % studies);
}

void solved_site(std::string_view text) {
  solve_and_write(parse_site(text, "changed.toml", built_in_substances()), text.size() % 4);
}

}  // namespace leanside::fuzz
