// SPDX-License-Identifier: Apache-2.0
/// How much air is enough, how much gas is too much, in words.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "leanside/study/size.hpp"
#include "report/text/text_page.hpp"
#include "report/words/experiments.hpp"
#include "report/words/study_words.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

std::string where(const Site& site, const Constraint& c) {
  return label(site, c.space) + (site.cases.size() > 1 ? ", case " + label(site, c.case_index) : std::string{});
}

std::string value_words(const Site& site, const Constraint& c) {
  if (c.starved) return "the fan " + plain_text(site.airways[c.starved->value].id) + " gets too little air";
  const std::string when = c.is_steady ? " in steady state" : "";
  switch (c.subject) {
    case Subject::oxygen:
      return "oxygen " + percent_of_oxygen(site, c.oxygen) + when;
    case Subject::pressure:
      return "pressure " + format_quantity(c.pressure, "kPa", 4, site.conditions.units);
    case Subject::toxic:
      return (c.gas ? plain_text(site.gases[c.gas->value].substance.id) + " " : "") +
             concentration_words(c.gas_fraction) +
             (c.closeness < 1.0 ? ", " + percent(c.closeness, 2) + " of its IDLH" : ", above its IDLH") + when;
    case Subject::source:
      return c.release ? "can be ignited at \"" + label(site, *c.release) + "\"" : "can be ignited at its source";
    default: {
      const std::string value = percent_of_limit(site, c.lfl_fraction) + " of the lower flammable limit";
      if (c.is_steady) return value + when;
      return value + (c.over_for > 0.0 ? ", over the margin for " + format_duration(c.over_for) : " at its peak");
    }
  }
}

/// Six figures. A flow of so many in m3/h is rounded up in another unit, so that it is enough there too.
std::string shown_flow(const Site& site, double flow) {
  const double shown = in_unit(site, flow, "m3/h");
  return format_number(site.conditions.units == UnitSystem::si ? shown : rounded_up_to(shown, 6), 6);
}

/// Six figures; as flows, rounded up in US units.
std::string shown_area(const Site& site, double area) {
  const double shown = in_unit(site, area, "cm2");
  return format_number(site.conditions.units == UnitSystem::si ? shown : rounded_up_to(shown, 6), 6);
}

void put_openings(TextPage& page, const Site& site, const Sizing& sizing) {
  if (sizing.openings.empty()) return;
  page.heading("Area of the openings, " + unit_words(site, "cm2"));
  Table table{{{"opening", false, true},
               {"from", false, true},
               {"to", false, true},
               {"now", true, false},
               {"least", true, false},
               {sizing.found ? "set to" : "tried up to", true, false}},
              {}};
  for (const OpeningSize& opening : sizing.openings) {
    const Airway& airway = site.airways[opening.opening.value];
    table.rows.push_back({plain_text(airway.id), label(site, first_side(airway)), label(site, second_side(airway)),
                          shown_area(site, opening.now), format_number(in_unit(site, opening.least, "cm2"), 4),
                          shown_area(site, opening.area)});
  }
  page.table(table);
  page.paragraph(
      std::string{"The free area of a louvre, window or door, at the height that it has; the leakage area of a gap. "} +
          (sizing.found ? "\"set to\" is rounded up and was checked with the whole file. " : "") +
          "No opening is sized beyond a quarter of one side of a cube as large as the space (common practice, no "
          "source).",
      " ");
}

void put_fans(TextPage& page, const Site& site, const Sizing& sizing) {
  if (sizing.fans.empty()) return;
  page.heading("Airflow of the fans, " + unit_words(site, "m3/h"));
  Table table{{{"fan", false, true},
               {"from", false, true},
               {"to", false, true},
               {"now", true, false},
               {"least", true, false},
               {sizing.found ? "set to" : "tried up to", true, false},
               {"air changes an hour", true, false}},
              {}};
  for (const FanSize& fan : sizing.fans) {
    const Airway& airway = site.airways[fan.fan.value];
    const Space* const space = aired(site, fan.fan);
    table.rows.push_back({plain_text(airway.id), label(site, first_side(airway)), label(site, second_side(airway)),
                          shown_flow(site, fan.now), format_number(in_unit(site, fan.least, "m3/h"), 4),
                          shown_flow(site, fan.flow),
                          space == nullptr ? "-" : format_number(3600.0 * fan.flow / space->volume, 3)});
  }
  page.table(table);
  page.paragraph(
      std::string{sizing.found ? "\"set to\" is rounded up and was checked with the whole file: all cases, over the "
                                 "whole course in time. "
                               : ""} +
          "Air changes are those of the space that the fan draws from, or else blows into.",
      " ");
}

