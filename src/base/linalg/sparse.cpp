// SPDX-License-Identifier: Apache-2.0
#include "base/linalg/sparse.hpp"

#include <algorithm>
#include <cassert>
#include <numeric>

namespace leanside::linalg {

SparseMatrix compress(int size, std::span<const Entry> entries) {
  const auto n = static_cast<std::size_t>(size);
  // Counting sort by row, then stably by column: rows come out ascending within each column.
  std::vector<std::size_t> start(n + 1, 0);
  for (const Entry& e : entries) ++start[static_cast<std::size_t>(e.row) + 1];
  for (std::size_t i = 0; i < n; ++i) ++start[i + 1];  // the diagonal
  std::partial_sum(start.begin(), start.end(), start.begin());
  std::vector<Entry> by_row(entries.size() + n);
  auto next = start;
  for (const Entry& e : entries) by_row[next[static_cast<std::size_t>(e.row)]++] = e;
  for (int i = 0; i < size; ++i) by_row[next[static_cast<std::size_t>(i)]++] = Entry{i, i, 0.0};

  std::fill(start.begin(), start.end(), 0);
  for (const Entry& e : by_row) ++start[static_cast<std::size_t>(e.column) + 1];
  std::partial_sum(start.begin(), start.end(), start.begin());
  std::vector<Entry> by_column(by_row.size());
  next = start;
  for (const Entry& e : by_row) by_column[next[static_cast<std::size_t>(e.column)]++] = e;

  SparseMatrix matrix;
  matrix.size = size;
  matrix.column_start.reserve(n + 1);
  matrix.row.reserve(by_column.size());
  matrix.value.reserve(by_column.size());
  matrix.diagonal.assign(n, 0);
  std::size_t k = 0;
  for (int column = 0; column < size; ++column) {
    matrix.column_start.push_back(static_cast<int>(matrix.row.size()));
    const std::size_t first = matrix.row.size();
    for (; k < by_column.size() && by_column[k].column == column; ++k) {
      if (matrix.row.size() > first && matrix.row.back() == by_column[k].row) {
        matrix.value.back() += by_column[k].value;
        continue;
      }
      if (by_column[k].row == column) matrix.diagonal[static_cast<std::size_t>(column)] = matrix.value.size();
      matrix.row.push_back(by_column[k].row);
      matrix.value.push_back(by_column[k].value);
    }
  }
  matrix.column_start.push_back(static_cast<int>(matrix.row.size()));
  return matrix;
}

SparseMatrix transpose(const SparseMatrix& matrix) {
  std::vector<Entry> entries;
  entries.reserve(matrix.value.size());
  for (int column = 0; column < matrix.size; ++column) {
    const auto at = static_cast<std::size_t>(column);
    for (auto k = static_cast<std::size_t>(matrix.column_start[at]);
         k < static_cast<std::size_t>(matrix.column_start[at + 1]); ++k) {
      entries.push_back({column, matrix.row[k], matrix.value[k]});
    }
  }
  return compress(matrix.size, entries);
}

void multiply_add(const SparseMatrix& matrix, double a, std::span<const double> x, std::span<double> y) {
  assert(x.size() == static_cast<std::size_t>(matrix.size) && y.size() == x.size());
  for (std::size_t column = 0; column < x.size(); ++column) {
    const double ax = a * x[column];
    if (ax == 0.0) continue;
    const auto end = static_cast<std::size_t>(matrix.column_start[column + 1]);
    for (auto k = static_cast<std::size_t>(matrix.column_start[column]); k < end; ++k) {
      y[static_cast<std::size_t>(matrix.row[k])] += matrix.value[k] * ax;
    }
  }
}

}  // namespace leanside::linalg
