// SPDX-License-Identifier: Apache-2.0
/// Every fixed word of the page and its pictures, one set for each language. To add a language: a constant like
/// `english` in page_words.cpp and a line in its table; a test checks that no word is missing and that the places for
/// values (`{}`) are the same. The sentences on warnings, advice, findings, assumptions and notices stand in
/// phrases.hpp.
#pragma once

#include <cstddef>
#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

namespace leanside::report {

struct PageWords {
  std::string_view language;
  std::string_view page_title;
  std::string_view made_from;
  std::string_view made_by;
  std::string_view no_file;
  std::string_view contents;
  std::string_view first_side;

  std::string_view what_to_do;
  std::string_view when;
  std::string_view act;
  std::string_view done_by;
  std::string_view done_on;
  std::string_view read_by;
  std::string_view read_on;
  std::string_view check_again;
  std::string_view more_findings;
  std::string_view more;
  std::string_view starved_fans;
  std::string_view also_open;
  std::string_view assumed_first;
  std::string_view caution;
  std::string_view scope;
  std::string_view cases_left_out;
  std::string_view not_judged_ever;

  std::string_view at_a_glance;
  std::string_view chart_caption;
  std::string_view chart_key;
  std::string_view chart_low_spaces;
  std::string_view chart_more_spaces;
  std::string_view chart_more_cases;
  std::string_view levels;
  std::string_view space;

  std::string_view findings;
  std::string_view findings_in_table;
  std::string_view what_helps;
  std::string_view ignition_here;
  std::string_view every_case;
  std::string_view in_cases;
  std::string_view also;
  std::string_view worst_and_when;
  std::string_view worst_in_steady_state;
  std::string_view stored;
  std::string_view step_by_step;
  std::string_view later;
  std::string_view start;
  std::string_view more_steps;
  std::string_view where_from;
  std::string_view more_sources;
  std::string_view rests_on;
  std::string_view all_assumptions;
  std::string_view assumption_numbered;
  std::string_view assumptions_numbered;
  std::string_view picture_before;
  std::string_view course_before;
  std::string_view every_warning;
  std::string_view the_worst_first;
  std::string_view not_on_paper;
  std::string_view rest_in_json;

  std::string_view step_fan;
  std::string_view step_gas_starts;
  std::string_view step_gas_ends;
  std::string_view step_note_up;
  std::string_view step_margin_up;
  std::string_view step_lower_up;
  std::string_view step_upper_up;
  std::string_view step_note_down;
  std::string_view step_margin_down;
  std::string_view step_lower_down;
  std::string_view step_upper_down;
  std::string_view step_ignitable;
  std::string_view step_oxygen;
  std::string_view step_rating;
  std::string_view step_tenth;
  std::string_view step_highest;
  std::string_view step_lowest;
  std::string_view step_end;
  std::string_view step_end_highest;
  std::string_view step_steady;
  std::string_view step_no_steady;
  std::string_view step_switched_on;
  std::string_view step_switched_off;
  std::string_view step_opened;
  std::string_view step_shut;
  std::string_view step_carries;
  std::string_view step_turned_on;
  std::string_view step_turned_off;
  std::string_view step_stands_open;
  std::string_view step_changes;
  std::string_view step_system_starts;
  std::string_view step_system_stops;
  std::string_view step_system_moves;
  std::string_view step_system_returns;
  std::string_view step_temperature;

  std::string_view plot_of_fuel;
  std::string_view plot_of_oxygen;
  std::string_view plot_of_gas;
  std::string_view plot_of_pressure;
  std::string_view plot_title;
  std::string_view axis_of_fuel;
  std::string_view axis_of_oxygen;
  std::string_view axis_of_pressure;
  std::string_view time_after_start;
  std::string_view level_note;
  std::string_view level_margin;
  std::string_view level_lower;
  std::string_view level_upper;
  std::string_view level_oxygen_low;
  std::string_view level_oxygen_high;
  std::string_view level_exposure;
  std::string_view level_ambient;
  std::string_view level_rated;
  std::string_view level_tenth;
  std::string_view band_flammable;
  std::string_view band_too_little;
  std::string_view band_too_much;
  std::string_view band_dangerous;
  std::string_view band_may_burst;
  std::string_view oxygen_value;
  std::string_view pressure_joined;
  std::string_view no_plot;
  std::string_view rest_of_plot;
  std::string_view split_scale;
  std::string_view as_numbers;
  std::string_view values_of_plot;

  std::string_view outside;
  std::string_view air_changes;
  std::string_view assumed_leak;
  std::string_view no_flow;
  std::string_view flow_to;
  std::string_view flow_from;
  std::string_view flow_each_way;
  std::string_view flow_both;
  std::string_view of_it_assumed;
  std::string_view all_assumed;
  std::string_view spaces_on_line;
  std::string_view more_ways;
  std::string_view picture_name;
  std::string_view site_key;
  std::string_view spaces_not_drawn;
  std::string_view site_picture_key;
  std::string_view side_view_name;
  std::string_view side_view_key;
  std::string_view side_view_worst;
  std::string_view side_view_places;
  std::string_view room_size;
  std::string_view room_size_assumed;
  std::string_view layer;
  std::string_view in_flow;
  std::string_view out_flow;
  std::string_view nothing_flows;
  std::string_view more_openings;
  std::string_view around;

