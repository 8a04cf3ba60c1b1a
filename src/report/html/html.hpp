// SPDX-License-Identifier: Apache-2.0
/// Text that goes into HTML and SVG. Everything that is not written here in the source passes through text().
#pragma once

#include <string>
#include <string_view>

#include "base/text/markup.hpp"
#include "leanside/assess.hpp"
#include "report/text/table.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report::html {

/// A table in a frame of its own that scrolls where it is too wide; `caption` is shown above it. `first_is_head`: the
/// first cell of each row names the row. Each cell carries the head of its column, for narrow screens.
std::string table(const Table& table, std::string_view caption, bool first_is_head = true);

/// A word of severity in its own dress (word first, then pattern, then colour).
std::string badge(Told site, Severity severity);

/// Whether there is a word so long that it has to be broken anywhere: an id without blanks, a digest.
bool has_long_word(std::string_view words);

/// Bytes given as an even number of hexadecimal digits in base 64. Source: RFC 4648, section 4.
std::string base64(std::string_view hexadecimal);

}  // namespace leanside::report::html
