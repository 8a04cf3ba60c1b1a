// SPDX-License-Identifier: Apache-2.0
/// How strong a release is (docs/methods.md, section 6).
#pragma once

#include "second_opinion/model.hpp"

namespace second_opinion {

/// mol/s through the hole of a release at `pressure` inside.
Real through_hole(const Site& site, const Release& release, Real pressure);
/// s until a cylinder stands at the pressure of the air.
Real emptied_after(const Site& site, const Release& release);

}  // namespace second_opinion
