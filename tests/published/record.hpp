// SPDX-License-Identifier: Apache-2.0
/// Comparisons of a computed figure with one in print. Those that name a source are kept for docs/validation.md.
#pragma once

#include <sstream>
#include <string>
#include <string_view>

namespace published {

/// What the running test compares from here on, as a heading, and the source of the figures: full enough to be found.
/// "from memory" in it means that the figure was not read again there.
void cite(std::string_view heading, std::string_view source);

/// The name of a built-in substance inside a sentence: "carbon monoxide" for "carbon-monoxide".
std::string plain(std::string_view id);

/// Where a comparison stands. Not std::source_location, which clang 14 does not have.
struct Place {
  const char* file;
  int line;
};

/// A comparison under way: `<<` says on which figure it is of, with its unit; at its end it is judged and kept.
class Comparison {
 public:
  /// `allowed`: largest difference, in the unit of the figures; `percent`: the same as it was asked for, in per cent of
  /// the published one, where it was.
  Comparison(double computed, double in_print, double allowed, double percent, std::string_view what, Place where);
  ~Comparison();
  Comparison(const Comparison&) = delete;
  Comparison& operator=(const Comparison&) = delete;

  template <class T>
  Comparison& operator<<(const T& value) {
    what_ << value;
    return *this;
  }

 private:
  double computed_, in_print_, allowed_, percent_;
  std::ostringstream what_;
  Place where_;
};

/// Expects `computed` within `percent` of the figure in print.
Comparison expect_within(double computed, double in_print, double percent, std::string_view what = {},
                         Place where = {__builtin_FILE(), __builtin_LINE()});

/// Expects `computed` no further than `allowed` from the figure in print.
Comparison expect_near(double computed, double in_print, double allowed, std::string_view what = {},
                       Place where = {__builtin_FILE(), __builtin_LINE()});

}  // namespace published
