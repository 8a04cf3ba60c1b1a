// SPDX-License-Identifier: Apache-2.0
/// Cylinders and dewars, with a leak or merely standing there.
#include <algorithm>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include "input/site/cylinder_content.hpp"
#include "input/site/held_gas.hpp"
#include "input/site/site_sources.hpp"

namespace leanside::input {
namespace {

/// In how long all of a cylinder comes out at worst, s. No source: short beside the time in which a room is aired.
constexpr double all_at_once = 60.0;
constexpr std::string_view fitting = "typical fitting", hose = "broken hose";
constexpr std::string_view seeps = ": fitting seeps", breaks = ": hose or regulator breaks";
constexpr std::size_t most_foreseen = 300;  ///< cases; three for each cylinder

/// "13 kg" or "50 L at 200 bar", as the file has it.
std::string size_words(const TableReader& table) {
  std::string out = table.has("contents") ? written(table, "contents") : written(table, "water_volume");
  if (table.has("pressure")) out += " at " + written(table, "pressure");
  return out;
}

std::string label_of(const Release& release) { return release.name.empty() ? release.id : release.name; }

double read_count(const TableReader& table) {
  const double count =
      table.number_alone("count", Sign::positive, "cylinders can be counted: give one number").value_or(1.0);
  if (count == std::floor(count)) return count;
  table.value_error("count", fmt::format("found {}; expected a whole number of cylinders", format_exact(count)));
  return 1.0;
}

double stock_of(const CylinderRelease& cylinder) {
  if (!cylinder.course.empty()) return cylinder.course.stock();
  return Blowdown{cylinder.held, cylinder.hole, cylinder.water_volume, cylinder.pressure, cylinder.ambient}.stock();
}

/// A cylinder in store: all of it at once, off until a case turns it on; its leaks are kept for later.
void stand(const CylinderContent& content, const Hole& given, Release& release, Draft& draft) {
  const double ambient = draft.site.conditions.pressure;
  StandingCylinder standing;
  Hole small = usual_hole(fitting), large = usual_hole(hose);
  small.discharge = large.discharge = given.discharge;
  standing.seeping = leaking(content, small, ambient);
  standing.broken = leaking(content, large, ambient);
  standing.seeping_words = std::string{fitting};
  standing.broken_words = std::string{hose};
  release.kind = DumpRelease{stock_of(standing.broken), all_at_once};
  release.on = false;
  draft.standing[draft.faults.scope().index] = std::move(standing);
}

/// What a cylinder is while it has a fault.
CylinderRelease faulty(double ambient) {
  CylinderRelease cylinder;
  cylinder.ambient = ambient;
  cylinder.hole.diameter = 1e-3;
  cylinder.water_volume = 1e-3;
  cylinder.pressure = 2.0 * ambient;
  return cylinder;
}

}  // namespace

void read_cylinder(const TableReader& table, Release& release, Draft& draft) {
  const Site& site = draft.site;
  const double ambient = site.conditions.pressure;
  const Hole hole = read_hole(table, release.id, false, draft);
  release.count = read_count(table);
  const double temperature = temperature_of_release(table, release, site);
  notice_temperature(table, temperature);
  const auto gas = held_gas(table, release, site, temperature);
  release.kind = faulty(ambient);
  if (table.has("hole") && !table.has("discharge")) draft.default_discharge.push_back(release.id);
  const auto content = gas ? read_content(table, release, *gas, draft) : std::nullopt;
  if (!content || (table.has("hole") && !(hole.diameter > 0.0))) return;
  if (content->volume > 0.0 && hole.diameter >= std::cbrt(content->volume)) {
    table.value_error("hole", fmt::format("a hole {} across is as wide as a cylinder of {}; is the unit right?",
                                          table.faults().amount(hole.diameter, "mm"),
                                          table.faults().amount(content->volume, "L", 3)));
    return;
  }
  if (!content->known) draft.not_checked.push_back(release.id);
  draft.stores.push_back(shown(release.id) + " " + content->remark);
  if (table.has("hole")) {
    release.kind = leaking(*content, hole, ambient);
    release.as_written =
        fmt::format("cylinder of {}, through a hole of {}", size_words(table), hole_written(table, hole));
  } else {
    if (table.flag("on").value_or(false)) {
      table.value_error("on",
                        "a cylinder without a hole lets nothing out; give it a hole, such as \"typical fitting\"");
    }
    stand(*content, hole, release, draft);
    release.as_written = fmt::format("cylinder of {}, all of it in a minute", size_words(table));
  }
  if (release.count > 1.0) release.as_written = "one of " + format_exact(release.count) + ": " + release.as_written;
}

void read_dewar(const TableReader& table, Release& release, Draft& draft) {
  constexpr double usual_holding_time = 20.0 * 86400.0;  // 5 % of it a day: common practice, no source
  const Site& site = draft.site;
  const auto holding = table.quantity("holding_time", Dimension::time, Sign::positive);
  DumpRelease dewar{1.0, holding.value_or(usual_holding_time)};
  release.kind = dewar;
  if (!table.require("contents", "\"25 L\" of liquid")) return;
  const auto contents = table.quantity("contents", amount_dimensions, Sign::positive);
  if (!contents || release.gas.name.empty()) return;
  const double mass = molar_mass(release.gas, site.gases);
  dewar.amount = contents->dimension == Dimension::mass ? contents->si / mass : contents->si;
  if (contents->dimension == Dimension::volume) {
    double volume = 0.0;  // m3 a mol, at the boiling point
    for (const GasPart& part : parts_of(release, site)) {
      const auto boiling = part.substance->boiling_point;
      const auto density = boiling ? liquid_density(*part.substance, boiling->value) : std::nullopt;
      if (!density) {
        table.value_error("contents",
                          fmt::format("the density of boiling {} is not known; give the mass of the liquid, "
                                      "such as \"20 kg\"",
                                      shown(part.substance->id)));
        return;
      }
      volume += part.fraction * part.substance->molar_mass.value / *density;
    }
    if (volume > 0.0) dewar.amount = contents->si / volume;
  }
  release.kind = dewar;
  release.as_written = fmt::format("dewar of {}", written(table, "contents"));
  draft.stores.push_back(fmt::format("{} boils off evenly in {}{}; should it spill, write a 'spill'", shown(release.id),
                                     format_duration(dewar.over), holding ? "" : ", 5 % a day (common practice)"));
}

void foresee_leaks(Draft& draft) {
  auto& releases = draft.site.releases;
  std::erase_if(releases, [](const Release& release) { return release.happens_to.has_value(); });
  if (draft.faults.any_error()) return;
  for (const auto& [index, standing] : draft.standing) {
    if (index >= releases.size()) continue;
    const auto add = [&](const CylinderRelease& leak, std::string_view suffix, std::string_view what,
                         const std::string& words) {
      Release made = releases[index];
      made.name = label_of(made) + std::string{what};
      made.id += suffix;
      made.kind = leak;
      made.count = 1.0;
      made.as_written = "one cylinder, through a " + words;
      made.happens_to = ReleaseIndex{index};
      releases.push_back(std::move(made));
    };
    add(standing.seeping, ":seep", seeps, standing.seeping_words);
    add(standing.broken, ":break", breaks, standing.broken_words);
  }
}

void foresee_cases(Draft& draft) {
  auto& site = draft.site;
  if (draft.faults.any_error() || draft.standing.empty()) return;
  const std::vector<Event> of_file = site.cases.front().events;
  for (const auto& [index, standing] : draft.standing) {
    if (site.cases.size() > most_foreseen) {
      draft.faults.notice({},
                          fmt::format("more than {} cases: no further cylinder gets cases of its own; use count for "
                                      "those that are alike, or split the file",
                                      most_foreseen));
      break;
    }
    const Release& whole = site.releases[index];
    const auto add = [&](std::size_t release, const std::string& id, const std::string& name) {
      Case made;
      made.id = id;
      made.name = name;
      made.events = of_file;
      Event event;
      event.at = whole.start;
      event.change = SetReleaseOn{ReleaseIndex{release}, true};
      event.place = whole.place;
      made.events.push_back(event);
      std::ranges::stable_sort(made.events, {}, &Event::at);
      made.added_for = ReleaseIndex{release};
      site.cases.push_back(std::move(made));
    };
    for (std::size_t r = 0; r < site.releases.size(); ++r) {
      const auto& happens = site.releases[r].happens_to;
      if (!happens || happens->value != index) continue;
      add(r, site.releases[r].id, site.releases[r].name);
    }
    add(index, whole.id + ":all", label_of(whole) + ": entire contents");
  }
}

}  // namespace leanside::input
