// SPDX-License-Identifier: Apache-2.0
/// Comparisons of a computed value with a published one. Those that cite a source are recorded for docs/validation.md.
#pragma once

#include <sstream>
#include <string>
#include <string_view>

namespace published {

/// Sets the heading and the source of the comparisons that follow in the running test. The source must be complete
/// enough to find it. "from memory" in it means that the value was not looked up again.
void cite(std::string_view heading, std::string_view source);

/// The name of a built-in substance inside a sentence: "carbon monoxide" for "carbon-monoxide".
std::string plain(std::string_view id);

/// The source line of a comparison. clang 14 lacks std::source_location.
struct SourceLocation {
  const char* file;
  int line;
};

/// On which sides of the published value the computed one may lie: on both within a difference, or on the safe one.
enum class Side { both, above, below };

/// A comparison. `<<` adds to the label of the value, which includes the unit. The destructor judges and records it.
class Comparison {
 public:
  /// `allowed`: largest difference, in the unit of the values. `percent`: the same difference as a percentage of the
  /// published value if the test stated it so, otherwise NaN.
  Comparison(double computed, double published, double allowed, double percent, std::string_view what,
             SourceLocation where, Side side = Side::both);
  ~Comparison();
  Comparison(const Comparison&) = delete;
  Comparison& operator=(const Comparison&) = delete;

  template <class T>
  Comparison& operator<<(const T& value) {
    what_ << value;
    return *this;
  }

 private:
  double computed_, published_, allowed_, percent_;
  Side side_;
  std::ostringstream what_;
  SourceLocation where_;
};

/// Expects `computed` within `percent` of the published value.
Comparison expect_within(double computed, double published, double percent, std::string_view what = {},
                         SourceLocation where = {__builtin_FILE(), __builtin_LINE()});

/// Expects `computed` to differ by at most `allowed` from the published value.
Comparison expect_near(double computed, double published, double allowed, std::string_view what = {},
                       SourceLocation where = {__builtin_FILE(), __builtin_LINE()});

/// Expects `computed` to be no less than the published value: for bounds that have to contain what was measured.
Comparison expect_at_least(double computed, double published, std::string_view what = {},
                           SourceLocation where = {__builtin_FILE(), __builtin_LINE()});

/// Expects `computed` to be no more than the published value.
Comparison expect_at_most(double computed, double published, std::string_view what = {},
                          SourceLocation where = {__builtin_FILE(), __builtin_LINE()});

}  // namespace published
