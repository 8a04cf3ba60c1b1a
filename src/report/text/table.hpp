// SPDX-License-Identifier: Apache-2.0
/// A table of text: columns as wide as what stands in them, the flexible ones cut where the whole is too wide.
#pragma once

#include <cstddef>
#include <string>
#include <utility>
#include <vector>

namespace leanside::report {

struct Column {
  std::string head;
  bool right = false;     ///< numbers
  bool flexible = false;  ///< may be cut, down to 8 columns
};

struct Table {
  std::vector<Column> columns;
  std::vector<std::vector<std::string>> rows;  ///< each with a cell a column, cleaned by plain_text()
  /// Lines of their own before a row: its place, and the text. By place.
  std::vector<std::pair<std::size_t, std::string>> titles = {};

  /// Lines of at most `width` columns, each starting with a blank: the flexible columns are cut as far as it takes;
  /// where that is not enough, each row is a paragraph.
  std::string text(std::size_t width, bool unicode) const;
};

}  // namespace leanside::report
