// SPDX-License-Identifier: Apache-2.0
#include "report/words/fixed_assumptions.hpp"

#include <algorithm>
#include <array>

namespace leanside::report {
namespace {

struct Sentence {
  AssumptionKind kind;
  std::string_view text;
};

using Kind = AssumptionKind;

constexpr auto of_the_site = std::to_array<Sentence>({
    {Kind::limits_at_ambient_pressure,
     "lower limits are those at ambient pressure, at which they hardly change. In a vessel that nothing leads out of, "
     "upper limits are those at the highest pressure that all of its releases can bring it to: 20.6 % more for each "
     "tenfold pressure, the line of the paraffins (Bulletin 627, from memory), but for hydrogen. In any other vessel "
     "under pressure the upper limit is higher than here"},
    {Kind::spill_stays_as_it_is,
     "spilled liquid keeps its temperature and its area until it is dry, and its vapour mixes through the whole "
     "space; over the pool and along the floor there is far more of it"},
    {Kind::complete_reaction, "reactions give off all the gas of their equation; none of it stays dissolved"},
});

constexpr auto of_the_engine = std::to_array<Sentence>({
    {Kind::even_mixing,
     "gas mixes at once and evenly through each space. Near a leak, under a ceiling or on a floor it can be far richer "
     "than these averages"},
    {Kind::even_mixing_beside_layers,
     "gas mixes at once and evenly through each space that is not in layers. Near a leak, under a ceiling or on a "
     "floor it can be far richer than these averages"},
    {Kind::partial_mixing,
     "gas mixes at once through each space; where a mixing factor is given, only its share of the air takes part. Near "
     "a leak, under a ceiling or on a floor it can be far richer than these averages"},
    {Kind::given_airflows,
     "airflows are as the file gives them: no wind, no buoyancy of warm air or light gas, no fan weakened by the "
     "pressure that it works against"},
    {Kind::driven_airflows,
     "air moves by itself through gaps and doorways only, and fans with a curve follow the pressure; every other flow "
     "is as the file gives it. The steady state was computed from a site without gas: where gas that has gathered "
     "keeps itself in, there may be another one"},
    {Kind::ideal_gases,
     "gases are ideal, at the temperature of their space and at ambient pressure except in closed vessels"},
    {Kind::steady_only, "only the steady state was computed: peaks and times are not known"},
    {Kind::layers_of_airways,
     "air and gas that come into a layered room by an airway join the layer that the airway opens into; what leaks "
     "without a way that is given leaks from the other layer than that of the gas, the cautious side"},
    {Kind::layers_of_air_changes, "air changes of a layered room are shared out to its layers by their volume"},
});

constexpr auto of_studies = std::to_array<Sentence>({
    {Kind::spread_triangular,
     "every value is spread over its range as a triangle: the best value is the likeliest, the chance falls evenly to "
     "nothing at low and high, and nothing lies beyond them"},
    {Kind::spread_two_piece,
     "every value lies below its best one half of the time and above it the other half, and between low and best, or "
     "best and high, anywhere alike; nothing lies beyond the ends"},
    {Kind::spread_independent, "each value is drawn by itself: none is high because another one is"},
    {Kind::spread_given_the_case,
     "a chance is that of the ranges as they are written, given that the releases and events of the case happen; how "
     "likely it is that they do, it does not say"},
    {Kind::detector_place,
     "gas is mixed evenly through each space, so where in the space a detector hangs does not show in these times; "
     "near a source it answers sooner, in a corner that no air passes later. High or low is common practice, no "
     "source"},
    {Kind::detector_only_warns,
     "a detector warns; it takes no gas away. It has to fit the gas, be tested and calibrated as its makers say"},
    {Kind::detector_in_layer, "in a layered room a detector hangs in the layer that the gas gathers in"},
    {Kind::size_release_on, "the release is taken as on, at its own start; everything else is as the file has it"},
    {Kind::size_fans_only,
     "only the sizes of the fans and openings above are changed, none below that of the file unless --may-lower asks "
     "for it; events keep what they set"},
    {Kind::size_fans_one_by_one,
     "only the sizes of the fans and openings above are changed, none below that of the file unless --may-lower asks "
     "for it; events keep what they set. First one factor raises all of them, then each is lowered by itself as far as "
     "it goes. Another split between them may need less in sum"},
    {Kind::size_other_needs,
     "air may be needed for other reasons than gas: fresh air for people, heat, dust, rules for the room"},
    {Kind::size_steady_search,
     "the search looked at the steady state alone, since the site is large; the result was checked in time, too"},
    {Kind::failures_stay,
     "fans and openings fail at time 0 and do not recover; all else is as in the case that was looked at"},
    {Kind::failures_stay_in_each_case,
     "fans and openings fail at time 0 and do not recover; all else is as in the case at hand"},
    {Kind::failures_start_moments,
     "a release that is off is started at time 0, when all else is near its steady state, at the worst instants of the "
     "space that it gets into and at events; of each space the worst of these counts, over the whole release"},
    {Kind::failures_tried,
     "tried are: each fan off (all of a system at once), each opening, gap and exchange blocked (opened where it is "
     "off), each doorway shut and "
     "wide open, the air changes of each space stopped, each release that is off started"},
    {Kind::failures_pairs_worse, "of the pairs only those are shown that are worse than each of the two alone"},
    {Kind::failures_steady_only,
     "of what is told as in steady state nothing else was computed: peaks of releases that end, and times, are not "
     "known of it (--in-time computes them)"},
    {Kind::failures_pairs_steady_only,
     "of all pairs but the worst only the steady state was computed, since there are too many: peaks of releases that "
     "end, and times, are not known of them (--in-time computes them)"},
    {Kind::same_ids,
     "spaces, airways, releases and cases are the same where their ids are; a space that was given another id counts "
     "as removed and added"},
    {Kind::tracer_stirs_layers,
     "rooms in layers are mixed here: a tracer is stirred in, so that its readings do not depend on the height"},
    {Kind::tracer_mixed,
     "the tracer is mixed evenly through each space, none is let in during the test, and none is taken up by walls or "
     "comes from people (carbon dioxide does)"},
    {Kind::tracer_constant,
     "flows and temperatures do not change during the test; another day, another wind and another door give other "
     "flows"},
    {Kind::tracer_volume,
     "volumes are those of the site file; an error of theirs is not in the interval, and does not touch the air change "
     "rate"},
    {Kind::tracer_volumes, "volumes are those of the site file; an error of theirs is not in the interval"},
    {Kind::tracer_spaces_alone,
     "air comes from outside and from the spaces that were measured alone; each reading counts with its relative "
     "deviation"},
    {Kind::tracer_free_inflow,
     "all air that comes in is taken as free of tracer above the background, from outside or not"},
});

template <std::size_t N>
std::string_view find(const std::array<Sentence, N>& list, AssumptionKind kind) {
  const auto found = std::find_if(list.begin(), list.end(), [&](const Sentence& one) { return one.kind == kind; });
  return found == list.end() ? std::string_view{} : found->text;
}

}  // namespace

std::string_view limits_beside(std::string_view oxidiser) {
  if (oxidiser == "nitrous-oxide") {
    return "In cases in which it gets out, lower limits count as half of those in air (of ammonia 2.2/15 of it), below "
           "every value measured in pure nitrous oxide (Bulletins 503 and 627, from memory; Pfahl, Ross and Shepherd "
           "2000)";
  }
  if (oxidiser == "chlorine") {
    return "Lower limits are those in air, which are no higher than those measured in chlorine (Bulletin 627, from "
           "memory). With hydrogen, light alone ignites it";
  }
  return "The limits are those in air, though: in it gases may burn at lower concentrations, some at far lower ones";
}

std::string_view fixed_sentence(AssumptionKind kind) {
  for (const std::string_view text : {find(of_the_site, kind), find(of_the_engine, kind), find(of_studies, kind)}) {
    if (!text.empty()) return text;
  }
  return {};
}

}  // namespace leanside::report
