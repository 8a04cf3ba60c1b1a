// SPDX-License-Identifier: Apache-2.0
/// Where gas detectors see most, soonest, in words.
#include <algorithm>
#include <limits>
#include <numeric>
#include <string>
#include <vector>

#include "base/text/plain.hpp"
#include "leanside/study/detectors.hpp"
#include "report/text/brief.hpp"
#include "report/text/text_page.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

/// Lines of the table of releases, detectors that are told in full, and releases that each of them names.
struct Lengths {
  std::size_t lines = 40, in_full = 1000, named = 8;
};
Lengths lengths_for(const Site& site) { return is_large(site) ? Lengths{6, 3, 3} : Lengths{}; }

std::string where_to_mount(const DetectorPlace& place) {
  std::string out;
  for (const Mounting m : place.mountings) {
    if (!out.empty()) out += ", and another one ";
    switch (m) {
      case Mounting::high:
        out += "high, under the ceiling: the gas is lighter than air";
        break;
      case Mounting::low:
        out += "low, near the floor: the gas is heavier than air";
        break;
      case Mounting::middle:
        out += "at head height: the gas is about as heavy as air";
        break;
    }
  }
  return out;
}

std::string sensor_words(Sensor sensor) {
  switch (sensor) {
    case Sensor::fuel:
      return "gas that burns";
    case Sensor::toxic:
      return "toxic gas";
    case Sensor::oxygen:
      break;
  }
  return "oxygen";
}

/// Whether what is measured has to be said: not where all is gas that burns.
bool of_several_sensors(const DetectorPlan& plan) {
  return std::any_of(plan.scenarios.begin(), plan.scenarios.end(),
                     [](const GasScenario& scenario) { return scenario.sensor != Sensor::fuel; });
}

std::string scenario_words(const Site& site, const GasScenario& scenario) {
  std::string out = "\"" + label(site, scenario.release) + "\"";
  if (scenario.sensor != Sensor::fuel) out += " (" + sensor_words(scenario.sensor) + ")";
  return site.cases.size() > 1 ? out + ", case " + label(site, scenario.case_index) : out;
}

/// How many releases it sees first, on a line.
void put_place_in_brief(TextPage& page, const Site& site, const DetectorPlan& plan, std::size_t k) {
  const DetectorPlace& place = plan.places[k];
  std::string text = label(site, place.space);
  if (!place.mountings.empty()) text += ", " + where_to_mount(place);
  if (!place.first.empty()) text += "; sees " + count_of(place.first.size(), "release") + " first";
  page.line(padded(std::to_string(k + 1), 2, true) + "  " + on_one_line(text, page.style()));
}

void put_places(TextPage& page, const Site& site, const DetectorPlan& plan) {
  std::size_t rank = 0;
  for (const DetectorPlace& place : plan.places) {
    if (++rank > lengths_for(site).in_full) {
      if (rank == lengths_for(site).in_full + 1) page.line("");
      put_place_in_brief(page, site, plan, rank - 1);
      continue;
    }
    page.line("");
    page.paragraph(page.bold(label(site, place.space)), (rank < 10 ? " " : "") + std::to_string(rank) + "  ");
    if (of_several_sensors(plan) && !place.sensors.empty()) {
      std::string sensors;
      for (const Sensor sensor : place.sensors) sensors += (sensors.empty() ? "" : ", ") + sensor_words(sensor);
      page.remark("For", sensors + ".");
    }
    if (!place.mountings.empty()) page.remark("Hang it", where_to_mount(place) + ".");
    std::string first;
    const std::size_t most = lengths_for(site).named;
    for (std::size_t i = 0; i < std::min(most, place.first.size()); ++i) {
      const std::size_t s = place.first[i];
      first +=
          (i > 0 ? "; " : "") + scenario_words(site, plan.scenarios[s]) + " after " + format_duration(*plan.seen[s]);
    }
    if (place.first.size() > most) first += "; and " + std::to_string(place.first.size() - most) + " more";
    page.remark("Sees first", first.empty() ? "nothing that another one does not see sooner." : first + ".");
  }
}

