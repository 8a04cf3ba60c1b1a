// SPDX-License-Identifier: Apache-2.0
/// [[case]] and events.
#include <algorithm>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

/// Every case is a computation of its own, and holds a copy of the events of the file: bounds on both.
constexpr std::size_t most_cases = 1000;
constexpr std::size_t most_events = 1'000'000;  // of all cases together

constexpr std::string_view case_keys[] = {"id", "name", "event"};
constexpr std::string_view event_keys[] = {"at", "airway", "release", "space", "on", "flow", "open", "temperature"};

/// Those of `keys` that the event has. More than one is a fault, said with `several`.
std::vector<std::string_view> keys_had(const TableReader& event, std::span<const std::string_view> keys,
                                       std::string_view several) {
  std::vector<std::string_view> found;
  for (const auto key : keys) {
    if (event.has(key)) found.push_back(key);
  }
  if (found.size() > 1) event.error(event.key_location(found[1]), fmt::format("has {}; {}", listed(found), several));
  return found;
}

/// The index of the airway or release that the event names.
std::optional<std::size_t> target(const TableReader& event, std::string_view key, const Ids& ids) {
  const auto* id = event.text_at(key);
  if (!id) return {};
  const auto index = ids.find(*id);
  if (!index && !event.faults().damaged()) {
    event.value_error(
        key, fmt::format("there is no {} {}{}", key, shown(*id), suggestion(*id, ids.names(), event.faults())));
  }
  return index;
}

void airway_change(const TableReader& table, std::string_view change, const Draft& draft, Event& event) {
  const auto index = target(table, "airway", draft.airways);
  if (change == "on") {
    const auto on = table.flag("on");
    if (index && on) event.change = SetAirwayOn{{*index}, *on};
  } else if (change == "flow") {
    const auto flow = table.quantity("flow", Dimension::volume_flow, Sign::not_negative);
    const bool sound = index && draft.airway_sound[*index];
    if (sound && std::holds_alternative<Opening>(draft.site.airways[*index].kind)) {
      table.error(table.key_location("flow"),
                  "an opening has no flow of its own: it carries what balance needs; only 'on' can "
                  "change it");
    } else if (sound && follows_pressure(draft.site.airways[*index])) {
      table.error(table.key_location("flow"),
                  "the flow of this airway follows the pressure; 'on' can change it, and 'open' a doorway");
    } else if (index && flow) {
      event.change = SetAirwayFlow{{*index}, *flow};
    }
  } else if (change == "open") {
    const auto open = table.fraction("open");
    if (index && draft.airway_sound[*index] && !std::holds_alternative<Doorway>(draft.site.airways[*index].kind)) {
      table.error(table.key_location("open"), "only a doorway has an 'open' to change; 'on' shuts any airway");
    } else if (index && open) {
      event.change = SetAirwayOpen{{*index}, *open};
    }
  } else {
    table.error(table.key_location(change),
                fmt::format("an airway has no '{}' to change; 'on', 'flow' and 'open' can", change));
  }
}

void release_change(const TableReader& table, std::string_view change, const Draft& draft, Event& event) {
  const auto index = target(table, "release", draft.releases);
  if (change == "on") {
    const auto on = table.flag("on");
    if (index && on) event.change = SetReleaseOn{{*index}, *on};
  } else {
    table.error(
        table.key_location(change),
        fmt::format("a release has no '{}' that an event could change; only 'on': for another size write a second "
                    "release, and switch one off and the other on",
                    change));
  }
}

std::optional<Event> read_event(const toml::node& node, const Draft& draft) {
  const auto* row = node.as_table();
  if (!row) {
    draft.faults.error(location_of(node),
                       fmt::format("event: found {}; expected a table such as {{ at = \"10 min\", airway = "
                                   "\"extract\", on = false }}",
                                   shown_value(node)));
    return {};
  }
  const TableReader table{*row, "event", {}, draft.faults};
  const bool known = table.refuse_unknown(event_keys);
  Event event;
  event.place = draft.faults.place(table.location());
  if (table.require("at", "\"10 min\"")) {
    event.at = table.quantity("at", Dimension::time, Sign::not_negative).value_or(0.0);
    if (!draft.site.criteria.open_ended && event.at > draft.site.criteria.horizon) {
      table.value_notice("at", fmt::format("is after the end of the run, {}: only the steady state shows this event",
                                           format_duration(draft.site.criteria.horizon)));
    }
  }
  constexpr std::string_view targets[] = {"airway", "release", "space"};
  constexpr std::string_view changes[] = {"on", "flow", "open", "temperature"};
  const auto named = keys_had(table, targets, "an event changes one thing; write an event for each");
  const auto changed = keys_had(table, changes, "an event makes one change; write an event for each");
  if ((named.empty() || changed.empty()) && known && !draft.faults.damaged()) {
    table.error(table.location(),
                fmt::format("does not say {}; write for example {{ at = \"10 min\", airway = \"extract\", on = "
                            "false }}",
                            named.empty() ? "which airway or release changes" : "what changes, 'on' or 'flow'"));
  }
  if (named.size() != 1 || changed.size() != 1) return event;
  const auto target_key = named.front(), change = changed.front();
  if (target_key == "airway") {
    airway_change(table, change, draft, event);
  } else if (target_key == "release") {
    release_change(table, change, draft, event);
  } else if (change == "temperature") {
    const auto index = target(table, "space", draft.spaces);
    const auto temperature = table.quantity("temperature", Dimension::temperature, Sign::positive);
    if (temperature && (*temperature < 173.15 || *temperature > 673.15)) {
      table.value_error("temperature", "expected a temperature from -100 degC to 400 degC");
    } else if (index && temperature) {
      event.change = SetSpaceTemperature{{*index}, *temperature};
    }
  } else {
    target(table, "space", draft.spaces);
    table.error(table.key_location(change), fmt::format("a space has no '{}' that an event could change", change));
  }
  return event;
}

/// The list `event` of the file or of a case.
std::vector<Event> read_events(const TableReader& table, const Draft& draft) {
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
    if (auto event = read_event(item, draft)) events.push_back(std::move(*event));
  }
  return events;
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
  std::ranges::stable_sort(made.events, {}, &Event::at);
  draft.site.cases.push_back(std::move(made));
}

}  // namespace

void read_cases(const TableReader& file, Draft& draft) {
  draft.faults.enter(Part::event);
  auto of_file = read_events(file, draft);
  std::ranges::stable_sort(of_file, {}, &Event::at);
  const auto cases = row_count(file, "case");
  if (of_file.size() * (cases + 1) > most_events) {
    file.value_error(
        "event", fmt::format("{} events in each of {} cases are more than can be computed", of_file.size(), cases + 1));
  }
  draft.site.cases.push_back({"normal", "", of_file});
  std::size_t count = 0;
  for_each_table(file, "case", [&](const toml::table& row) {
    if (++count <= most_cases) return read_case(row, of_file, draft);
    if (count == most_cases + 1) {
      draft.faults.error(location_of(row), fmt::format("this case is one of more than {}; split the file", most_cases));
    }
  });
}

}  // namespace leanside::input
