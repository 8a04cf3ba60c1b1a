// SPDX-License-Identifier: Apache-2.0
#include "base/linalg/sparse.hpp"

#include <algorithm>
#include <cassert>
#include <numeric>

namespace leanside::linalg {

SparseMatrix compress(std::size_t size, std::span<const Entry> entries) {
  // Counting sort by row, then stably by column: rows come out ascending within each column.
  std::vector<std::size_t> start(size + 1, 0);
  for (const Entry& e : entries) ++start[e.row + 1];
  for (std::size_t i = 0; i < size; ++i) ++start[i + 1];  // the diagonal
  std::partial_sum(start.begin(), start.end(), start.begin());
  std::vector<Entry> by_row(entries.size() + size);
  auto next = start;
  for (const Entry& e : entries) by_row[next[e.row]++] = e;
  for (std::size_t i = 0; i < size; ++i) by_row[next[i]++] = Entry{i, i, 0.0};

  std::fill(start.begin(), start.end(), 0);
  for (const Entry& e : by_row) ++start[e.column + 1];
  std::partial_sum(start.begin(), start.end(), start.begin());
  std::vector<Entry> by_column(by_row.size());
  next = start;
  for (const Entry& e : by_row) by_column[next[e.column]++] = e;

  SparseMatrix matrix;
  matrix.size = static_cast<int>(size);
  matrix.column_start.reserve(size + 1);
  matrix.row.reserve(by_column.size());
  matrix.value.reserve(by_column.size());
  matrix.diagonal.assign(size, 0);
  std::size_t k = 0;
  for (std::size_t column = 0; column < size; ++column) {
    matrix.column_start.push_back(static_cast<int>(matrix.row.size()));
    const std::size_t first = matrix.row.size();
    for (; k < by_column.size() && by_column[k].column == column; ++k) {
      const int row = static_cast<int>(by_column[k].row);
      if (matrix.row.size() > first && matrix.row.back() == row) {
        matrix.value.back() += by_column[k].value;
        continue;
      }
      if (by_column[k].row == column) matrix.diagonal[column] = matrix.value.size();
      matrix.row.push_back(row);
      matrix.value.push_back(by_column[k].value);
    }
  }
  matrix.column_start.push_back(static_cast<int>(matrix.row.size()));
  return matrix;
}

SparseMatrix transpose(const SparseMatrix& matrix) {
  std::vector<Entry> entries;
  entries.reserve(matrix.value.size());
  const std::size_t size = matrix.diagonal.size();
  for (std::size_t column = 0; column < size; ++column) {
    for (std::size_t k = matrix.begin(column); k < matrix.end(column); ++k) {
      entries.push_back({column, matrix.row_of(k), matrix.value[k]});
    }
  }
  return compress(size, entries);
}

void multiply_add(const SparseMatrix& matrix, double a, std::span<const double> x, std::span<double> y) {
  assert(x.size() == matrix.diagonal.size() && y.size() == x.size());
  for (std::size_t column = 0; column < x.size(); ++column) {
    const double ax = a * x[column];
    if (ax == 0.0) continue;
    for (std::size_t k = matrix.begin(column); k < matrix.end(column); ++k) y[matrix.row_of(k)] += matrix.value[k] * ax;
  }
}

}  // namespace leanside::linalg
