// SPDX-License-Identifier: Apache-2.0
/// A table of text: columns as wide as what stands in them, the flexible ones cut where the whole is too wide.
#pragma once

#include <cstddef>
#include <string>
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

  /// Lines of at most `width` columns where cutting the flexible columns can bring that about; each starts with a
  /// blank.
  std::string text(std::size_t width, bool unicode) const;
};

}  // namespace leanside::report
