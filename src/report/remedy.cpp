// SPDX-License-Identifier: Apache-2.0
/// What would help, in words.
#include <string>

#include "leanside/report.hpp"
#include "report/storage.hpp"
#include "report/words.hpp"

namespace leanside {
namespace {

using namespace report;

/// "at least 320 m3/h more fresh air into Prep room (6.4 air changes an hour) and as much out of it".
std::string air_words(const Site& site, const Warning& warning, double extra) {
  const Space& space = site.spaces[warning.space.value];
  std::string flow = hourly(extra, true);
  constexpr double small = 0.1 / 3600.0;  // m3/s; below it people think in litres a minute
  if (extra < small) flow += " (" + format_quantity(rounded_up(6e4 * extra) / 6e4, "L/min", 2) + ")";
  std::string out = "at least " + flow + " more fresh air into " + label(site, warning.space);
  const double changes = air_changes_an_hour(space, extra);
  if (changes > 0.0) out += " (" + format_number(changes, 2) + " air changes an hour)";
  return out + " and lead as much outside";
}

/// The release to stop first, where one is known: "stop the gas from \"Bench tap left open\"".
std::string stop_words(const Site& site, const Warning& warning) {
  if (warning.causes.empty() || !warning.causes.front().release) return "stop the source";
  return "stop the gas from \"" + label(site, *warning.causes.front().release) + "\"";
}

std::string capital(std::string text) {
  if (!text.empty() && text.front() >= 'a' && text.front() <= 'z') text.front() = static_cast<char>(text.front() - 32);
  return text;
}

std::string more_air(const Site& site, const Warning& warning, const std::string& purpose) {
  const bool source_known = !warning.causes.empty() && warning.causes.front().release;
  if (!warning.remedy.extra_air) {
    return capital(stop_words(site, warning)) + ", or bring more fresh air into " + label(site, warning.space) +
           "; how much is enough could not be computed.";
  }
  const std::string air = air_words(site, warning, *warning.remedy.extra_air);
  return capital(source_known ? stop_words(site, warning) + ", or bring " + air : "bring " + air) + ": that " +
         purpose + ".";
}

std::string margin_of(const Site& site) { return "the margin of " + percent(site.criteria.warn_at); }

std::string restore_oxygen(const Site& site, const Warning& warning) {
  const bool low = warning.oxygen < site.criteria.oxygen_low;
  const std::string space = label(site, warning.space);
  if (site.spaces[warning.space.value].kind == SpaceKind::vessel && !warning.remedy.extra_air) {
    return low ? "Nobody breathes what is in " + space + " or reaches far into it; open it only where the air is fresh."
               : "Keep ignition sources, oil and grease away from " + space + "; open it only where the air is fresh.";
  }
  const std::string first = low ? "Nobody goes in before the oxygen has been measured. "
                                : "Keep ignition sources, oil and grease away until the oxygen has been measured. ";
  return first + more_air(site, warning,
                          low ? "keeps the oxygen over " + percent(site.criteria.oxygen_low)
                              : "keeps the oxygen under " + percent(site.criteria.oxygen_high));
}

std::string keep_air_out(const Site& site, const Warning& warning) {
  const std::string space = label(site, warning.space);
  std::string out = "Keep every ignition source away and air out of " + space +
                    ": purge it with an inert gas such as " +
                    "nitrogen, not with air, before gas goes in and before it is opened.";
  if (warning.remedy.extra_air) {
    out += " If it has to be aired all the same: " + air_words(site, warning, *warning.remedy.extra_air) +
           " brings it under " + margin_of(site) + ".";
  }
  return out;
}

std::string stop_source(const Site& site, const Warning& warning) {
  const std::string space = label(site, warning.space);
  if (!warning.causes.empty() && warning.causes.front().initial_of) {
    const std::string held = label(site, *warning.causes.front().initial_of);
    return "More air alone does not mend this: the gas is in " + held +
           " from the start. Keep every ignition source away from " + space + ", or empty and purge " + held +
           " with an inert gas such as nitrogen first.";
  }
  return "More air alone does not mend this: " + stop_words(site, warning) + ", keep every ignition source away from " +
         space + " and give the gas a way to outside.";
}

/// An opening at the ceiling and one at the floor: the gas leaves by the one, fresh air takes its place by the other.
std::string vents(const Site& site, const Warning& warning) {
  const std::string space = label(site, warning.space);
  if (!warning.remedy.vent_area) {
    return capital(stop_words(site, warning)) + ", or give " + space +
           " openings to outside at the ceiling and at the floor; how large they must be could not be computed.";
  }
  const std::string area = area_words(*warning.remedy.vent_area);
  std::string purpose = "keeps the layer under " + margin_of(site) + " in the long run";
  if (warning.severity == Severity::oxygen) {
    const bool low = warning.oxygen < site.criteria.oxygen_low;
    purpose = "keeps the oxygen in the layer " + std::string{low ? "over " : "under "} +
              percent(low ? site.criteria.oxygen_low : site.criteria.oxygen_high) + " in the long run";
  } else if (warning.remedy.value_after > site.criteria.warn_at) {
    purpose = "brings the layer down to " + percent_of_limit(warning.remedy.value_after, site.criteria) +
              " of the lower flammable limit in the long run; so close to the leak it cannot come under " +
              margin_of(site);
  }
  return capital(stop_words(site, warning)) + ", or give " + space + " an opening of at least " + area +
         " to outside at the ceiling and another of " + area + " at the floor: that " + purpose + ".";
}

std::string of_kind(const Site& site, const Warning& warning) {
  switch (warning.remedy.kind) {
    case RemedyKind::more_fresh_air:
      return more_air(site, warning, "keeps it under " + margin_of(site) + " in the long run");
    case RemedyKind::more_air_for_peak:
      return more_air(site, warning, "keeps even the worst moment under " + margin_of(site));
    case RemedyKind::keep_air_out:
      return keep_air_out(site, warning);
    case RemedyKind::vent_vessel:
      return "Give " + label(site, warning.space) + " a vent line that leads outside, or " + stop_words(site, warning) +
             ", before the pressure bursts it.";
    case RemedyKind::vents:
      return vents(site, warning);
    case RemedyKind::stop_source:
      return stop_source(site, warning);
    case RemedyKind::restore_oxygen:
      return restore_oxygen(site, warning);
    case RemedyKind::watch:
      return "No more air is called for. What leaks should be stopped all the same; look again when anything in " +
             label(site, warning.space) + " changes.";
  }
  return {};
}

/// Whether the advice is to let air in.
bool is_by_air(const Site& site, const Warning& warning) {
  const bool vessel = site.spaces[warning.space.value].kind == SpaceKind::vessel;
  switch (warning.remedy.kind) {
    case RemedyKind::more_fresh_air:
    case RemedyKind::more_air_for_peak:
    case RemedyKind::vents:
      return true;
    case RemedyKind::restore_oxygen:
      return !vessel || warning.remedy.extra_air;
    default:
      return false;
  }
}

}  // namespace

std::string remedy_sentence(const Site& site, const Warning& warning) {
  if (warning.storage) return storage_remedy(*warning.storage);
  std::string out = of_kind(site, warning);
  if (warning.remedy.passes_through_range && is_by_air(site, warning)) {
    out += " It is too rich to burn at first: air takes it through the flammable range before it is clear, so keep " +
           std::string{"every ignition source away until then."};
  }
  return out;
}

}  // namespace leanside
