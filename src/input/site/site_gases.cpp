// SPDX-License-Identifier: Apache-2.0
/// [[gas]], and what the name of a gas stands for.
#include <algorithm>
#include <cctype>
#include <cmath>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"
#include "leanside/substance_file.hpp"

namespace leanside::input {
namespace {

/// How far the parts of a mixture may be from adding up to 1.
constexpr double sum_tolerance = 1e-6;

/// More definitions than any site needs: a bound on memory.
constexpr std::size_t most_gases = 1000;

constexpr std::string_view substance_keys[] = {"id",
                                               "name",
                                               "source",
                                               "molar_mass",
                                               "lfl",
                                               "ufl",
                                               "loc",
                                               "nitrogen_equivalent",
                                               "formula",
                                               "cas",
                                               "oxygen_demand",
                                               "net_heat",
                                               "flash_point",
                                               "idlh",
                                               "autoignition",
                                               "diffusivity_in_air",
                                               "boiling_point",
                                               "exposure_limit",
                                               "heat_capacity_ratio",
                                               "critical_temperature",
                                               "critical_pressure",
                                               "acentric_factor"};
constexpr std::string_view mixture_keys[] = {"id", "name", "source", "parts"};

/// A sourced value, where there is one.
std::optional<Sourced> sourced(std::optional<double> value, const std::string& source) {
  return value ? std::optional{Sourced{*value, source}} : std::nullopt;
}

/// The pair of limits: both or neither, the lower below the upper.
void read_limits(const TableReader& table, const std::string& source, Substance& gas) {
  const auto lower = table.fraction("lfl"), upper = table.fraction("ufl");
  const std::string_view given = table.has("lfl") ? "lfl" : "ufl", missing = table.has("lfl") ? "ufl" : "lfl";
  if (table.has(given) && !table.has(missing) && !table.faults().was_offered(&table.table(), missing)) {
    table.value_error(
        given, fmt::format("stands without {}; give both limits, or neither for a gas that does not burn", missing));
  }
  if (!lower || !upper) return;
  if (*lower <= 0) {
    table.value_error("lfl", "must be more than 0; leave lfl and ufl out for a gas that does not burn");
  } else if (*lower >= *upper) {
    table.value_error("lfl", fmt::format("the lower limit, {}, must be less than the upper one, {}",
                                         format_quantity(*lower, "%"), format_quantity(*upper, "%")));
  } else {
    gas.limits.push_back({source, *lower, *upper});
  }
}

Substance read_substance(const TableReader& table, std::string id, const std::string& source) {
  Substance gas;
  gas.id = std::move(id);
  gas.name = table.text("name").value_or(gas.id);
  gas.formula = table.text("formula").value_or("");
  gas.cas = table.text("cas").value_or("");
  table.require("molar_mass", "\"30.07 g/mol\"");
  gas.molar_mass = {table.quantity("molar_mass", Dimension::molar_mass, Sign::positive).value_or(0.0), source};
  read_limits(table, source, gas);
  gas.limiting_oxygen = sourced(table.fraction("loc"), source);
  gas.nitrogen_equivalent = sourced(table.fraction("nitrogen_equivalent"), source);
  if (gas.nitrogen_equivalent && (gas.nitrogen_equivalent->value <= 0 || gas.flammable())) {
    table.value_error("nitrogen_equivalent", gas.flammable() ? "is of a gas that does not burn, but this one has limits"
                                                             : "must be more than 0");
  }
  gas.oxygen_demand = sourced(table.number("oxygen_demand", Sign::positive), source);
  gas.net_heat = sourced(table.quantity("net_heat", Dimension::molar_energy, Sign::positive), source);
  gas.flash_point = sourced(table.quantity("flash_point", Dimension::temperature), source);
  gas.autoignition = sourced(table.quantity("autoignition", Dimension::temperature), source);
  gas.boiling_point = sourced(table.quantity("boiling_point", Dimension::temperature), source);
  gas.heat_capacity_ratio = sourced(table.number("heat_capacity_ratio", Sign::positive), source);
  gas.critical_temperature =
      sourced(table.quantity("critical_temperature", Dimension::temperature, Sign::positive), source);
  gas.critical_pressure = sourced(table.quantity("critical_pressure", Dimension::pressure, Sign::positive), source);
  gas.acentric_factor = sourced(table.number("acentric_factor"), source);
  gas.diffusivity_in_air =
      sourced(table.quantity("diffusivity_in_air", Dimension::diffusivity, Sign::positive), source);
  gas.idlh = sourced(table.fraction("idlh"), source);
  gas.exposure_limit = sourced(table.fraction("exposure_limit"), source);
  const double mass = gas.molar_mass.value;
  if (mass > 0 && (mass < 2e-3 || mass > 1.0)) {
    table.value_notice("molar_mass",
                       fmt::format("{} is unlikely for a gas; is the unit right?", format_quantity(mass, "g/mol")));
  }
  return gas;
}

/// The substance of that id, from the file before the table; null where neither has it.
const Substance* substance_named(std::string_view id, const Draft& draft) {
  const auto* own = draft.gases.of_file.find(id);
  return own ? own : draft.substances.find(id);
}

std::string gas_suggestion(std::string_view word, const Draft& draft) {
  if (draft.faults.full()) return {};
  auto nearest = nearest_name(std::string{word}, draft.gases.file_ids.names());
  if (nearest.empty()) nearest = draft.substances.nearest(std::string{word});
  return nearest.empty() ? "; 'leanside substances' lists those that are known, and a [[gas]] can define others"
                         : fmt::format("; did you mean {}?", shown(nearest));
}

/// Whether a word differs from an id only in letter case or in spaces for hyphens, which needs no notice.
bool differs_in_spelling_alone(std::string_view word, std::string_view id) {
  return std::ranges::equal(word, id, [](char a, char b) {
    return std::tolower(static_cast<unsigned char>(a)) == b || ((a == ' ' || a == '_') && b == '-');
  });
}

/// "5 % hydrogen in argon": a share, a gas and the gas that makes up the rest.
struct Blend {
  double fraction = 0.0;
  std::string part, rest;  ///< ids, or the words themselves where they mean nothing known
};

std::optional<Blend> blend_of(std::string_view name, const Draft& draft) {
  const auto in = name.find(" in ");
  if (in == std::string_view::npos) return {};
  const std::string_view first = name.substr(0, in);
  const auto last_of_number = first.find_first_not_of("0123456789.");
  if (last_of_number == 0 || last_of_number == std::string_view::npos) return {};
  const auto unit = first.find_first_not_of(' ', last_of_number);
  if (unit == std::string_view::npos) return {};
  const auto end = first.find_first_of(" ", unit);
  const auto percent = first.substr(unit).starts_with("%") ? unit + 1 : end;
  if (percent == std::string_view::npos || percent >= first.size()) return {};
  const auto share = parse_quantity(first.substr(0, percent));
  const auto* value = std::get_if<Quantity>(&share);
  if (value == nullptr || value->dimension != Dimension::fraction || value->si > 1.0) return {};
  const auto id_of = [&](std::string_view words) {
    while (words.starts_with(' ')) words.remove_prefix(1);
    while (words.ends_with(' ')) words.remove_suffix(1);
    if (words == "air" || draft.gases.file_ids.find(words)) return std::string{words};
    auto id = draft.substances.meant(words);
    return id.empty() ? std::string{words} : id;
  };
  return Blend{value->si, id_of(first.substr(percent)), id_of(name.substr(in + 4))};
}

/// Refuses what cannot be part of a mixture. `mixtures` are the ids of all mixtures of the file.
void check_part(const TableReader& table, const toml::key& key, const Ids& mixtures, const Draft& draft) {
  const auto name = key.str();
  if (draft.substances.find_mixture(name) || mixtures.find(name)) {
    table.error(location_of(key), fmt::format("parts: {} is itself a mixture; name its parts instead", shown(name)));
  } else if (name != "air" && !draft.gases.file_ids.find(name) && !substance_named(name, draft)) {
    table.error(location_of(key), fmt::format("parts: unknown gas {}{}", shown(name), gas_suggestion(name, draft)));
  }
}

Mixture read_mixture(const TableReader& table, std::string id, std::string source, const Ids& mixtures,
                     const Draft& draft) {
  Mixture mixture;
  mixture.id = std::move(id);
  mixture.source = std::move(source);
  mixture.name = table.text("name").value_or(mixture.id);
  const auto* parts = table.subtable("parts");
  if (!parts) return mixture;
  double sum = 0.0;
  bool sound = true;
  for (const auto& [key, value] : *parts) {
    check_part(table, key, mixtures, draft);
    const auto share = plain_fraction_of(value);
    if (const auto* fault = std::get_if<QuantityFault>(&share)) {
      table.error(location_of(value), fmt::format("parts, {}: {}", shown(key.str()), fault->message));
      sound = false;
    } else {
      sum += std::get<double>(share);
      mixture.parts.push_back({std::string{key.str()}, std::get<double>(share)});
    }
  }
  if (!sound) return mixture;
  if (std::abs(sum - 1.0) > sum_tolerance) {
    table.value_error("parts", fmt::format("the parts add up to {}, not to 100 %", format_quantity(sum, "%", 8)));
  } else {
    for (auto& part : mixture.parts) part.fraction /= sum;  // so that no trace of air is left over
  }
  return mixture;
}

/// The number of a substance among the tracked gases; a new one is added with its limits.
GasIndex tracked(const Substance& substance, const TableReader& table, SourceLocation location, Draft& draft) {
  const auto [entry, is_new] = draft.gases.tracked.try_emplace(substance.id, GasIndex{draft.site.gases.size()});
  if (!is_new) return entry->second;
  Gas gas{substance, choose_limits(substance, draft.site.criteria.limits)};
  if (const FlameProperties* flame = find_flame(substance.id)) gas.flame = *flame;
  if (substance.flammable() && !gas.limits) {
    table.error(location,
                fmt::format("'{0}' burns, but no source of the table gives both its limits; define it under another "
                            "id in a [[gas]] with lfl, ufl and source",
                            substance.id));
  }
  if (gas.limits && gas.limits->fell_back) draft.gases.fallen_back.push_back(substance.id);
  draft.site.gases.push_back(std::move(gas));
  return entry->second;
}

std::optional<Composition> blended(const Blend& blend, const TableReader& table, SourceLocation location,
                                   Composition out, Draft& draft) {
  const std::pair<const std::string*, double> parts[] = {{&blend.part, blend.fraction},
                                                         {&blend.rest, 1.0 - blend.fraction}};
  for (const auto& [id, fraction] : parts) {
    if (*id == "air") continue;
    const auto* substance = substance_named(*id, draft);
    if (!substance) {
      table.error(location, fmt::format("unknown gas {}{}; the parts of a mixture in one line are single substances",
                                        shown(*id), gas_suggestion(*id, draft)));
      return {};
    }
    if (fraction > 0.0) out.shares.push_back({tracked(*substance, table, location, draft), fraction});
  }
  return out;
}

}  // namespace

void read_gases(const TableReader& file, Draft& draft) {
  draft.faults.enter(Part::gas);
  struct Row {
    TableReader table;
    std::string source;
  };
  std::vector<Row> mixtures;
  Ids mixture_ids;
  std::size_t count = 0;
  auto& ids = draft.gases.file_ids;
  for_each_table(file, "gas", [&](const toml::table& row) {
    const TableReader table{row, "gas", id_text(row), draft.faults};
    if (++count > most_gases) {
      if (count == most_gases + 1)
        table.error(table.location(), fmt::format("is one of more than {} gases", most_gases));
      return;
    }
    const bool mixture = row.contains("parts");
    table.refuse_unknown(mixture ? std::span<const std::string_view>{mixture_keys} : substance_keys);
    const auto id = read_id(table, "\"biogas\"");
    take_id(table, id, count, ids);
    if (id == "air" || draft.substances.find(id) || draft.substances.find_mixture(id)) {
      table.value_error("id",
                        fmt::format("{} is in the table of substances already; give this gas another id", shown(id)));
    }
    table.require("source", "\"safety data sheet of the maker, 2021\"");
    auto source = table.text("source").value_or("");
    if (table.has("source") && source.empty()) table.value_error("source", "say where the values are from");
    if (mixture) {
      mixtures.push_back({table, std::move(source)});
      mixture_ids.add(id, count, table.location());
    } else {
      auto substance = read_substance(table, std::string{id}, source);
      if (!id.empty()) draft.gases.of_file.put(std::move(substance));
    }
  });
  for (auto& [table, source] : mixtures) {
    auto mixture = read_mixture(table, std::string{id_text(table.table())}, std::move(source), mixture_ids, draft);
    if (!mixture.id.empty()) draft.gases.of_file.put(std::move(mixture));
  }
}

std::optional<Composition> composition_of(const TableReader& table, SourceLocation location, std::string_view name,
                                          Draft& draft) {
  Composition out;
  out.name = name;
  if (name == "air") return out;
  if (const auto* substance = substance_named(name, draft)) {
    out.shares.push_back({tracked(*substance, table, location, draft), 1.0});
    return out;
  }
  if (const auto blend = blend_of(name, draft)) return blended(*blend, table, location, std::move(out), draft);
  const auto* mixture = draft.gases.of_file.find_mixture(name);
  if (!mixture) {
    mixture = draft.substances.find_mixture(name);
    auto& used = draft.gases.mixtures_used;
    if (mixture && std::ranges::find(used, name) == used.end()) used.emplace_back(name);
  }
  if (!mixture) {
    // A name of the trade, a formula or a CAS number. A gas of the file that is nearly called that may be meant
    // instead.
    const std::string meant = draft.substances.meant(name);
    if (!meant.empty() && nearest_name(std::string{name}, draft.gases.file_ids.names()).empty()) {
      if (!differs_in_spelling_alone(name, meant))
        table.notice(location, fmt::format("{} is taken as {}", shown(name), shown(meant)));
      return composition_of(table, location, meant, draft);
    }
    table.error(location, fmt::format("unknown gas {}{}", shown(name), gas_suggestion(name, draft)));
    return {};
  }
  for (const auto& part : mixture->parts) {
    if (part.substance == "air") continue;  // what the shares leave is air
    const auto* substance = substance_named(part.substance, draft);
    if (substance && part.fraction > 0)
      out.shares.push_back({tracked(*substance, table, location, draft), part.fraction});
  }
  return out;
}

void add_shares(std::vector<GasShare>& shares, const Composition& part, double fraction) {
  if (fraction <= 0) return;
  for (const auto& share : part.shares) {
    const auto same = std::ranges::find(shares, share.gas, &GasShare::gas);
    if (same == shares.end()) {
      shares.push_back({share.gas, share.fraction * fraction});
    } else {
      same->fraction += share.fraction * fraction;
    }
  }
}

}  // namespace leanside::input
