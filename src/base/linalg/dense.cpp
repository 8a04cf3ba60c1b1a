// SPDX-License-Identifier: Apache-2.0
#include "base/linalg/dense.hpp"

#include <cassert>

#include <Eigen/LU>
#include <unsupported/Eigen/MatrixFunctions>

namespace leanside::linalg {
namespace {

auto as_matrix(std::span<double> values, std::size_t rows, std::size_t columns) {
  assert(values.size() == rows * columns);
  return Eigen::Map<Eigen::MatrixXd>{values.data(), static_cast<Eigen::Index>(rows),
                                     static_cast<Eigen::Index>(columns)};
}

}  // namespace

bool solve_dense(std::span<double> a, std::size_t n, std::span<double> b, std::size_t columns,
                 std::span<const double> scale, double tolerance) {
  assert(scale.size() == n);
  if (n == 0) return true;
  auto matrix = as_matrix(a, n, n);
  auto right = as_matrix(b, n, columns);
  for (std::size_t i = 0; i < n; ++i) {
    assert(scale[i] > 0.0);
    matrix.row(static_cast<Eigen::Index>(i)) /= scale[i];
    right.row(static_cast<Eigen::Index>(i)) /= scale[i];
  }
  const Eigen::PartialPivLU<Eigen::Ref<Eigen::MatrixXd>> factors{matrix};
  if (!(factors.matrixLU().diagonal().cwiseAbs().minCoeff() > tolerance)) return false;
  if (columns > 0) right = factors.solve(right).eval();
  return true;
}

std::vector<double> exponential(std::span<const double> a, std::size_t n) {
  std::vector<double> out(a.begin(), a.end());
  auto matrix = as_matrix(out, n, n);
  matrix = matrix.exp().eval();
  return out;
}

}  // namespace leanside::linalg
