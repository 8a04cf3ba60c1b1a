// SPDX-License-Identifier: Apache-2.0
/// The embedded table of reactions.
#include <algorithm>

#include "base/text/stop.hpp"
#include "embedded.hpp"
#include "input/toml/toml_reader.hpp"
#include "leanside/substance_file.hpp"

namespace leanside {
namespace input {
namespace {

/// The table is part of the library, and its tests read it: a fault in it is a fault of the library.
[[noreturn]] void refuse(Faults& faults) {
  const Diagnostics found = faults.take();
  stop_with("the built-in table of reactions: " + (found.empty() ? "it is empty" : to_text(found.front())));
}

std::vector<ReactionPart> read_reagents(const TableReader& table) {
  std::vector<ReactionPart> out;
  const auto* list = table.find("reagents") ? table.find("reagents")->as_array() : nullptr;
  if (!list || list->empty()) {
    table.value_error("reagents", "a list of tables is needed");
    return out;
  }
  for (const auto& item : *list) {
    const auto* row = item.as_table();
    if (!row) {
      table.value_error("reagents", "each is a table");
      continue;
    }
    constexpr std::string_view keys[] = {"id", "name", "formula", "count", "molar_mass_g_mol"};
    const TableReader reagent{*row, "reagent", "", table.faults()};
    reagent.refuse_unknown(keys);
    for (const auto key : keys) reagent.require(key, "a value");
    constexpr double kilograms_per_gram = 1e-3;
    out.push_back({reagent.text("id").value_or(""), reagent.text("name").value_or(""),
                   reagent.number("count", Sign::positive).value_or(1.0),
                   kilograms_per_gram * reagent.number("molar_mass_g_mol", Sign::positive).value_or(1.0)});
  }
  return out;
}

std::vector<Reaction> read_embedded() {
  Faults faults{"configs/reactions.toml"};
  constexpr std::string_view lists[] = {"reaction"};
  std::vector<Reaction> out;
  const auto root = parse_toml(embedded::reactions, faults, lists);
  if (!root) refuse(faults);
  const auto* rows = root->get_as<toml::array>("reaction");
  if (!rows) refuse(faults);
  for (const auto& item : *rows) {
    constexpr std::string_view keys[] = {"id", "name", "equation", "reagents", "gas", "gas_count", "note"};
    const TableReader table{*item.as_table(), "reaction", "", faults};
    table.refuse_unknown(keys);
    for (const auto key : keys) {
      if (key != "note") table.require(key, "a value");
    }
    Reaction reaction;
    reaction.id = table.text("id").value_or("");
    reaction.name = table.text("name").value_or("");
    reaction.equation = table.text("equation").value_or("");
    reaction.reagents = read_reagents(table);
    reaction.gas = table.text("gas").value_or("");
    reaction.gas_count = table.number("gas_count", Sign::positive).value_or(1.0);
    reaction.note = table.text("note").value_or("");
    out.push_back(std::move(reaction));
  }
  if (faults.any_error()) refuse(faults);
  return out;
}

}  // namespace
}  // namespace input

const std::vector<Reaction>& built_in_reactions() {
  static const std::vector<Reaction> table = input::read_embedded();
  return table;
}

const Reaction* find_reaction(std::string_view id) {
  const auto& all = built_in_reactions();
  const auto found = std::ranges::find(all, id, &Reaction::id);
  return found == all.end() ? nullptr : &*found;
}

}  // namespace leanside
