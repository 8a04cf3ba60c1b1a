// SPDX-License-Identifier: Apache-2.0
/// One entry of a list of events: what changes, and when.
#include <algorithm>
#include <memory>
#include <utility>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"
#include "input/site/site_openings.hpp"
#include "leanside/advanced/fans.hpp"
#include "leanside/advanced/openings.hpp"

namespace leanside::input {
namespace {

constexpr std::string_view time_keys[] = {"at", "daily", "weekdays", "weekly"};
constexpr std::string_view targets[] = {"airway", "release", "space", "system"};
/// What can change: of an airway, then of other things.
constexpr std::string_view changes[] = {
    "on",     "flow", "open",        "speed",       "filter",       "leakage_area",     "width",
    "height", "sill", "discharge",   "exponent",    "free_area",    "wind_coefficient", "curve",
    "angle",  "gap",  "temperature", "flow_factor", "recirculation"};

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

/// The index of what the event names.
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

using Change = decltype(Event::change);
using Found = std::optional<Change>;

/// The change of one event of an airway that is read without fault.
class AirwayChange {
 public:
  AirwayChange(const TableReader& table, std::string_view change, AirwayIndex index, const Draft& draft)
      : table_{table}, change_{change}, index_{index}, draft_{draft}, airway_{draft.site.airways[index.value]} {}

  Found read() const {
    if (change_ == "on") {
      const auto on = table_.flag("on");
      return on ? Found{SetAirwayOn{index_, *on}} : Found{};
    }
    if (change_ == "flow") return flow();
    if (change_ == "open") return open();
    if (const auto* fan = std::get_if<Fan>(&airway_.kind)) return of_fan(*fan);
    if (const auto* gap = std::get_if<Gap>(&airway_.kind)) return of_gap(*gap);
    if (const auto* door = std::get_if<Doorway>(&airway_.kind)) return of_doorway(*door);
    return refused();
  }

 private:
  Found refused() const {
    const auto can = [&]() -> std::string_view {
      if (const auto* fan = std::get_if<Fan>(&airway_.kind)) {
        return fan->curve.empty() ? "'on', 'flow' and 'speed'" : "'on', 'speed', 'filter' and 'curve'";
      }
      if (std::holds_alternative<Gap>(airway_.kind))
        return "'on', 'open', 'leakage_area', 'exponent', 'wind_coefficient'";
      if (draft_.windows.contains(index_.value)) {
        return "'on', 'open', 'angle', 'gap', 'width', 'height', 'sill', 'free_area', 'discharge', 'wind_coefficient'";
      }
      if (std::holds_alternative<Doorway>(airway_.kind)) {
        return "'on', 'open', 'width', 'height', 'sill', 'free_area', 'discharge', 'wind_coefficient'";
      }
      return std::holds_alternative<Exchange>(airway_.kind) ? "'on' and 'flow'" : "'on'";
    };
    table_.error(table_.key_location(change_),
                 fmt::format("an event cannot change '{}' of this airway; it can change {}", change_, can()));
    return {};
  }

  Found flow() const {
    const auto flow = read_volume_flow(table_, "flow", first_side(airway_), draft_);
    if (std::holds_alternative<Opening>(airway_.kind)) {
      table_.error(table_.key_location("flow"),
                   "an opening has no flow of its own: it carries what balance needs; only 'on' can "
                   "change it");
      return {};
    }
    if (follows_pressure(airway_)) {
      table_.error(table_.key_location("flow"),
                   "the flow of this airway follows the pressure; 'on' can change it, 'open' a doorway or a gap, and "
                   "'speed' a fan");
      return {};
    }
    return flow ? Found{SetAirwayFlow{index_, *flow}} : Found{};
  }

  Found open() const {
    const auto open = table_.fraction("open");
    if (!std::holds_alternative<Doorway>(airway_.kind) && !std::holds_alternative<Gap>(airway_.kind)) {
      table_.error(table_.key_location("open"),
                   "only a doorway, louvre, window, undercut or gap has an 'open' to change; 'on' shuts any airway");
      return {};
    }
    return open ? Found{SetAirwayOpen{index_, *open}} : Found{};
  }

