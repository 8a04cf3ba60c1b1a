// SPDX-License-Identifier: Apache-2.0
#include "leanside/schedule.hpp"

#include <algorithm>
#include <map>
#include <set>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "input/schedule/schedule_columns.hpp"
#include "input/schedule/schedule_tables.hpp"
#include "leanside/site_file.hpp"

namespace leanside {
namespace input {
namespace {

/// A line of the site file, and the row that it came from.
struct Line {
  std::string text;
  SourceLocation from;
};

class Importer {
 public:
  explicit Importer(ImportedSchedule& out) : out_{out} {}

  void read_rooms(const Schedule& rooms);
  void read_airways(const Schedule& airways);
  /// Leaves out what the reader of site files refuses; false where nothing is left.
  bool settle(const std::string& title, const SubstanceTable& substances);

 private:
  void leave_out(SourceLocation from, std::string why) {
    out_.remarks.push_back({DiagnosticLevel::error, std::move(from), "left out: " + std::move(why)});
  }
  void read_room(const Schedule& rooms, const CsvRow& row);
  void add_fans(const Schedule& rooms, const CsvRow& row, const std::string& id);
  void add_ways(const Schedule& rooms, const CsvRow& row, const std::string& id);
  void read_airway(const Schedule& airways, const CsvRow& row);
  bool add_sizes(const Schedule& table, const CsvRow& row, std::span<const std::string_view> keys, std::string& line);
  void add_system(const std::string& name, std::string& line);
  void add_airway(std::string id, std::string rest, SourceLocation from);
  /// The id of a room that the schedule names; empty, with a remark, where there is none.
  std::string room_named(const std::string& name, const SourceLocation& from, std::string_view what);
  std::string written(const std::string& title, std::vector<SourceLocation>& line_from) const;

