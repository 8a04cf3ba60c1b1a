// SPDX-License-Identifier: Apache-2.0
/// [[case]] and events.
#include <algorithm>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"
#include "leanside/advanced/fans.hpp"

namespace leanside::input {
namespace {

/// Every case is a computation of its own, and holds a copy of the events of the file: bounds on both.
constexpr std::size_t most_cases = 1000;
constexpr std::size_t most_events = 1'000'000;  // of all cases together

constexpr std::string_view case_keys[] = {"id", "name", "event"};

/// The list `event` of the file or of a case.
std::vector<Event> read_events(const TableReader& table, Draft& draft) {
  std::vector<Event> events;
  const auto* node = table.find("event");
  if (!node) return events;
  const auto* list = node->as_array();
  if (!list) {
    table.value_error("event", fmt::format("found {}; expected a list: event = [ {{ at = \"10 min\", airway = "
                                           "\"extract\", on = false }} ]",
                                           shown_value(*node)));
    return events;
  }
  for (const auto& item : *list) {
    if (events.size() > most_events) break;
    std::ranges::move(read_event(item, draft), std::back_inserter(events));
  }
  return events;
}

/// In order of time; what a timetable did last before the run holds at its start.
void put_in_order(const Site& site, std::vector<Event>& events) {
  std::ranges::stable_sort(events, {}, &Event::at);
  for (Event& event : events) event.at = std::max(event.at, 0.0);
  follow_recirculation(site, events);
}

void read_case(const toml::table& row, const std::vector<Event>& of_file, Draft& draft) {
  const TableReader table{row, "case", id_text(row), draft.faults};
  table.refuse_unknown(case_keys);
  Case made;
  const auto id = read_id(table, "\"fan-off\"");
  made.id = id;
  if (made.id == "normal") {
    table.value_error("id", "'normal' is the case of the file as it stands; choose another id");
  } else {
    take_id(table, id, draft.site.cases.size(), draft.cases);
  }
  made.name = table.text("name").value_or("");
  auto own = read_events(table, draft);
  if (!table.has("event") && !draft.faults.was_offered(&row, "event")) {
    table.notice(table.location(), "has no event: it is the same as the normal case");
  }
  if (!draft.faults.any_error()) made.events = of_file;  // nobody uses them otherwise
  std::ranges::move(own, std::back_inserter(made.events));
  put_in_order(draft.site, made.events);
  draft.site.cases.push_back(std::move(made));
}

}  // namespace

void read_cases(const TableReader& file, Draft& draft) {
  draft.faults.enter(Part::event);
  auto of_file = read_events(file, draft);
  const auto cases = row_count(file, "case");
  if (of_file.size() * (cases + 1) > most_events) {
    file.value_error(
        "event", fmt::format("{} events in each of {} cases are more than can be computed", of_file.size(), cases + 1));
  }
  auto normal = of_file;
  put_in_order(draft.site, normal);
  draft.site.cases.push_back({"normal", "", std::move(normal)});
  std::size_t count = 0;
  for_each_table(file, "case", [&](const toml::table& row) {
    if (++count <= most_cases) return read_case(row, of_file, draft);
    if (count == most_cases + 1) {
      draft.faults.error(location_of(row), fmt::format("this case is one of more than {}; split the file", most_cases));
    }
  });
}

}  // namespace leanside::input
