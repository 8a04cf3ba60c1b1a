// SPDX-License-Identifier: Apache-2.0
/// Liquids: what stands over them, how they dry, boil and leave a cylinder (docs/methods.md, section 6).
#pragma once

#include <string>
#include <vector>

#include "second_opinion/model.hpp"

namespace second_opinion {

/// Vapour pressure of a pure liquid, Pa: the wide-range equation in its range, otherwise Antoine's.
Real vapour_pressure(const std::string& gas, Real temperature);
/// The same of any gas of the site, as far as it condenses; infinite where it does not, or where nothing tells.
Real saturation_pressure(const std::string& gas, Real temperature);
/// Pa over a liquid of the composition of the release.
Real bubble_pressure(const Site& site, const Release& release, Real temperature);
/// Pa of a gas of that composition at which the first drop forms.
Real dew_pressure(const Site& site, const Release& release, Real temperature);
/// kg/m3 of the liquid under its own vapour.
Real liquid_density(const Site& site, const Release& release, Real temperature);
/// kg/mol of what the release consists of.
Real molar_mass_of(const Site& site, const Release& release);
/// K at which a pure liquid boils at the pressure of the site.
Real boiling_point(const Site& site, const std::string& gas);

/// What a pool gives off while it has one composition.
struct Stage {
  Real amount = 0;    ///< mol
  Real pressure = 0;  ///< Pa over the liquid
  std::vector<Share> vapour;
};
/// The stages of a spill; one of a pure liquid.
std::vector<Stage> stages_of(const Site& site, const Release& spill);
/// mol/s of a spill in a stage; `there` is the partial pressure of its vapour over that of the air.
Real evaporation(const Site& site, const Release& spill, const Stage& stage, Real there);

/// How a liquid boils away on the floor of its space.
std::vector<CoursePiece> boiling_course(const Site& site, const Release& release);

}  // namespace second_opinion
