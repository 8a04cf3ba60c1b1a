// SPDX-License-Identifier: Apache-2.0
#include "report/words/fixed_assumptions.hpp"

#include <algorithm>
#include <array>

namespace leanside::report {
namespace {

struct Sentence {
  AssumptionKind kind;
  Phrase phrase;
};

using Kind = AssumptionKind;

constexpr auto all = std::to_array<Sentence>({
    {Kind::limits_at_ambient_pressure, Phrase::of_limits_at_ambient_pressure},
    {Kind::spill_stays_as_it_is, Phrase::of_spill_stays_as_it_is},
    {Kind::complete_reaction, Phrase::of_complete_reaction},
    {Kind::even_mixing, Phrase::of_even_mixing},
    {Kind::even_mixing_beside_layers, Phrase::of_even_mixing_beside_layers},
    {Kind::partial_mixing, Phrase::of_partial_mixing},
    {Kind::given_airflows, Phrase::of_given_airflows},
    {Kind::driven_airflows, Phrase::of_driven_airflows},
    {Kind::ideal_gases, Phrase::of_ideal_gases},
    {Kind::steady_only, Phrase::of_steady_only},
    {Kind::layers_of_airways, Phrase::of_layers_of_airways},
    {Kind::layers_of_air_changes, Phrase::of_layers_of_air_changes},
    {Kind::spread_triangular, Phrase::of_spread_triangular},
    {Kind::spread_two_piece, Phrase::of_spread_two_piece},
    {Kind::spread_independent, Phrase::of_spread_independent},
    {Kind::spread_given_the_case, Phrase::of_spread_given_the_case},
    {Kind::detector_place, Phrase::of_detector_place},
    {Kind::detector_only_warns, Phrase::of_detector_only_warns},
    {Kind::detector_in_layer, Phrase::of_detector_in_layer},
    {Kind::size_release_on, Phrase::of_size_release_on},
    {Kind::size_fans_only, Phrase::of_size_fans_only},
    {Kind::size_fans_one_by_one, Phrase::of_size_fans_one_by_one},
    {Kind::size_other_needs, Phrase::of_size_other_needs},
    {Kind::size_steady_search, Phrase::of_size_steady_search},
    {Kind::failures_stay, Phrase::of_failures_stay},
    {Kind::failures_stay_in_each_case, Phrase::of_failures_stay_in_each_case},
    {Kind::failures_start_moments, Phrase::of_failures_start_moments},
    {Kind::failures_tried, Phrase::of_failures_tried},
    {Kind::failures_pairs_worse, Phrase::of_failures_pairs_worse},
    {Kind::failures_steady_only, Phrase::of_failures_steady_only},
    {Kind::failures_pairs_steady_only, Phrase::of_failures_pairs_steady_only},
    {Kind::same_ids, Phrase::of_same_ids},
    {Kind::tracer_stirs_layers, Phrase::of_tracer_stirs_layers},
    {Kind::tracer_mixed, Phrase::of_tracer_mixed},
    {Kind::tracer_constant, Phrase::of_tracer_constant},
    {Kind::tracer_volume, Phrase::of_tracer_volume},
    {Kind::tracer_volumes, Phrase::of_tracer_volumes},
    {Kind::tracer_spaces_alone, Phrase::of_tracer_spaces_alone},
    {Kind::tracer_free_inflow, Phrase::of_tracer_free_inflow},
});

}  // namespace

Phrase limits_beside(std::string_view oxidiser) {
  if (oxidiser == "nitrous-oxide") return Phrase::limits_beside_nitrous_oxide;
  return oxidiser == "chlorine" ? Phrase::limits_beside_chlorine : Phrase::limits_beside_others;
}

std::optional<Phrase> fixed_sentence(AssumptionKind kind) {
  const auto found = std::find_if(all.begin(), all.end(), [&](const Sentence& one) { return one.kind == kind; });
  return found == all.end() ? std::nullopt : std::optional{found->phrase};
}

}  // namespace leanside::report
