// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <utility>

#include "base/text/stop.hpp"
#include "embedded.hpp"
#include "input/substances/substance_file.hpp"
#include "leanside/substance_file.hpp"

namespace leanside {
namespace {

/// The table is part of the library, and its tests read it: a fault in it is a fault of the library.
[[noreturn]] void refuse(Diagnostics faults, int lines_before) {
  for (auto& fault : faults) fault.place.line += lines_before;
  stop_with("the built-in table of substances: " + to_text(faults.front()));
}

/// Reads the embedded table entry by entry. Every start of the program waits for this: a tree of the whole file at once
/// takes more than twice as long, most of it spent on memory that is touched once.
SubstanceTable read_embedded() {
  constexpr std::string_view header = "\n[[";
  const std::string_view text = embedded::substances;
  SubstanceTable table;
  for (auto begin = text.find(header); begin < text.size();) {
    const auto end = std::min(text.find(header, begin + 1), text.size());
    auto reading = input::parse_substance_table(text.substr(begin, end - begin), "configs/substances.toml", &table);
    if (auto* fault = std::get_if<Fault>(&reading)) {
      refuse(std::move(fault->diagnostics),
             static_cast<int>(std::count(text.begin(), text.begin() + static_cast<long>(begin), '\n')));
    }
    table = merged(std::move(table), std::get<SubstanceTable>(reading));
    begin = end;
  }
  return table;
}

}  // namespace

const SubstanceTable& built_in_substances() {
  static const SubstanceTable table = read_embedded();
  return table;
}

}  // namespace leanside
