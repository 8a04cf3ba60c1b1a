// SPDX-License-Identifier: Apache-2.0
/// Gaps, doorways and fans with a curve, equations (8) and (9): the pressures that balance every space.
#pragma once

#include <vector>

#include "second_opinion/flows.hpp"
#include "second_opinion/layers.hpp"

namespace second_opinion {

/// kg/m3 of what spaces hold, by what it consists of and how warm it is.
Vector densities(const Site& site, const Moment& moment, const Matrix& x);

/// Whether anything follows pressures now.
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
  Real largest = 0;             ///< that was met on the way: what is far below it is round-off
};

/// Flows of the airways that follow pressures, where `surplus` mol/s is what every space has too much
/// without them, and `released` what is let out there. Spaces that a relief joins share one pressure; one to outside
/// holds it. `pressure` is where it begins, and ends.
Driven driven_flows(const Site& site, const Moment& moment, const Vector& surplus, const Vector& released,
                    const Vector& density, Vector& pressure, const Layers* layers = nullptr);

/// What of that goes through one piece, at solved pressures.
BothWays through_piece(const Site& site, const Moment& moment, std::size_t airway, const Piece& piece,
                       const Vector& density, const Vector& pressure, const Layers& layers);

}  // namespace second_opinion
