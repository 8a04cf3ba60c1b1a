// SPDX-License-Identifier: Apache-2.0
#include <cassert>

#include <Eigen/Cholesky>
#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

#include "base/linalg/sparse.hpp"

namespace leanside::linalg {
namespace {

/// Up to so many nodes a dense matrix is solved sooner than a sparse one is ordered.
constexpr int few_nodes = 24;

std::vector<double> potentials_of_few(int nodes, std::span<const Conductance> links,
                                      std::span<const double> injection) {
  using Dense = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor, few_nodes, few_nodes>;
  using Column = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, few_nodes, 1>;
  Dense laplacian = Dense::Zero(nodes, nodes);
  for (const auto& [from, to, value] : links) {
    laplacian(from, from) += value;
    if (to == Conductance::ground) continue;
    laplacian(to, to) += value;
    laplacian(from, to) -= value;
    laplacian(to, from) -= value;
  }
  const Eigen::LDLT<Dense> cholesky(laplacian);
  assert(cholesky.info() == Eigen::Success);
  const Column b = Eigen::Map<const Eigen::VectorXd>(injection.data(), nodes);
  Column p = cholesky.solve(b);
  p += cholesky.solve(b - laplacian * p);
  return {p.data(), p.data() + nodes};
}

}  // namespace

std::vector<double> potentials(int nodes, std::span<const Conductance> links, std::span<const double> injection) {
  assert(injection.size() == static_cast<std::size_t>(nodes));
  if (nodes <= few_nodes) return potentials_of_few(nodes, links, injection);
  std::vector<Eigen::Triplet<double>> entries;
  entries.reserve(3 * links.size());
  for (const auto& [from, to, value] : links) {
    entries.emplace_back(from, from, value);
    if (to == Conductance::ground) continue;
    entries.emplace_back(to, to, value);
    entries.emplace_back(std::max(from, to), std::min(from, to), -value);
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
