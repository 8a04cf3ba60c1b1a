// SPDX-License-Identifier: Apache-2.0
/// Flow through the openings of a small vessel, driven by the densities alone.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "leanside/advanced/bench.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace {

constexpr double pi = std::numbers::pi;

/// g times the difference of the densities over their mean.
double reduced_gravity(double lighter, double heavier) {
  const double mean = 0.5 * (lighter + heavier);
  return mean > 0.0 ? standard_gravity * std::abs(heavier - lighter) / mean : 0.0;
}

}  // namespace

double horizontal_exchange(double diameter, double neck, double lighter, double heavier) {
  constexpr double shortest = 0.01, longest = 10.0;  // L/D, as measured
  const double r = std::clamp(neck / diameter, shortest, longest);
  const double a = 1.0 + 400.0 * r * r * r;
  const double b = std::pow(std::pow(r, 6.0) + 117.0 * r * r, 0.75);
  const double number = 0.055 * std::pow(a, 1.0 / 6.0) / std::cbrt(1.0 + 0.00527 * std::sqrt(a) * b);
  return number * std::sqrt(reduced_gravity(lighter, heavier) * std::pow(diameter, 5.0));
}

double side_exchange(double diameter, double lighter, double heavier, double discharge) {
  constexpr double shape = 0.240;
  return shape * discharge * std::sqrt(reduced_gravity(lighter, heavier) * std::pow(diameter, 5.0));
}

double front_speed(double diameter, double lighter, double heavier, double factor) {
  return factor * std::sqrt(reduced_gravity(lighter, heavier) * diameter);
}

double draining_flow(const Drain& drain, double depth, double inside, double outside) {
  if (!(drain.out > 0.0) || !(drain.in > 0.0) || !(depth > 0.0)) return 0.0;
  const double out = drain.discharge * drain.out, in = drain.discharge * drain.in;
  const double head = 2.0 * std::abs(outside - inside) * standard_gravity * depth;
  return std::sqrt(head / (inside / (out * out) + outside / (in * in)));
}

double emptying_time(double volume, double first) { return first > 0.0 ? 2.0 * volume / first : HUGE_VAL; }

double mean_left_by_diffusion(double diffusivity, double length, double time) {
  if (!(time > 0.0)) return 1.0;
  const double step = pi * pi * diffusivity * time / (4.0 * length * length);
  // For short times the series converges slowly and the tube is as good as endless: 2 (D t / pi)^(1/2) / L is gone.
  constexpr double short_time = 0.02;
  if (step < short_time) return 1.0 - 2.0 * std::sqrt(diffusivity * time / pi) / length;
  double sum = 0.0;
  constexpr int terms = 60;
  for (int k = 0; k < terms; ++k) {
    const double n = 2.0 * k + 1.0;
    sum += std::exp(-n * n * step) / (n * n);
  }
  return 8.0 / (pi * pi) * sum;
}

double end_left_by_diffusion(double diffusivity, double length, double time) {
  if (!(time > 0.0)) return 1.0;
  const double step = pi * pi * diffusivity * time / (4.0 * length * length);
  constexpr double short_time = 0.02;  // less than 1e-12 is gone at the closed end
  if (step < short_time) return 1.0;
  double sum = 0.0;
  constexpr int terms = 60;
  for (int k = 0; k < terms; ++k) {
    const double n = 2.0 * k + 1.0;
    sum += (k % 2 == 0 ? 1.0 : -1.0) * std::exp(-n * n * step) / n;
  }
  return std::clamp(4.0 / pi * sum, 0.0, 1.0);
}

double diffusion_through_hole(double diffusivity, double diameter, double neck) {
  const double area = pi * diameter * diameter / 4.0;
  return diffusivity / (neck / area + 1.0 / diameter);
}

}  // namespace leanside
