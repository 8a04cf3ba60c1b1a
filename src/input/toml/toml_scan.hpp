// SPDX-License-Identifier: Apache-2.0
/// A quick look at TOML text before it is parsed: what a parser would report far from its cause, or not survive.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "input/toml/toml_reader.hpp"

namespace leanside::input {

struct Issue {
  SourceLocation location;
  std::string message;
  bool confined = false;  ///< to its line: the rest of the file reads without it
  bool of_value = false;  ///< may come from a value without quotes
};

/// Deepest nesting of lists and inline tables, and most parts of a dotted key. A site file needs three.
inline constexpr std::size_t deepest_nesting = 32;
inline constexpr std::size_t most_key_parts = 16;
/// Most headers, keys and entries of lists. Each takes some 100 bytes once parsed, far more than in the text; a site of
/// 10 000 spaces has a third of that.
inline constexpr std::size_t most_entries = 1'000'000;

/// The first byte that is not UTF-8, or that no text file holds.
std::optional<Issue> encoding_issue(std::string_view text);

/// The first letter beyond ASCII outside of quotes and comments, header without a name (toml++ 3.3 assumes
/// that neither comes, and its behaviour is undefined where it does), quote within a value, quote or bracket left open,
/// an inline table over several lines, nesting or dotted keys without end, more than most_entries.
std::optional<Issue> structure_issue(std::string_view text);

}  // namespace leanside::input
