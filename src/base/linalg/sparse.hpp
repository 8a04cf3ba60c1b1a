// SPDX-License-Identifier: Apache-2.0
/// Sparse matrices and their factorisations, behind plain arrays: Eigen and KLU stay in this folder.
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

namespace leanside::linalg {

struct Entry {
  std::size_t row = 0;
  std::size_t column = 0;
  double value = 0.0;
};

/// Square matrix in compressed columns, rows ascending within a column, equal places added up. The indices are int
/// because KLU takes them so; `begin`, `end` and `row_of` give them as sizes.
struct SparseMatrix {
  int size = 0;
  std::vector<int> column_start;  ///< size + 1
  std::vector<int> row;
  std::vector<double> value;
  std::vector<std::size_t> diagonal;  ///< place of each diagonal entry in `value`; every one is stored, zero or not

  /// The entries of a column are those at begin(column) .. end(column) - 1 of `value`.
  std::size_t begin(std::size_t column) const { return static_cast<std::size_t>(column_start[column]); }
  std::size_t end(std::size_t column) const { return static_cast<std::size_t>(column_start[column + 1]); }
  /// Row of the entry at `place` of `value`.
  std::size_t row_of(std::size_t place) const { return static_cast<std::size_t>(row[place]); }
};

/// Gathers entries; adds a diagonal entry wherever there is none. `size` rows and columns.
SparseMatrix compress(std::size_t size, std::span<const Entry> entries);

SparseMatrix transpose(const SparseMatrix& matrix);

/// y += a A x.
void multiply_add(const SparseMatrix& matrix, double a, std::span<const double> x, std::span<double> y);

/// Whether a factorisation keeps the pivots of the one before, which is quicker, or chooses them anew, which suits any
/// matrix.
enum class Pivots { kept, anew };

/// LU factorisation of a general sparse matrix. The ordering is found once for a pattern; further factorisations of the
/// same pattern reuse it. Two libraries can stand behind it, of which a build takes one: KLU (SuiteSparse), made for
/// the matrices of networks (docs/methods.md says why; it reuses the pivot order too, which is safe for the diagonally
/// dominant matrices met here), or Eigen's SparseLU, which needs no compiled library.
class SparseLu {
 public:
  SparseLu();
  ~SparseLu();
  SparseLu(SparseLu&&) noexcept;
  SparseLu& operator=(SparseLu&&) noexcept;

  /// True where the matrix is not singular. The pattern must not change between calls on one object.
  bool factorise(const SparseMatrix& matrix, Pivots pivots = Pivots::kept);
  /// Solves in place for `columns` right-hand sides, each `size` long, one after the other.
  void solve(std::span<double> right_hand_sides, std::size_t columns) const;
  /// The same with the transposed matrix.
  void solve_transposed(std::span<double> right_hand_sides, std::size_t columns) const;

 private:
  struct Factors;
  std::unique_ptr<Factors> factors_;
};

/// One link of a conductance graph; `to` may be `ground`.
struct Conductance {
  static constexpr int ground = -1;
  int from = 0;
  int to = ground;
  double value = 1.0;
};

/// Potentials of a graph of conductances for given injections: the grounded Laplacian, Cholesky factorised,
/// refined once. Every node must be connected to ground.
std::vector<double> potentials(int nodes, std::span<const Conductance> links, std::span<const double> injection);

}  // namespace leanside::linalg
