// SPDX-License-Identifier: Apache-2.0
#include "report/plain.hpp"

#include <algorithm>
#include <array>

#include "leanside/report.hpp"

namespace leanside {
namespace {

struct Letter {
  char32_t code = 0;
  std::size_t bytes = 1;
  bool valid = false;
};

/// The letter that starts at `text[at]`; not valid where the bytes are no UTF-8 (RFC 3629: no surrogate, no overlong
/// form, nothing over U+10FFFF).
Letter letter_at(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[at + i]); };
  const unsigned lead = byte(0);
  if (lead < 0x80) return {lead, 1, true};
  const std::size_t length = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
  if (lead < 0xC2 || lead > 0xF4 || at + length > text.size()) return {};
  char32_t code = lead & (0xFFu >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0u) != 0x80u) return {};
    code = (code << 6) | (byte(i) & 0x3Fu);
  }
  constexpr std::array<char32_t, 5> least{0, 0, 0x80, 0x800, 0x10000};
  if (code < least[length] || code > 0x10FFFF || (code >= 0xD800 && code <= 0xDFFF)) return {};
  return {code, length, true};
}

struct Range {
  char32_t first, last;
};

template <std::size_t n>
bool in(const std::array<Range, n>& ranges, char32_t code) {
  return std::any_of(ranges.begin(), ranges.end(), [&](Range r) { return code >= r.first && code <= r.last; });
}

/// What moves the cursor, turns the direction of writing or is not seen at all: C0, DEL and C1 controls, directional
/// and zero-width marks, line and paragraph separators, tags.
bool obeyed_or_invisible(char32_t code) {
  constexpr std::array<Range, 8> ranges{{{0x00, 0x1F},
                                         {0x7F, 0x9F},
                                         {0xAD, 0xAD},
                                         {0x061C, 0x061C},
                                         {0x200B, 0x200F},
                                         {0x2028, 0x202E},
                                         {0x2060, 0x206F},
                                         {0xE0000, 0xE007F}}};
  return in(ranges, code) || code == 0xFEFF;
}

/// Columns of one letter; the blocks of Unicode 15 that matter for names of rooms, not the whole property table.
std::size_t columns_of(char32_t code) {
  constexpr std::array<Range, 4> combining{{{0x0300, 0x036F}, {0x1AB0, 0x1AFF}, {0x20D0, 0x20FF}, {0xFE00, 0xFE0F}}};
  constexpr std::array<Range, 8> wide{{{0x1100, 0x115F},
                                       {0x2E80, 0xA4CF},
                                       {0xAC00, 0xD7A3},
                                       {0xF900, 0xFAFF},
                                       {0xFE30, 0xFE6F},
                                       {0xFF00, 0xFF60},
                                       {0x1F300, 0x1FAFF},
                                       {0x20000, 0x3FFFD}}};
  if (code < 0x300) return 1;
  if (in(combining, code)) return 0;
  return in(wide, code) ? 2 : 1;
}

/// Where the word that starts at `at` ends; a number and its unit are one word.
std::size_t end_of_word(std::string_view text, std::size_t at) {
  const std::size_t end = std::min(text.find(' ', at), text.size());
  const bool number = end > at && text[end - 1] >= '0' && text[end - 1] <= '9';
  if (!number || end == text.size()) return end;
  const std::size_t next = std::min(text.find(' ', end + 1), text.size());
  constexpr std::size_t longest_unit = 6;  // "L/min,"
  return next - end - 1 <= longest_unit ? next : end;
}

}  // namespace

std::string plain_text(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t at = 0; at < text.size();) {
    const Letter letter = letter_at(text, at);
    if (!letter.valid) {
      out += '?';
    } else if (obeyed_or_invisible(letter.code)) {
      out += ' ';
    } else {
      out += text.substr(at, letter.bytes);
    }
    at += letter.bytes;
  }
  return out;
}

namespace report {

std::size_t columns(std::string_view text) {
  std::size_t sum = 0;
  for (std::size_t at = 0; at < text.size();) {
    const Letter letter = letter_at(text, at);
    sum += letter.valid ? columns_of(letter.code) : 1;
    at += letter.bytes;
  }
  return sum;
}

std::string cut(std::string_view text, std::size_t width, bool unicode) {
  if (columns(text) <= width) return std::string{text};
  const std::string_view mark = unicode ? "\u2026" : "~";
  if (width == 0) return {};
  std::size_t used = 0;
  std::size_t at = 0;
  while (at < text.size()) {
    const Letter letter = letter_at(text, at);
    const std::size_t more = letter.valid ? columns_of(letter.code) : 1;
    if (used + more > width - 1) break;
    used += more;
    at += letter.bytes;
  }
  return std::string{text.substr(0, at)}.append(mark);
}

std::string padded(std::string_view text, std::size_t width, bool right) {
  const std::size_t used = columns(text);
  const std::string blanks(used < width ? width - used : 0, ' ');
  return right ? blanks + std::string{text} : std::string{text} + blanks;
}

std::string wrapped(std::string_view text, std::string_view first, std::size_t width, std::size_t indent) {
  std::string out{first};
  std::size_t used = columns(first);
  bool empty_line = true;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = end_of_word(text, at);
    const std::string_view word = text.substr(at, end - at);
    at = end + 1;
    if (word.empty()) continue;
    const std::size_t more = columns(word);
    if (!empty_line && used + 1 + more > width) {
      out.append("\n").append(indent, ' ');
      used = indent;
      empty_line = true;
    }
    if (!empty_line) {
      out += ' ';
      ++used;
    }
    out += word;
    used += more;
    empty_line = false;
  }
  return out + "\n";
}

std::string ascii_only(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at < text.size();) {
    const Letter letter = letter_at(text, at);
    out += letter.valid && letter.code < 0x80 ? static_cast<char>(letter.code) : '?';
    at += letter.bytes;
  }
  return out;
}

}  // namespace report
}  // namespace leanside
