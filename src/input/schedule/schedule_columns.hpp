// SPDX-License-Identifier: Apache-2.0
/// What the columns of a schedule mean, and the numbers in them.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "input/schedule/csv_table.hpp"
#include "leanside/diagnostic.hpp"
#include "leanside/schedule.hpp"
#include "leanside/units.hpp"

namespace leanside::input {

/// One kind of column: `name` is the key that it becomes, or what the reader of the table looks for.
struct ColumnKind {
  std::string_view name;
  std::optional<Dimension> dimension = {};  ///< of a number with a unit
  bool plain_number = false;                ///< a number without a unit, or a share
  std::string_view other_words = {};        ///< further headers, separated by '|'
};

/// A table whose columns are known.
class Schedule {
 public:
  /// Reads the headers. `remarks` gets the columns that are not used and the units that are not known.
  Schedule(const ScheduleTable& table, std::span<const ColumnKind> kinds, DecimalMark decimal, Diagnostics& remarks);

  const std::vector<CsvRow>& rows() const { return rows_; }
  bool has(std::string_view name) const;
  bool has_header() const { return has_header_; }
  /// What is wrong where the row has more cells than the table has columns; empty where it has not.
  std::string too_wide(const CsvRow& row) const;
  /// The text of a cell; empty where there is none.
  std::string text(const CsvRow& row, std::string_view name) const;
  /// The cell as a site file writes it: "45 m2", 0.6. Empty where the cell is; a text that says what is wrong with it
  /// in place of that, behind `false`.
  struct Value {
    bool sound = true;
    std::string text;  ///< of a sound one; or what is wrong
    double si = 0.0;
  };
  std::optional<Value> value(const CsvRow& row, std::string_view name) const;
  SourceLocation place(const CsvRow& row) const { return {file_, row.line, 0}; }
  const std::string& file() const { return file_; }

 private:
  struct Column {
    const ColumnKind* kind = nullptr;
    std::string header, words, unit;  ///< "Supply (m3/h)", "Supply", "m3/h"
  };
  void read_headers(const CsvRow& row, std::span<const ColumnKind> kinds, Diagnostics& remarks);
  void find_decimal_mark();
  std::optional<std::string> plain(std::string number) const;
  Value read_value(const Column& column, const std::string& cell) const;

  std::string file_;
  bool has_header_ = false;
  char separator_ = ',';
  std::vector<Column> columns_;
  std::vector<CsvRow> rows_;
  DecimalMark decimal_;
};

/// An id made of a name: every letter that an id cannot have as '-'.
std::string id_of(std::string_view name);

/// `text` as a string of TOML.
std::string toml_text(std::string_view text);

}  // namespace leanside::input
