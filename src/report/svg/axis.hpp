// SPDX-License-Identifier: Apache-2.0
/// Ticks of an axis as people read them: round numbers, times in s, min, h or days.
#pragma once

#include <string>
#include <vector>

namespace leanside::report {

struct Tick {
  double value = 0.0;
  std::string label;
};

struct Ticks {
  std::vector<Tick> ticks;  ///< ascending, the first at the lower end
  std::string unit;         ///< "min"; empty: none
};

/// At most `most` + 1 ticks of 1, 2, 2.5 or 5 times a power of ten from `low` to `high` (low < high), both finite.
Ticks round_ticks(double low, double high, int most);

/// From 0 to `length` s (> 0): at most `most` + 1 ticks at whole seconds, minutes, hours or days.
Ticks time_ticks(double length, int most);

}  // namespace leanside::report
