// SPDX-License-Identifier: Apache-2.0
/// Gaps, doorways and fans with a curve, equations (6) and (7): the pressures that balance every space.
#pragma once

#include <vector>

#include "second_opinion/flows.hpp"
#include "second_opinion/layers.hpp"

namespace second_opinion {

/// Density of the gas in each space, kg/m3, from its composition and temperature.
Vector densities(const Site& site, const Moment& moment, const Matrix& x);

/// Whether the flow through an airway depends on pressure now.
bool is_driven(const Site& site, const Moment& moment, std::size_t airway);

/// Whether any flow depends on pressure now.
bool follows_pressures(const Site& site, const Moment& moment);

/// Airways that follow pressures, but those of junctions which one place cuts off from all that they could get anything
/// from: other places, or what works on themselves.
std::vector<bool> driven_ways(const Site& site, const Moment& moment, const Vector& released);

/// mol/s through an airway either way.
struct BothWays {
  Real forward = 0, backward = 0;
};

struct Driven {
  std::vector<BothWays> flows;  ///< by airway
  Real largest = 0;             ///< largest flow during the iteration; flows far below it are round-off
};

/// Flows of the airways whose flow depends on pressure. `surplus`, mol/s: inflow less outflow of each space without
/// them. `released`, mol/s: emission rate into each space. Spaces connected by an opening share one pressure, and an
/// opening to outside fixes it. `pressure`: initial guess and result, Pa.
Driven driven_flows(const Site& site, const Moment& moment, const Vector& surplus, const Vector& released,
                    const Vector& density, Vector& pressure, const Layers* layers = nullptr);

/// The flow through one piece of an airway at the solved pressures.
BothWays through_piece(const Site& site, const Moment& moment, std::size_t airway, const Piece& piece,
                       const Vector& density, const Vector& pressure, const Layers& layers);

}  // namespace second_opinion
