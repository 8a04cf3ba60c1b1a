// SPDX-License-Identifier: Apache-2.0
/// Air that gets into a small vessel against a flow of gas out of it. Pure functions; SI units. docs/methods.md,
/// section 15, derives them.
#pragma once

#include "leanside/advanced/bench.hpp"

namespace leanside {

/// Of the flow with which air and content pass each other in one opening, as many times must flow out to keep all air
/// away. Common practice for a purge, no source: 2 to 3.
inline constexpr double least_purge = 2.0, usual_purge = 2.5, most_purge = 3.0;

/// m3/s of air that gets in by itself while `outflow` m3/s of unmixed content more leave than get in.
///
/// Two openings: with both resistances in series, rho_g (q + F)^2/(C a_o)^2 + rho_a q^2/(C a_i)^2 = 2 |drho| g h, 0
/// where F alone takes up the whole head (derived; without outflow it is draining_flow()). One opening: the exchange
/// less the outflow over `usual_purge` (`least_purge` for Bound::slow); for Bound::quick all of the exchange until the
/// outflow is `most_purge` times as much, then nothing. Diffusion is thinned by Pe/(e^Pe - 1), Pe the outflow over the
/// diffusion without it (steady diffusion against a flow; from memory).
double air_against(const BenchVessel& vessel, const BenchGas& gas, double outflow, Bound bound);

/// m3/s of outflow against which no air gets in; of diffusion, which never quite ends, all but 1 % of it.
double outflow_against_air(const BenchVessel& vessel, const BenchGas& gas, Bound bound);

}  // namespace leanside
