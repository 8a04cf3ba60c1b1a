// SPDX-License-Identifier: Apache-2.0
/// Comma-separated values as spreadsheets write them.
#pragma once

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

/// Separated by whichever of tab, semicolon and comma its first line has most of. Blanks around a cell are dropped.
CsvTable read_csv(std::string_view text);

}  // namespace leanside::input
