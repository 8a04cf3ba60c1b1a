// SPDX-License-Identifier: Apache-2.0
#include "base/text/plain.hpp"

#include <algorithm>

#include "base/text/utf8.hpp"
#include "leanside/diagnostic.hpp"

namespace leanside {
namespace {

using utf8::Letter;
using utf8::letter_at;

std::size_t columns_of(const Letter& letter) { return letter.valid ? utf8::columns_of(letter.code) : 1; }

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
    } else if (utf8::is_control_or_invisible(letter.code)) {
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
    sum += columns_of(letter);
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
    const std::size_t more = columns_of(letter);
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

std::string joined(std::span<const std::string> words) {
  std::string out;
  for (const std::string& word : words) out += (out.empty() ? "" : ", ") + plain_text(word);
  return out;
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
