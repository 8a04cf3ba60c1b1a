// SPDX-License-Identifier: Apache-2.0
#include <fmt/format.h>

#include "second_opinion/model.hpp"

namespace second_opinion {
namespace {

const char* word(Kind kind) {
  switch (kind) {
    case Kind::room:
      return "room";
    case Kind::cabinet:
      return "cabinet";
    case Kind::vessel:
      return "vessel";
    default:
      return "junction";
  }
}

const char* word(Way way) {
  switch (way) {
    case Way::exchange:
      return "exchange";
    case Way::opening:
      return "opening";
    case Way::gap:
      return "gap";
    case Way::doorway:
      return "doorway";
    default:
      return "fan";
  }
}

const char* word(Source source) {
  switch (source) {
    case Source::steady:
      return "steady";
    case Source::dump:
      return "dump";
    case Source::fittings:
      return "fittings";
    case Source::orifice:
      return "orifice";
    case Source::cylinder:
    case Source::standing:
      return "cylinder";
    case Source::spill:
    case Source::boiling:
      return "spill";
    case Source::dewar:
      return "dewar";
    case Source::charging:
      return "charging";
    default:
      return "reaction";
  }
}

std::string side(const Site& site, int place) {
  return place == outside ? "outside" : site.spaces[static_cast<std::size_t>(place)].id;
}

void put(std::string& out, const char* key, const Value& value) {
  if (!value.text.empty()) out += fmt::format("{} = \"{}\"\n", key, value.text);
}

void put_space(std::string& out, const Site& site, const Space& s) {
  out += fmt::format("\n[[space]]\nid = \"{}\"\nkind = \"{}\"\n", s.id, word(s.kind));
  if (s.layered) {
    put(out, "floor_area", s.floor_area);
    put(out, "height", *s.height);
    out += "stratification = \"layered\"\n";
    if (s.entrainment) out += fmt::format("entrainment = {}\n", *s.entrainment);
  } else {
    put(out, "volume", s.volume);
    put(out, "floor_area", s.floor_area);
  }
  if (s.stands_in) out += fmt::format("stands_in = \"{}\"\n", side(site, *s.stands_in));
  if (s.temperature) put(out, "temperature", *s.temperature);
  if (s.elevation) put(out, "elevation", *s.elevation);
  if (s.mixing != 1.0) out += fmt::format("mixing_factor = {}\n", s.mixing);
  put(out, "air_changes", s.air_changes);
  if (s.initial.empty()) return;
  out += "initial = { ";
  for (const Share& share : s.initial) {
    out += fmt::format("{}{} = {}", &share == s.initial.data() ? "" : ", ", site.gases[share.gas].id, share.fraction);
  }
  out += " }\n";
}

void put_airway(std::string& out, const Site& site, const Airway& a) {
  out += fmt::format("\n[[airway]]\nid = \"{}\"\nkind = \"{}\"\n", a.id, word(a.way));
  if (a.way == Way::fan || a.way == Way::curve) {
    out += fmt::format("from = \"{}\"\nto = \"{}\"\n", side(site, a.first), side(site, a.second));
  } else {
    out += fmt::format("between = [\"{}\", \"{}\"]\n", side(site, a.first), side(site, a.second));
  }
  if (!a.on) out += "on = false\n";
  put(out, "flow", a.flow);
  put(out, "leakage_area", a.area);
  if (a.way == Way::gap && a.exponent != 0.65) out += fmt::format("exponent = {}\n", a.exponent);
  if (a.wind) out += fmt::format("wind_coefficient = {}\n", *a.wind);
  put(out, "width", a.width);
  put(out, "height", a.way == Way::doorway ? a.tall : a.height);
  put(out, "sill", a.sill);
  if (a.way == Way::doorway) out += fmt::format("open = {}\ndischarge = {}\n", a.open, a.discharge);
  if (a.points.empty()) return;
  out += "curve = [";
  for (const auto& [pressure, flow] : a.points) out += fmt::format("[\"{}\", \"{}\"], ", pressure.text, flow.text);
  out += "]\n";
}

std::string event_text(const Site& site, const Event& e) {
  const std::string at = fmt::format("{{ at = \"{}\", ", e.at.text);
  switch (e.change) {
    case Change::airway_on:
      return at + fmt::format("airway = \"{}\", on = {} }}", site.airways[e.target].id, e.on);
    case Change::airway_flow:
      return at + fmt::format("airway = \"{}\", flow = \"{}\" }}", site.airways[e.target].id, e.value.text);
    case Change::airway_open:
      return at + fmt::format("airway = \"{}\", open = {} }}", site.airways[e.target].id, e.value.si);
    case Change::release_on:
      return at + fmt::format("release = \"{}\", on = {} }}", site.releases[e.target].id, e.on);
    default:
      return at + fmt::format("space = \"{}\", temperature = \"{}\" }}", site.spaces[e.target].id, e.value.text);
  }
}

void put_events(std::string& out, const Site& site, const std::vector<Event>& events) {
  if (events.empty()) return;
  out += "event = [\n";
  for (const Event& e : events) out += "  " + event_text(site, e) + ",\n";
  out += "]\n";
}

}  // namespace

std::string text_of(const Site& site) {
  std::string out = fmt::format("title = \"{}\"\n", site.title);
  put_events(out, site, site.events);
  if (!site.conditions.empty()) out += "\n[conditions]\n" + site.conditions;
  if (!site.criteria.empty()) out += "\n[criteria]\n" + site.criteria;
  for (const Gas& gas : site.gases) out += gas.in_file;
  for (const Blend& blend : site.blends) out += blend.in_file;
  for (const Space& s : site.spaces) put_space(out, site, s);
  for (const Airway& a : site.airways) put_airway(out, site, a);
  for (const Release& r : site.releases) {
    if (r.added) continue;
    out += fmt::format("\n[[release]]\nid = \"{}\"\nkind = \"{}\"\ninto = \"{}\"\n", r.id, word(r.source),
                       site.spaces[r.into].id);
    if (!r.gas.id.empty()) out += fmt::format("gas = \"{}\"\n", r.gas.id);
    put(out, "start", r.start);
    put(out, "height", r.height);
    if (!r.on && r.source != Source::standing) out += "on = false\n";
    out += r.keys;
  }
  for (const Case& c : site.cases) {
    if (c.added) continue;
    out += fmt::format("\n[[case]]\nid = \"{}\"\n", c.id);
    put_events(out, site, c.events);
  }
  return out;
}

}  // namespace second_opinion
