// SPDX-License-Identifier: Apache-2.0
/// Emission rates of releases (docs/methods.md, section 6).
#pragma once

#include <vector>

#include "second_opinion/model.hpp"

namespace second_opinion {

/// Flow of gas through the hole of a release, mol/s, at the inside pressure `pressure`, Pa.
Real through_hole(const Site& site, const Release& release, Real pressure);
/// Sets how a cylinder empties or a liquid boils away, and how long that takes.
void find_course(const Site& site, Release& release);
/// mol that come out of a cylinder.
Real content_above_ambient(const Release& release);
/// Emission times, s, at which one piece of a course follows another.
std::vector<Real> joints(const Release& release);

/// Whether it comes out by a course of pieces: a cylinder, a boiling liquid.
bool runs_a_course(const Release& release);
/// Whether the rate varies: a course, a spill, a reaction with a half time.
bool varies(const Release& release);
/// Emission rate, mol/s, after `age` s of emission; not of a spill.
Real rate_of(const Release& release, Real age);
/// Amount emitted after `age` s, mol, by any release except a spill.
Real given_by(const Release& release, Real age);

}  // namespace second_opinion
