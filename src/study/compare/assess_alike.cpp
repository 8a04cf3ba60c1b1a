// SPDX-License-Identifier: Apache-2.0
/// Two sites over one time: a site that settles later would else be compared with less of the other one's course.
#include <algorithm>
#include <utility>

#include "leanside/study/compare.hpp"

namespace leanside {
namespace {

/// The site again, over `horizon` s, where it was computed over less and the file leaves the time open.
std::optional<Fault> lengthen(const Site& site, const AssessOptions& options, double horizon, Assessment& assessment) {
  if (!site.criteria.open_ended || assessment.horizon >= horizon) return std::nullopt;
  Site longer = site;
  longer.criteria.horizon = horizon;
  longer.criteria.open_ended = false;
  auto solved = assess(longer, options);
  if (auto* fault = std::get_if<Fault>(&solved)) return std::move(*fault);
  assessment = std::move(std::get<Assessment>(solved));
  return std::nullopt;
}

}  // namespace

std::variant<AlikeAssessments, AlikeFault> assess_alike(const Site& before, const Site& after,
                                                        const AssessOptions& options) {
  auto first = assess(before, options);
  if (auto* fault = std::get_if<Fault>(&first)) return AlikeFault{std::move(*fault), true};
  auto second = assess(after, options);
  if (auto* fault = std::get_if<Fault>(&second)) return AlikeFault{std::move(*fault), false};
  AlikeAssessments out{std::move(std::get<Assessment>(first)), std::move(std::get<Assessment>(second))};
  const double horizon = std::max(out.before.horizon, out.after.horizon);
  if (auto fault = lengthen(before, options, horizon, out.before)) return AlikeFault{std::move(*fault), true};
  if (auto fault = lengthen(after, options, horizon, out.after)) return AlikeFault{std::move(*fault), false};
  return out;
}

}  // namespace leanside
