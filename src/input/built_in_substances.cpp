// SPDX-License-Identifier: Apache-2.0
#include <cstdio>
#include <cstdlib>

#include "embedded.hpp"
#include "input/substance_file.hpp"
#include "leanside/substance.hpp"

namespace leanside {
namespace {

SubstanceTable read_embedded() {
  auto reading = input::parse_substance_table(embedded::substances, "built-in substances", nullptr);
  if (auto* table = std::get_if<SubstanceTable>(&reading)) return std::move(*table);
  // The table is part of the program and its tests read it: a fault here is a fault of the program.
  for (const auto& diagnostic : std::get<Diagnostics>(reading))
    std::fprintf(stderr, "%s\n", to_text(diagnostic).c_str());
  std::abort();
}

}  // namespace

const SubstanceTable& built_in_substances() {
  static const SubstanceTable table = read_embedded();
  return table;
}

}  // namespace leanside
