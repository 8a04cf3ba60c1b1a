// SPDX-License-Identifier: Apache-2.0
/// Numbers, names and sentences for people. Every text that a user wrote comes back cleaned by plain_text().
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "hazard/facts.hpp"
#include "leanside/assess.hpp"
#include "leanside/site.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// A fraction as a percentage of about `digits` significant figures; more where rounding would carry it over one of
/// the `marks` (fractions too), so that a number never looks to be on the other side of a limit.
std::string percent(double fraction, int digits = 3, std::span<const double> marks = {},
                    const Language& language = language_of("en"));

/// An lfl_fraction as a percentage, never rounded over note_at, warn_at or the limit itself.
std::string percent_of_limit(Told site, double lfl_fraction);

/// The same in a sentence: "61 % of the lower flammable limit", "25 times the lower flammable limit".
std::string limit_words(Told site, double lfl_fraction);

/// An oxygen fraction as a percentage, never rounded over the criteria.
std::string percent_of_oxygen(Told site, double oxygen);

/// The least number of two significant figures that is not less than `value` (>= 0).
double rounded_up(double value);

/// A volume flow, m3/s, as "320 m3/h" or "190 cfm"; `up`: rounded up to two significant figures.
std::string hourly(Told site, double flow, bool up = false);

/// A free area, m2, rounded up to two significant figures: "320 cm2", "1.2 m2", "50 in2".
std::string area_words(Told site, double area);

/// A length, m, rounded up to two significant figures: "12 cm", "1.5 m", "4.9 ft".
std::string reach_words(Told site, double length);

/// A volume, m3, of two figures: "35 L", "1.2 m3", "42 ft3"; below `small` in litres.
std::string cubic_words(Told site, double volume, double small = 1.0, int digits = 2);

/// `si` in the unit in which people of the site read `symbol`, without it; and how that unit is written.
double in_unit(Told site, double si, std::string_view symbol);
std::string unit_words(Told site, std::string_view symbol);

std::string label(Told site, SpaceIndex space);
std::string label(Told site, CaseIndex case_index);
std::string label(Told site, ReleaseIndex release);
std::string label(Told site, SystemIndex system);
/// `case "The fan stops"`, or "normal case".
std::string case_heading(Told site, CaseIndex case_index);
std::string label(Told site, Side side);  ///< "outside" where there is no space

/// The release or filling, in quotes, with gas and size: "\"Bench taps\" (natural-gas, 6 of 2 mL/min each)".
std::string source_words(Told site, const Cause& cause);

/// The id of a gas as people say it: "carbon dioxide", but "n-butane".
std::string spoken(const std::string& id);
std::string gas_name(Told site, GasIndex gas);

/// The gas meant by a warning: "hydrogen", "a mixture of hydrogen and natural gas".
std::string gas_words(Told site, const Warning& warning);

/// Where a warning is: the space and, but for the normal case, the case.
std::string where_words(Told site, const Warning& warning);

/// What happens there, how badly, how soon and from what, in one or several sentences; begins with a small letter and
/// ends without a full stop.
std::string what_words(Told site, const Warning& warning);

/// A fraction of a toxic gas: "300 ppm", "4.3 %".
std::string concentration_words(double fraction);

/// The same as what_words, for one kind of warning each: of severity near_source, of severity toxic, of the air in a
/// cabinet.
std::string near_source_words(Told site, const Warning& warning);
std::string toxic_words(Told site, const Warning& warning);
std::string cabinet_air_words(Told site, const Warning& warning);

/// Where gas can be ignited close to a release: "within 0.8 m of it (keep ignition sources 1.6 m away)".
std::string zone_words(Told site, const SourceZone& zone);
/// How good that is; begins with a small letter and ends without a full stop.
std::string zone_limits(Told site, const SourceZone& zone);
/// Of all cases the zone that reaches farthest, or null.
const SourceZone* longest_zone(const Assessment& assessment);
/// Of every release without a warning of its own how far its gas can be ignited, at its worst in any case.
std::vector<std::string> zone_sentences(Told site, const Assessment& assessment);

/// When something happens, s: "from the start", "immediately" (below a second), "after 2 h".
std::string after_words(Told site, double time);

/// "the margin of 25 %", the one of the criteria.
std::string the_margin(Told site);

/// The words of a catalogue for what is told apart elsewhere by word_of().
std::string severity_word(Told site, Severity severity);
std::string state_word(Told site, MixtureState state);
std::string kind_word(Told site, SpaceKind kind);
std::string opening_word(Told site, OpeningForm form);

/// What the public functions of the same meaning give in English.
std::string remedy_told(Told site, const Warning& warning);
std::string assumption_told(Told site, const Assumption& assumption);

/// When a warning begins: "after 2 h", "in steady state, though not within the first 8 h".
std::string when_words(Told site, const Warning& warning);

/// With a capital letter at its start, where that is a letter of ASCII.
std::string capital(std::string text);

/// Whether a warning is about something that an ignition source can set off: gas that burns, or too much oxygen.
bool can_burn(Told site, const Warning& warning);

/// What was computed: "the first 8 h and the steady state".
std::string span_words(Told site, const Assessment& assessment);

/// Whether the situation of a note is open: gas that can harm is on, something was not tried, or it still rises.
bool is_open(Told site, const Warning& note);

/// What the answer leaves open, the worst first, as full sentences.
std::vector<std::string> open_sentences(Told site, const Assessment& assessment);

/// The first sentence of an answer without a warning above a note; empty where nothing is open.
std::string headline_without_warning(Told site, const Assessment& assessment);

/// The site with the time that was computed as its horizon.
Site with_computed_time(const Site& site, const Assessment& assessment);

/// Air changes an hour that `flow` m3/s means in a space, rounded up to two significant figures; 0 in a junction.
double air_changes_an_hour(const Space& space, double flow);

using hazard::VolumeFlows;

/// "from 2.1 m up to the ceiling", "from the floor up to 0.4 m".
std::string height_words(Told site, SpaceIndex space, const HeightRange& range);

/// Of each layered room of a case where its gas gathers and what that means; then the rooms that were to be layered and
/// are mixed, and why; then which model is shown of rooms of which both were computed.
std::vector<std::string> layer_sentences(Told site, const CaseResult& result);

/// A fan that gets too little air, or works against too high a pressure, in words for the first screen.
struct StarvedWords {
  AirwayIndex fan;
  std::string title;  ///< "the fan extract of Store starves"
  std::string what;   ///< what it carries and why, in full sentences
  std::string help;   ///< what to do
};
/// Of each such fan the worst case, the cases named where there are several.
std::vector<StarvedWords> starved_words(Told site, const Assessment& assessment);
std::string starved_help(Told site, const StarvedFan& fan);

/// " (in every case)", " (in the case a)"; empty where the assumption holds for the whole answer or there is one case.
std::string case_words(Told site, const Assumption& assumption, std::size_t cases_computed);

/// All that the answer rests on, each with its cases: what reads the same of several cases is one sentence.
std::vector<std::string> assumption_sentences(Told site, const Assessment& assessment);
/// Those of a study, without cases.
std::vector<std::string> assumption_sentences(Told site, const std::vector<Assumption>& assumptions);

/// Whether there is no transient in the results: they then describe time 0 and the steady state alone.
bool without_transient(const Site& site, const Assessment& assessment);

}  // namespace leanside::report
