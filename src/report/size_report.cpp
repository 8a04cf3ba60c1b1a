// SPDX-License-Identifier: Apache-2.0
/// How much air is enough, how much gas is too much: words for people, JSON for programs.
#include <cmath>
#include <string>
#include <vector>

#include "leanside/study.hpp"
#include "report/json.hpp"
#include "report/text_page.hpp"
#include "report/words.hpp"

namespace leanside {
namespace {

using namespace report;

std::string where(const Site& site, const Constraint& c) {
  return label(site, c.space) + (site.cases.size() > 1 ? ", case " + label(site, c.which) : std::string{});
}

std::string value_words(const Site& site, const Constraint& c) {
  return percent_of_limit(c.lfl_fraction, site.criteria) + " of the lower flammable limit" +
         (c.is_sustained ? " in the long run" : " at its peak");
}

std::string margin_words(const Site& site) { return percent(site.criteria.warn_at) + " of the lower flammable limit"; }

/// The space whose air a fan moves: that it draws from, or else blows into.
const Space* aired(const Site& site, AirwayIndex fan) {
  const auto& kind = std::get<Fan>(site.airways[fan.value].kind);
  for (const Side& side : {kind.from, kind.to}) {
    if (side && site.spaces[side->value].volume > 0.0) return &site.spaces[side->value];
  }
  return nullptr;
}

void put_fans(TextPage& page, const Site& site, const Sizing& sizing) {
  page.heading("Airflow of the fans, m3/h");
  Table table{{{"fan", false, true},
               {"from", false, true},
               {"to", false, true},
               {"now", true, false},
               {"least", true, false},
               {"set to", true, false},
               {"air changes an hour", true, false}},
              {}};
  for (const FanSize& fan : sizing.fans) {
    const Airway& airway = site.airways[fan.fan.value];
    const Space* const space = aired(site, fan.fan);
    table.rows.push_back({plain_text(airway.id), label(site, first_side(airway)), label(site, second_side(airway)),
                          format_number(3600.0 * fan.now, 4), format_number(3600.0 * fan.least, 4),
                          format_number(3600.0 * fan.flow, 4),
                          space == nullptr ? "-" : format_number(3600.0 * fan.flow / space->volume, 3)});
  }
  page.table(table);
  page.paragraph(
      "\"set to\" is rounded up and was checked with the whole file, peaks and all cases. Air changes are those of the "
      "space that the fan draws from, or else blows into.",
      " ");
}

std::string release_sentence(const Site& site, const Sizing& sizing, ReleaseIndex release) {
  const Release& r = site.releases[release.value];
  const std::string named = "The release \"" + label(site, release) + "\" (" + plain_text(r.as_written) + ") ";
  const bool by_the_piece = !std::holds_alternative<SteadyRelease>(r.kind) &&
                            !std::holds_alternative<DumpRelease>(r.kind) &&
                            !std::holds_alternative<FittingsRelease>(r.kind);
  if (by_the_piece) {
    if (sizing.whole < 1.0)
      return named + "brings a space to " + margin_words(site) + " already when it is there once.";
    return named + "can be there " + format_number(sizing.whole, 6) + (sizing.whole > 1.0 ? " times" : " time") +
           " at once, each where this one is, before any space comes to " + margin_words(site) + ".";
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
    out += ", " + format_quantity(std::floor(litres / unit * (1.0 + 1e-12)) * unit / 6e4, "L/min", 4) +
           " at site conditions";
  }
  out += " before any space comes to " + margin_words(site) + ".";
  if (sizing.whole >= 1.0) {
    out += " That is room for " + format_number(sizing.whole, 6) +
           (sizing.whole > 1.0 ? " such releases" : " such release") + " at once, each where this one is.";
  } else {
    out += " Not one whole such release is within the margin.";
  }
  return out;
}

void put_list(TextPage& page, const Site& site, const std::string& heading, const std::vector<Constraint>& list) {
  std::vector<std::string> items;
  for (std::size_t i = 0; i < list.size() && i < 12; ++i)
    items.push_back(where(site, list[i]) + ": " + value_words(site, list[i]));
  if (list.size() > 12) items.push_back("and " + std::to_string(list.size() - 12) + " more");
  page.list(heading, items);
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
  page.list("What the long run of " + where(site, on) + " answers to, as the file has it", items);
}

std::vector<std::string> assumptions_of(const Sizing& sizing) {
  std::vector<std::string> out;
  if (sizing.of_release) {
    out.push_back("the release is taken as on, at its own start; everything else is as the file has it");
  } else {
    out.push_back(
        "only the fans above are changed, by one factor first" +
        std::string{sizing.lowered_one_by_one
                        ? ", then each by itself as low as it goes. Another split between them may need less in sum"
                        : ""});
    out.push_back(
        "a fan may be needed for other reasons than gas: fresh air for people, heat, dust, rules for the room");
  }
  if (!sizing.in_time) {
    out.push_back(
        "the search looked at the long run alone, since the site is large; the result was checked in time, too");
  }
  for (const std::string& text : sizing.assumptions) out.push_back(plain_text(text));
  return out;
}

Json constraint_json(const Site& site, const Constraint& c) {
  return {{"case", site.cases[c.which.value].id},
          {"space", site.spaces[c.space.value].id},
          {"lfl_fraction", c.lfl_fraction},
          {"is_sustained", c.is_sustained}};
}

Json list_json(const Site& site, const std::vector<Constraint>& list) {
  Json out = Json::array();
  for (const Constraint& c : list) out.push_back(constraint_json(site, c));
  return out;
}

}  // namespace

std::string sizing_text(const Site& site, const Sizing& sizing, const TextStyle& style) {
  TextPage page{style};
  page.line(page.bold((sizing.of_release ? "How much gas is too much: " : "How much air is enough: ") +
                      plain_text(site.title)));
  if (!site.file.empty()) page.paragraph(plain_text(site.file) + ", every case, against " + margin_words(site));
  page.line("");
  if (!sizing.found) {
    page.paragraph("Nothing was found: " + plain_text(sizing.reason) + ".");
  } else if (sizing.of_release) {
    page.paragraph(release_sentence(site, sizing, *sizing.release));
  } else {
    page.paragraph(sizing.out_of_reach.empty()
                       ? "With the flows below every space stays under " + margin_words(site) + " in every case."
                       : "With the flows below every space that these fans can help stays under " + margin_words(site) +
                             " in every case. Some they cannot help: see below.");
    put_fans(page, site, sizing);
  }
  put_list(page, site, "At or over the margin as the file has it", sizing.before);
  put_list(page, site,
           sizing.of_release ? "At or over the margin without this release, and left out"
                             : "At or over the margin whatever these fans do, and left out",
           sizing.out_of_reach);
  if (sizing.found) put_list(page, site, "Nearest to the margin with the result", sizing.binding);
  put_influences(page, site, sizing);
  page.list("Taken for granted", assumptions_of(sizing));
  page.put_caution();
  return page.text();
}

std::string sizing_json(const Site& site, const Sizing& sizing) {
  std::string out = "{\n\"tool\": " + dumped({{"name", "leanside"}, {"version", version()}});
  const auto put = [&](const char* key, const Json& value) {
    out.append(",\n\"").append(key).append("\": ").append(dumped(value));
  };
  put("notice", caution());
  put("study", "size");
  put("site", {{"title", site.title}, {"file", site.file}});
  put("of", sizing.of_release ? "release" : "fans");
  put("found", sizing.found);
  put("reason", sizing.found ? Json(nullptr) : Json(sizing.reason));
  put("factor", sizing.factor);
  if (sizing.of_release) {
    put("release", site.releases[sizing.release->value].id);
    put("at_once", sizing.whole);
  }
  Json fans = Json::array();
  for (const FanSize& fan : sizing.fans) {
    const Space* const space = aired(site, fan.fan);
    fans.push_back({{"fan", site.airways[fan.fan.value].id},
                    {"now_m3_s", fan.now},
                    {"least_m3_s", fan.least},
                    {"flow_m3_s", fan.flow},
                    {"air_changes_per_s", space == nullptr ? Json(nullptr) : Json(fan.flow / space->volume)}});
  }
  put("fans", fans);
  put("before", list_json(site, sizing.before));
  put("out_of_reach", list_json(site, sizing.out_of_reach));
  put("binding", list_json(site, sizing.binding));
  Json influences = Json::array();
  for (const Influence& i : sizing.influences) {
    Json one{{"on", constraint_json(site, i.on)}};
    if (i.airway) one["airway"] = site.airways[i.airway->value].id;
    if (i.release) one["release"] = site.releases[i.release->value].id;
    one[i.airway ? "per_m3_s" : "per_mol_s"] = i.derivative;
    one["of_one_percent"] = i.of_one_percent;
    influences.push_back(one);
  }
  put("influences", influences);
  put("runs", sizing.runs);
  put("assumptions", assumptions_of(sizing));
  return out + "\n}\n";
}

}  // namespace leanside