/// What to write for fans of a system that multiplies the flows of the file.
void put_as_written(TextPage& page, const Site& site, const Sizing& sizing) {
  std::vector<std::string> items;
  for (const FanSize& fan : sizing.fans) {
    const auto& system = site.airways[fan.fan.value].system;
    const double factor = system ? site.systems[system->value].flow_factor : 1.0;
    if (factor == 1.0 || fan.flow == fan.now) continue;
    items.push_back(plain_text(site.airways[fan.fan.value].id) + ": " +
                    format_quantity(fan.flow / factor, "m3/h", 6, site.conditions.units) + ", because " +
                    label(site, *system) + " has flow_factor = " + format_exact(factor));
  }
  page.list("Write as the flow of the fan", items);
}

std::string cases_words(const Site& site, const EventSize& event) {
  if (event.cases.size() == site.cases.size()) return "all";
  std::string out;
  for (const CaseIndex case_index : event.cases) out += (out.empty() ? "" : ", ") + label(site, case_index);
  return out;
}

/// Events that keep a fan from what it is sized to.
void put_events(TextPage& page, const Site& site, const Sizing& sizing) {
  if (sizing.events.empty()) return;
  page.heading(std::string{"Events that limit what these "} + (sizing.fans.empty() ? "openings" : "fans") +
               " can do, " + unit_words(site, "m3/h"));
  Table table{{{"case", false, true},
               {"at", true, false},
               {sizing.openings.empty() ? "fan" : "airway", false, true},
               {"sets now", true, false},
               {"has to set", true, false}},
              {}};
  for (const EventSize& event : sizing.events) {
    table.rows.push_back(
        {cases_words(site, event), format_duration(event.at), plain_text(site.airways[event.fan.value].id),
         event.switches_off ? "off" : shown_flow(site, event.now), event.flow ? shown_flow(site, *event.flow) : "-"});
  }
  page.table(table);
  page.paragraph(
      "While an event sets the flow of a fan, the flow of the fan itself does not count. \"-\": no flow up to 60 air "
      "changes an hour is enough, or the event switches the fan off.",
      " ");
}

std::vector<Constraint> remaining_for(const Sizing& sizing, Obstacle why) {
  std::vector<Constraint> out;
  for (const Remaining& r : sizing.remaining) {
    if (r.why == why) out.push_back(r.warning);
  }
  return out;
}

/// What is sized, as the subject of a sentence.
std::string_view sized_words(const Sizing& sizing) {
  return sizing.openings.empty() ? "fans" : sizing.fans.empty() ? "openings" : "fans and openings";
}

/// The first sentence about fans and openings: what is solved, and what is not.
std::string fans_sentence(const Sizing& sizing) {
  const std::size_t limited = remaining_for(sizing, Obstacle::event).size();
  const std::size_t left = sizing.remaining.size() - limited;
  bool raised = false, changed = false;
  for (const FanSize& fan : sizing.fans) {
    raised = raised || fan.flow > fan.now;
    changed = changed || fan.flow != fan.now;
  }
  for (const OpeningSize& opening : sizing.openings) {
    raised = raised || opening.area > opening.now;
    changed = changed || opening.area != opening.now;
  }
  if (sizing.before.empty() && !changed) {
    return "There is no warning in any case as the file has it: these " + std::string{sized_words(sizing)} +
           (sizing.openings.empty() ? " need no more air." : " are large enough.");
  }
  std::string with = sizing.openings.empty() ? "With the flows below"
                     : sizing.fans.empty()   ? "With the areas below"
                                             : "With the flows and areas below";
  if (limited > 0 && !raised)
    with = "More flow of the fans in the file does not help, but more in the events below does. With it";
  if (limited > 0 && raised) with += ", and with those that the events below have to set";
  with += limited > 0 && raised ? "," : "";
  if (left == 0) return with + " no warning is left in any case.";
  const std::size_t cured = sizing.before.size() - std::min(left, sizing.before.size());
  return with + " " + count_of(cured, "warning") + (cured == 1 ? " ends, but " : " end, but ") + std::to_string(left) +
         (left == 1 ? " remains" : " remain") + ": see below. " + (sizing.fans.empty() ? "Openings" : "Air") +
         std::string{sizing.fans.empty() ? " alone are not enough: reduce the source as well, or use a fan."
                                         : " alone is not enough: reduce the source as well."};
}

