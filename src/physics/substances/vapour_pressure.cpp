// SPDX-License-Identifier: Apache-2.0
#include <cmath>

#include "leanside/substance.hpp"

namespace leanside {
namespace {

double value_of(const WideVapourPressure& e, double t) {
  return std::exp(e.c1 + e.c2 / t + e.c3 * std::log(t) + e.c4 * std::pow(t, e.c5));
}

double value_of(const AntoineEquation& e, double t) {
  constexpr double pascals_per_kilopascal = 1000.0;
  return pascals_per_kilopascal * std::pow(10.0, e.a - e.b / (t + e.c));
}

template <class Equation>
bool covers(const std::optional<Equation>& equation, double t) {
  return equation && t >= equation->t_min && t <= equation->t_max;
}

}  // namespace

std::optional<double> vapour_pressure(const Substance& substance, double temperature) {
  if (covers(substance.vapour_pressure, temperature)) return value_of(*substance.vapour_pressure, temperature);
  if (covers(substance.antoine, temperature)) return value_of(*substance.antoine, temperature);
  return {};
}

}  // namespace leanside
