// SPDX-License-Identifier: Apache-2.0
#include "input/schedule/schedule_columns.hpp"

#include <algorithm>
#include <cctype>
#include <charconv>

#include <fmt/format.h>

#include "base/units/unit_words.hpp"

namespace leanside::input {
namespace {

std::string lower(std::string_view text) {
  std::string out;
  for (const char c : text) out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

/// Words of a header alone: "Supply_Air " -> "supply air".
std::string squeezed(std::string_view text) {
  std::string out;
  for (const char c : lower(text)) {
    const bool letter = std::isalnum(static_cast<unsigned char>(c)) != 0 || static_cast<unsigned char>(c) >= 0x80;
    if (letter) {
      out += c;
    } else if (!out.empty() && out.back() != ' ') {
      out += ' ';
    }
  }
  while (!out.empty() && out.back() == ' ') out.pop_back();
  return out;
}

/// The unit that a header names, by its own letters or by those of the table in another case.
const Unit* unit_of_header(std::string_view text) {
  const std::string plain = in_plain_letters(text);
  if (const Unit* unit = find_unit(plain)) return unit;
  for (const Unit& unit : units()) {
    if (lower(unit.symbol) == lower(plain)) return &unit;
  }
  return nullptr;
}

/// "Supply (m3/h)", "supply [cfm]", "Area, m2", "height m" as words and unit.
std::pair<std::string, std::string> split_header(const std::string& header) {
  for (const auto& [open, close] : {std::pair{'(', ')'}, {'[', ']'}}) {
    const auto begin = header.find(open), end = header.rfind(close);
    if (begin != std::string::npos && end != std::string::npos && end > begin) {
      return {header.substr(0, begin), header.substr(begin + 1, end - begin - 1)};
    }
  }
  for (const char mark : {',', ' '}) {
    const auto at = header.rfind(mark);
    if (at == std::string::npos) continue;
    std::string last = header.substr(at + 1);
    last.erase(0, last.find_first_not_of(' '));
    if (unit_of_header(last) != nullptr) return {header.substr(0, at), last};
  }
  return {header, {}};
}

const ColumnKind* kind_of(std::string_view words, std::span<const ColumnKind> kinds) {
  for (const ColumnKind& kind : kinds) {
    if (squeezed(kind.name) == words) return &kind;
    std::string_view rest = kind.other_words;
    while (!rest.empty()) {
      const auto end = std::min(rest.find('|'), rest.size());
      if (rest.substr(0, end) == words) return &kind;
      rest.remove_prefix(std::min(end + 1, rest.size()));
    }
  }
  return nullptr;
}

/// How the marks of a number are placed: nothing else than digits and marks is looked at.
struct Marks {
  std::size_t commas = 0, points = 0;
  std::size_t after_last = 0;  ///< digits behind the last mark
  char last = 0;
};

Marks marks_of(std::string_view number) {
  Marks out;
  for (const char c : number) {
    if (c == ',' || c == '.') {
      (c == ',' ? out.commas : out.points) += 1;
      out.last = c;
      out.after_last = 0;
    } else if (c >= '0' && c <= '9') {
      ++out.after_last;
    }
  }
  return out;
}

/// The number at the start of a cell.
std::string_view number_of(std::string_view cell) {
  std::size_t end = 0;
  while (end < cell.size() && std::string_view{"0123456789.,+-'"}.find(cell[end]) != std::string_view::npos) ++end;
  return cell.substr(0, end);
}

}  // namespace

Schedule::Schedule(const ScheduleTable& table, std::span<const ColumnKind> kinds, DecimalMark decimal,
                   Diagnostics& remarks)
    : file_{table.file}, decimal_{decimal} {
  CsvTable csv = read_csv(table.text);
  if (csv.rows.empty()) return;
  has_header_ = true;
  separator_ = csv.separator;
  read_headers(csv.rows.front(), kinds, remarks);
  rows_.assign(csv.rows.begin() + 1, csv.rows.end());
  if (decimal_ == DecimalMark::by_the_table) find_decimal_mark();
}

void Schedule::read_headers(const CsvRow& row, std::span<const ColumnKind> kinds, Diagnostics& remarks) {
  std::vector<std::string> names;
  for (const ColumnKind& kind : kinds) names.emplace_back(kind.name);
  for (const std::string& header : row.cells) {
    auto [words, unit] = split_header(header);
    while (words.ends_with(' ')) words.pop_back();
    Column column{kind_of(squeezed(words), kinds), header, words, {}};
    const auto remark = [&](std::string message) {
      remarks.push_back({DiagnosticLevel::notice, place(row), std::move(message)});
    };
    if (column.kind == nullptr && !header.empty()) {
      const std::string near = nearest_name(squeezed(words), names);
      remark(fmt::format("the column '{}' is not used{}", plain_text(header),
                         near.empty() ? "" : fmt::format("; did you mean '{}'?", near)));
    } else if (column.kind != nullptr && !unit.empty()) {
      const Unit* known = unit_of_header(unit);
      const bool fits = known != nullptr && column.kind->dimension == known->dimension;
      const bool share = known != nullptr && column.kind->plain_number && known->dimension == Dimension::fraction;
      if (fits || share) {
        column.unit = known->symbol;
      } else if (column.kind->dimension) {
        remark(fmt::format("the unit '{}' of the column '{}' is not one of {}", plain_text(unit), plain_text(header),
                           units_that_fit(*column.kind->dimension)));
      }
    }
    columns_.push_back(std::move(column));
  }
}

/// What "1,5" means is shown by any number that can be read one way only.
void Schedule::find_decimal_mark() {
  bool comma = false, point = false;
  for (const CsvRow& row : rows_) {
    for (std::size_t k = 0; k < std::min(columns_.size(), row.cells.size()); ++k) {
      const ColumnKind* kind = columns_[k].kind;
      if (kind == nullptr || (!kind->dimension && !kind->plain_number)) continue;
      const Marks marks = marks_of(number_of(row.cells[k]));
      const std::size_t all = marks.commas + marks.points;
      if (all == 0 || (all == 1 && marks.after_last == 3)) continue;
      const bool one_kind = marks.commas == 0 || marks.points == 0;
      // Several marks of one kind group thousands, and so does the first of two kinds.
      const bool last_is_decimal = !(one_kind && all > 1);
      const bool comma_decimal = last_is_decimal == (marks.last == ',');
      (comma_decimal ? comma : point) = true;
    }
  }
  if (comma != point) decimal_ = comma ? DecimalMark::comma : DecimalMark::point;
}

/// A number with a decimal point and no other mark; empty where it can be meant either way.
std::optional<std::string> Schedule::plain(std::string number) const {
  const Marks marks = marks_of(number);
  std::erase(number, '\'');
  if (marks.commas == 0 && (marks.points == 0 || decimal_ == DecimalMark::point)) return number;
  if (decimal_ == DecimalMark::by_the_table) {
    if (marks.commas > 0) return std::nullopt;
    return number;  // a point alone, and nothing in the table speaks against it
  }
  const char decimal = decimal_ == DecimalMark::comma ? ',' : '.', group = decimal == ',' ? '.' : ',';
  std::erase(number, group);
  std::replace(number.begin(), number.end(), ',', '.');
  return number;
}

bool Schedule::has(std::string_view name) const {
  return std::any_of(columns_.begin(), columns_.end(),
                     [&](const Column& column) { return column.kind != nullptr && column.kind->name == name; });
}

std::string Schedule::too_wide(const CsvRow& row) const {
  std::size_t used = row.cells.size();
  while (used > columns_.size() && row.cells[used - 1].empty()) --used;
  if (used <= columns_.size()) return {};
  return fmt::format(
      "the row has {} cells, and the first line names {} columns; put a text that holds a '{}' in double quotes", used,
      columns_.size(), separator_ == '\t' ? std::string{"tab"} : std::string{separator_});
}

std::string Schedule::text(const CsvRow& row, std::string_view name) const {
  for (std::size_t k = 0; k < std::min(columns_.size(), row.cells.size()); ++k) {
    const bool wanted = columns_[k].kind != nullptr && columns_[k].kind->name == name;
    if (wanted && !row.cells[k].empty() && row.cells[k] != "-") return row.cells[k];
  }
  return {};
}

Schedule::Value Schedule::read_value(const Column& column, const std::string& cell) const {
  const std::string_view number = number_of(cell);
  const auto wrong = [&](std::string what) {
    return Value{false, fmt::format("{}: found '{}'; {}", plain_text(column.header), plain_text(cell), what), 0.0};
  };
  if (number.empty()) return wrong("expected a number");
  const auto digits = plain(std::string{number});
  if (!digits) {
    return wrong(
        "it may be a decimal comma or mark thousands, and no other number here shows which; write it without "
        "the mark, or say which it is (--decimal)");
  }
  std::string rest = cell.substr(number.size());
  rest.erase(0, rest.find_first_not_of(' '));
  const std::string unit = rest.empty() ? column.unit : rest;
  if (!column.kind->dimension && unit.empty()) {
    double value = 0.0;
    const auto [end, status] = std::from_chars(digits->data(), digits->data() + digits->size(), value);
    if (status != std::errc{} || end != digits->data() + digits->size()) return wrong("expected a number");
    return {true, format_exact(value), value};
  }
  const Dimension wanted = column.kind->dimension.value_or(Dimension::fraction);
  if (unit.empty()) {
    return wrong(fmt::format("its unit is missing; write it into the header, as in '{} ({})'", plain_text(column.words),
                             units_that_fit(wanted).substr(0, units_that_fit(wanted).find(','))));
  }
  const std::string text = *digits + " " + in_plain_letters(unit);
  const auto read = parse_quantity(text, wanted);
  if (const auto* fault = std::get_if<QuantityFault>(&read)) {
    return {false, fmt::format("{}: {}", plain_text(column.header), fault->message), 0.0};
  }
  return {true, toml_text(text), std::get<Quantity>(read).si};
}

std::optional<Schedule::Value> Schedule::value(const CsvRow& row, std::string_view name) const {
  const std::string cell = text(row, name);
  if (cell.empty()) return std::nullopt;
  for (const Column& column : columns_) {
    if (column.kind != nullptr && column.kind->name == name) return read_value(column, cell);
  }
  return std::nullopt;
}

std::string id_of(std::string_view name) {
  std::string out;
  for (const char c : name) {
    const bool allowed = std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_' || c == '.' || c == '-';
    if (static_cast<unsigned char>(c) < 0x80 && allowed) {
      out += c;
    } else if (!out.empty() && out.back() != '-') {
      out += '-';
    }
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out;
}

std::string toml_text(std::string_view text) {
  std::string out = "\"";
  for (const char c : plain_text(text)) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + "\"";
}

}  // namespace leanside::input
