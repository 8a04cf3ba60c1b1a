// SPDX-License-Identifier: Apache-2.0
#include "report/text/table.hpp"

#include <algorithm>
#include <numeric>
#include <span>

#include "base/text/plain.hpp"

namespace leanside::report {
namespace {

constexpr std::size_t narrowest = 8;
constexpr std::string_view gap = "  ";

/// Takes columns from the widest flexible one until the whole fits.
void narrow(std::vector<std::size_t>& widths, std::span<const Column> columns, std::size_t room) {
  std::size_t total = std::accumulate(widths.begin(), widths.end(), std::size_t{0});
  while (total > room) {
    std::size_t widest = widths.size();
    for (std::size_t i = 0; i < widths.size(); ++i) {
      const bool can = columns[i].flexible && widths[i] > narrowest;
      if (can && (widest == widths.size() || widths[i] > widths[widest])) widest = i;
    }
    if (widest == widths.size()) return;
    --widths[widest];
    --total;
  }
}

const std::string* title_before(const Table& table, std::size_t row) {
  const auto found = std::ranges::find(table.titles, row, &std::pair<std::size_t, std::string>::first);
  return found == table.titles.end() ? nullptr : &found->second;
}

/// For a terminal too narrow for the columns: each row as a paragraph, "first cell: head cell, head cell, ...".
std::string as_paragraphs(const Table& table, std::size_t width) {
  std::string out;
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    const auto& row = table.rows[r];
    if (const std::string* title = title_before(table, r)) out += wrapped(*title + ":", " ", width, 1);
    std::string line;
    for (std::size_t i = 0; i < row.size(); ++i) {
      if (row[i].empty()) continue;
      const std::string& head = table.columns[i].head;
      line += line.empty() ? "" : i == 1 ? ": " : ", ";
      line += i == 0 || head.empty() ? row[i] : head + " " + row[i];
    }
    out += wrapped(line, " ", width, 4);
  }
  return out;
}

}  // namespace

std::string Table::text(std::size_t width, bool unicode) const {
  std::vector<std::size_t> widths;
  for (std::size_t i = 0; i < columns.size(); ++i) {
    std::size_t most = report::columns(columns[i].head);
    for (const auto& row : rows) most = std::max(most, report::columns(row[i]));
    widths.push_back(most);
  }
  const std::size_t gaps = 1 + gap.size() * (columns.empty() ? 0 : columns.size() - 1);
  narrow(widths, columns, width > gaps ? width - gaps : 0);
  if (std::accumulate(widths.begin(), widths.end(), gaps) > width && !rows.empty()) return as_paragraphs(*this, width);

  const auto line = [&](const auto& cell_of) {
    std::string out = " ";
    for (std::size_t i = 0; i < columns.size(); ++i) {
      if (i > 0) out += gap;
      out += padded(cut(cell_of(i), widths[i], unicode), widths[i], columns[i].right);
    }
    out.erase(out.find_last_not_of(' ') + 1);
    return out + "\n";
  };
  std::string out;
  const bool headed = std::any_of(columns.begin(), columns.end(), [](const Column& c) { return !c.head.empty(); });
  if (headed) out += line([&](std::size_t i) -> const std::string& { return columns[i].head; });
  for (std::size_t r = 0; r < rows.size(); ++r) {
    if (const std::string* title = title_before(*this, r)) out += " " + cut(*title, width - 2, unicode) + ":\n";
    out += line([&](std::size_t i) -> const std::string& { return rows[r][i]; });
  }
  return out;
}

}  // namespace leanside::report
