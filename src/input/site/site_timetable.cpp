// SPDX-License-Identifier: Apache-2.0
/// Clock times, and events that happen every day or every week.
#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

constexpr double day = 86400.0, week = 7.0 * day;
/// How long a timetable is repeated where the file gives no horizon, s.
constexpr double usual_repeats = 2.0 * week;
/// Events of one entry; more is a slip in the horizon.
constexpr double most_times = 20'000.0;

constexpr std::array<std::string_view, 7> days = {"monday", "tuesday",  "wednesday", "thursday",
                                                  "friday", "saturday", "sunday"};

/// "18:00" as s from midnight.
std::optional<double> clock_of(std::string_view text) {
  const auto digit = [&](std::size_t i) { return text[i] >= '0' && text[i] <= '9'; };
  const std::size_t colon = text.find(':');
  if (colon == std::string_view::npos || colon == 0 || colon > 2 || text.size() != colon + 3) return {};
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (i != colon && !digit(i)) return {};
  }
  int hours = 0;
  for (std::size_t i = 0; i < colon; ++i) hours = 10 * hours + (text[i] - '0');
  const int minutes = 10 * (text[colon + 1] - '0') + (text[colon + 2] - '0');
  if (hours > 24 || minutes > 59 || (hours == 24 && minutes > 0)) return {};
  return 3600.0 * hours + 60.0 * minutes;
}

/// "Mon", "monday" as its number from Monday.
std::optional<std::size_t> day_of(std::string_view text) {
  if (text.size() < 3) return {};
  std::string word;
  for (const char c : text) word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  for (std::size_t i = 0; i < days.size(); ++i) {
    if (days[i].starts_with(word)) return i;
  }
  return {};
}

std::optional<double> read_clock(const TableReader& table, std::string_view key) {
  const auto* text = table.text_at(key);
  if (!text) return {};
  const auto clock = clock_of(*text);
  if (!clock) {
    table.value_error(key, fmt::format("found {}; expected a time of day, such as {} = \"18:00\"", shown(*text), key));
  }
  return clock;
}

/// Each time from the last one before the start to the end of the run.
void repeat(double first, double period, double until, std::vector<double>& out) {
  first -= period * std::ceil(first / period);  // in (-period, 0]
  for (double at = first; at <= until; at += period) out.push_back(at);
}

}  // namespace

std::optional<double> read_weekday_and_clock(const TableReader& table, std::string_view key) {
  const auto* text = table.text_at(key);
  if (!text) return {};
  const std::size_t blank = text->find(' '), after = text->find_first_not_of(' ', blank);
  if (blank != std::string::npos && after != std::string::npos) {
    const auto weekday = day_of(std::string_view{*text}.substr(0, blank));
    const auto clock = clock_of(std::string_view{*text}.substr(after));
    if (weekday && clock) return static_cast<double>(*weekday) * day + *clock;
  }
  table.value_error(key,
                    fmt::format("found {}; expected a day and a time, such as {} = \"Mon 08:00\"", shown(*text), key));
  return {};
}

std::vector<double> read_times(const TableReader& event, Draft& draft) {
  constexpr std::string_view keys[] = {"at", "daily", "weekdays", "weekly"};
  const Criteria& criteria = draft.site.criteria;
  std::size_t given = 0;
  for (const auto key : keys) given += event.has(key) ? 1 : 0;
  if (given > 1) {
    event.error(event.location(),
                "has more than one of 'at', 'daily', 'weekdays' and 'weekly'; write an event for each");
    return {};
  }
  if (given == 0 || event.has("at")) {
    if (!event.require("at", "\"10 min\", or daily = \"18:00\"")) return {};
    const double at = event.quantity("at", Dimension::time, Sign::not_negative).value_or(0.0);
    if (!criteria.open_ended && at > criteria.horizon) {
      event.value_notice("at", fmt::format("is after the end of the run, {}: only the steady state shows this event",
                                           format_duration(criteria.horizon)));
    }
    return {at};
  }
  const double until = criteria.open_ended ? usual_repeats : criteria.horizon;
  if (until / day > most_times) {
    event.error(event.location(), "a timetable over so long a 'horizon' is more than can be computed; shorten it");
    return {};
  }
  draft.repeated_until = until;
  const double begins = draft.begins.value_or(0.0);
  std::vector<double> out;
  if (event.has("daily")) {
    if (const auto clock = read_clock(event, "daily")) repeat(*clock - std::fmod(begins, day), day, until, out);
  } else if (event.has("weekly")) {
    if (const auto at = read_weekday_and_clock(event, "weekly")) repeat(*at - begins, week, until, out);
  } else if (const auto clock = read_clock(event, "weekdays")) {
    for (int weekday = 0; weekday < 5; ++weekday) repeat(weekday * day + *clock - begins, week, until, out);
    std::ranges::sort(out);
  }
  return out;
}

}  // namespace leanside::input
