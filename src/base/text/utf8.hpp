// SPDX-License-Identifier: Apache-2.0
/// UTF-8 text letter by letter. utf8proc decodes it and knows the properties of each letter (Unicode 15).
#pragma once

#include <cstddef>
#include <string_view>

namespace leanside::utf8 {

/// One code point of a text.
struct Letter {
  char32_t code = 0;
  std::size_t bytes = 1;  ///< how many of the text it takes; 1 where it is not valid
  bool valid = false;
};

/// The letter that starts at byte `at` < text.size(). Not valid where the bytes are not UTF-8 (RFC 3629: no surrogate,
/// no overlong form, nothing over U+10FFFF).
Letter letter_at(std::string_view text, std::size_t at);

/// Whether a byte starts a letter, as opposed to continuing one; for text that is known to be UTF-8.
constexpr bool starts_letter(char byte) { return (static_cast<unsigned char>(byte) & 0xC0u) != 0x80u; }

/// Columns that a terminal gives to a letter: 2 for wide East Asian letters and pictures, 0 for combining marks.
std::size_t columns_of(char32_t code);

/// Whether a letter moves the cursor, turns the direction of writing or is not seen at all: control and format
/// characters, line and paragraph separators.
bool is_control_or_invisible(char32_t code);

/// The start of `text`, at most `bytes` long and not cut inside a letter.
std::string_view prefix(std::string_view text, std::size_t bytes);

}  // namespace leanside::utf8
