// SPDX-License-Identifier: Apache-2.0
#include "report/html/html.hpp"

#include <algorithm>
#include <array>
#include <string>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report::html {
std::string badge(Told site, Severity severity) {
  return "<b class=\"word s-" + std::string{word_of(severity)} + "\">" + capitals(severity_word(site, severity)) +
         "</b>";
}

std::string table(const Table& table, std::string_view caption, bool first_is_head) {
  const std::string name = text(caption);
  std::string out = "<div class=\"wide\" role=\"region\" tabindex=\"0\" aria-label=\"" + name + "\"><table><caption>" +
                    name + "</caption>\n<thead><tr>";
  for (const Column& column : table.columns) {
    out.append("<th scope=\"col\"")
        .append(column.right ? " class=\"r\">" : ">")
        .append(text(column.head))
        .append("</th>");
  }
  out += "</tr></thead>\n<tbody>\n";
  auto title = table.titles.begin();
  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    const auto& row = table.rows[r];
    if (title != table.titles.end() && title->first == r) {
      out.append("<tr><th scope=\"rowgroup\" colspan=\"").append(std::to_string(table.columns.size()));
      out.append("\">").append(text(title++->second)).append("</th></tr>\n");
    }
    out += "<tr>";
    for (std::size_t i = 0; i < row.size(); ++i) {
      const bool head = i == 0 && first_is_head;
      out.append(head ? "<th scope=\"row\"" : "<td").append(" data-head=\"").append(text(table.columns[i].head));
      const bool broken = has_long_word(row[i]);
      if (table.columns[i].right || broken) {
        out.append("\" class=\"").append(table.columns[i].right ? "r" : "").append(broken ? " any" : "");
      }
      out.append("\">").append(text(row[i])).append(head ? "</th>" : "</td>");
    }
    out += "</tr>\n";
  }
  return out + "</tbody></table></div>\n";
}

bool has_long_word(std::string_view words) {
  constexpr std::size_t longest = 22;
  std::size_t length = 0;
  return std::any_of(words.begin(), words.end(), [&](char c) {
    length = c == ' ' ? 0 : length + 1;
    return length > longest;
  });
}

std::string base64(std::string_view hexadecimal) {
  constexpr std::string_view digits = "0123456789abcdef";
  constexpr std::string_view letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  // Three hexadecimal digits are two letters; what is missing to a whole group of three bytes counts as zeros.
  const std::size_t padded = (hexadecimal.size() + 5) / 6 * 6;
  for (std::size_t i = 0; i < padded; i += 3) {
    std::size_t bits = 0;
    for (std::size_t k = i; k < i + 3; ++k) {
      bits = 16 * bits + (k < hexadecimal.size() ? digits.find(hexadecimal[k]) : 0);
    }
    for (const std::size_t letter : {bits / 64, bits % 64}) out += letters[letter];
  }
  const std::size_t filled = (padded - hexadecimal.size()) / 2;  // bytes
  return out.replace(out.size() - filled, filled, filled, '=');
}

}  // namespace leanside::report::html