/// "2.7 mA", of electrolysis.
std::string current_words(const Site& site, const Release& release, double factor) {
  const auto* steady = std::get_if<SteadyRelease>(&release.kind);
  if (steady == nullptr || !steady->current) return {};
  constexpr int figures = 3;
  const double current = rounded_down_to(factor * *steady->current, figures);
  return current < 1.0 ? format_number(1e3 * current, figures) + " mA"
                       : format_quantity(current, "A", figures, site.conditions.units);
}

/// A warning on what is close to the release itself, which it has at any size.
bool is_close_to(const Constraint& c, ReleaseIndex release) {
  return c.subject == Subject::source && c.release == std::optional{release};
}

bool burns_at_any_size(const Sizing& sizing, ReleaseIndex release) {
  return std::any_of(sizing.remaining.begin(), sizing.remaining.end(),
                     [&](const Remaining& one) { return is_close_to(one.warning, release); });
}

std::string release_sentence(const Site& site, const Sizing& sizing, ReleaseIndex release) {
  const Release& r = site.releases[release.value];
  const std::string named = "The release \"" + label(site, release) + "\" (" + plain_text(r.as_written) + ") ";
  const bool by_the_piece =
      !std::holds_alternative<SteadyRelease>(r.kind) && !std::holds_alternative<DumpRelease>(r.kind) &&
      !std::holds_alternative<ReactionRelease>(r.kind) && !std::holds_alternative<FittingsRelease>(r.kind);
  if (by_the_piece) {
    if (sizing.whole < 1.0) return named + "brings a space to a warning already when it is there once.";
    return named + "can be there " + format_number(sizing.whole, 6) + (sizing.whole > 1.0 ? " times" : " time") +
           " at once, each where this one is, before any space comes to a warning.";
  }
  std::string out = named;
  if (sizing.factor >= 1.0) {
    out += "can be " + format_number(sizing.factor, 3) + " times as large";
  } else {
    out += "has to come down to " + percent(sizing.factor) + " of its size";
  }
  if (sizing.release_now > 0.0) {
    const double flow =
        sizing.factor * sizing.release_now * gas_constant * site.conditions.temperature / site.conditions.pressure;
    const double litres = 6e4 * flow;
    const double unit = std::pow(10.0, std::floor(std::log10(litres)) - 3.0);  // down to four figures, never up
    out += ", " +
           format_quantity(std::floor(litres / unit * (1.0 + 1e-12)) * unit / 6e4, "L/min", 4, site.conditions.units) +
           " at site conditions";
  }
  if (const std::string reagent = reagent_words(site, r, sizing.factor); !reagent.empty()) out += ", " + reagent + ",";
  if (const std::string current = current_words(site, r, sizing.factor); !current.empty()) out += ", " + current + ",";
  out += " before any space as a whole comes to a warning.";
  if (sizing.whole >= 1.0) {
    out += " That is room for " + format_number(sizing.whole, 6) +
           (sizing.whole > 1.0 ? " such releases" : " such release") + " at once, each where this one is.";
  } else {
    out += " Not one whole such release is within the margin.";
  }
  if (burns_at_any_size(sizing, release)) {
    out +=
        " Close to it gas can be ignited whatever its size: keep flames and sparks away (leanside check says how far).";
  }
  return out;
}

