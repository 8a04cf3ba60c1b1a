// SPDX-License-Identifier: Apache-2.0
/// What is kept of the course in time for the plots of a page.
#include <algorithm>
#include <cmath>

#include "hazard/mixture.hpp"
#include "leanside/report.hpp"

namespace leanside {
namespace {

/// Whether a plot of it would show more than the line it starts with.
bool something_happens(const SpaceCourse& course) {
  constexpr float traces = 1e-4f;
  const auto moves = [](const std::vector<float>& values) {
    const auto [low, high] = std::minmax_element(values.begin(), values.end());
    return low != values.end() && *high - *low > traces;
  };
  const bool any =
      std::any_of(course.lfl_fraction.begin(), course.lfl_fraction.end(), [](float v) { return v > traces; });
  constexpr float traces_of_toxic = 1e-7f;
  const bool toxic = std::any_of(course.gas.begin(), course.gas.end(), [](const std::vector<float>& values) {
    return std::any_of(values.begin(), values.end(), [](float v) { return v > traces_of_toxic; });
  });
  return any || toxic || moves(course.oxygen);
}

}  // namespace

void CourseRecord::add(CaseIndex case_index, double time, const FractionField& fractions) {
  if (open_ != case_index) {
    if (open_) {
      for (SpaceCourse& course : cases_[open_->value].spaces) {
        if (!something_happens(course)) course = {};
      }
    }
    models_ = std::make_shared<const hazard::MixtureModels>(hazard::mixture_models(*site_, case_index));
    cases_[case_index.value].spaces.resize(site_->spaces.size());
    open_ = case_index;
  }
  OfCase& of_case = cases_[case_index.value];
  of_case.times.push_back(time);
  for (std::size_t i = 0; i < of_case.spaces.size(); ++i) {
    const hazard::MixtureModel& model = models_->of(SpaceIndex{i});
    const auto x = fractions.of(SpaceIndex{i});
    of_case.spaces[i].lfl_fraction.push_back(static_cast<float>(model.lfl_fraction(x)));
    of_case.spaces[i].oxygen.push_back(static_cast<float>(model.oxygen_of(x)));
    of_case.spaces[i].gas.resize(site_->gases.size());
    for (std::size_t k = 0; k < site_->gases.size(); ++k) {
      if (site_->gases[k].substance.idlh) of_case.spaces[i].gas[k].push_back(static_cast<float>(x[k]));
    }
  }
}

const SpaceCourse* CourseRecord::find(CaseIndex case_index, SpaceIndex space) const {
  const OfCase& of_case = cases_[case_index.value];
  if (of_case.spaces.empty()) return nullptr;
  const SpaceCourse& course = of_case.spaces[space.value];
  return course.lfl_fraction.empty() || !something_happens(course) ? nullptr : &course;
}

}  // namespace leanside