  std::string_view apparatus_name;
  std::string_view apparatus_key;
  std::string_view apparatus_without_shape;
  std::string_view vessel_size;
  std::string_view vessel_without_shape;
  std::string_view liquid_inside;
  std::string_view opening_of;
  std::string_view mouth_up;
  std::string_view mouth_down;
  std::string_view air_alone;
  std::string_view gas_leaves;
  std::string_view air_enters;
  std::string_view gas_and_air;
  std::string_view lit_there;
  std::string_view tube_to;
  std::string_view tube_from;
  std::string_view tube_to_jars;
  std::string_view states_title;
  std::string_view states_of_two;
  std::string_view states_of_one;
  std::string_view mixes_at_once;
  std::string_view stays_unmixed;
  std::string_view evenly_mixed;
  std::string_view too_rich;
  std::string_view can_burn_inside;
  std::string_view too_lean;
  std::string_view gas_ends;
  std::string_view may_strike;
  std::string_view may_explode;
  std::string_view span_of_time;
  std::string_view span_without_end;
  std::string_view bound;
  std::string_view from_when;
  std::string_view to_when;
  std::string_view content_is;

  std::string_view inventory;
  std::string_view spaces_and_releases;
  std::string_view spaces;
  std::string_view kind;
  std::string_view volume;
  std::string_view floor;
  std::string_view height;
  std::string_view temperature;
  std::string_view ignition_sources;
  std::string_view not_given;
  std::string_view none_named;
  std::string_view no_release;
  std::string_view release;
  std::string_view gas;
  std::string_view size_written;
  std::string_view into;
  std::string_view when_normal;
  std::string_view releases;
  std::string_view only_turned_on;
  std::string_view from_start;
  std::string_view from_time;
  std::string_view to_time;
  std::string_view close_to_releases;
  std::string_view zone_limits;
  std::string_view what;
  std::string_view in_store;
  std::string_view air_to_limit;
  std::string_view times_space;
  std::string_view store_key;

  std::string_view detectors;
  std::string_view detectors_command;
  std::string_view detectors_key;
  std::string_view no_alarm;
  std::string_view hang_high;
  std::string_view hang_low;
  std::string_view hang_middle;
  std::string_view sees_first;
  std::string_view seen_after;
  std::string_view sees_nothing_first;
  std::string_view unseen;
  std::string_view layers;
  std::string_view ventilation;
  std::string_view flows;
  std::string_view flows_of;
  std::string_view flows_in_json;
  std::string_view no_airway;

  std::string_view assumptions;
  std::string_view noticed;
  std::string_view notice_at;
  std::string_view notice_in_file;
  std::string_view notice_of_several;
  std::string_view sources;
  std::string_view limits_and_criteria;
  std::string_view lower_limit;
  std::string_view upper_limit;
  std::string_view least_oxygen;
  std::string_view source;
  std::string_view remark;
  std::string_view does_not_burn;
  std::string_view recalled;
  std::string_view fell_back;
  std::string_view any;
  std::string_view limits_used;
  std::string_view limits_foot;
  std::string_view chosen;
  std::string_view criterion;
  std::string_view value;
  std::string_view of_lower_limit;
  std::string_view margin;
  std::string_view margin_source;
  std::string_view note;
  std::string_view note_source;
  std::string_view oxygen_low;
  std::string_view oxygen_high;
  std::string_view whose_limits;
  std::string_view cautious_source;
  std::string_view followed_for;
  std::string_view horizon_source;
  std::string_view criteria;
  std::string_view to_repeat;
  std::string_view this_run;
  std::string_view site_file;
  std::string_view substances_file;
  std::string_view digest;
  std::string_view command;
  std::string_view title;
  std::string_view notes;
  std::string_view balance;
  std::string_view not_computed;
  std::string_view same_again;
};

/// The words of a language ("en"); English where it is empty or not known.
const PageWords& page_words(std::string_view language);

/// The languages that there are words for.
std::vector<std::string> languages();

/// A value for a place in a sentence.
struct Said {
  Said(std::string_view words) : text{words} {}
  Said(const std::string& words) : text{words} {}
  Said(std::size_t number) : text{std::to_string(number)} {}
  std::string text;
};

/// `pattern` with the values in the places of its `{}`, one after the other.
std::string filled(std::string_view pattern, std::initializer_list<Said> values);

template <class... Values>
std::string said(std::string_view pattern, const Values&... values) {
  return filled(pattern, {Said{values}...});
}

}  // namespace leanside::report