  template <class Kind>
  Found changed(Kind kind) const {
    const auto* node = table_.find(change_);
    const auto* text = node ? node->as_string() : nullptr;
    std::string written = fmt::format("{} {}", change_, text ? text->get() : node ? shown_value(*node) : "");
    if (node && node->is_number()) written = fmt::format("{} {}", change_, format_number(node->value_or(0.0)));
    if (node && node->is_array()) written = "another curve";
    return SetAirwayKind{index_, std::make_shared<const AirwayKind>(std::move(kind)), std::move(written)};
  }

  Found of_fan(const Fan& fan) const {
    if (change_ == "speed") {
      const auto speed = read_factor(table_, "speed");
      if (!speed) return {};
      if (fan.curve.empty()) return SetAirwayFlow{index_, fan.flow * *speed};
      Fan now = fan;
      now.curve = curve_at_speed(std::move(now.curve), *speed);
      return changed(std::move(now));
    }
    if (fan.curve.empty()) return refused();
    Fan now = fan;
    if (change_ == "curve") {
      now.curve = read_curve(table_);
      return now.curve.empty() ? Found{} : changed(std::move(now));
    }
    if (change_ != "filter") return refused();
    const auto drop = table_.quantity("filter", Dimension::pressure, Sign::not_negative);
    if (!drop) return {};
    now.curve = curve_behind_filter(std::move(now.curve), *drop);
    return changed(std::move(now));
  }

  Found of_gap(Gap now) const {
    if (change_ == "leakage_area") {
      now.leakage_area = table_.quantity("leakage_area", Dimension::area, Sign::positive).value_or(now.leakage_area);
    } else if (change_ == "exponent") {
      now.exponent = table_.number("exponent").value_or(now.exponent);
      if (now.exponent < 0.5 || now.exponent > 1.0) table_.value_error("exponent", "expected 0.5 to 1");
    } else if (change_ == "wind_coefficient") {
      now.wind_coefficient = read_wind_coefficient(table_, now.first, now.second);
    } else {
      return refused();
    }
    return changed(std::move(now));
  }

  Found of_doorway(Doorway now) const {
    const auto length = [&](double& value, Sign sign) {
      value = table_.quantity(change_, Dimension::length, sign).value_or(value);
    };
    if (change_ == "width") {
      length(now.width, Sign::positive);
    } else if (change_ == "height") {
      length(now.height, Sign::positive);
    } else if (change_ == "sill") {
      length(now.sill, Sign::not_negative);
    } else if (change_ == "free_area") {
      if (const auto area = table_.quantity("free_area", Dimension::area, Sign::positive)) {
        now.width = *area / now.height;
      }
    } else if (const auto window = draft_.windows.find(index_.value);
               window != draft_.windows.end() && (change_ == "angle" || change_ == "gap")) {
      const WindowFrame& frame = window->second;
      if (const auto gap = read_ajar(table_, frame)) {
        now.width = window_free_area(frame.hinged, frame.across, *gap) / now.height;
      }
    } else if (change_ == "discharge") {
      now.discharge = read_discharge(table_, now.discharge);
    } else if (change_ == "wind_coefficient") {
      now.wind_coefficient = read_wind_coefficient(table_, now.first, now.second);
    } else {
      return refused();
    }
    return changed(std::move(now));
  }

