// SPDX-License-Identifier: Apache-2.0
/// A vessel over time: too rich, able to burn or too lean, for each of the two bounds, as bands on one axis.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "leanside/experiment.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// One bound.
struct StateRow {
  std::string name;
  std::vector<StateSpan> spans;  ///< at least one
};

struct StateChart {
  std::string title;  ///< what it shows, for those who do not see it too
  std::vector<StateRow> rows;
  double end = 1.0;                 ///< s, of the time axis
  std::optional<StateSpan> window;  ///< marked on the axis
  std::string window_words;         ///< "may strike back: 43 s to 3 min"
  std::optional<double> gas_ends;   ///< s
};

std::string_view pattern_of(FlameState state);
std::string_view words_of(FlameState state, const PageWords& words);

/// The <svg> element.
std::string svg_states(const StateChart& chart, const PageWords& words);

}  // namespace leanside::report