  ImportedSchedule& out_;
  std::map<std::string, std::string> ids_;  ///< by the text of the schedule, in small letters
  std::set<std::string> left_out_;          ///< rooms of rows that were left out, by the same
  std::set<std::string> taken_, airways_taken_;
  std::vector<std::string> systems_;  ///< ids, in the order met
  std::map<std::string, std::string> system_names_;
  std::vector<Line> spaces_, airways_;
};

std::string key_of(const std::string& name) {
  std::string out;
  for (const char c : id_of(name)) out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
  return out;
}

std::string Importer::room_named(const std::string& name, const SourceLocation& from, std::string_view what) {
  const std::string key = key_of(name);
  if (key == "outside" || key == "outdoors") return "outside";
  if (const auto found = ids_.find(key); found != ids_.end()) return found->second;
  if (left_out_.contains(key)) {
    leave_out(from, fmt::format("{} '{}', because the row of that room was left out", what, plain_text(name)));
    return {};
  }
  std::vector<std::string> known;
  for (const auto& [other, id] : ids_) known.push_back(id);
  const std::string near = nearest_name(id_of(name), known);
  leave_out(from, fmt::format("{} '{}', because the schedule has no such room{}", what, plain_text(name),
                              near.empty() ? "" : fmt::format("; did you mean '{}'?", near)));
  return {};
}

/// Adds what the row gives of `keys`; false, with a remark, where one of them is wrong.
bool Importer::add_sizes(const Schedule& table, const CsvRow& row, std::span<const std::string_view> keys,
                         std::string& line) {
  for (const std::string_view key : keys) {
    const auto value = table.value(row, key);
    if (!value) continue;
    if (!value->sound) {
      leave_out(table.place(row), value->text);
      return false;
    }
    line += fmt::format(", {} = {}", key == "area" ? "floor_area" : key, value->text);
  }
  return true;
}

void Importer::add_system(const std::string& name, std::string& line) {
  const std::string id = id_of(name);
  if (id.empty()) return;
  if (!system_names_.contains(id)) systems_.push_back(id);
  system_names_.try_emplace(id, name);
  line += fmt::format(", system = {}", toml_text(id));
}

void Importer::add_airway(std::string id, std::string rest, SourceLocation from) {
  const std::string wanted = id;
  for (int k = 2; !airways_taken_.insert(id).second; ++k) id = fmt::format("{}-{}", wanted, k);
  airways_.push_back({fmt::format("{{ id = {}, {} }}", toml_text(id), rest), std::move(from)});
}

void Importer::read_rooms(const Schedule& rooms) {
  for (const CsvRow& row : rooms.rows()) read_room(rooms, row);
  // Only now every room that one may lead to is known.
  for (const CsvRow& row : rooms.rows()) {
    const auto found = ids_.find(key_of(rooms.text(row, "room")));
    const bool own = found != ids_.end() && std::any_of(spaces_.begin(), spaces_.end(),
                                                        [&](const Line& line) { return line.from.line == row.line; });
    if (!own) continue;
    add_fans(rooms, row, found->second);
    add_ways(rooms, row, found->second);
  }
}

void Importer::read_room(const Schedule& rooms, const CsvRow& row) {
  const std::string room = rooms.text(row, "room"), id = id_of(room);
  const auto refuse = [&](std::string why) {
    left_out_.insert(key_of(room));
    leave_out(rooms.place(row), std::move(why));
  };
  if (auto why = rooms.too_wide(row); !why.empty()) return refuse(std::move(why));
  if (id.empty()) return refuse("the row names no room");
  if (key_of(room) == "outside") return refuse("'outside' is the open air and cannot be a room");
  if (ids_.contains(key_of(room))) {
    return leave_out(rooms.place(row), fmt::format("the room '{}' stands in the table already", plain_text(room)));
  }
  std::string kind = rooms.text(row, "kind");
  if (kind.empty()) kind = "room";
  std::string line = fmt::format("{{ id = {}", toml_text(id));
  std::string name = rooms.text(row, "name");
  if (name.empty() && room != id) name = room;
  if (const std::string floor = rooms.text(row, "floor"); !floor.empty()) {
    name = (name.empty() ? room : name) + ", floor " + floor;
  }
  if (!name.empty()) line += fmt::format(", name = {}", toml_text(name));
  line += fmt::format(", kind = {}", toml_text(kind));
  const bool sized =
      !rooms.text(row, "volume").empty() || (!rooms.text(row, "area").empty() && !rooms.text(row, "height").empty());
  if (!sized && kind != "junction") {
    return refuse(fmt::format("the room '{}' has neither a volume nor an area with a height", plain_text(room)));
  }
  constexpr std::string_view keys[] = {"area", "height", "volume", "elevation", "temperature"};
  if (!add_sizes(rooms, row, keys, line)) {
    left_out_.insert(key_of(room));
    return;
  }
  ids_[key_of(room)] = id;
  spaces_.push_back({line + " }", rooms.place(row)});
}

void Importer::add_fans(const Schedule& rooms, const CsvRow& row, const std::string& id) {
  for (const std::string_view way : {"supply", "extract"}) {
    const auto flow = rooms.value(row, way);
    if (!flow) continue;
    if (!flow->sound || flow->si < 0.0) {
      leave_out(rooms.place(row),
                flow->sound ? fmt::format("{}: found {}; a flow cannot be below 0", way, flow->text) : flow->text);
      continue;
    }
    if (flow->si == 0.0) continue;
    const bool in = way == "supply";
    std::string rest = fmt::format("kind = \"fan\", from = {}, to = {}, flow = {}", toml_text(in ? "outside" : id),
                                   toml_text(in ? id : "outside"), flow->text);
    add_system(rooms.text(row, "system"), rest);
    add_airway(fmt::format("{}.{}", id, way), rest, rooms.place(row));
  }
}

void Importer::add_ways(const Schedule& rooms, const CsvRow& row, const std::string& id) {
  const auto between = [&](const std::string& other) {
    return fmt::format("between = [{}, {}]", toml_text(id), toml_text(other));
  };
  if (const std::string to = rooms.text(row, "transfer to"); !to.empty()) {
    const std::string other = room_named(to, rooms.place(row), "the transfer to");
    if (other == id) {
      leave_out(rooms.place(row), "the transfer to the room itself");
    } else if (!other.empty()) {
      add_airway(id + ".transfer", "kind = \"opening\", " + between(other), rooms.place(row));
    }
  }
  const std::string to = rooms.text(row, "door to");
  if (to.empty()) return;
  const std::string other = room_named(to, rooms.place(row), "the door to");
  if (other.empty() || other == id) return;
  const auto slit = rooms.value(row, "undercut");
  if (slit && !slit->sound) return leave_out(rooms.place(row), slit->text);
  // Beside a transfer opening, which has no resistance, a slit carries nothing.
  const bool beside_transfer = key_of(rooms.text(row, "transfer to")) == key_of(to);
  if (slit && slit->si > 0.0 && !beside_transfer) {
    add_airway(id + ".undercut",
               fmt::format("kind = \"undercut\", {}, width = \"0.9 m\", height = {}", between(other), slit->text),
               rooms.place(row));
  }
  add_airway(id + ".door",
             fmt::format("kind = \"doorway\", {}, width = \"0.9 m\", height = \"2 m\", on = false", between(other)),
             rooms.place(row));
}

void Importer::read_airways(const Schedule& airways) {
  for (const CsvRow& row : airways.rows()) read_airway(airways, row);
}

void Importer::read_airway(const Schedule& airways, const CsvRow& row) {
  const SourceLocation place = airways.place(row);
  if (auto why = airways.too_wide(row); !why.empty()) return leave_out(place, std::move(why));
  const std::string id = id_of(airways.text(row, "airway")), kind = airways.text(row, "kind");
  if (id.empty() || kind.empty()) return leave_out(place, "the row has no 'airway' or no 'kind'");
  if (airways_taken_.contains(id)) {
    return leave_out(place, fmt::format("the airway '{}' is there already", plain_text(id)));
  }
  const std::string from = room_named(airways.text(row, "from"), place, "an airway from");
  const std::string to = from.empty() ? "" : room_named(airways.text(row, "to"), place, "an airway to");
  if (from.empty() || to.empty()) return;
  std::string rest = fmt::format("kind = {}, ", toml_text(kind));
  rest += kind == "fan" ? fmt::format("from = {}, to = {}", toml_text(from), toml_text(to))
                        : fmt::format("between = [{}, {}]", toml_text(from), toml_text(to));
  constexpr std::string_view keys[] = {"flow",      "leakage_area", "exponent", "width",     "height",          "sill",
                                       "free_area", "free_share",   "open",     "discharge", "wind_coefficient"};
  if (!add_sizes(airways, row, keys, rest)) return;
  if (const std::string curve = airways.text(row, "curve"); !curve.empty()) {
    // "0 Pa : 400 m3/h | 80 Pa : 0 m3/h"
    std::string points;
    for (std::size_t at = 0; at <= curve.size();) {
      const std::size_t end = std::min(curve.find('|', at), curve.size());
      const std::string point = curve.substr(at, end - at);
      const std::size_t colon = point.find(':');
      if (colon == std::string::npos)
        return leave_out(place, "curve: expected points such as '0 Pa : 400 m3/h', separated by '|'");
      points += fmt::format("{}[{}, {}]", points.empty() ? "" : ", ", toml_text(point.substr(0, colon)),
                            toml_text(point.substr(colon + 1)));
      at = end + 1;
    }
    rest += fmt::format(", curve = [{}]", points);
  }
  if (const std::string on = airways.text(row, "on"); !on.empty()) {
    const std::string word = key_of(on);
    const bool yes = word == "true" || word == "yes" || word == "1" || word == "on";
    const bool no = word == "false" || word == "no" || word == "0" || word == "off";
    if (!yes && !no) return leave_out(place, fmt::format("on: found '{}'; expected yes or no", plain_text(on)));
    if (no) rest += ", on = false";
  }
  add_system(airways.text(row, "system"), rest);
  add_airway(id, rest, place);
}

std::string Importer::written(const std::string& title, std::vector<SourceLocation>& line_from) const {
  std::string out;
  const auto put = [&](const std::string& line, const SourceLocation& from = {}) {
    out += line + "\n";
    line_from.push_back(from);
  };
  put("# Made from a schedule. Add the releases, and the cases that you want to look at, at the end.");
  put("title = " + toml_text(title));
  for (const auto& [word, lines] : {std::pair{"space", &spaces_}, {"airway", &airways_}}) {
    if (lines->empty()) continue;
    put("");
    put(std::string{word} + " = [");
    for (const Line& line : *lines) put("  " + line.text + ",", line.from);
    put("]");
  }
  for (const std::string& id : systems_) {
    put("");
    put("[[system]]");
    put("id = " + toml_text(id));
    if (system_names_.at(id) != id) put("name = " + toml_text(system_names_.at(id)));
  }
  return out;
}

bool Importer::settle(const std::string& title, const SubstanceTable& substances) {
  // Each turn leaves out at least one row.
  while (!spaces_.empty()) {
    std::vector<SourceLocation> line_from;
    out_.site_file = written(title, line_from);
    const SiteReading reading = parse_site(out_.site_file, "schedule", substances);
    out_.rooms = spaces_.size();
    out_.airways = airways_.size();
    if (reading.usable() != nullptr) return true;
    std::set<std::pair<std::string, int>> refused;
    for (const Diagnostic& found : reading.diagnostics) {
      const auto line = static_cast<std::size_t>(std::max(found.place.line, 1)) - 1;
      if (found.level != DiagnosticLevel::error || line >= line_from.size() || line_from[line].line == 0) continue;
      const SourceLocation& from = line_from[line];
      if (refused.emplace(from.file, from.line).second) leave_out(from, found.message);
    }
    if (refused.empty()) {
      for (const Diagnostic& found : reading.diagnostics) out_.remarks.push_back(found);
      return false;
    }
    for (auto* lines : {&spaces_, &airways_}) {
      std::erase_if(*lines, [&](const Line& line) { return refused.contains({line.from.file, line.from.line}); });
    }
  }
  return false;
}

/// Why a file cannot be a table in plain text; empty where it can.
std::string no_plain_text(std::string_view text) {
  if (text.starts_with("PK")) return "this is a spreadsheet and not a table in plain text; save it as CSV (UTF-8)";
  if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF") || text.find('\0') != std::string_view::npos) {
    return "this is no text in UTF-8; save it as CSV (UTF-8)";
  }
  return {};
}

std::string header_of(std::span<const std::string_view> columns) {
  std::string out;
  for (const std::string_view column : columns) out += (out.empty() ? "" : ",") + std::string{column};
  return out + "\n";
}

}  // namespace
}  // namespace input