  const TableReader& table_;
  std::string_view change_;
  AirwayIndex index_;
  const Draft& draft_;
  const Airway& airway_;
};

Found release_change(const TableReader& table, std::string_view change, const Draft& draft) {
  const auto index = target(table, "release", draft.releases);
  if (change == "on") {
    const auto on = table.flag("on");
    return index && on ? Found{SetReleaseOn{{*index}, *on}} : Found{};
  }
  table.error(
      table.key_location(change),
      fmt::format("a release has no '{}' that an event could change; only 'on': for another size write a second "
                  "release, and switch one off and the other on",
                  change));
  return {};
}

Found space_change(const TableReader& table, std::string_view change, const Draft& draft) {
  const auto index = target(table, "space", draft.spaces);
  if (change != "temperature") {
    table.error(table.key_location(change), fmt::format("a space has no '{}' that an event could change", change));
    return {};
  }
  const auto temperature = table.quantity("temperature", Dimension::temperature, Sign::positive);
  if (temperature && (*temperature < 173.15 || *temperature > 673.15)) {
    table.value_error("temperature", "expected a temperature from -100 degC to 400 degC");
    return {};
  }
  return index && temperature ? Found{SetSpaceTemperature{{*index}, *temperature}} : Found{};
}

Found system_change(const TableReader& table, std::string_view change, const Draft& draft) {
  const auto index = target(table, "system", draft.systems);
  if (!index) return {};
  SetSystem set{SystemIndex{*index}};
  if (change == "on") {
    set.on = table.flag("on");
  } else if (change == "flow_factor") {
    set.flow_factor = read_factor(table, "flow_factor");
  } else if (change == "recirculation") {
    set.recirculation = table.fraction("recirculation");
    if (!draft.site.systems[*index].return_fan && !draft.faults.any_error()) {
      table.error(table.key_location(change),
                  "the system has no 'recirculation' to change; write recirculation = \"0 %\" into its [[system]]");
    }
  } else {
    table.error(table.key_location(change),
                fmt::format("a system has no '{}' to change; 'on', 'flow_factor' and 'recirculation' can", change));
    return {};
  }
  return set;
}

Found read_change(const TableReader& table, std::string_view named, std::string_view change, const Draft& draft) {
  if (named == "release") return release_change(table, change, draft);
  if (named == "space") return space_change(table, change, draft);
  if (named == "system") return system_change(table, change, draft);
  const auto index = target(table, "airway", draft.airways);
  if (change == "temperature" || change == "flow_factor" || change == "recirculation") {
    table.error(table.key_location(change),
                fmt::format("an airway has no '{}' to change; 'on', 'flow' and 'open' can", change));
    return {};
  }
  if (!index || !draft.airway_sound[*index]) {
    // What is wrong besides is said in the same run.
    if (change == "on") table.flag("on");
    if (change == "flow") table.quantity("flow", Dimension::volume_flow, Sign::not_negative);
    if (change == "open") table.fraction("open");
    return {};
  }
  return AirwayChange{table, change, AirwayIndex{*index}, draft}.read();
}

std::vector<std::string_view> all_keys() {
  std::vector<std::string_view> out(std::begin(time_keys), std::end(time_keys));
  out.insert(out.end(), std::begin(targets), std::end(targets));
  out.insert(out.end(), std::begin(changes), std::end(changes));
  return out;
}

}  // namespace

std::vector<Event> read_event(const toml::node& node, Draft& draft) {
  const auto* row = node.as_table();
  if (!row) {
    draft.faults.error(location_of(node),
                       fmt::format("event: found {}; expected a table such as {{ at = \"10 min\", airway = "
                                   "\"extract\", on = false }}",
                                   shown_value(node)));
    return {};
  }
  static const std::vector<std::string_view> keys = all_keys();
  const TableReader table{*row, "event", {}, draft.faults};
  const bool known = table.refuse_unknown(keys);
  const auto times = read_times(table, draft);
  const auto named = keys_had(table, targets, "an event changes one thing; write an event for each");
  const auto changed = keys_had(table, changes, "an event makes one change; write an event for each");
  if ((named.empty() || changed.empty()) && known && !draft.faults.damaged()) {
    table.error(table.location(),
                fmt::format("does not say {}; write for example {{ at = \"10 min\", airway = \"extract\", on = "
                            "false }}",
                            named.empty() ? "which airway or release changes" : "what changes, 'on' or 'flow'"));
  }
  if (named.size() != 1 || changed.size() != 1) return {};
  const auto change = read_change(table, named.front(), changed.front(), draft);
  if (!change) return {};
  std::vector<Event> at_once(1);
  at_once.front().change = *change;
  if (const auto* set = std::get_if<SetSystem>(&*change)) at_once = system_events(*set, draft);
  std::vector<Event> out;
  for (const double at : times) {
    for (Event event : at_once) {
      event.at = at;
      event.place = draft.faults.place(table.location());
      out.push_back(std::move(event));
    }
  }
  return out;
}

}  // namespace leanside::input
