// SPDX-License-Identifier: Apache-2.0
// The letters of base/text/utf8.hpp where there is no utf8proc: its properties come from a table that write_letters.cpp
// made with it.
#include <algorithm>
#include <iterator>

#include "base/text/utf8.hpp"
#include "base/text/utf8_decode.hpp"

namespace leanside::utf8 {
namespace {

/// From `first` on, up to the next run, every letter has these properties.
struct Run {
  char32_t first;
  unsigned char columns;
  bool hidden;
};

constexpr Run runs[] = {
#include "page/engine/letters.inc"
};

const Run& run_of(char32_t code) {
  const auto* const after = std::upper_bound(std::begin(runs), std::end(runs), code,
                                             [](char32_t value, const Run& run) { return value < run.first; });
  return *std::prev(after);
}

}  // namespace

Letter letter_at(std::string_view text, std::size_t at) { return decoded_at(text, at); }

std::size_t columns_of(char32_t code) { return run_of(code).columns; }

bool is_control_or_invisible(char32_t code) { return run_of(code).hidden; }

std::string_view prefix(std::string_view text, std::size_t bytes) {
  if (text.size() <= bytes) return text;
  while (bytes > 0 && !starts_letter(text[bytes])) --bytes;
  return text.substr(0, bytes);
}

}  // namespace leanside::utf8
