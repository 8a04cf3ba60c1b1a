// SPDX-License-Identifier: Apache-2.0
// SparseLu by KLU: the CMake option LEANSIDE_KLU.
#include <cassert>
#include <new>
#include <utility>

#include <klu.h>

#include "base/linalg/sparse.hpp"

namespace leanside::linalg {

namespace {

/// A matrix that does not fit into memory is not a singular one.
void throw_where_memory_ran_out(const klu_common& common) {
  if (common.status == KLU_OUT_OF_MEMORY || common.status == KLU_TOO_LARGE) throw std::bad_alloc{};
}

}  // namespace

struct SparseLu::Factors {
  klu_common common{};
  klu_symbolic* symbolic = nullptr;
  klu_numeric* numeric = nullptr;
  int size = 0;

  Factors() { klu_defaults(&common); }
  ~Factors() { clear(); }
  Factors(const Factors&) = delete;
  Factors& operator=(const Factors&) = delete;
  void clear() {
    if (numeric != nullptr) klu_free_numeric(&numeric, &common);
    if (symbolic != nullptr) klu_free_symbolic(&symbolic, &common);
  }
};

SparseLu::SparseLu() : factors_{std::make_unique<Factors>()} {}
SparseLu::~SparseLu() = default;
SparseLu::SparseLu(SparseLu&&) noexcept = default;
SparseLu& SparseLu::operator=(SparseLu&&) noexcept = default;

bool SparseLu::factorise(const SparseMatrix& matrix, Pivots pivots) {
  Factors& f = *factors_;
  // KLU takes its arrays without const but does not write to them.
  int* const start = const_cast<int*>(matrix.column_start.data());
  int* const row = const_cast<int*>(matrix.row.data());
  double* const value = const_cast<double*>(matrix.value.data());
  if (pivots == Pivots::kept && f.numeric != nullptr && f.size == matrix.size &&
      klu_refactor(start, row, value, f.symbolic, f.numeric, &f.common) != 0 && f.common.status == KLU_OK) {
    return true;
  }
  if (f.numeric != nullptr) klu_free_numeric(&f.numeric, &f.common);
  if (pivots == Pivots::kept || f.symbolic == nullptr || f.size != matrix.size) {
    f.clear();
    f.size = matrix.size;
    f.symbolic = klu_analyze(matrix.size, start, row, &f.common);
  }
  if (f.symbolic == nullptr) {
    throw_where_memory_ran_out(f.common);
    return false;
  }
  f.numeric = klu_factor(start, row, value, f.symbolic, &f.common);
  throw_where_memory_ran_out(f.common);
  return f.numeric != nullptr && f.common.status == KLU_OK;
}

void SparseLu::solve(std::span<double> right_hand_sides, std::size_t columns) const {
  assert(factors_->numeric != nullptr);
  assert(right_hand_sides.size() == columns * static_cast<std::size_t>(factors_->size));
  klu_solve(factors_->symbolic, factors_->numeric, factors_->size, static_cast<int>(columns), right_hand_sides.data(),
            &factors_->common);
}

void SparseLu::solve_transposed(std::span<double> right_hand_sides, std::size_t columns) const {
  assert(factors_->numeric != nullptr);
  assert(right_hand_sides.size() == columns * static_cast<std::size_t>(factors_->size));
  klu_tsolve(factors_->symbolic, factors_->numeric, factors_->size, static_cast<int>(columns), right_hand_sides.data(),
             &factors_->common);
}

}  // namespace leanside::linalg
