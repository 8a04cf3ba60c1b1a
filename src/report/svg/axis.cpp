// SPDX-License-Identifier: Apache-2.0
#include "report/svg/axis.hpp"

#include <array>
#include <cmath>

#include "leanside/units.hpp"

namespace leanside::report {
namespace {

constexpr double minute = 60.0, hour = 3600.0, day = 86400.0;

double round_step(double least) {
  const double power = std::pow(10.0, std::floor(std::log10(least)));
  for (const double factor : {1.0, 2.0, 2.5, 5.0}) {
    if (factor * power >= least * (1.0 - 1e-9)) return factor * power;
  }
  return 10.0 * power;
}

/// Steps that clocks and calendars have; longer and shorter ones are round numbers of days and seconds.
double time_step(double least) {
  constexpr std::array<double, 21> steps{1.0,    2.0,        5.0,        10.0,        15.0,        30.0,
                                         minute, 2 * minute, 5 * minute, 10 * minute, 15 * minute, 30 * minute,
                                         hour,   2 * hour,   3 * hour,   4 * hour,    6 * hour,    12 * hour,
                                         day,    2 * day,    7 * day};
  if (least < steps.front()) return round_step(least);
  for (const double step : steps) {
    if (step >= least) return step;
  }
  return day * round_step(least / day);
}

}  // namespace

Ticks round_ticks(double low, double high, int most) {
  Ticks out;
  const double step = round_step((high - low) / most);
  const double first = std::ceil(low / step - 1e-9);
  for (int k = 0; (first + k) * step <= high + 1e-9 * step; ++k) {
    const double at = (first + k) * step;
    out.ticks.push_back({at, format_number(at == 0.0 ? 0.0 : at, 6)});
  }
  return out;
}

Ticks time_ticks(double length, int most) {
  Ticks out;
  const double step = time_step(length / most);
  const double unit = length <= 2 * minute ? 1.0 : length <= 2 * hour ? minute : length <= 3 * day ? hour : day;
  out.unit = unit == 1.0 ? "s" : unit == minute ? "min" : unit == hour ? "h" : "days";
  for (int k = 0; k * step <= length * (1.0 + 1e-9); ++k) {
    out.ticks.push_back({k * step, format_number(k * step / unit, 4)});
  }
  return out;
}

}  // namespace leanside::report
