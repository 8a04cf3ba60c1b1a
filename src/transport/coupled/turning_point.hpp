// SPDX-License-Identifier: Apache-2.0
/// Where air that varying releases displace reverses, or a fan begins or ceases to starve.
#pragma once

#include "transport/run/setup.hpp"
#include "transport/run/timeline.hpp"

namespace leanside::transport {

/// The first instant, s, within a stretch at which air reverses in some airway, or a fan begins or ceases to starve,
/// because a release varies; the end of the stretch if there is none. The equations are not smooth there, so no step
/// should pass that instant. Only for stretches whose flows depend on time alone.
double turning_point(const RunSetup& setup, const Stretch& stretch);

}  // namespace leanside::transport
