// SPDX-License-Identifier: Apache-2.0
/// What an answer rests on that the file does not say, as data. The sentences are in report.hpp.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "leanside/advanced/index.hpp"

namespace leanside {

/// What is assumed. Behind each kind: which fields of Assumption it fills, and what its values are.
enum class AssumptionKind {
  // What a site file leaves open.
  default_temperature,          ///< values: K, outside and of every space that gives none
  default_inside_temperature,   ///< values: K, of every space that gives none; the outside temperature is given
  default_outside_temperature,  ///< values: K, as inside
  default_pressure,             ///< values: Pa
  default_criteria,             ///< names: keys of [criteria] that are not given
  well_mixed,                   ///< spaces without a mixing factor; none: every space
  closed_but_for_releases,      ///< spaces that no air is given for: as much leaks out as is released
  stands_in_room,               ///< spaces: a cabinet, and the room that it was found to stand in
  sealed,                       ///< spaces: vessels without an opening
  parts_of_mixture,             ///< names: the mixture, its parts; values: mol/mol, of each part
  cautious_limits,              ///< names: the source asked for, the gases whose limits it does not give
  limits_at_ambient_pressure,
  weaker_inert_gas,      ///< names: the gas; values: mol of nitrogen that a mol of it counts as
  counted_as_oxygen,     ///< names: the oxidiser
  default_discharge,     ///< releases; values: discharge coefficient
  default_air_speed,     ///< releases; values: m/s over the pool
  ideal_under_pressure,  ///< releases that differ noticeably; values: real over ideal amount (or flow), of each
  ideal_unchecked,       ///< releases whose critical point is not known
  spill_stays_as_it_is,  ///< temperature and area
  boiling_spill,         ///< releases; values: W/m2, the most heat that each takes up
  complete_reaction,
  battery_standard,  ///< values: factor of the standard for faulty and aged cells
  fitted_flow,       ///< airways: one; values: m3/s, in the file and as fitted
  recirculation,     ///< names: the system; values: share of return air in its supply
  window_ajar,       ///< airways: one; values: m2, free area
  events_repeat,     ///< values: s, until when events of a timetable are repeated; s from Monday 0:00 to the start
  best_values,       ///< names: what is given as a range; values: SI, the best value of each
  stated,            ///< names: the sentence itself, of a program that builds sites
  // What every answer of the engine rests on.
  even_mixing,
  even_mixing_beside_layers,
  partial_mixing,  ///< of spaces with a mixing factor only its share of the air takes part
  given_airflows,
  driven_airflows,  ///< air moves by itself through gaps and doorways only
  ideal_gases,
  steady_only,        ///< no course in time was computed
  plumes_and_layers,  ///< values: entrainment coefficients
  layers_of_airways,
  layers_of_air_changes,
  // What was found in some cases.
  leak,                ///< spaces: where, and the other side unless it is outside; values: m3/s into the first
  shut_opening_leaks,  ///< airways
  exchange_overflows,  ///< airways
  fan_off_curve,       ///< airways
  condensation,        ///< releases; values: share that stays in the air
  mist,              ///< spaces: one; names: the vapour; values: mol/mol, the most there and the most that air can hold
  air_against_name,  ///< airways; spaces: the side that is one; values: m3/s into it, < 0 out of it
  doorway_carries_nothing,  ///< airways
  unvented,                 ///< spaces joined by gaps or doorways, but with no such way to outside
  // What a study adds.
  spread_triangular,
  spread_two_piece,
  spread_independent,
  spread_given_the_case,
  detector_alarm,  ///< values: share of the lower limit
  detector_place,
  detector_only_warns,
  detector_in_layer,
  size_release_on,
  size_fans_only,
  size_fans_one_by_one,  ///< the same; first one factor raised all, then each was lowered by itself
  size_other_needs,
  size_steady_search,
  failures_stay,  ///< of one case
  failures_stay_in_each_case,
  failures_start_moments,
  failures_tried,
  failures_pairs_worse,
  failures_steady_only,
  failures_pairs_steady_only,
  failures_pairs_kept,        ///< cases, where several were looked at; values: pairs kept, pairs that were worse
  failures_moments_left_out,  ///< the same; values: moments
  same_ids,                   ///< of a comparison
  tracer_stirs_layers,
  tracer_mixed,
  tracer_constant,
  tracer_volume,  ///< of one space
  tracer_volumes,
  tracer_spaces_alone,
  tracer_free_inflow,
};
/// As it stands in the JSON: the name of the kind.
std::string_view word_of(AssumptionKind kind);
/// What the values of a kind are, with their unit: "flow_m3_s"; empty where it has none.
std::string_view quantity_of(AssumptionKind kind);

struct Assumption {
  AssumptionKind kind = AssumptionKind::even_mixing;
  std::vector<SpaceIndex> spaces = {};
  std::vector<AirwayIndex> airways = {};
  std::vector<ReleaseIndex> releases = {};
  std::vector<std::string> names = {};
  std::vector<double> values = {};
  std::vector<CaseIndex> cases = {};  ///< those in which it was made; empty: it holds for the whole answer
};

}  // namespace leanside
