// SPDX-License-Identifier: Apache-2.0
/// Groups of spaces that lead nowhere outside (docs/methods.md, section 3, points 2 to 4 and fans that starve): the
/// same site with what is assumed of them written down as airways of their own.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "second_opinion/flows.hpp"

namespace second_opinion {

/// An airway that was added: a shut opening that leaks, or a leak of a space.
struct Extra {
  std::size_t airway = 0;           ///< in the new site
  std::optional<std::size_t> shut;  ///< the opening that it stands for
  std::size_t space = 0;            ///< else the space that leaks, the first side
};

struct Closed {
  Site site;  ///< with the extras; fans that starve have a curve
  Moment moment;
  std::vector<Extra> extras;
  std::vector<bool> promoted;  ///< by airway: exchanges that act as openings too
  std::vector<bool> breathes;  ///< by space: air changes that do
  Vector leak;                 ///< mol/s into each room from outdoors, within what it leaks
  std::string fault;
};

/// `moves`: the openings that lead somewhere. With `bursting` `surplus` bursts out at once; else it is what is
/// released.
Closed write_down(const Site& site, const Moment& moment, const std::vector<bool>& moves, const Vector& surplus,
                  bool bursting);

}  // namespace second_opinion
