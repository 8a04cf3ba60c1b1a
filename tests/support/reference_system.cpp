// SPDX-License-Identifier: Apache-2.0
/// The linear system of the reference solver for given flows.
#include <algorithm>
#include <cmath>

#include "support/reference_amounts.hpp"
#include "support/reference_solver.hpp"

namespace reference {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using leanside::Site;
using leanside::SpaceKind;

MatrixXd pick(const MatrixXd& m, const std::vector<std::size_t>& rows, const std::vector<std::size_t>& columns) {
  MatrixXd result(ix(rows.size()), ix(columns.size()));
  for (std::size_t i = 0; i < rows.size(); ++i) {
    for (std::size_t j = 0; j < columns.size(); ++j) result(ix(i), ix(j)) = m(ix(rows[i]), ix(columns[j]));
  }
  return result;
}

/// Expresses the unknowns that hold nothing by those that do. False where that is impossible.
bool eliminate_algebraic(System& system, std::size_t gases) {
  std::vector<std::size_t> all_gases(gases);
  for (std::size_t k = 0; k < all_gases.size(); ++k) all_gases[k] = k;
  system.reduced = pick(system.full, system.stored, system.stored);
  system.drive = pick(system.source, system.stored, all_gases);
  system.recover = MatrixXd::Zero(0, ix(system.stored.size()));
  system.recover_constant = MatrixXd::Zero(0, ix(all_gases.size()));
  if (!system.algebraic.empty()) {
    MatrixXd own = pick(system.full, system.algebraic, system.algebraic);
    MatrixXd other = pick(system.full, system.algebraic, system.stored);
    MatrixXd source = pick(system.source, system.algebraic, all_gases);
    for (Index row = 0; row < own.rows(); ++row) {  // rows span many decades: judge rank on scaled ones
      const double size = std::abs(own(row, row));
      if (size <= 0.0) return false;
      own.row(row) /= size;
      other.row(row) /= size;
      source.row(row) /= size;
    }
    const Eigen::FullPivLU<MatrixXd> lu(own);
    if (!lu.isInvertible()) return false;
    // Eigen does not solve for no columns at all: a network of nothing but junctions, a site without gases.
    const auto solved = [&](const MatrixXd& right) -> MatrixXd {
      if (right.cols() == 0) return right;
      return -lu.solve(right);
    };
    system.recover = solved(other);
    system.recover_constant = solved(source);
    const MatrixXd coupling = pick(system.full, system.stored, system.algebraic);
    system.reduced += coupling * system.recover;
    system.drive += coupling * system.recover_constant;
  }
  return true;
}

}  // namespace

std::optional<System> assemble(const Site& site, const Flows& flows, const leanside::SiteState& state) {
  const std::size_t n = site.spaces.size();
  std::vector<std::size_t> outlet(n + 1);
  std::size_t unknowns = n;
  for (std::size_t i = 0; i < n; ++i) outlet[i] = site.spaces[i].mixing_factor > 1.0 ? unknowns++ : i;

  System system;
  system.full = MatrixXd::Zero(ix(unknowns), ix(unknowns));
  system.source = MatrixXd::Zero(ix(unknowns), ix(site.gases.size()));
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    for (const auto& share : site.releases[r].gas.shares) {
      system.source(ix(site.releases[r].into.value), ix(share.gas.value)) += share.fraction * state.release_rate[r];
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    const double inflow = flows.rate.col(ix(i)).sum(), released = flows.released(ix(i));
    const double mixed = 1.0 / std::max(1.0, site.spaces[i].mixing_factor);
    for (std::size_t j = 0; j < n; ++j) system.full(ix(i), ix(outlet[j])) += mixed * flows.rate(ix(j), ix(i));
    system.full(ix(i), ix(i)) -= mixed * inflow + released;
    if (outlet[i] != i) {
      const Index o = ix(outlet[i]);
      system.full(o, ix(i)) += mixed * inflow + released;
      for (std::size_t j = 0; j < n; ++j) system.full(o, ix(outlet[j])) += (1.0 - mixed) * flows.rate(ix(j), ix(i));
      system.full(o, o) -= inflow + released;
      if (inflow + released <= 0.0) {
        system.full(o, o) = -1.0;
        system.full(o, ix(i)) = 1.0;
      }
    } else if (site.spaces[i].kind == SpaceKind::junction && inflow + released <= 0.0) {
      system.full(ix(i), ix(i)) = -1.0;
    }
  }
  for (std::size_t u = 0; u < unknowns; ++u) {
    const bool holds = u < n && site.spaces[u].kind != SpaceKind::junction;
    (holds ? system.stored : system.algebraic).push_back(u);
  }
  if (!eliminate_algebraic(system, site.gases.size())) return std::nullopt;
  return system;
}

}  // namespace reference
