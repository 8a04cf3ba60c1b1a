// SPDX-License-Identifier: Apache-2.0
#include "base/text/utf8.hpp"

#include <algorithm>

#include <utf8proc.h>

namespace leanside::utf8 {
namespace {

utf8proc_int32_t number_of(char32_t code) { return static_cast<utf8proc_int32_t>(code); }

}  // namespace

Letter letter_at(std::string_view text, std::size_t at) {
  constexpr std::size_t longest = 4;
  const std::string_view rest = text.substr(at, longest);
  utf8proc_int32_t code = -1;
  const auto bytes = utf8proc_iterate(reinterpret_cast<const utf8proc_uint8_t*>(rest.data()),
                                      static_cast<utf8proc_ssize_t>(rest.size()), &code);
  if (bytes <= 0) return {};
  return {static_cast<char32_t>(code), static_cast<std::size_t>(bytes), true};
}

std::size_t columns_of(char32_t code) {
  return static_cast<std::size_t>(std::max(0, utf8proc_charwidth(number_of(code))));
}

bool is_control_or_invisible(char32_t code) {
  switch (utf8proc_category(number_of(code))) {
    case UTF8PROC_CATEGORY_CC:
    case UTF8PROC_CATEGORY_CF:
    case UTF8PROC_CATEGORY_ZL:
    case UTF8PROC_CATEGORY_ZP:
      return true;
    default:
      return false;
  }
}

std::string_view prefix(std::string_view text, std::size_t bytes) {
  if (text.size() <= bytes) return text;
  while (bytes > 0 && !starts_letter(text[bytes])) --bytes;
  return text.substr(0, bytes);
}

}  // namespace leanside::utf8