Result<ImportedSchedule> import_schedule(const ScheduleTable& rooms, const std::optional<ScheduleTable>& airways,
                                         const SubstanceTable& substances, const ScheduleOptions& options) {
  using namespace input;
  ImportedSchedule out;
  Importer importer{out};
  for (const ScheduleTable* table : {&rooms, airways ? &*airways : &rooms}) {
    std::string why = no_plain_text(table->text);
    if (why.empty() && has_countless_cells(table->text)) {
      why = fmt::format("more than {} cells, which no schedule has", most_cells);
    }
    if (!why.empty()) {
      const Diagnostic fault{DiagnosticLevel::error, {table->file, 1, 0}, why};
      return Fault{why, FaultKind::bad_input, {fault}};
    }
  }
  const Schedule of_rooms{rooms, room_columns, options.decimal, out.remarks};
  const auto unusable = [&](const std::string& file, std::string message) {
    Diagnostics found = std::move(out.remarks);
    found.push_back({DiagnosticLevel::error, {file, 1, 0}, std::move(message)});
    return Fault{found.back().message, FaultKind::bad_input, found};
  };
  if (!of_rooms.has("room")) {
    Diagnostics unseen;
    if (Schedule{rooms, airway_columns, options.decimal, unseen}.has("airway")) {
      out.remarks.clear();
      return unusable(rooms.file, "this is a table of airways; name the table of rooms first, then this one");
    }
    return unusable(rooms.file,
                    "there is no column 'room'; the first line has to name the columns, as `leanside import "
                    "--template` shows");
  }
  importer.read_rooms(of_rooms);
  if (airways) {
    const Schedule of_airways{*airways, airway_columns, options.decimal, out.remarks};
    for (const std::string_view column : {"airway", "kind", "from", "to"}) {
      if (!of_airways.has(column)) return unusable(airways->file, fmt::format("there is no column '{}'", column));
    }
    importer.read_airways(of_airways);
  }
  const std::string title = options.title.empty() ? rooms.file : options.title;
  if (!importer.settle(title, substances)) return unusable(rooms.file, "no row of the table can be used");
  return out;
}

std::string rooms_template() {
  constexpr std::string_view columns[] = {"room",       "name",          "floor",          "area (m2)",
                                          "height (m)", "supply (m3/h)", "extract (m3/h)", "transfer to",
                                          "system",     "door to",       "undercut (mm)"};
  return input::header_of(columns);
}

std::string airways_template() {
  constexpr std::string_view columns[] = {"airway",         "kind",
                                          "from",           "to",
                                          "flow (m3/h)",    "leakage_area (cm2)",
                                          "exponent",       "width (m)",
                                          "height (m)",     "sill (m)",
                                          "free_share (%)", "open (%)",
                                          "discharge",      "wind_coefficient",
                                          "curve",          "on",
                                          "system"};
  return input::header_of(columns);
}

}  // namespace leanside
