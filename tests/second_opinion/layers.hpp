// SPDX-License-Identifier: Apache-2.0
/// Layered rooms (docs/methods.md, section 12). Each has two cells: the cell of the gas layer has the number of the
/// space, and the cells of the ambient layers follow after all spaces.
#pragma once

#include <algorithm>
#include <vector>

#include "second_opinion/flows.hpp"

namespace second_opinion {

/// Which rooms are layered, and where their interfaces are.
struct Layers {
  std::vector<std::size_t> rooms;  ///< the layered ones; cell spaces + k is the ambient layer of rooms[k]
  std::vector<int> ambient;        ///< by space: its ambient cell, or outside if it is not layered
  std::vector<bool> above;         ///< by space: its gas gathers under the ceiling
  std::vector<Real> edge, height;  ///< by space: interface and room height, m above the floor
  std::size_t cells = 0;

  /// Rows of a solution: those after the cells are the interfaces, then the far ends, in order of `rooms`.
  std::size_t interface_row(std::size_t space) const {
    return cells + static_cast<std::size_t>(std::find(rooms.begin(), rooms.end(), space) - rooms.begin());
  }
  std::size_t far_row(std::size_t space) const { return interface_row(space) + rooms.size(); }

  bool is_layered(int side) const { return side != outside && ambient[static_cast<std::size_t>(side)] != outside; }
  int lower(int side) const {
    return above[static_cast<std::size_t>(side)] ? ambient[static_cast<std::size_t>(side)] : side;
  }
  int upper(int side) const {
    return above[static_cast<std::size_t>(side)] ? side : ambient[static_cast<std::size_t>(side)];
  }
};
/// The layers of a site, with every gas layer at its smallest thickness.
Layers layers_of(const Site& site);
/// Sets the interfaces for gas layers that fill `share` of their rooms.
void put_edges(Layers& layers, const Vector& share);

/// A piece of an opening that connects one layer with one other layer.
struct Piece {
  Real low = 0, high = 0;                 ///< m, of a doorway
  Real share = 1;                         ///< of the whole, of any other airway
  int first = outside, second = outside;  ///< cells
};
/// All pieces of an airway; a single one if `layers` is null or neither side is layered.
std::vector<Piece> cut(const Site& site, const Layers* layers, std::size_t airway);

/// Breakpoints of the interface of a room, m above the floor: openings, releases, thin layers.
std::vector<Real> levels(const Site& site, const Layers& layers, std::size_t room);

/// Flow that the plumes of a room entrain from the ambient layer, m3/s; `rate`: mol/s, by release.
Real drawn_in(const Site& site, const Layers& layers, std::size_t room, const std::vector<Real>& rate,
              Real density_of_ambient, Real moles_of_a_m3);

/// Slope of the fraction at the edge between the layers, per height of the room.
Real slope_at_edge(Real share, Real gas, Real ambient);
/// What diffuses each way between the layers, m3/s; `share` of the room that the layer of gas fills, all gas in it and
/// in the other layer.
Real spread_across(const Site& site, const Layers& layers, std::size_t room, Real temperature, Real share, Real gas,
                   Real ambient);

/// Fractions at the far end of the layer of gas, by gas, from the means of both layers and the share of the room that
/// the layer fills. `rate`, `density_of_ambient`, `moles_of_a_m3` as above.
Vector at_far_end(const Site& site, const Layers& layers, std::size_t room, const std::vector<Real>& rate,
                  Real density_of_ambient, Real moles_of_a_m3, const Vector& gas, const Vector& ambient, Real share);

/// Flow between the layers apart from plumes, mol/s.
struct Crossing {
  Real to_gas = 0, to_ambient = 0;
};
/// `surplus`: inflow less outflow of the gas layer, mol/s. The layer contains `share` of the `held` mol of the room.
Crossing crossing(Real surplus, Real share, Real held, bool fed);
/// Flow each way between layers in unstable order, the denser one above, m3/s.
Real tumbling(const Site& site, const Layers& layers, std::size_t room, Real density_of_gas, Real density_of_ambient);

}  // namespace second_opinion
