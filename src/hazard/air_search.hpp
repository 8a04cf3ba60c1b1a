// SPDX-License-Identifier: Apache-2.0
/// The least fresh air, and the least openings, that keep a space within its criteria.
#pragma once

#include "hazard/judge.hpp"
#include "hazard/trials.hpp"

namespace leanside::hazard {

/// What the search works on: one case as it was solved.
struct SolvedCase {
  const Site& site;
  const CaseResult& result;
  const MixtureModels& models;
  SteadySystem& system;
  Trials& trials;
};

/// What a warning asks of its measure: `target` is what the measure must not pass, as measure_of() weighs the gases.
struct Aim {
  double target = 0.0;
  bool steady_over = false;  ///< the steady state is over it
  bool start_over = false;   ///< it is over from the start
};

/// The most fresh air, m3/s, that may be advised on top of what already goes through the space at the start.
double most_extra_air(const SolvedCase& solved, SpaceIndex space);

enum class AirFor { nothing, steady_state, course };

/// Sets extra_air, value_after and after_air of the remedy: the least fresh air that holds in the steady state and over
/// the whole course; or air_limit where there is none that may be advised. What decided how much: the steady state
/// (value_after is then as measure_of() weighs it) or the worst instant (value_after is as Outcome::worst).
AirFor find_air(const SolvedCase& solved, const Aim& aim, Warning& warning);

/// Sets vent_area, value_after and after_air: two equal openings at ceiling and floor that bring the layer under
/// `target` in the steady state, or at least under its lower limit. Whether there are any up to 4 m2.
bool find_vents(const SolvedCase& solved, const Aim& aim, Warning& warning);

/// Sets the opening of the remedy where a fan of the space gets too little air or gets rid of too little: the opening
/// that it asks for, put into the site. Whether that alone keeps the space within its criteria.
bool find_opening(const SolvedCase& solved, Warning& warning);

}  // namespace leanside::hazard
