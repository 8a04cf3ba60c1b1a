// SPDX-License-Identifier: Apache-2.0
/// [conditions] and [criteria].
#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

void assume(Draft& draft, AssumptionKind kind, double value) {
  draft.defaults.push_back({kind, {}, {}, {}, {}, {value}});
}

/// A run longer than this is a slip, s.
constexpr double longest_horizon = 10.0 * 365.25 * 86400.0;

/// Notes, with the location of its value, a temperature that nobody works in.
void notice_unlikely_temperature(const TableReader& table, std::string_view key, double kelvin) {
  if (kelvin < zero_celsius - 50 || kelvin > zero_celsius + 60) {
    table.value_notice(key, fmt::format("{} is unlikely for a place where people work; is the unit right?",
                                        table.faults().amount(kelvin, "degC")));
  }
}

void check_limits(const TableReader& table, Draft& draft) {
  auto sources = draft.substances.limit_sources();
  sources.insert(sources.begin(), "cautious");
  const auto& choice = draft.site.criteria.limits;
  if (std::ranges::find(sources, choice) != sources.end()) return;
  table.value_error("limits", fmt::format("there is no source of limits {}{} (known: {})", shown(choice),
                                          draft.faults.did_you_mean(choice, sources), listed(sources)));
}

/// Units of what people read.
void read_units(const TableReader& table, Draft& draft) {
  if (const auto* units = table.text_at("units")) {
    if (*units != "si" && *units != "us") {
      table.value_error("units", fmt::format("found {}; expected \"si\" (m3/h, m, degC, Pa) or \"us\" (cfm, ft, degF, "
                                             "inches of water)",
                                             shown(*units)));
    }
    if (*units == "us") draft.faults.file_asks_for(UnitSystem::us);
  }
  draft.site.conditions.units = draft.faults.units();
}

/// Whether flows are fitted, and when the run begins.
void read_ways_to_read(const TableReader& table, Draft& draft) {
  if (const auto* balance = table.text_at("balance")) {
    if (*balance == "fit") {
      draft.fit_within = table.fraction("balance_within").value_or(0.10);
    } else if (*balance != "given") {
      table.value_error("balance", fmt::format("found {}; expected \"given\" (flows as in the file) or \"fit\" (each "
                                               "changed a little, so that they add up)",
                                               shown(*balance)));
    }
  } else if (table.has("balance_within")) {
    table.error(table.key_location("balance_within"), "has no effect without balance = \"fit\"");
  }
  draft.begins = read_weekday_and_clock(table, "begins");
  draft.room_model = read_stratification(table);
}

}  // namespace

void read_conditions(const TableReader& file, Draft& draft) {
  constexpr std::string_view keys[] = {
      "temperature", "pressure", "outside_temperature", "wind_speed", "oxygen_in_air",
      "units",       "balance",  "balance_within",      "begins",     "stratification"};
  draft.faults.enter(Part::conditions);
  auto& conditions = draft.site.conditions;
  const toml::table none;
  const auto* given = file.subtable("conditions");
  const TableReader table{given ? *given : none, "[conditions]", {}, draft.faults};
  table.refuse_unknown(keys);
  read_units(table, draft);

  if (const auto t = table.quantity("temperature", Dimension::temperature, Sign::positive)) {
    conditions.temperature = *t;
    notice_unlikely_temperature(table, "temperature", *t);
  }
  conditions.outside_temperature = conditions.temperature;
  if (const auto t = table.quantity("outside_temperature", Dimension::temperature, Sign::positive)) {
    conditions.outside_temperature = *t;
    notice_unlikely_temperature(table, "outside_temperature", *t);
  }
  constexpr Dimension pressure[] = {Dimension::pressure};
  if (const auto p = table.quantity("pressure", pressure)) {
    if (p->gauge) {
      table.value_error("pressure",
                        "a gauge pressure counts from the pressure of the air, which is what is asked for "
                        "here; write the absolute one, such as \"101.3 kPa\"");
    } else if (p->si <= 0) {
      table.value_error("pressure", "the pressure of the air must be more than 0");
    } else {
      conditions.pressure = p->si;
      if (p->si < 5e4 || p->si > 1.2e5) {
        table.value_notice("pressure",
                           fmt::format("{} is not the pressure of the air anywhere that people live; is the "
                                       "unit right?",
                                       draft.faults.amount(p->si, "kPa", 4)));
      }
    }
  }
  if (const auto v = table.quantity("wind_speed", Dimension::velocity, Sign::not_negative)) {
    conditions.wind_speed = *v;
    if (*v > 50.0)
      table.value_notice("wind_speed",
                         fmt::format("{} is a hurricane; is the unit right?", draft.faults.amount(*v, "m/s")));
  }
  if (const auto o = table.fraction("oxygen_in_air")) {
    conditions.oxygen_in_air = *o;
    if (*o <= 0) table.value_error("oxygen_in_air", "air without oxygen is no air; leave the key out for 20.95 %");
  }

  read_ways_to_read(table, draft);
  if (!table.has("temperature")) {
    assume(draft,
           table.has("outside_temperature") ? AssumptionKind::default_inside_temperature
                                            : AssumptionKind::default_temperature,
           conditions.temperature);
  } else if (!table.has("outside_temperature")) {
    assume(draft, AssumptionKind::default_outside_temperature, conditions.outside_temperature);
  }
  if (!table.has("pressure")) assume(draft, AssumptionKind::default_pressure, conditions.pressure);
}

