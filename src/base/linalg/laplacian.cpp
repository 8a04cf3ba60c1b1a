// SPDX-License-Identifier: Apache-2.0
#include "base/linalg/laplacian.hpp"

#include <algorithm>
#include <cassert>

#include <Eigen/SparseCholesky>
#include <Eigen/SparseCore>

namespace leanside::linalg {

struct Laplacian::Factors {
  Eigen::SparseMatrix<double> matrix;
  Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>, Eigen::Lower> cholesky;
  /// Places in the value array that each link adds to; off_diagonal is -1 for a link to ground.
  struct Places {
    int from = 0, to = -1, off_diagonal = -1;
  };
  std::vector<Places> places;
};

Laplacian::Laplacian(int nodes, std::span<const Conductance> links) : factors_{std::make_unique<Factors>()} {
  std::vector<Eigen::Triplet<double>> entries;
  entries.reserve(static_cast<std::size_t>(nodes) + links.size());
  for (int i = 0; i < nodes; ++i) entries.emplace_back(i, i, 1.0);
  for (const Conductance& link : links) {
    const int from = link.from, to = link.to;
    if (to != Conductance::ground && to != from) entries.emplace_back(std::max(from, to), std::min(from, to), 1.0);
  }
  Factors& f = *factors_;
  f.matrix.resize(nodes, nodes);
  f.matrix.setFromTriplets(entries.begin(), entries.end());
  f.matrix.makeCompressed();
  f.cholesky.analyzePattern(f.matrix);
  const auto place = [&](int row, int column) {
    const int* const begin = f.matrix.innerIndexPtr() + f.matrix.outerIndexPtr()[column];
    const int* const end = f.matrix.innerIndexPtr() + f.matrix.outerIndexPtr()[column + 1];
    return static_cast<int>(std::lower_bound(begin, end, row) - f.matrix.innerIndexPtr());
  };
  f.places.reserve(links.size());
  for (const Conductance& link : links) {
    const int from = link.from, to = link.to;
    Factors::Places at;
    at.from = place(from, from);
    if (to != Conductance::ground && to != from) {
      at.to = place(to, to);
      at.off_diagonal = place(std::max(from, to), std::min(from, to));
    }
    f.places.push_back(at);
  }
}

Laplacian::~Laplacian() = default;
Laplacian::Laplacian(Laplacian&&) noexcept = default;
Laplacian& Laplacian::operator=(Laplacian&&) noexcept = default;

bool Laplacian::factorise(std::span<const double> conductance) {
  Factors& f = *factors_;
  assert(conductance.size() == f.places.size());
  double* const value = f.matrix.valuePtr();
  std::fill(value, value + f.matrix.nonZeros(), 0.0);
  for (std::size_t k = 0; k < conductance.size(); ++k) {
    const auto& at = f.places[k];
    value[at.from] += conductance[k];
    if (at.off_diagonal < 0) continue;
    value[at.to] += conductance[k];
    value[at.off_diagonal] -= conductance[k];
  }
  f.cholesky.factorize(f.matrix);
  return f.cholesky.info() == Eigen::Success;
}

void Laplacian::solve(std::span<double> right_hand_side) const {
  Eigen::Map<Eigen::VectorXd> b(right_hand_side.data(), static_cast<Eigen::Index>(right_hand_side.size()));
  b = factors_->cholesky.solve(b).eval();
}

}  // namespace leanside::linalg
