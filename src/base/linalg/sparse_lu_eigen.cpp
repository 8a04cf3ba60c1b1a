// SPDX-License-Identifier: Apache-2.0
// SparseLu by Eigen: where the CMake option LEANSIDE_KLU is off, and in the page.
#include <cassert>
#include <utility>

#include <Eigen/OrderingMethods>
#include <Eigen/SparseLU>

#include "base/linalg/sparse.hpp"

namespace leanside::linalg {

struct SparseLu::Factors {
  using Matrix = Eigen::SparseMatrix<double, Eigen::ColMajor, int>;
  Eigen::SparseLU<Matrix, Eigen::COLAMDOrdering<int>> lu;
  Eigen::Index size = 0;
  bool analysed = false;
  bool usable = false;
};

SparseLu::SparseLu() : factors_{std::make_unique<Factors>()} {}
SparseLu::~SparseLu() = default;
SparseLu::SparseLu(SparseLu&&) noexcept = default;
SparseLu& SparseLu::operator=(SparseLu&&) noexcept = default;

// It always chooses its pivots anew.
bool SparseLu::factorise(const SparseMatrix& matrix, Pivots /*pivots*/) {
  Factors& f = *factors_;
  f.usable = false;
  if (matrix.size == 0) return false;
  const Eigen::Map<const Factors::Matrix> view(matrix.size, matrix.size, static_cast<Eigen::Index>(matrix.value.size()),
                                               matrix.column_start.data(), matrix.row.data(), matrix.value.data());
  const Factors::Matrix copy = view;
  if (!f.analysed || f.size != copy.rows()) {
    f.lu.analyzePattern(copy);
    f.size = copy.rows();
    f.analysed = true;
  }
  f.lu.factorize(copy);
  f.usable = f.lu.info() == Eigen::Success;
  return f.usable;
}

void SparseLu::solve(std::span<double> right_hand_sides, std::size_t columns) const {
  Factors& f = *factors_;
  assert(f.usable);
  assert(right_hand_sides.size() == columns * static_cast<std::size_t>(f.size));
  Eigen::Map<Eigen::MatrixXd> b(right_hand_sides.data(), f.size, static_cast<Eigen::Index>(columns));
  const Eigen::MatrixXd x = f.lu.solve(b);
  b = x;
}

void SparseLu::solve_transposed(std::span<double> right_hand_sides, std::size_t columns) const {
  Factors& f = *factors_;
  assert(f.usable);
  assert(right_hand_sides.size() == columns * static_cast<std::size_t>(f.size));
  Eigen::Map<Eigen::MatrixXd> b(right_hand_sides.data(), f.size, static_cast<Eigen::Index>(columns));
  const Eigen::MatrixXd x = f.lu.transpose().solve(b);
  b = x;
}

}  // namespace leanside::linalg
