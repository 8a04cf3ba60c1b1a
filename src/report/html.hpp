// SPDX-License-Identifier: Apache-2.0
/// Text that goes into HTML and SVG. Everything that is not written here in the source passes through text().
#pragma once

#include <string>
#include <string_view>

#include "leanside/hazard.hpp"
#include "report/table.hpp"

namespace leanside::report::html {

/// `raw` cleaned by plain_text() and with &, <, >, " and ' escaped: shown as text in an element or a quoted attribute.
std::string text(std::string_view raw);

/// The same with the first letter, where it is a to z, as a capital.
std::string sentence(std::string_view raw);

/// A coordinate with at most one decimal.
std::string number(double value);

/// "3 spaces", "1 space".
std::string count(std::size_t n, std::string_view one);

/// A table in a frame of its own that scrolls where it is too wide; `caption` is shown above it. `first_is_head`: the
/// first cell of each row names the row.
std::string table(const Table& table, std::string_view caption, bool first_is_head = true);

/// A word of severity in its own dress (word first, then pattern, then colour).
std::string badge(Severity severity);

/// "WORD" of a severity, in capitals.
std::string capitals(std::string_view word);

}  // namespace leanside::report::html
