// SPDX-License-Identifier: Apache-2.0
/// Site files of any size.
#pragma once

#include <string>

namespace leanside::cli_test {

/// Rooms in a row, a fan from each to the next, methane in every tenth.
inline std::string row_of_rooms(int count, const std::string& rate = "\"2 L/min\"") {
  std::string out = "title = \"Rooms in a row, invented\"\n";
  for (int i = 0; i < count; ++i) {
    const std::string n = std::to_string(i);
    out += "[[space]]\nid = \"r" + n + "\"\nkind = \"room\"\nvolume = \"50 m3\"\nair_changes = \"0.3 /h\"\n";
    if (i > 0) {
      out += "[[airway]]\nid = \"d" + n + "\"\nkind = \"fan\"\nfrom = \"r" + std::to_string(i - 1) + "\"\nto = \"r" +
             n + "\"\nflow = \"" + std::to_string(10 + i % 7) + " m3/h\"\n";
    }
    if (i % 10 != 0) continue;
    out += "[[release]]\nid = \"g" + n + "\"\nkind = \"steady\"\ninto = \"r" + n +
           "\"\ngas = \"methane\"\nrate = " + rate + "\n";
  }
  return out;
}

inline constexpr const char* range_of_rates = R"({ low = "1 L/min", best = "2 L/min", high = "4 L/min" })";

}  // namespace leanside::cli_test
