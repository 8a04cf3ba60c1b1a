// SPDX-License-Identifier: Apache-2.0
#include "leanside/assumptions.hpp"

#include <array>
#include <cstddef>

namespace leanside {
namespace {

struct Kind {
  AssumptionKind kind;
  std::string_view word, quantity;
};

/// In the order of the enumerators.
constexpr auto kinds = std::to_array<Kind>({
    {AssumptionKind::default_temperature, "default_temperature", "temperature_k"},
    {AssumptionKind::default_inside_temperature, "default_inside_temperature", "temperature_k"},
    {AssumptionKind::default_outside_temperature, "default_outside_temperature", "temperature_k"},
    {AssumptionKind::default_pressure, "default_pressure", "pressure_pa"},
    {AssumptionKind::default_criteria, "default_criteria", ""},
    {AssumptionKind::well_mixed, "well_mixed", ""},
    {AssumptionKind::closed_but_for_releases, "closed_but_for_releases", ""},
    {AssumptionKind::stands_in_room, "stands_in_room", ""},
    {AssumptionKind::sealed, "sealed", ""},
    {AssumptionKind::parts_of_mixture, "parts_of_mixture", "fraction"},
    {AssumptionKind::cautious_limits, "cautious_limits", ""},
    {AssumptionKind::limits_at_ambient_pressure, "limits_at_ambient_pressure", ""},
    {AssumptionKind::weaker_inert_gas, "weaker_inert_gas", "nitrogen_equivalent"},
    {AssumptionKind::counted_as_oxygen, "counted_as_oxygen", ""},
    {AssumptionKind::default_discharge, "default_discharge", "discharge_coefficient"},
    {AssumptionKind::default_air_speed, "default_air_speed", "air_speed_m_s"},
    {AssumptionKind::ideal_under_pressure, "ideal_under_pressure", "real_over_ideal"},
    {AssumptionKind::ideal_unchecked, "ideal_unchecked", ""},
    {AssumptionKind::spill_stays_as_it_is, "spill_stays_as_it_is", ""},
    {AssumptionKind::boiling_spill, "boiling_spill", "heat_w_m2"},
    {AssumptionKind::complete_reaction, "complete_reaction", ""},
    {AssumptionKind::battery_standard, "battery_standard", "factor"},
    {AssumptionKind::fitted_flow, "fitted_flow", "flow_m3_s"},
    {AssumptionKind::recirculation, "recirculation", "share"},
    {AssumptionKind::window_ajar, "window_ajar", "free_area_m2"},
    {AssumptionKind::events_repeat, "events_repeat", "time_s"},
    {AssumptionKind::best_values, "best_values", "best"},
    {AssumptionKind::stated, "stated", ""},
    {AssumptionKind::even_mixing, "even_mixing", ""},
    {AssumptionKind::even_mixing_beside_layers, "even_mixing_beside_layers", ""},
    {AssumptionKind::partial_mixing, "partial_mixing", ""},
    {AssumptionKind::given_airflows, "given_airflows", ""},
    {AssumptionKind::driven_airflows, "driven_airflows", ""},
    {AssumptionKind::ideal_gases, "ideal_gases", ""},
    {AssumptionKind::steady_only, "steady_only", ""},
    {AssumptionKind::plumes_and_layers, "plumes_and_layers", "entrainment"},
    {AssumptionKind::layers_of_airways, "layers_of_airways", ""},
    {AssumptionKind::layers_of_air_changes, "layers_of_air_changes", ""},
    {AssumptionKind::leak, "leak", "flow_m3_s"},
    {AssumptionKind::shut_opening_leaks, "shut_opening_leaks", ""},
    {AssumptionKind::exchange_overflows, "exchange_overflows", ""},
    {AssumptionKind::fan_off_curve, "fan_off_curve", ""},
    {AssumptionKind::condensation, "condensation", "share"},
    {AssumptionKind::mist, "mist", "fraction"},
    {AssumptionKind::air_against_name, "air_against_name", "flow_m3_s"},
    {AssumptionKind::doorway_carries_nothing, "doorway_carries_nothing", ""},
    {AssumptionKind::unvented, "unvented", ""},
    {AssumptionKind::spread_triangular, "spread_triangular", ""},
    {AssumptionKind::spread_two_piece, "spread_two_piece", ""},
    {AssumptionKind::spread_independent, "spread_independent", ""},
    {AssumptionKind::spread_given_the_case, "spread_given_the_case", ""},
    {AssumptionKind::detector_alarm, "detector_alarm", "alarm"},
    {AssumptionKind::detector_place, "detector_place", ""},
    {AssumptionKind::detector_only_warns, "detector_only_warns", ""},
    {AssumptionKind::detector_in_layer, "detector_in_layer", ""},
    {AssumptionKind::size_release_on, "size_release_on", ""},
    {AssumptionKind::size_fans_only, "size_fans_only", ""},
    {AssumptionKind::size_fans_one_by_one, "size_fans_one_by_one", ""},
    {AssumptionKind::size_other_needs, "size_other_needs", ""},
    {AssumptionKind::size_steady_search, "size_steady_search", ""},
    {AssumptionKind::failures_stay, "failures_stay", ""},
    {AssumptionKind::failures_stay_in_each_case, "failures_stay_in_each_case", ""},
    {AssumptionKind::failures_start_moments, "failures_start_moments", ""},
    {AssumptionKind::failures_tried, "failures_tried", ""},
    {AssumptionKind::failures_pairs_worse, "failures_pairs_worse", ""},
    {AssumptionKind::failures_steady_only, "failures_steady_only", ""},
    {AssumptionKind::failures_pairs_steady_only, "failures_pairs_steady_only", ""},
    {AssumptionKind::failures_pairs_kept, "failures_pairs_kept", "pairs"},
    {AssumptionKind::failures_moments_left_out, "failures_moments_left_out", "moments"},
    {AssumptionKind::same_ids, "same_ids", ""},
    {AssumptionKind::tracer_stirs_layers, "tracer_stirs_layers", ""},
    {AssumptionKind::tracer_mixed, "tracer_mixed", ""},
    {AssumptionKind::tracer_constant, "tracer_constant", ""},
    {AssumptionKind::tracer_volume, "tracer_volume", ""},
    {AssumptionKind::tracer_volumes, "tracer_volumes", ""},
    {AssumptionKind::tracer_spaces_alone, "tracer_spaces_alone", ""},
    {AssumptionKind::tracer_free_inflow, "tracer_free_inflow", ""},
});

constexpr bool in_order() {
  for (std::size_t i = 0; i < kinds.size(); ++i) {
    if (kinds[i].kind != static_cast<AssumptionKind>(i)) return false;
  }
  return kinds.back().kind == AssumptionKind::tracer_free_inflow;
}
static_assert(in_order());

const Kind& entry(AssumptionKind kind) { return kinds[static_cast<std::size_t>(kind)]; }

}  // namespace

std::string_view word_of(AssumptionKind kind) { return entry(kind).word; }

std::string_view quantity_of(AssumptionKind kind) { return entry(kind).quantity; }

}  // namespace leanside
