// SPDX-License-Identifier: Apache-2.0
/// Derivatives by the adjoint. With X = sum_k x_k/LFL_k the cells' share of the lower limit, A X = -B and X_s = e_s' X,
/// A' lambda = e_s gives dX_s = -lambda' (dA X + dB) for every change of the flows and of the releases at once.
#include <cmath>
#include <limits>

#include "airflow/incremental_balance.hpp"
#include "base/linalg/sparse.hpp"
#include "hazard/mixture.hpp"
#include "leanside/study/size.hpp"
#include "transport/steady/steady_system.hpp"

namespace leanside {
namespace {

class Adjoint {
 public:
  Adjoint(const Site& site, CaseIndex case_index, SpaceIndex space, const SteadySystem& system)
      : site_{site}, system_{system}, cells_{system.cells()}, space_{space} {
    const hazard::MixtureModels models = hazard::mixture_models(site, case_index);
    weight_ = models.of(space).lower;
    outlet_.resize(site.spaces.size());
    for (std::size_t i = 0; i < outlet_.size(); ++i) outlet_[i] = i;
    for (std::size_t cell = cells_.spaces; cell < cells_.count; ++cell) outlet_[cells_.space_of[cell]] = cell;
  }

  /// False where the equations are singular.
  bool solve() {
    const std::size_t n = cells_.count;
    std::vector<bool> shut(n, false);
    for (std::size_t part = 0; part < system_.parts().count; ++part) {
      if (!system_.closed(part)) continue;
      for (const std::size_t cell : system_.parts().of(part)) shut[cell] = true;
    }
    linalg::SparseMatrix a = transport::operator_of(cells_);
    for (std::size_t column = 0; column < n; ++column) {
      const auto end = static_cast<std::size_t>(a.column_start[column + 1]);
      for (auto k = static_cast<std::size_t>(a.column_start[column]); k < end; ++k) {
        const auto row = static_cast<std::size_t>(a.row[k]);
        if (shut[row]) a.value[k] = row == column ? -1.0 : 0.0;
      }
    }
    linalg::SparseLu lu;
    if (!lu.factorise(a)) return false;
    x_.assign(n, 0.0);
    const auto source = transport::sources(cells_, site_, system_.state(), gas_tracers(site_));
    for (std::size_t c = 0; c < weight_.size(); ++c) {
      for (std::size_t i = 0; i < n; ++i) x_[i] -= weight_[c] * source[c * n + i];
    }
    for (std::size_t i = 0; i < n; ++i) x_[i] = shut[i] ? 0.0 : x_[i];
    lu.solve(x_, 1);
    lambda_.assign(n, 0.0);
    lambda_[space_.value] = 1.0;
    lu.solve_transposed(lambda_, 1);
    for (std::size_t i = 0; i < n; ++i) {
      if (shut[i]) lambda_[i] = 0.0;
    }
    return true;
  }

  Derivatives derivatives(airflow::IncrementalBalance& balance) const {
    const auto inflow = [this](const Side& from, SpaceIndex to) { return by_inflow(from, to); };
    const std::vector<double> surplus = balance.by_surplus(inflow);
    const auto at = [&](const Side& side) { return side ? surplus[side->value] : 0.0; };
    Derivatives out;
    out.by_flow.assign(site_.airways.size(), 0.0);
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const Airway& airway = site_.airways[i];
      if (!system_.state().airway_on[i]) continue;
      const Side a = first_side(airway), b = second_side(airway);
      const double t = a ? system_.state().temperature[a->value] : site_.conditions.outside_temperature;
      const double moles = molar_flow(1.0, site_.conditions.pressure, t);
      double sum = 0.0;
      if (std::holds_alternative<Fan>(airway.kind)) {
        sum = (b ? by_inflow(a, *b) : 0.0) + at(b) - at(a);
      } else if (std::holds_alternative<Exchange>(airway.kind)) {
        sum = (b ? by_inflow(a, *b) : 0.0) + (a ? by_inflow(b, *a) : 0.0);
      }
      out.by_flow[i] = sum * moles;
    }
    out.by_release.assign(site_.releases.size(), 0.0);
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      const Release& release = site_.releases[r];
      const std::size_t i = release.into.value, o = outlet_[i];
      double share = 0.0;
      for (const GasShare& s : release.gas.shares) share += s.fraction * weight_[s.gas.value];
      double sum = -lambda_[i] * (share - x_[i]);
      if (o != i) sum -= lambda_[o] * (x_[i] - x_[o]);
      out.by_release[r] = sum + surplus[i];
    }
    return out;
  }

 private:
  /// Change with one mol/s more from a place into a space: see make_cells for where it goes.
  double by_inflow(const Side& from, SpaceIndex to) const {
    const std::size_t i = to.value, o = outlet_[i];
    const double x_from = from ? x_[outlet_[from->value]] : 0.0;
    const double mixing = o == i ? 1.0 : 1.0 / site_.spaces[i].mixing_factor;
    double out = -lambda_[i] * mixing * (x_from - x_[i]);
    if (o != i) out -= lambda_[o] * (mixing * x_[i] + (1.0 - mixing) * x_from - x_[o]);
    return out;
  }

  const Site& site_;
  const SteadySystem& system_;
  const transport::Cells& cells_;
  SpaceIndex space_;
  std::vector<double> weight_;  ///< 1/LFL by gas, in the space asked about
  std::vector<std::size_t> outlet_;
  std::vector<double> x_, lambda_;
};

}  // namespace

Result<std::optional<Derivatives>> derivatives(const Site& site, CaseIndex case_index, SpaceIndex space) {
  if (has_layers(site)) return std::optional<Derivatives>{};  // layers move with the air
  auto built = SteadySystem::build(site, case_index);
  if (auto* fault = std::get_if<Fault>(&built)) return std::move(*fault);
  const SteadySystem& system = std::get<SteadySystem>(built);
  airflow::IncrementalBalance balance(site, system.state(), system.flows());
  if (!balance.derivable() || system.closed(system.parts().part_of[space.value])) return std::optional<Derivatives>{};
  Adjoint adjoint(site, case_index, space, system);
  if (!adjoint.solve()) return std::optional<Derivatives>{};
  return std::optional(adjoint.derivatives(balance));
}

}  // namespace leanside
