// SPDX-License-Identifier: Apache-2.0
#include "transport/coupled/collocation.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "leanside/units.hpp"
#include "transport/coupled/collocation_step.hpp"

namespace leanside::transport {
namespace {

/// Most steps tried in one stretch, a hundred times the usual number: a run has to end.
constexpr std::size_t most_tries = 20'000;

/// Where a falling flow reverses, the fractions of a junction jump. A step this short, as a share of the stretch, is
/// accepted with such a jump in it.
constexpr double length_of_jump = 1e-3;

/// So many steps after one in which flows and fractions did not settle are no longer than half of it.
constexpr int steps_with_limit = 8;
struct StepLimit {
  double longest = 0.0;  ///< s
  int steps = 0;         ///< for which it holds
};

/// By which factor the length of a step should change after an error, in units of the tolerance.
double change_of_step(double error) {
  return error > 0.0 ? 0.9 * std::pow(error, -1.0 / static_cast<double>(stages)) : 4.0;
}

}  // namespace

std::variant<double, std::string> advance_coupled(const CoupledStretch& stretch, std::vector<double>& x,
                                                  std::vector<double>& capacity, std::vector<double>& stock,
                                                  std::span<double> gone, StepCount& count) {
  const double duration = stretch.duration;
  if (duration <= 0.0) return duration;
  Collocation collocation(stretch, x, capacity, stock);
  const auto fastest = collocation.start();
  if (!fastest) return collocation.fault();
  double h = *fastest * duration > 0.1 ? 0.1 / *fastest : duration;
  double done = 0.0;
  StepLimit limit;
  for (std::size_t tries = 0; done < duration; ++tries) {
    if (tries == most_tries) {
      return fmt::format("flows and fractions change too quickly to be followed: {} steps led to {} of {}", most_tries,
                         format_duration(done), format_duration(duration));
    }
    if (stretch.longest_step) h = std::min(h, stretch.longest_step(done));
    const bool last = done + 1.01 * h >= duration;
    double step = last ? duration - done : h;
    const auto error = collocation.try_step(done, step);
    ++count.factorisations;
    if (!error) return collocation.fault();
    const bool jump = step <= length_of_jump * duration;
    const double worst = jump ? error->stored : std::max(error->stored, error->passing);
    const double factor = change_of_step(worst);
    if (!(worst <= 1.0)) {
      ++count.rejected;
      h = step * (std::isfinite(worst) ? std::clamp(factor, 0.1, 0.5) : 0.5);
      if (!std::isfinite(worst)) limit = {h, steps_with_limit};
      if (!(done + h > done) || h < 1e-12 * duration) return "the flows and fractions do not settle within a step";
      continue;
    }
    const auto ending = collocation.first_spent(step);
    if (ending) {
      step = collocation.step_to_end(done, step, ending->first, ending->second);
      if (!std::isfinite(step)) return "the instant at which a stock is used up could not be found";
    }
    collocation.accept(step, gone);
    ++count.steps;
    const double end = last && !ending ? duration : done + step;
    if (stretch.observe) {
      CollocationStep observed = collocation.step(done, end);
      observed.jump = error->passing > 1.0;
      stretch.observe(observed);
    }
    done = end;
    if (collocation.any_spent()) return done;
    h = step * std::clamp(factor, 0.3, 4.0);
    if (limit.steps > 0 && --limit.steps > 0) h = std::min(h, limit.longest);
  }
  return duration;
}

}  // namespace leanside::transport
