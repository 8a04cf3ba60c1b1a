// SPDX-License-Identifier: Apache-2.0
/// Rooms whose gas lies in layers (docs/methods.md, section 12). Each has two cells: that of the layer that the gas
/// gathers in has the number of the space, those of the ambient layers come after all spaces.
#pragma once

#include <vector>

#include "second_opinion/flows.hpp"

namespace second_opinion {

/// Who is layered, and where the edges are.
struct Layers {
  std::vector<std::size_t> rooms;  ///< that are layered; cell spaces + k is the ambient layer of rooms[k]
  std::vector<int> ambient;        ///< by space: its ambient cell, or outside where it is not layered
  std::vector<bool> above;         ///< by space: its gas gathers under the ceiling
  std::vector<Real> edge, height;  ///< by space, m above its floor
  std::size_t cells = 0;

  bool is_layered(int side) const { return side != outside && ambient[static_cast<std::size_t>(side)] != outside; }
  int lower(int side) const {
    return above[static_cast<std::size_t>(side)] ? ambient[static_cast<std::size_t>(side)] : side;
  }
  int upper(int side) const {
    return above[static_cast<std::size_t>(side)] ? side : ambient[static_cast<std::size_t>(side)];
  }
};
/// With every layer of gas as thin as it may be.
Layers layers_of(const Site& site);
/// Puts the edges where layers of gas that hold `share` of their rooms have them.
void put_edges(Layers& layers, const Vector& share);

/// A piece of an opening that joins one layer with one layer.
struct Piece {
  Real low = 0, high = 0;                 ///< m, of a doorway
  Real share = 1;                         ///< of the whole, of any other way
  int first = outside, second = outside;  ///< cells
};
/// All of the airway; in one piece where `layers` is null or neither side is layered.
std::vector<Piece> cut(const Site& site, const Layers* layers, std::size_t airway);

/// Heights above the floor at which the edge of a room comes to something: openings, releases, thin layers.
std::vector<Real> levels(const Site& site, const Layers& layers, std::size_t room);

/// m3/s of the ambient layer that the plumes into a room draw in; `rate` mol/s by release.
Real drawn_in(const Site& site, const Layers& layers, std::size_t room, const std::vector<Real>& rate,
              Real density_of_ambient, Real moles_of_a_m3);

/// mol/s between the layers, beside plumes.
struct Crossing {
  Real to_gas = 0, to_ambient = 0;
};
/// What the layer of gas gets more than it passes on is `surplus` mol/s; it holds `share` of the room's `held` mol.
Crossing crossing(Real surplus, Real share, Real held, bool fed);
/// Layers that lie upside down change places: m3/s each way.
Real tumbling(const Site& site, const Layers& layers, std::size_t room, Real density_of_gas, Real density_of_ambient);

}  // namespace second_opinion
