// SPDX-License-Identifier: Apache-2.0
#include "report/svg/apparatus_parts.hpp"

#include <algorithm>
#include <cmath>

#include "report/svg/states.hpp"
#include "report/words/experiments.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

const Space& space_of(Told site, const Experiment& e) { return site->spaces[e.space.value]; }

std::string length_words(Told site, double metres) {
  constexpr double small = 0.03;
  return format_quantity(metres, metres < small ? "mm" : metres < 1.0 ? "cm" : "m", 3, site->conditions.units);
}

/// Which way gas and air go through an opening.
void set_ways(ApparatusPart& part, const Experiment& e, double middle) {
  const bool floats = e.density < e.surrounding_density;
  if (!(e.air_flow > 0.0)) {
    part.gas_out = e.gas_in > 0.0;
  } else if (e.way == WayIn::two_openings) {
    part.gas_out = (part.hole->height > middle) == floats;
    part.air_in = !part.gas_out;
  } else {
    part.gas_out = part.air_in = true;
  }
}

std::string way_words(const ApparatusPart& part, const PageWords& words) {
  if (part.gas_out && part.air_in) return ", " + std::string{words.gas_and_air};
  if (part.gas_out) return ", " + std::string{words.gas_leaves};
  return part.air_in ? ", " + std::string{words.air_enters} : std::string{};
}

void add_holes(Told site, const Experiment& e, const PageWords& words, std::vector<ApparatusPart>& out) {
  const ApparatusShape shape = apparatus_shape(site, e);
  const auto& holes = space_of(site, e).apparatus.openings;
  double low = HUGE_VAL, high = -HUGE_VAL;
  for (const VesselOpening& hole : holes) {
    low = std::min(low, hole.height);
    high = std::max(high, hole.height);
  }
  for (const VesselOpening& hole : holes) {
    ApparatusPart part;
    part.hole = hole;
    set_ways(part, e, 0.5 * (low + high));
    const bool mouth = (shape.open_up && hole.facing == Facing::up) || (shape.open_down && hole.facing == Facing::down);
    const std::string_view name = !mouth                        ? words.opening_of
                                  : hole.facing == Facing::down ? words.mouth_down
                                                                : words.mouth_up;
    part.words = said(name, length_words(site, hole.diameter)) + way_words(part, words);
    if (hole.flame) part.words += ", " + std::string{words.lit_there};
    out.push_back(std::move(part));
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const ApparatusPart& a, const ApparatusPart& b) { return a.hole->height > b.hole->height; });
}

void add_tubes(Told site, const CaseResult& result, const Experiment& e, const PageWords& words,
               std::vector<ApparatusPart>& out) {
  const Space& space = space_of(site, e);
  if (space.apparatus.jars) {
    ApparatusPart part{{}, TubeEnd::to_jars, true, false, {}};
    part.words = said(words.tube_to_jars, gas_volume_words(site, *space.apparatus.jars));
    out.push_back(std::move(part));
  }
  for (std::size_t i = 0; i < site->airways.size() && i < result.flows.airways.size(); ++i) {
    const Airway& airway = site->airways[i];
    const Side first = first_side(airway), second = second_side(airway);
    if (first != Side{e.space} && second != Side{e.space}) continue;
    // The openings of the apparatus and its collecting tube have an airway of their own, which is drawn already.
    if (airway.id == space.id + ":mouth" || airway.id == space.id + ":tube") continue;
    const Side other = first == Side{e.space} ? second : first;
    const bool from = other && std::find(e.fed_by.begin(), e.fed_by.end(), *other) != e.fed_by.end();
    ApparatusPart part{{}, from ? TubeEnd::from_vessel : TubeEnd::to_space, !from, false, {}};
    const std::string name = other ? label(site, *other) : std::string{words.outside};
    part.words = said(from ? words.tube_from : words.tube_to, name);
    out.push_back(std::move(part));
  }
}

}  // namespace

ApparatusShape apparatus_shape(Told site, const Experiment& experiment) {
  const Space& space = space_of(site, experiment);
  const Apparatus& given = space.apparatus;
  ApparatusShape shape;
  const double whole = space.volume + given.liquid;
  constexpr double quarter_pi = 0.7853981634;
  shape.known = given.diameter && given.inner_height && space.height;
  shape.width = given.diameter.value_or(std::cbrt(whole / quarter_pi));
  shape.height = given.inner_height.value_or(whole / (quarter_pi * shape.width * shape.width));
  shape.surface = whole > 0.0 ? shape.height * given.liquid / whole : 0.0;
  constexpr double full_width = 0.9;
  for (const VesselOpening& hole : given.openings) {
    if (hole.diameter < full_width * shape.width) continue;
    shape.open_up = shape.open_up || hole.facing == Facing::up;
    shape.open_down = shape.open_down || hole.facing == Facing::down;
  }
  shape.stoppered = given.openings.empty();
  return shape;
}

std::vector<ApparatusPart> apparatus_parts(Told site, const CaseResult& result, const Experiment& experiment,
                                           const PageWords& words) {
  std::vector<ApparatusPart> out;
  add_holes(site, experiment, words, out);
  add_tubes(site, result, experiment, words, out);
  return out;
}

std::string size_words(Told site, const Experiment& experiment, const PageWords& words) {
  const ApparatusShape shape = apparatus_shape(site, experiment);
  const std::string gas = gas_volume_words(site, space_of(site, experiment).volume);
  if (!shape.known) return said(words.vessel_without_shape, gas);
  return said(words.vessel_size, length_words(site, shape.width), length_words(site, shape.height), gas);
}

FlameState content_state(const CaseResult& result, const Experiment& experiment) {
  if (experiment.window && !experiment.fed) {
    return experiment.rich_share < 1.0 ? FlameState::steady : FlameState::may_strike;
  }
  switch (result.spaces[experiment.space.value].worst.state) {
    case MixtureState::flammable:
      return FlameState::may_strike;
    case MixtureState::rich:
    case MixtureState::inerted:
      return FlameState::steady;
    default:
      return FlameState::out;
  }
}

std::string gas_state_words(Told site, const Experiment& experiment, FlameState state, const PageWords& words) {
  if (experiment.fuel > 0.0) {
    return content_words(site, experiment) + ": " + std::string{words_of(state, words)};
  }
  // Nothing that burns: the gases themselves, the most of them first.
  std::vector<std::size_t> there;
  constexpr double trace = 1e-3;
  for (std::size_t k = 0; k < experiment.content.size(); ++k) {
    if (experiment.content[k] > trace) there.push_back(k);
  }
  std::stable_sort(there.begin(), there.end(),
                   [&](std::size_t a, std::size_t b) { return experiment.content[a] > experiment.content[b]; });
  constexpr std::size_t most = 2;
  std::string out;
  for (std::size_t i = 0; i < std::min(most, there.size()); ++i) {
    out += (out.empty() ? "" : ", ") + gas_name(site, GasIndex{there[i]});
  }
  return out.empty() ? std::string{words.air_alone} : out;
}

}  // namespace leanside::report
