// SPDX-License-Identifier: Apache-2.0
/// Reactions and batteries on charge.
#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "input/site/site_sources.hpp"
#include "leanside/substance_file.hpp"

namespace leanside::input {
namespace {

constexpr double more_than_enough = std::numeric_limits<double>::infinity();
constexpr std::string_view excess = "excess";
constexpr double density_of_water = 998.0;  // kg/m3

std::string reagents_listed(const Reaction& reaction) {
  std::vector<std::string_view> words;
  for (const auto& reagent : reaction.reagents) words.push_back(reagent.id);
  return listed(words);
}

/// mol from a volume of solution and its concentration, in either order.
std::optional<double> moles_of_solution(const TableReader& table, const std::string& what, const toml::array& pair) {
  constexpr std::array dimensions{Dimension::volume, Dimension::concentration};
  double product = 1.0;
  std::vector<Dimension> seen;
  for (const auto& item : pair) {
    const auto read = table.quantity_of(item, dimensions, Sign::not_negative, "amounts " + what);
    if (const auto* fault = std::get_if<QuantityFault>(&read)) {
      table.error(location_of(item), fmt::format("amounts, {}: {}", what, fault->message));
      return {};
    }
    product *= std::get<Quantity>(read).si;
    seen.push_back(std::get<Quantity>(read).dimension);
  }
  if (seen.size() != 2 || seen[0] == seen[1]) {
    table.error(location_of(pair),
                fmt::format("amounts, {}: a solution is a volume and a concentration, such as [\"50 mL\", "
                            "\"2 mol/L\"]",
                            what));
    return {};
  }
  return product;
}

/// mol of one reagent: a mass, an amount, a solution, or "excess".
std::optional<double> moles_of_reagent(const TableReader& table, const ReactionPart& reagent, const toml::node& node) {
  const std::string what = shown(reagent.id);
  if (const auto* pair = node.as_array()) return moles_of_solution(table, what, *pair);
  if (const auto* text = node.as_string(); text && text->get() == excess) return more_than_enough;
  const auto read = table.quantity_of(node, amount_dimensions, Sign::not_negative, "amounts " + what);
  if (const auto* fault = std::get_if<QuantityFault>(&read)) {
    table.error(location_of(node),
                fmt::format("amounts, {}: {}; or \"excess\" where there is more than enough", what, fault->message));
    return {};
  }
  const Quantity& amount = std::get<Quantity>(read);
  if (amount.dimension == Dimension::amount) return amount.si;
  if (amount.dimension == Dimension::mass) return amount.si / reagent.molar_mass;
  if (reagent.id == "water") return amount.si * density_of_water / reagent.molar_mass;
  table.error(location_of(node),
              fmt::format("amounts, {}: a volume of solution needs its concentration: [\"{}\", \"2 mol/L\"]", what,
                          node.value_or(std::string{"50 mL"})));
  return {};
}

/// mol of every reagent in the order of the reaction; empty, with a fault, where one is missing or wrong.
std::optional<std::vector<double>> read_amounts(const TableReader& table, const Reaction& reaction) {
  if (!table.require("amounts", fmt::format("{{ {} = \"2 g\" }}", reaction.reagents.front().id))) return {};
  const auto* amounts = table.subtable("amounts");
  if (!amounts) return {};
  std::vector<std::string> ids;
  for (const auto& reagent : reaction.reagents) ids.push_back(reagent.id);
  std::vector<std::optional<double>> found(ids.size());
  bool sound = true, unknown = false;
  for (const auto& [key, value] : *amounts) {
    const auto at = std::ranges::find(ids, key.str());
    if (at == ids.end()) {
      const auto otherwise = "; its reagents are " + reagents_listed(reaction);
      table.error(location_of(key), fmt::format("amounts: {} does not take part in {}{}", shown(key.str()), reaction.id,
                                                table.faults().did_you_mean(key.str(), ids, otherwise)));
      sound = false;
      unknown = true;
      continue;
    }
    const auto i = static_cast<std::size_t>(at - ids.begin());
    found[i] = moles_of_reagent(table, reaction.reagents[i], value);
    if (!found[i]) {
      sound = false;
      found[i] = 0.0;
    }
  }
  std::vector<double> out;
  bool any_finite = false;
  for (std::size_t i = 0; i < ids.size(); ++i) {
    if (!found[i] && !unknown) {
      table.value_error("amounts", fmt::format("without {0} the reaction {1} does not run; give its amount, or {0} = "
                                               "\"excess\" where there is more than enough",
                                               ids[i], reaction.id));
      sound = false;
    }
    out.push_back(found[i].value_or(0.0));
    any_finite = any_finite || std::isfinite(out.back());
  }
  if (sound && !any_finite) {
    table.value_error("amounts",
                      "not every reagent can be in excess: give the amount of the one that is used up first");
    sound = false;
  }
  return sound ? std::optional{out} : std::nullopt;
}

const Reaction* read_reaction_id(const TableReader& table) {
  const auto* id = table.text_at("reaction");
  if (!id) {
    table.require("reaction", "\"magnesium-hydrochloric-acid\"");
    return nullptr;
  }
  const Reaction* reaction = find_reaction(*id);
  if (!reaction) {
    std::vector<std::string> known;
    for (const Reaction& each : built_in_reactions()) known.push_back(each.id);
    table.value_error("reaction",
                      fmt::format("there is no reaction {} in the table{}", shown(*id),
                                  table.faults().did_you_mean(*id, known, "; `leanside reactions` lists them")));
  }
  return reaction;
}

}  // namespace

void read_implied_gas(const TableReader& table, Release& release, std::string_view id, std::string_view reason,
                      Draft& draft) {
  if (const auto* name = table.text_at("gas"); name && *name != id) {
    table.value_error("gas", fmt::format("{} gives {}, not {}; leave the key out", reason, id, shown(*name)));
    return;
  }
  if (auto gas = composition_of(table, table.location(), id, draft)) release.gas = std::move(*gas);
}

void read_reaction(const TableReader& table, Release& release, Draft& draft) {
  ReactionRelease kind;
  kind.over = table.quantity("over", Dimension::time, Sign::positive);
  kind.half_time = table.quantity("half_time", Dimension::time, Sign::positive);
  if (table.has("over") && table.has("half_time")) {
    table.value_error("half_time",
                      "stands beside over; give one: over = \"10 min\" for an even flow, half_time where "
                      "the reaction is quick at first and slows down");
  } else if (!table.has("over") && !table.has("half_time")) {
    table.require("over", "\"10 min\", or half_time = \"2 min\" where the reaction is quick at first and slows down");
  }
  const Reaction* reaction = read_reaction_id(table);
  if (reaction) {
    read_implied_gas(table, release, reaction->gas, fmt::format("the reaction {}", reaction->id), draft);
    if (const auto amounts = read_amounts(table, *reaction)) {
      const auto yield = yield_of(*reaction, *amounts);
      kind.reaction = reaction->id;
      kind.reagents = *amounts;
      kind.amount = yield.gas;
      kind.limiting = yield.limiting;
      if (yield.gas == 0.0) {
        table.value_notice("amounts",
                           fmt::format("there is no {}: nothing is released", reaction->reagents[yield.limiting].id));
      }
      std::string name = reaction->name;
      name.front() = static_cast<char>(std::tolower(static_cast<unsigned char>(name.front())));
      release.as_written = name + (kind.half_time ? ", half of it in " + written(table, "half_time")
                                                  : " over " + written(table, "over"));
    }
  }
  if (!kind.over && !kind.half_time) kind.over = 1.0;  // has a fault
  release.kind = kind;
}

void read_charging(const TableReader& table, Release& release, Draft& draft) {
  read_implied_gas(table, release, "hydrogen", "a battery on charge", draft);
  ChargingRelease charging;
  charging.duration = read_duration(table);
  if (table.require("cells", "12 (of 2 V each for lead, 1.2 V for nickel-cadmium)")) {
    charging.cells =
        table.number_alone("cells", Sign::positive, "how many cells there are can be counted: give one number")
            .value_or(1.0);
    if (charging.cells != std::floor(charging.cells)) {
      table.value_error("cells", fmt::format("found {}; expected a whole number", format_exact(charging.cells)));
    }
  }
  charging.capacity = table.quantity("capacity", Dimension::charge, Sign::positive);
  const auto current = table.quantity("current", Dimension::current, Sign::not_negative);
  std::optional<ChargingRegime> regime;
  if (const auto* word = table.text_at("regime")) {
    for (const auto each : {ChargingRegime::float_charge, ChargingRegime::boost_charge}) {
      if (*word == word_of(each)) regime = each;
    }
    if (!regime) table.value_error("regime", fmt::format("found {}; it is \"float\" or \"boost\"", shown(*word)));
  }
  std::vector<std::string> batteries;
  if (const auto* word = table.text_at("battery")) {
    for (const auto each : {Battery::vented_lead, Battery::valve_regulated_lead, Battery::vented_nickel_cadmium}) {
      batteries.emplace_back(word_of(each));
      if (*word == word_of(each)) charging.battery = each;
    }
    if (!charging.battery) {
      table.value_error("battery", fmt::format("there is no class {}{}", shown(*word),
                                               table.faults().did_you_mean(*word, batteries,
                                                                           "; the classes are " + listed(batteries))));
    }
  }
  constexpr double seconds_per_hour = 3600.0;
  if (table.has("current")) {
    for (const auto key : {"battery", "regime"}) {
      if (table.has(key)) {
        table.value_error("current",
                          fmt::format("stands beside {}; give the current that makes gas, or the class of the "
                                      "battery with capacity and regime",
                                      key));
      }
    }
    charging.current = current.value_or(0.0);
    release.as_written =
        fmt::format("{} cells, {} making gas", format_exact(charging.cells), written(table, "current"));
    if (current && *current == 0.0) table.value_notice("current", "is 0: nothing is released");
  } else if (table.require("battery", "\"vented-lead\" (or current = \"2 A\", all of which makes gas)")) {
    table.require("capacity", "\"100 Ah\"");
    table.require("regime", "\"float\" or \"boost\"");
    if (charging.battery && charging.capacity && regime) {
      charging.regime = *regime;
      charging.current = gas_current_per_capacity(*charging.battery, *regime) * *charging.capacity / seconds_per_hour;
      release.as_written = fmt::format("{} {} cells of {} on {} charge", format_exact(charging.cells),
                                       word_of(*charging.battery), written(table, "capacity"), word_of(*regime));
    }
  }
  release.kind = charging;
}

}  // namespace leanside::input
