// SPDX-License-Identifier: Apache-2.0
/// Text on a terminal: how wide it is, how it is cut, filled up and wrapped. Texts are UTF-8 that plain_text() cleaned.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace leanside::report {

/// Columns that a terminal gives to `text`: 2 for wide East Asian letters and pictures, 0 for combining marks.
std::size_t columns(std::string_view text);

/// `text` cut to at most `width` columns, the cut marked.
std::string cut(std::string_view text, std::size_t width, bool unicode);

/// `text` filled up with blanks to `width` columns, behind it or before it.
std::string padded(std::string_view text, std::size_t width, bool right = false);

/// `text` broken at blanks into lines of at most `width` columns. `first` stands before the first line, `indent` blanks
/// before each other one. Ends with a line break. A word longer than a line stays whole.
std::string wrapped(std::string_view text, std::string_view first, std::size_t width, std::size_t indent);

/// "a, b, c", each word cleaned by plain_text().
std::string joined(std::span<const std::string> words);

/// Every letter outside ASCII as '?'.
std::string ascii_only(std::string_view text);

}  // namespace leanside::report
