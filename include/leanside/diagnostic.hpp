// SPDX-License-Identifier: Apache-2.0
/// A message about an input: where, how serious, and in words that are enough to correct it.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace leanside {

/// A place in an input text. Line and column count from 1; 0 means that the place is not known.
struct SourceLocation {
  std::string file;
  int line = 0;
  int column = 0;
};

enum class DiagnosticLevel {
  error,   ///< the input cannot be used
  notice,  ///< usable, but likely to be a slip; shown with the answer
};

struct Diagnostic {
  DiagnosticLevel level = DiagnosticLevel::error;
  SourceLocation place;
  std::string message;  ///< one or two sentences: what was found, what was expected, the nearest known name
};

using Diagnostics = std::vector<Diagnostic>;

/// "file:line:column: error: message", the parts that are not known left out.
std::string to_text(const Diagnostic& diagnostic);

bool has_error(const Diagnostics& diagnostics);

/// `text` as one line that a terminal shows and does not obey: control characters, directional overrides and invisible
/// marks become blanks, bytes that are no UTF-8 become '?'. For every text that a user wrote.
std::string plain_text(std::string_view text);

/// The candidate that differs least from `word` (edit distance with transposition, letter case ignored), or an empty
/// string where none is near enough to be a slip of the pen.
std::string nearest_name(const std::string& word, const std::vector<std::string>& candidates);

}  // namespace leanside
