// SPDX-License-Identifier: Apache-2.0
#include "report/words/page_words.hpp"

#include <algorithm>
#include <array>

namespace leanside::report {
namespace {

constexpr PageWords english{
    .language = "en",
    .page_title = "{}: where gas can be ignited",
    .made_from = "{}, computed by leanside {}.",
    .made_by = "Made by leanside {}. A screening aid: the caution on the first side belongs to every figure here.",
    .no_file = "a site without a file",
    .contents = "Contents",
    .first_side = "First side",

    .what_to_do = "What to do",
    .when = "When",
    .act = "Do",
    .done_by = "Done by",
    .done_on = "on",
    .read_by = "Read by",
    .read_on = "on",
    .check_again = "Check again by",
    .more_findings = "and {} more findings",
    .more = "{} more",
    .starved_fans = "Fans that cannot move the air that the file gives",
    .also_open = "Not judged, or worth a look",
    .assumed_first = "Assumed",
    .caution = "Caution.",
    .scope = "Computed: {}, {}, {}.",
    .cases_left_out = "Left out on request, and not computed: {}.",
    .not_judged_ever = "Never judged here: burns, blast, dust, incompatible chemicals, gas outdoors.",

    .at_a_glance = "The worst at a glance",
    .chart_caption = "Highest share of the lower flammable limit in each space and case, the worst space first",
    .chart_key =
        "The upright mark in each cell is the lower limit. F: can be ignited, P: pressure, R: too rich (not "
        "safe), S: can be ignited close to a source, T: a gas above its IDLH, M: over the margin, O: oxygen "
        "outside its criteria.",
    .chart_low_spaces = "Below {} of the lower limit in every case, with no warning: {}.",
    .chart_more_spaces = "Spaces left out, nowhere worse than these: {}.",
    .chart_more_cases = "Cases left out, nowhere worse than these: {}.",
    .levels = "Figures of the {}",
    .space = "space",

    .findings = "The findings one by one",
    .findings_in_table = "More findings, among the warnings below: {}.",
    .what_helps = "What helps.",
    .ignition_here = "Ignition sources here:",
    .every_case = "In every case.",
    .in_cases = "In these cases: {}.",
    .also = "It also does this",
    .worst_and_when = "{} at the worst, over its threshold {}",
    .worst_in_steady_state = "{} in steady state",
    .stored = "on what is stored there",
    .step_by_step = "Step by step",
    .later = "later",
    .start = "start",
    .more_steps = "Steps left out before the end: {}; `leanside check --format json` has every one.",
    .where_from = "Where it comes from, at the worst moment",
    .more_sources = "Others, with next to nothing: {}.",
    .rests_on = "It rests on",
    .all_assumptions = "the assumptions made everywhere",
    .assumption_numbered = "assumption {} and {}",
    .assumptions_numbered = "assumptions {} and {}",
    .picture_before = "The picture of this space is beside finding {}.",
    .course_before = "Plot, picture and steps are those of finding {}.",
    .every_warning = "Every warning: {}",
    .the_worst_first = "Warnings, the worst first",
    .not_on_paper = "{} more are not on paper: see the page on a screen, or `leanside check --format json`.",
    .rest_in_json = "{} more: `leanside check --format json` has them all.",

    .step_fan = "the fan {}",
    .step_gas_starts = "gas starts to come from {}",
    .step_gas_ends = "no more gas comes from {}",
    .step_note_up = "passes {} of the lower limit, worth a note",
    .step_margin_up = "passes the margin of {} of the lower limit",
    .step_lower_up = "reaches the lower flammable limit",
    .step_upper_up = "passes the upper limit: too rich to burn, but not safe",
    .step_note_down = "falls below {} of the lower limit",
    .step_margin_down = "falls below the margin of {}",
    .step_lower_down = "falls below the lower flammable limit",
    .step_upper_down = "falls below the upper limit, back into the flammable range",
    .step_ignitable = "can be ignited from here on",
    .step_oxygen = "the oxygen leaves the range of {} to {}",
    .step_rating = "the pressure reaches the rating",
    .step_tenth = "the pressure has gained 10 %",
    .step_highest = "the highest of this run: {}",
    .step_lowest = "the lowest of this run: {}",
    .step_end = "the run ends at {}",
    .step_end_highest = "the run ends at {}, its highest",
    .step_steady = "in steady state it is at {}",
    .step_no_steady = "there is no steady state: {}",
    .step_switched_on = "{} is switched on",
    .step_switched_off = "{} is switched off",
    .step_opened = "{} is opened",
    .step_shut = "{} is shut",
    .step_carries = "{} carries {} from here on",
    .step_turned_on = "{} is turned on",
    .step_turned_off = "{} is turned off",
    .step_stands_open = "{} stands {} open",
    .step_changes = "{} changes: {}",
    .step_system_starts = "the system {} starts",
    .step_system_stops = "the system {} stops",
    .step_system_moves = "the system {} moves {} of its flows from here on",
    .step_system_returns = "the system {} takes {} of its supply from return air from here on",
    .step_temperature = "{} has {} from here on",

    .plot_of_fuel = "How near to burning",
    .plot_of_oxygen = "Oxygen",
    .plot_of_gas = "How much {}",
    .plot_of_pressure = "Pressure",
    .plot_title = "{} in {}, over the first {}",
    .axis_of_fuel = "% of the lower flammable limit",
    .axis_of_oxygen = "oxygen, %",
    .axis_of_pressure = "pressure, {} absolute",
    .time_after_start = "time after the start",
    .level_note = "note",
    .level_margin = "margin",
    .level_lower = "lower limit",
    .level_upper = "upper limit",
    .level_oxygen_low = "least",
    .level_oxygen_high = "most",
    .level_exposure = "work limit",
    .level_ambient = "open air",
    .level_rated = "its rating",
    .level_tenth = "10 % more",
    .band_flammable = "can burn",
    .band_too_little = "too little",
    .band_too_much = "too much",
    .band_dangerous = "deadly",
    .band_may_burst = "may burst",
    .oxygen_value = "{} oxygen",
    .pressure_joined = "The points are computed; straight lines join them.",
    .no_plot = "No plot: within the {} of the run next to nothing is there.",
    .rest_of_plot = "The rest of the {} stays where the plot ends.",
    .split_scale = "Above the lower limit the scale is another one.",
    .as_numbers = "The same as numbers",
    .values_of_plot = "Values of the plot",

    .outside = "outside",
    .air_changes = "air changes",
    .assumed_leak = "assumed leak",
    .no_flow = "{}: no flow",
    .flow_to = "to {}: {}",
    .flow_from = "from {}: {}",
    .flow_each_way = "{}: {} each way",
    .flow_both = "{}: {} in, {} out",
    .of_it_assumed = "({} of it assumed)",
    .all_assumed = "(assumed)",
    .spaces_on_line = "{} spaces",
    .more_ways = "and more spaces: {}",
    .picture_name = "How the air moves, {}: {}",
    .site_key = "How the air moves at the start, {}. A line joins spaces that share air; arrows show which way.",
    .spaces_not_drawn = "Spaces not drawn: {}.",
    .site_picture_key =
        "Each row is a space with its worst state. The little picture is its side view, all to one scale, as "
        "if every floor were square; its pattern is the state: none (clear), dots (note), lines (margin), "
        "crossed lines (flammable), upright bars (rich) or level bars (inerted). Dashed lines carry nothing, "
        "dotted ones are assumed leaks.",
    .side_view_name = "{} from the side, {}",
    .side_view_key = "{} from the side, to scale, at its worst: {}. Places across the floor are not in the file{}.",
    .side_view_worst = "{} of the lower limit ({})",
    .side_view_places = ", nor where ignition sources are",
    .room_size = "{} wide, {} high",
    .room_size_assumed = "{} wide, {} high (height assumed)",
    .layer = "gas layer",
    .in_flow = "{} in",
    .out_flow = "{} out",
    .nothing_flows = "no flow",
    .more_openings = "more openings: {}",
    .around = "Around {}",

    .apparatus_name = "{} from the side: {}",
    .apparatus_key = "{} from the side, to scale.",
    .apparatus_without_shape = "{} from the side. Its shape is not in the file: drawn as wide as high.",
    .vessel_size = "{} wide, {} high, {} of gas",
    .vessel_without_shape = "{} of gas",
    .liquid_inside = "{} of liquid",
    .opening_of = "opening {}",
    .mouth_up = "mouth up, {}",
    .mouth_down = "mouth down, {}",
    .air_alone = "air",
    .gas_leaves = "gas leaves",
    .air_enters = "air enters",
    .gas_and_air = "gas leaves and air enters",
    .lit_there = "lit",
    .tube_to = "tube to {}",
    .tube_from = "tube from {}",
    .tube_to_jars = "tube to jars of {} over water",
    .states_title = "What {} holds over time",
    .states_of_two =
        "{}: if entering air mixes at once, and if it stays unmixed. The truth lies between: act on the start of "
        "the marked time.",
    .states_of_one = "{}, evenly mixed.",
    .mixes_at_once = "if air mixes at once",
    .stays_unmixed = "if air stays unmixed",
    .evenly_mixed = "evenly mixed",
    .too_rich = "too rich to burn",
    .can_burn_inside = "can burn",
    .too_lean = "too lean to burn",
    .gas_ends = "no more gas comes",
    .may_strike = "flame may strike back: {}",
    .may_explode = "explodes if lit: {}",
    .span_of_time = "{} to {}",
    .span_without_end = "from {} on",
    .bound = "entering air",
    .from_when = "from",
    .to_when = "to",
    .content_is = "content",

    .inventory = "Inventory",
    .spaces_and_releases = "Spaces, releases and what is in store",
    .spaces = "Spaces",
    .kind = "kind",
    .volume = "volume",
    .floor = "floor",
    .height = "height",
    .temperature = "temperature",
    .ignition_sources = "ignition sources",
    .not_given = "not given",
    .none_named = "none named",
    .no_release = "The file has no release.",
    .release = "release",
    .gas = "gas",
    .size_written = "size, as written",
    .into = "into",
    .when_normal = "when, in the normal case",
    .releases = "Gas that gets in",
    .only_turned_on = "only in a case that turns it on",
    .from_start = "from the start",
    .from_time = "from {}",
    .to_time = "to {}",
    .close_to_releases = "Close to the releases",
    .zone_limits =
        "Estimates for still air and nothing in the way, good to about a quarter. Along a wall or against an "
        "obstacle gas can be ignited up to half as far again.",
    .what = "what",
    .in_store = "In store",
    .air_to_limit = "air it could bring to the lower limit",
    .times_space = "times its space",
    .store_key =
        "What could get out if all of it did. More than 1 time its space: it could fill that space to the "
        "lower limit.",

    .detectors = "Detectors",
    .detectors_command =
        "Not computed for this page: `leanside detectors FILE` finds the places that see most, soonest.",
    .detectors_key =
        "Places that see the releases soonest, each set to {} of the lower flammable limit. A detector only "
        "warns; it keeps nothing away.",
    .no_alarm =
        "No release brings any room to {} of the lower flammable limit within {}: there is nothing for a "
        "detector to see.",
    .hang_high = "high, under the ceiling (for gas lighter than air)",
    .hang_low = "low, near the floor (for gas heavier than air)",
    .hang_middle = "at head height (for gas about as heavy as air)",
    .sees_first = "Sees first: {}.",
    .seen_after = "{} after {}",
    .sees_nothing_first = "Sees nothing that another one does not see sooner.",
    .unseen = "Not seen by these: {}.",
    .layers = "Where gas gathers",
    .ventilation = "Ventilation",
    .flows = "All air flows",
    .flows_of = "Air flows at the start, {}: {}",
    .flows_in_json = "There are too many airways for a table here: `leanside check --format json` has them all.",
    .no_airway = "The file has no airway: no fan, door, vent or other opening.",

    .assumptions = "Assumptions",
    .noticed = "Noticed in the file",
    .notice_at = "line {}, {}",
    .notice_in_file = "{}, {}",
    .notice_of_several = "{}: {}.",
    .sources = "Sources and run",
    .limits_and_criteria = "Limits and criteria with their sources",
    .lower_limit = "lower limit",
    .upper_limit = "upper limit",
    .least_oxygen = "least oxygen that burns",
    .source = "source",
    .remark = "remark",
    .does_not_burn = "does not burn",
    .recalled = "recalled, not read again",
    .fell_back = "not in {}: the cautious pair",
    .any = "any",
    .limits_used = "Flammable limits used, in air at {}",
    .limits_foot =
        "docs/sources.md of leanside says what the sources are; `leanside substances ID` shows the limits of "
        "every one.",
    .chosen = "chosen in the file",
    .criterion = "criterion",
    .value = "value",
    .of_lower_limit = "{} of the lower limit",
    .margin = "margin: warned of from",
    .margin_source = "common practice, no single source",
    .note = "noted from",
    .note_source = "29 CFR 1910.146: more than a tenth of the lower limit makes air hazardous to enter",
    .oxygen_low = "oxygen too low below",
    .oxygen_high = "oxygen too high above",
    .whose_limits = "whose limits",
    .cautious_source = "lowest lower and highest upper limit of all sources, gas by gas",
    .followed_for = "followed for",
    .horizon_source = "until the verdict can no longer change; at least a working day, at most a year, no source",
    .criteria = "What is warned of",
    .to_repeat = "To repeat this",
    .this_run = "this run",
    .site_file = "site file",
    .substances_file = "file of substances",
    .digest = "SHA-256 of it",
    .command = "command",
    .title = "title",
    .notes = "notes",
    .balance = "gas balance of the computation, relative error",
    .not_computed = "not computed: only the steady state was",
    .same_again = "With the same file and the same version the same page comes out",
};

constexpr std::array<const PageWords*, 1> all{&english};

}  // namespace

const PageWords& page_words(std::string_view language) {
  const auto found =
      std::find_if(all.begin(), all.end(), [&](const PageWords* one) { return one->language == language; });
  return found == all.end() ? english : **found;
}

std::vector<std::string> languages() {
  std::vector<std::string> out;
  for (const PageWords* one : all) out.emplace_back(one->language);
  return out;
}

std::string filled(std::string_view pattern, std::initializer_list<Said> values) {
  std::string out;
  std::size_t at = 0;
  for (const Said& value : values) {
    const std::size_t place = pattern.find("{}", at);
    if (place == std::string_view::npos) break;
    out.append(pattern.substr(at, place - at)).append(value.text);
    at = place + 2;
  }
  return out.append(pattern.substr(at));
}

}  // namespace leanside::report