/// Releases as they are told of in the table: as in the plan, of a large site those that are seen last first.
std::vector<std::size_t> slowest_first(const Site& site, const DetectorPlan& plan) {
  std::vector<std::size_t> out(plan.scenarios.size());
  std::iota(out.begin(), out.end(), std::size_t{0});
  if (!is_large(site)) return out;
  const auto seen = [&](std::size_t s) { return plan.seen[s].value_or(std::numeric_limits<double>::infinity()); };
  std::ranges::stable_sort(out, [&](std::size_t a, std::size_t b) { return seen(a) > seen(b); });
  return out;
}

void put_table(TextPage& page, const Site& site, const DetectorPlan& plan) {
  if (plan.scenarios.empty()) return;
  page.heading("Each release, from its start until a detector answers");
  Table table{{{"release", false, true},
               {"case", false, true},
               {"with these", true, false},
               {"at best", true, false},
               {"in", false, true}},
              {}};
  const std::size_t most_lines = lengths_for(site).lines;
  for (const std::size_t s : slowest_first(site, plan)) {
    if (table.rows.size() == most_lines) break;
    const auto soonest = std::min_element(plan.time[s].begin(), plan.time[s].end());
    const auto place = static_cast<std::size_t>(soonest - plan.time[s].begin());
    const Sensor sensor = plan.scenarios[s].sensor;
    table.rows.push_back(
        {label(site, plan.scenarios[s].release) + (sensor == Sensor::fuel ? "" : " (" + sensor_words(sensor) + ")"),
         label(site, plan.scenarios[s].case_index), plan.seen[s] ? format_duration(*plan.seen[s]) : "never",
         format_duration(*soonest), label(site, plan.candidates[place])});
  }
  page.table(table);
  if (plan.scenarios.size() > most_lines) {
    page.paragraph("and " + std::to_string(plan.scenarios.size() - most_lines) + " more (--format json has all)", " ");
  }
}

std::string quality_words(const DetectorPlan& plan) {
  const std::string mean = "On the average over the releases a detector answers after " +
                           format_duration(plan.mean_time) + " (a release that none sees counts with " +
                           format_duration(plan.horizon) + ").";
  if (plan.exact) return mean + " Every choice was tried: none of so many is quicker.";
  return mean +
         " There are too many choices to try them all, so the one that helps most was added, one after the other; "
         "no choice of so many can be quicker than " +
         format_duration(plan.bound) + ".";
}

}  // namespace

std::string detectors_text(const Site& site, const DetectorPlan& plan, const TextStyle& style) {
  TextPage page{style};
  page.line(page.bold("Where gas detectors see most, soonest: " + plain_text(site.title)));
  page.paragraph((site.file.empty() ? "" : plain_text(site.file) + ", ") + count_of(plan.places.size(), "detector") +
                 ", " + count_of(plan.scenarios.size() + plan.silent.size(), "release") + " (each case by itself), " +
                 count_of(plan.candidates.size(), "space") + " to choose from, alarm at " + percent(plan.alarm) +
                 " of the lower flammable limit" +
                 (of_several_sensors(plan) ? " or of the IDLH, or where the oxygen leaves its criteria" : ""));
  page.line("");
  if (plan.scenarios.empty()) {
    page.paragraph("No release of any case comes to the alarm anywhere within " + format_duration(plan.horizon) +
                   ": there is nothing for a detector to see.");
  } else {
    page.paragraph(quality_words(plan));
    put_places(page, site, plan);
  }
  put_table(page, site, plan);
  std::vector<std::string> unseen, silent;
  for (std::size_t s = 0; s < plan.scenarios.size(); ++s) {
    if (!plan.seen[s]) unseen.push_back(scenario_words(site, plan.scenarios[s]));
  }
  for (const GasScenario& scenario : plan.silent) silent.push_back(scenario_words(site, scenario));
  put_list_of(page, site, "Not seen by any of these within " + format_duration(plan.horizon), unseen);
  put_list_of(
      page, site,
      "Never at the alarm anywhere within " + format_duration(plan.horizon) + ", so that no detector can see it",
      silent);
  if (is_large(site)) {
    put_assumptions_in_brief(page, site, plan.assumptions);
  } else {
    page.list("Assumptions", assumption_sentences(site, plan.assumptions));
  }
  page.put_caution();
  return page.text();
}

}  // namespace leanside
