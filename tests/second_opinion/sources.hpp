// SPDX-License-Identifier: Apache-2.0
/// How strong a release is (docs/methods.md, section 6).
#pragma once

#include "second_opinion/model.hpp"

namespace second_opinion {

/// mol/s through the hole of a release at `pressure` inside.
Real through_hole(const Site& site, const Release& release, Real pressure);
/// s until a cylinder stands at the pressure of the air.
Real emptied_after(const Site& site, const Release& release);
/// Ages at which the flow from a cylinder ceases to be choked; 0 where it never is.
Real choked_until(const Site& site, const Release& release);

/// A rate that changes by itself: a cylinder, a spill, a reaction with a half time.
bool varies(const Release& release);
/// mol/mol over a spill that its vapour holds back altogether.
Real saturated_fraction(const Site& site, const Release& release);
/// mol/s of a release that has let out gas for `age` s, of a spill where its gas has the fraction `there`.
Real rate_of(const Site& site, const Release& release, Real age, Real there);
/// mol that any but a spill has given by then.
Real given_by(const Site& site, const Release& release, Real age);

}  // namespace second_opinion