void put_list(TextPage& page, const Site& site, const std::string& heading, const std::vector<Constraint>& list,
              const std::string& then = "") {
  constexpr std::size_t most = 12;
  std::vector<std::string> items;
  for (std::size_t i = 0; i < list.size() && i < most; ++i)
    items.push_back(where(site, list[i]) + ": " + then + value_words(site, list[i]));
  if (list.size() > most) items.push_back("and " + std::to_string(list.size() - most) + " more");
  page.list(heading, items);
}

void put_remaining(TextPage& page, const Site& site, const Sizing& sizing) {
  auto beyond = remaining_for(sizing, Obstacle::out_of_reach);
  if (sizing.of_release) {
    std::erase_if(beyond, [&](const Constraint& c) { return is_close_to(c, *sizing.release); });
    put_list(page, site, "Warnings without this release, left out here", beyond);
    return;
  }
  if (sizing.fans.empty() && sizing.openings.empty()) return;  // the list of warnings says it all
  std::vector<Constraint> starved, others;
  for (const Constraint& c : beyond) (c.starved ? starved : others).push_back(c);
  put_list(page, site, "These end only when the events above set more", remaining_for(sizing, Obstacle::event),
           "until then ");
  const bool of_fans = !sizing.fans.empty();
  put_list(page, site,
           of_fans ? "These would need more than 60 air changes an hour: reduce the source instead"
                   : "These would need openings larger than is sensible: reduce the source, or use a fan",
           remaining_for(sizing, Obstacle::too_much_air), "still ");
  put_list(page, site, "Openings are missing, whatever the fans are set to (leanside check says which)", starved);
  put_list(page, site,
           of_fans ? "More air through these fans does not help: reduce or remove the source"
                   : "Larger openings do not help: reduce or remove the source, or use a fan",
           others, "still ");
}

void put_influences(TextPage& page, const Site& site, const Sizing& sizing) {
  if (sizing.influences.empty()) return;
  const Constraint& on = sizing.influences.front().on;
  std::vector<std::string> items;
  for (const Influence& i : sizing.influences) {
    const std::string what = i.airway ? "one percent more through " + plain_text(site.airways[i.airway->value].id)
                                      : "one percent more of \"" + label(site, *i.release) + "\"";
    items.push_back(what + ": " + (i.of_one_percent > 0.0 ? "+" : "-") +
                    format_number(100.0 * std::abs(i.of_one_percent), 3) + " points of the lower limit");
  }
  page.list("What changes the steady state of " + where(site, on) + " most, as the file has it", items);
}

}  // namespace

std::string sizing_text(const Site& site, const Sizing& sizing, const TextStyle& style) {
  TextPage page{style};
  page.line(page.bold((sizing.of_release ? "How much gas is too much: " : "How much air is enough: ") +
                      plain_text(site.title)));
  if (!site.file.empty()) page.paragraph(plain_text(site.file) + ", every case, until no warning is left");
  page.line("");
  if (!sizing.found) {
    page.paragraph("Nothing was found: " + plain_text(sizing.reason) + ".");
  } else if (sizing.of_release) {
    page.paragraph(release_sentence(site, sizing, *sizing.release));
  } else {
    page.paragraph(fans_sentence(sizing));
  }
  put_fans(page, site, sizing);
  if (sizing.found) put_as_written(page, site, sizing);
  put_openings(page, site, sizing);
  put_events(page, site, sizing);
  put_remaining(page, site, sizing);
  if (!sizing.untried.empty()) {
    std::vector<std::string> items;
    for (const ReleaseIndex release : sizing.untried) {
      items.push_back("\"" + label(site, release) + "\" is off and no case turns it on. Add a case that does");
    }
    page.list("Not counted", items);
  }
  put_list(page, site, "Warnings as the file has it", sizing.before);
  if (sizing.found) put_list(page, site, "Nearest to a warning with the result", sizing.binding);
  put_influences(page, site, sizing);
  page.list("Assumptions", assumption_sentences(site, sizing.assumptions));
  page.put_caution();
  return page.text();
}

}  // namespace leanside
