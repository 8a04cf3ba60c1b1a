// SPDX-License-Identifier: Apache-2.0
#include "report/html.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "leanside/report.hpp"

namespace leanside::report::html {

std::string text(std::string_view raw) {
  std::string out;
  for (const char c : plain_text(raw)) {
    switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      case '\'':
        out += "&#39;";
        break;
      default:
        out += c;
    }
  }
  return out;
}

std::string sentence(std::string_view raw) {
  std::string out{raw};
  if (!out.empty() && out.front() >= 'a' && out.front() <= 'z') out.front() = static_cast<char>(out.front() - 32);
  return text(out);
}

std::string number(double value) {
  if (!std::isfinite(value)) return "0";
  const double tenths = std::round(value * 10.0);
  std::array<char, 40> buffer{};
  const auto end = std::to_chars(buffer.data(), buffer.data() + buffer.size(), tenths == 0.0 ? 0.0 : tenths / 10.0,
                                 std::chars_format::fixed, std::fmod(tenths, 10.0) == 0.0 ? 0 : 1);
  return {buffer.data(), end.ptr};
}

std::string count(std::size_t n, std::string_view one) {
  return std::to_string(n).append(" ").append(one).append(n == 1 ? "" : "s");
}

std::string capitals(std::string_view word) {
  std::string out{word};
  std::transform(out.begin(), out.end(), out.begin(),
                 [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c; });
  return out;
}

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
