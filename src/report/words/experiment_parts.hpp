// SPDX-License-Identifier: Apache-2.0
/// Words that the danger of a vessel and the advice on it share.
#pragma once

#include <string>

#include "leanside/assess.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

const Apparatus& apparatus_of(Told site, const Experiment& e);
/// Whether the content burns without air, so that no amount of sweeping makes it too rich.
bool burns_alone(Told site, const Experiment& e);
/// m3/s as "20 mL/min" or "1.2 L/min", in the units of the site.
std::string litres_a_minute(Told site, double flow);
/// The same for a flow that has to be reached: rounded up, so that who sets it has enough.
std::string flow_needed(Told site, double flow);
/// Whether air gets in against gas that flows out.
bool lets_air_in(const Experiment& e);

}  // namespace leanside::report
