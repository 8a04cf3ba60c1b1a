// SPDX-License-Identifier: Apache-2.0
/// Comma-separated values as spreadsheets write them.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

namespace leanside::input {

struct CsvRow {
  int line = 0;  ///< on which it begins, from 1
  std::vector<std::string> cells;
};

struct CsvTable {
  char separator = ',';
  std::vector<CsvRow> rows;  ///< without those that are empty
};

/// Each cell takes far more memory than its text. A schedule of 10 000 rooms with ten columns has a fifth of that.
inline constexpr std::size_t most_cells = 500'000;
/// Whether a text has more cells, or lines, than that; separators within quotes count as well.
bool has_countless_cells(std::string_view text);

/// Separated by whichever of tab, semicolon and comma its first line has most of. Blanks around a cell are dropped.
CsvTable read_csv(std::string_view text);

}  // namespace leanside::input
