// SPDX-License-Identifier: Apache-2.0
/// [[release]].
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "input/site/site_sources.hpp"

namespace leanside::input {
namespace {

constexpr Names common_keys = {"id", "name", "kind", "into", "gas", "start", "on", "height", "momentum"};
constexpr auto kinds = std::to_array<Kind>({
    {.word = "steady", .keys = {"rate", "duration"}},
    {.word = "dump", .keys = {"amount", "over"}},
    {.word = "fittings", .keys = {"count", "each"}},
    {.word = "orifice", .keys = {"pressure", "hole", "discharge", "temperature", "duration"}},
    {.word = "cylinder",
     .keys = {"contents", "water_volume", "pressure", "filled", "count", "position", "hole", "discharge",
              "temperature"}},
    {.word = "dewar", .keys = {"contents", "holding_time"}},
    {.word = "spill", .keys = {"amount", "area", "air_speed", "temperature"}},
    {.word = "reaction", .keys = {"reaction", "amounts", "over", "half_time"}},
    {.word = "electrolysis", .keys = {"current", "gases", "cells", "duration"}},
    {.word = "charging", .keys = {"cells", "capacity", "battery", "regime", "current", "duration"}},
});

constexpr Dimension rates[] = {Dimension::volume_flow, Dimension::mass_flow, Dimension::amount_flow};

void notice_nothing(const TableReader& table, std::string_view key, double size) {
  if (size == 0) table.value_notice(key, "is 0: nothing is released");
}

/// Notes a release that fills its space within a second: most likely a wrong unit.
void notice_violent(const TableReader& table, std::string_view key, double rate, const Release& release,
                    const Site& site) {
  if (release.into.value >= site.spaces.size() || !std::isfinite(rate)) return;  // has a fault
  const auto& space = site.spaces[release.into.value];
  const double flow = rate * gas_constant * space.temperature / site.conditions.pressure;
  if (space.volume > 0 && flow > space.volume) {
    table.value_notice(
        key, fmt::format("this fills the space {} in less than a second; is the unit right?", shown(space.id)));
  }
}

void read_steady(const TableReader& table, Release& release, const Site& site) {
  SteadyRelease steady;
  steady.duration = read_duration(table);
  if (table.require("rate", "\"4 L/min\"")) {
    if (const auto rate = table.quantity("rate", rates, Sign::not_negative)) {
      steady.rate = moles(*rate, release.gas, site);
      release.as_written = written(table, "rate");
      if (steady.duration) release.as_written += " for " + written(table, "duration");
      notice_nothing(table, "rate", steady.rate);
      notice_violent(table, "rate", steady.rate, release, site);
    }
  }
  release.kind = steady;
}

void read_dump(const TableReader& table, Release& release, const Site& site) {
  DumpRelease dump;
  const auto over =
      table.require("over", "\"10 min\"") ? table.quantity("over", Dimension::time, Sign::positive) : std::nullopt;
  dump.over = over.value_or(1.0);
  if (table.require("amount", "\"20 L\"")) {
    if (const auto amount = table.quantity("amount", amount_dimensions, Sign::not_negative)) {
      dump.amount = moles(*amount, release.gas, site);
      notice_nothing(table, "amount", dump.amount);
      if (over) {
        release.as_written = written(table, "amount") + " over " + written(table, "over");
        notice_violent(table, "amount", dump.amount / dump.over, release, site);
      }
    }
  }
  release.kind = dump;
}

void read_fittings(const TableReader& table, Release& release, const Site& site) {
  FittingsRelease fittings;
  if (table.require("count", "12")) {
    fittings.count = table
                         .number_alone("count", Sign::positive,
                                       "fittings can be counted: give one number, and put the range on 'each'")
                         .value_or(1.0);
    if (fittings.count != std::floor(fittings.count)) {
      table.value_error("count",
                        fmt::format("found {}; expected a whole number of fittings", format_exact(fittings.count)));
    }
  }
  if (table.require("each", "\"2 mL/min\"")) {
    if (const auto each = table.quantity("each", rates, Sign::not_negative)) {
      fittings.each = moles(*each, release.gas, site);
      release.as_written = fmt::format("{} fitting{} of {}", format_exact(fittings.count),
                                       fittings.count == 1 ? "" : "s", written(table, "each"));
      notice_nothing(table, "each", fittings.each);
      notice_violent(table, "each", fittings.count * fittings.each, release, site);
    }
  }
  release.kind = fittings;
}

void read_into(const TableReader& table, Release& release, const Draft& draft) {
  release.into = {draft.site.spaces.size()};  // until it is found
  if (!table.require("into", "\"store\"")) return;
  const auto side = read_side(table, "into", *table.find("into"), draft);
  if (!side) return;
  if (*side) {
    release.into = **side;
  } else {
    table.value_error("into", "gas released outside is not followed; name the space that it gets into");
  }
}

void read_gas(const TableReader& table, Release& release, Draft& draft) {
  const auto* name = table.text_at("gas");
  if (!name) {
    table.require("gas", "\"methane\"");
    return;
  }
  if (auto gas = composition_of(table, table.value_location("gas"), *name, draft)) release.gas = std::move(*gas);
}

}  // namespace

double moles(const Quantity& size, const Composition& gas, const Site& site) {
  switch (size.dimension) {
    case Dimension::volume:
    case Dimension::volume_flow:
      return size.si * site.conditions.pressure / (gas_constant * site.conditions.temperature);
    case Dimension::mass:
    case Dimension::mass_flow:
      return size.si / molar_mass(gas, site.gases);
    default:
      return size.si;
  }
}

Release read_release(const toml::table& row, ReleaseIndex index, Draft& draft) {
  draft.faults.enter(Part::release, index.value);
  draft.standing.erase(index.value);
  const TableReader table{row, "release", id_text(row), draft.faults};
  Release release;
  release.place = draft.faults.place(table.location());
  const auto* kind = read_kind(table, kinds);
  refuse_foreign_keys(table, kind, kinds, common_keys);
  const auto id = read_id(table, "\"tap-leak\"");
  release.id = id;
  release.name = table.text("name").value_or("");
  release.on = table.flag("on").value_or(true);
  release.start = table.quantity("start", Dimension::time, Sign::not_negative).value_or(0.0);
  read_into(table, release, draft);
  const bool implied = kind && (kind->word == "reaction" || kind->word == "charging" || kind->word == "electrolysis");
  if (!implied) read_gas(table, release, draft);
  if (!kind) {  // what is there is checked all the same
    for (const auto key : {"rate", "each"}) table.quantity(key, rates, Sign::not_negative);
    for (const auto key : {"duration", "over"}) table.quantity(key, Dimension::time, Sign::positive);
  } else if (kind->word == "steady") {
    read_steady(table, release, draft.site);
  } else if (kind->word == "dump") {
    read_dump(table, release, draft.site);
  } else if (kind->word == "fittings") {
    read_fittings(table, release, draft.site);
  } else if (kind->word == "orifice") {
    read_orifice(table, release, draft);
  } else if (kind->word == "cylinder") {
    read_cylinder(table, release, draft);
  } else if (kind->word == "dewar") {
    read_dewar(table, release, draft);
  } else if (kind->word == "spill") {
    read_spill(table, release, draft);
  } else if (kind->word == "reaction") {
    read_reaction(table, release, draft);
  } else if (kind->word == "charging") {
    read_charging(table, release, draft);
  } else if (kind->word == "electrolysis") {
    read_electrolysis(table, release, draft);
  }
  read_release_place(table, release, draft);
  if (!draft.site.criteria.open_ended && release.start > draft.site.criteria.horizon) {
    table.value_notice("start", fmt::format("is after the end of the run, {}: only the steady state shows this release",
                                            format_duration(draft.site.criteria.horizon)));
  }
  return release;
}

void read_releases(const TableReader& file, Draft& draft) {
  const auto count = row_count(file, "release");
  draft.site.releases.reserve(count);
  draft.releases.reserve(count);
  for_each_table(file, "release", [&](const toml::table& row) {
    const ReleaseIndex index{draft.site.releases.size()};
    Release release = read_release(row, index, draft);
    take_id({row, "release", id_text(row), draft.faults}, id_text(row), index.value, draft.releases);
    draft.site.releases.push_back(std::move(release));
  });
  foresee_leaks(draft);
}

}  // namespace leanside::input
