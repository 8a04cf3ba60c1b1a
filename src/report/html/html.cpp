// SPDX-License-Identifier: Apache-2.0
#include "report/html/html.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "leanside/report.hpp"

namespace leanside::report::html {

std::string badge(Severity severity) {
  const std::string_view word = word_of(severity);
  return std::string{"<b class=\"word s-"}.append(word).append("\">").append(capitals(word)).append("</b>");
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
  for (const auto& row : table.rows) {
    out += "<tr>";
    for (std::size_t i = 0; i < row.size(); ++i) {
      const bool head = i == 0 && first_is_head;
      out.append(head ? "<th scope=\"row\"" : "<td").append(table.columns[i].right ? " class=\"r\">" : ">");
      out.append(text(row[i])).append(head ? "</th>" : "</td>");
    }
    out += "</tr>\n";
  }
  return out + "</tbody></table></div>\n";
}

}  // namespace leanside::report::html
