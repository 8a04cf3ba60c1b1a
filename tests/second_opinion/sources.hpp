// SPDX-License-Identifier: Apache-2.0
/// Emission rates of releases (docs/methods.md, section 6).
#pragma once

#include <vector>

#include "second_opinion/model.hpp"

namespace second_opinion {

/// Flow through the hole of a release, mol/s, at the inside pressure `pressure`, Pa.
Real through_hole(const Site& site, const Release& release, Real pressure);
/// Time, s, until a cylinder is at ambient pressure.
Real emptied_after(const Site& site, const Release& release);
/// Emission times, s, at which one piece of the course of a cylinder follows another.
std::vector<Real> joints(const Site& site, const Release& release);

/// Whether the rate varies: a cylinder, a spill, a reaction with a half time.
bool varies(const Release& release);
/// Fraction of vapour, mol/mol, at which a spill stops evaporating.
Real saturated_fraction(const Site& site, const Release& release);
/// Emission rate, mol/s, after `age` s of emission; for a spill, where its gas has the fraction `there`.
Real rate_of(const Site& site, const Release& release, Real age, Real there);
/// Amount emitted after `age` s, mol, by any release except a spill.
Real given_by(const Site& site, const Release& release, Real age);

}  // namespace second_opinion
