// SPDX-License-Identifier: Apache-2.0
#include <cassert>

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

#include "base/linalg/sparse.hpp"

namespace leanside::linalg {

std::vector<double> potentials(int nodes, std::span<const Conductance> links, std::span<const double> injection) {
  assert(injection.size() == static_cast<std::size_t>(nodes));
  std::vector<Eigen::Triplet<double>> entries;
  entries.reserve(3 * links.size());
  for (const auto& [from, to] : links) {
    entries.emplace_back(from, from, 1.0);
    if (to == Conductance::ground) continue;
    entries.emplace_back(to, to, 1.0);
    entries.emplace_back(std::max(from, to), std::min(from, to), -1.0);
  }
  Eigen::SparseMatrix<double> laplacian(nodes, nodes);
  laplacian.setFromTriplets(entries.begin(), entries.end());
  const Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>, Eigen::Lower> cholesky(laplacian);
  assert(cholesky.info() == Eigen::Success);
  const Eigen::Map<const Eigen::VectorXd> b(injection.data(), nodes);
  Eigen::VectorXd p = cholesky.solve(b);
  p += cholesky.solve(b - laplacian.selfadjointView<Eigen::Lower>() * p);
  return {p.data(), p.data() + nodes};
}

}  // namespace leanside::linalg
