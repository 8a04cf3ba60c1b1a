// SPDX-License-Identifier: Apache-2.0
/// Lines of comma-separated values.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "leanside/units.hpp"

namespace leanside::report {

/// A field as RFC 4180 has it: in quotes where it holds a comma, a quote or a line break.
inline std::string field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) {
    if (c == '"') out += '"';
    out += c;
  }
  return out + "\"";
}

/// The fields of one line, in order.
class CsvLine {
 public:
  void put(std::string_view text) {
    if (std::exchange(any_, true)) text_ += ',';
    text_ += text;
  }
  void put(double value) { put(std::string_view{format_exact(value)}); }
  void put(const std::optional<double>& value) {
    if (value) {
      put(*value);
    } else {
      put_empty(1);
    }
  }
  void put_empty(std::size_t fields) {
    for (std::size_t k = 0; k < fields; ++k) put(std::string_view{});
  }
  void put(const std::vector<double>& values) {
    for (const double value : values) put(value);
  }
  std::string finished() { return std::move(text_ += '\n'); }

 private:
  std::string text_;
  bool any_ = false;
};

}  // namespace leanside::report
