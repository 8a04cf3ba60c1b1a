// SPDX-License-Identifier: Apache-2.0
/// Steps M dx/dt = A x + b with constant M (diagonal, zeros allowed), A and b through a stretch of time.
#pragma once

#include <array>
#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "base/linalg/sparse.hpp"
#include "transport/linear/laguerre.hpp"

namespace leanside::transport {

struct LinearSystem {
  linalg::SparseMatrix a;        ///< mol/s
  std::vector<double> capacity;  ///< M, mol; 0 in the rows of junctions and outlets
  std::vector<double> source;    ///< b, mol/s, column-major, rows x columns
  std::vector<double> outflow;   ///< mol/s from each row to outside
  std::size_t columns = 0;
};

struct Tolerance {
  double relative = 1e-9;
  double absolute = 1e-16;
};

/// One accepted step: `differences[n]` are the d_n of docs/methods.md, rows x columns each.
struct Step {
  double begin = 0.0;  ///< s from the start of the stretch
  double end = 0.0;
  std::span<const std::vector<double>> differences;
};

struct StepCount {
  std::size_t steps = 0, factorisations = 0, rejected = 0;
};

/// Solves 0 = A x + b for the rows without capacity, given the other rows. False if these equations are singular.
bool make_consistent(const LinearSystem& system, std::span<double> x);

/// Advances x (column-major, rows x columns) by `duration` s and adds to `gone` what left to outside, mol by column.
/// Makes the rows without capacity consistent first. False if the step became too small to go on. If `integral` is not
/// empty, the integral of x over the time is added to it, by row and column.
bool advance(const LinearSystem& system, double duration, const Tolerance& tolerance, std::span<double> x,
             std::span<double> gone, const std::function<void(const Step&)>& observe, StepCount& count,
             std::span<double> integral = {});

}  // namespace leanside::transport
