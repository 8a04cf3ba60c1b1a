// SPDX-License-Identifier: Apache-2.0
/// Leakage areas that are assumed (docs/methods.md, section 3): of shut openings and of rooms.
#pragma once

#include <optional>

#include "second_opinion/model.hpp"

namespace second_opinion {

/// m2 of the assumed exponent that passes no more than the opening, wide open, from 4 to 1000 Pa.
std::optional<Real> size_of(const Airway& a);

/// mol/s that a leakage area passes at the most that is assumed across it, 100 Pa.
Real most_leak(const Site& site, Real area);

/// m2 of leakage area of a space, by its floor.
Real leakage(const Space& s);

}  // namespace second_opinion
