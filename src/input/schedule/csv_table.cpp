// SPDX-License-Identifier: Apache-2.0
#include "input/schedule/csv_table.hpp"

#include <algorithm>
#include <utility>

namespace leanside::input {
namespace {

char separator_of(std::string_view text) {
  std::size_t tabs = 0, semicolons = 0, commas = 0;
  bool quoted = false;
  for (const char c : text) {
    if (c == '"') quoted = !quoted;
    if (quoted) continue;
    if (c == '\n') break;
    tabs += c == '\t' ? 1 : 0;
    semicolons += c == ';' ? 1 : 0;
    commas += c == ',' ? 1 : 0;
  }
  if (tabs > 0 && tabs >= semicolons) return '\t';
  return semicolons > 0 ? ';' : ',';
}

std::string trimmed(std::string text) {
  const auto blank = [](char c) { return c == ' ' || c == '\t'; };
  while (!text.empty() && blank(text.back())) text.pop_back();
  text.erase(text.begin(), std::find_if_not(text.begin(), text.end(), blank));
  return text;
}

/// Reads letter by letter.
class Reader {
 public:
  Reader(std::string_view text, CsvTable& out) : text_{text}, out_{out} {}

  void read() {
    for (; at_ < text_.size(); ++at_) {
      if (quoted_) {
        in_quotes();
      } else {
        outside_quotes();
      }
    }
    end_row();
  }

 private:
  void in_quotes() {
    const char c = text_[at_];
    if (c == '\n') ++line_;
    if (c != '"') {
      cell_ += c == '\n' || c == '\r' ? ' ' : c;
    } else if (at_ + 1 < text_.size() && text_[at_ + 1] == '"') {
      cell_ += '"';
      ++at_;
    } else {
      quoted_ = false;
    }
  }
  void outside_quotes() {
    const char c = text_[at_];
    if (c == out_.separator) {
      end_cell();
    } else if (c == '\n') {
      end_row();
      ++line_;
      row_.line = line_;
    } else if (c == '"' && trimmed(cell_).empty()) {
      quoted_ = true;
      cell_.clear();
    } else if (c != '\r') {
      cell_ += c;
    }
  }
  void end_cell() { row_.cells.push_back(trimmed(std::exchange(cell_, {}))); }
  void end_row() {
    end_cell();
    const bool empty = std::all_of(row_.cells.begin(), row_.cells.end(), [](const auto& cell) { return cell.empty(); });
    CsvRow row = std::exchange(row_, {});
    if (!empty) out_.rows.push_back(std::move(row));
    row_.line = line_;
  }

  std::string_view text_;
  CsvTable& out_;
  std::size_t at_ = 0;
  int line_ = 1;
  bool quoted_ = false;
  std::string cell_;
  CsvRow row_{1, {}};
};

}  // namespace

bool has_countless_cells(std::string_view text) {
  const char separator = separator_of(text);
  const auto ends = std::count_if(text.begin(), text.end(), [&](char c) { return c == separator || c == '\n'; });
  return static_cast<std::size_t>(ends) > most_cells;
}

CsvTable read_csv(std::string_view text) {
  constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
  if (text.starts_with(byte_order_mark)) text.remove_prefix(byte_order_mark.size());
  CsvTable out;
  out.separator = separator_of(text);
  Reader{text, out}.read();
  return out;
}

}  // namespace leanside::input
