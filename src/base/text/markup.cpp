// SPDX-License-Identifier: Apache-2.0
#include "base/text/markup.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "leanside/diagnostic.hpp"

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

std::string capitals(std::string_view word) {
  std::string out{word};
  std::transform(out.begin(), out.end(), out.begin(),
                 [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c; });
  return out;
}

}  // namespace leanside::report::html