namespace {

/// Whether there is a share under the key, which then goes into `value`.
bool take_share(const TableReader& table, std::string_view key, double& value) {
  const auto found = table.fraction(key);
  if (found) value = *found;
  return found.has_value();
}

/// A value is compared with another only where that one has no fault of its own.
bool is_sound(const TableReader& table, std::string_view key, bool found) { return found || !table.has(key); }

void read_fuel_levels(const TableReader& table, Criteria& criteria) {
  const bool warn = take_share(table, "warn_at", criteria.warn_at),
             note = take_share(table, "note_at", criteria.note_at);
  if (warn && criteria.warn_at <= 0) {
    table.value_error("warn_at", "must be more than 0");
  } else if (warn && criteria.warn_at > highest_plain_margin && criteria.accept_high_margin.empty()) {
    table.value_error(
        "warn_at", fmt::format("{} of the lower limit leaves little room for error; use at most {}, or state why it is "
                               "acceptable: accept_high_margin = \"the reason\", which the answer then repeats",
                               format_quantity(criteria.warn_at, "%"), format_quantity(highest_plain_margin, "%")));
  } else if (note && criteria.note_at <= 0) {
    table.value_error("note_at", "must be more than 0");
  } else if (is_sound(table, "warn_at", warn) && is_sound(table, "note_at", note) &&
             criteria.note_at > criteria.warn_at) {
    table.value_error(
        note ? "note_at" : "warn_at",
        fmt::format("a note at {} of the lower limit would come after the warning at {}; note_at must not "
                    "be more than warn_at{}",
                    format_quantity(criteria.note_at, "%"), format_quantity(criteria.warn_at, "%"),
                    note ? "" : " (where it is not given it is 10 %)"));
  }
}

void read_oxygen_levels(const TableReader& table, Draft& draft) {
  Criteria& criteria = draft.site.criteria;
  const bool low = take_share(table, "oxygen_low", criteria.oxygen_low),
             high = take_share(table, "oxygen_high", criteria.oxygen_high);
  const auto oxygen = draft.site.conditions.oxygen_in_air;
  if (!is_sound(table, "oxygen_low", low) || !is_sound(table, "oxygen_high", high)) {
    // said already
  } else if (criteria.oxygen_low >= criteria.oxygen_high) {
    table.value_error(
        low ? "oxygen_low" : "oxygen_high",
        fmt::format("the low criterion, {}, must be less than the high one, {}",
                    format_quantity(criteria.oxygen_low, "%"), format_quantity(criteria.oxygen_high, "%")));
  } else if (oxygen < criteria.oxygen_low || oxygen > criteria.oxygen_high) {
    table.notice(table.location(),
                 fmt::format("plain air, with {} oxygen, is already outside oxygen_low to oxygen_high ({} "
                             "to {}): every space will be warned of",
                             format_quantity(oxygen, "%", 4), format_quantity(criteria.oxygen_low, "%"),
                             format_quantity(criteria.oxygen_high, "%")));
  }
}

void read_horizon(const TableReader& table, Criteria& criteria) {
  criteria.open_ended = !table.has("horizon");
  if (const auto horizon = table.quantity("horizon", Dimension::time, Sign::positive)) {
    criteria.horizon = *horizon;
    if (*horizon > longest_horizon) {
      table.value_error("horizon", fmt::format("{} is longer than 10 years; for what never ends, read the "
                                               "steady state",
                                               format_duration(*horizon)));
    }
  }
}

/// What the file leaves out of [criteria], for the answer.
void note_defaults(const TableReader& table, Draft& draft) {
  Assumption taken{AssumptionKind::default_criteria};
  for (const char* key : {"warn_at", "note_at", "oxygen_low", "oxygen_high", "horizon", "limits"}) {
    if (!table.has(key)) taken.names.emplace_back(key);
  }
  if (!taken.names.empty()) draft.defaults.push_back(std::move(taken));
}

}  // namespace

void read_criteria(const TableReader& file, Draft& draft) {
  constexpr std::string_view keys[] = {"warn_at", "note_at", "oxygen_low",        "oxygen_high",
                                       "limits",  "horizon", "accept_high_margin"};
  auto& criteria = draft.site.criteria;
  const toml::table none;
  const auto* given = file.subtable("criteria");
  const TableReader table{given ? *given : none, "[criteria]", {}, draft.faults};
  table.refuse_unknown(keys);
  if (table.refuse_ranges(keys, "what counts as a warning is chosen, not uncertain: give one value")) return;

  if (auto reason = table.text("accept_high_margin")) criteria.accept_high_margin = std::move(*reason);
  read_fuel_levels(table, criteria);
  if (!criteria.accept_high_margin.empty()) {
    draft.defaults.push_back(stated(fmt::format("warnings start only at {} of the lower limit, because: {}",
                                                format_quantity(criteria.warn_at, "%"), criteria.accept_high_margin)));
  }
  read_oxygen_levels(table, draft);
  if (auto limits = table.text("limits")) {
    criteria.limits = std::move(*limits);
    check_limits(table, draft);
  }
  read_horizon(table, criteria);
  note_defaults(table, draft);
}

}  // namespace leanside::input
