// SPDX-License-Identifier: Apache-2.0
/// The steady state where flows follow the gas: flows and fractions that agree.
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>
#include <vector>

#include "airflow/solver.hpp"
#include "base/linalg/worse.hpp"
#include "transport/steady/steady_system.hpp"

namespace leanside {
namespace {

/// The points of an iteration x <- g(x) that may swing about its answer.
class Settling {
 public:
  explicit Settling(std::size_t size) : x_(size, 0.0), step_(size, 0.0) {}

  const std::vector<double>& at() const { return x_; }

  /// How far g is from x, relative.
  double change(const std::vector<double>& found) {
    // Rooms joined by a doorway become equal until their densities differ only in the last digit, so fractions this
    // small need not settle more closely.
    constexpr double small_fraction = 1e-4;
    double change = 0.0;
    ahead_ = 0.0;
    for (std::size_t k = 0; k < x_.size(); ++k) {
      const double step = (found[k] - x_[k]) / (std::abs(found[k]) + small_fraction);
      change = linalg::worse(change, std::abs(step));
      ahead_ += step * step_[k];
      step_[k] = step;
    }
    return change;
  }

  /// Each pass goes only part of the way; otherwise buoyant gas that drives its own outflow would oscillate about the
  /// answer. The part becomes smaller where a step turns back, and larger where it goes on: near a place where g almost
  /// meets x, steps become longer again without any swinging, and the answer is beyond.
  void move(int pass, const std::vector<double>& found) {
    constexpr double most = 0.7, least = 0.02;
    if (pass > 10) part_ = std::clamp(ahead_ < 0.0 ? 0.6 * part_ : 1.1 * part_, least, most);
    for (std::size_t k = 0; k < x_.size(); ++k) x_[k] += part_ * (found[k] - x_[k]);
  }

 private:
  std::vector<double> x_, step_;
  double ahead_ = 0.0;  ///< below 0 where the last step turns back
  double part_ = 0.7;
};

}  // namespace

// Fractions for the flows, flows for these fractions, and so on.
Result<SteadySystem> SteadySystem::settle(const Site& site, CaseIndex case_index, const SiteState& state) {
  constexpr int most = 600;
  constexpr double settled = 1e-10, nearly_settled = 1e-8;
  airflow::Memory memory;
  const auto tracers = gas_tracers(site);
  const std::size_t n = site.spaces.size(), m = tracers.size();
  Settling settling(n * m);  // fractions, column-major
  for (int pass = 0; pass < most; ++pass) {
    auto flows = airflow::balance(site, state, transport::densities(site, state, settling.at(), n), memory);
    if (const auto* fault = std::get_if<FlowFault>(&flows)) {
      return steady_fault(site, case_index, fault->message, fault->kind);
    }
    SteadySystem system(site, state, std::move(std::get<FlowField>(flows)));
    auto solved = system.solve(tracers);
    if (const auto* fault = std::get_if<Fault>(&solved)) return *fault;
    const auto& result = std::get<SteadyFractions>(solved);
    std::vector<double> found = settling.at();
    for (std::size_t i = 0; i < n; ++i) {
      if (!result.reached[i]) continue;  // nothing comes in: no value follows from the equations, so the old one stays
      for (std::size_t c = 0; c < m; ++c) found[c * n + i] = result.fractions(SpaceIndex{i}, c);
    }
    const double change = settling.change(found);
    if (change <= settled || (pass + 1 == most && change <= nearly_settled)) return system;
    settling.move(pass, found);
  }
  return steady_fault(site, case_index, "flows and fractions do not settle on one answer", FaultKind::unsolved);
}

}  // namespace leanside
