// SPDX-License-Identifier: Apache-2.0
/// Decodes UTF-8 without a library, for the engine of the page. A test compares it with utf8proc on every code point.
#pragma once

#include <cstddef>
#include <string_view>

#include "base/text/utf8.hpp"

namespace leanside::utf8 {

/// As letter_at. Source: RFC 3629, section 4.
constexpr Letter decoded_at(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) -> unsigned { return static_cast<unsigned char>(text[at + i]); };
  const unsigned lead = byte(0);
  if (lead < 0x80u) return {static_cast<char32_t>(lead), 1, true};
  const std::size_t bytes = lead >= 0xC2u && lead < 0xE0u   ? 2
                            : lead >= 0xE0u && lead < 0xF0u ? 3
                            : lead >= 0xF0u && lead < 0xF5u ? 4
                                                            : 0;
  if (bytes == 0 || text.size() - at < bytes) return {};
  char32_t code = lead & (0x7Fu >> bytes);
  for (std::size_t i = 1; i < bytes; ++i) {
    if ((byte(i) & 0xC0u) != 0x80u) return {};
    code = (code << 6) | (byte(i) & 0x3Fu);
  }
  constexpr char32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
  const bool surrogate = code >= 0xD800 && code <= 0xDFFF;
  if (code < least[bytes] || surrogate || code > 0x10FFFF) return {};
  return {code, bytes, true};
}

}  // namespace leanside::utf8
