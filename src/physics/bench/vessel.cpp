// SPDX-License-Identifier: Apache-2.0
/// Air that gets into a small vessel by itself: how fast, and when its content can burn.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "leanside/advanced/bench.hpp"
#include "leanside/advanced/bench_feed.hpp"
#include "leanside/units.hpp"

namespace leanside {

double BenchGas::difference() const { return std::abs(outside - inside); }

double BenchGas::density_at(double share) const { return outside + share * (inside - outside); }

std::string_view word_of(WayIn way) {
  switch (way) {
    case WayIn::two_openings:
      return "two_openings";
    case WayIn::narrow_mouth:
      return "narrow_mouth";
    case WayIn::wide_mouth:
      return "wide_mouth";
    case WayIn::side:
      return "side";
    case WayIn::diffusion:
      return "diffusion";
    case WayIn::small_hole:
      return "small_hole";
    case WayIn::none:
      break;
  }
  return "none";
}

namespace {

constexpr double pi = std::numbers::pi;
/// An opening this wide, against the vessel, is its whole width.
constexpr double whole_width = 0.9;

double area_of(const BenchOpening& opening) { return pi * opening.diameter * opening.diameter / 4.0; }

/// The openings of a vessel as the gas sees them: those that it leaves by, and those where air comes in.
struct Ways {
  Drain drain;                         ///< without discharge
  double depth = 0.0;                  ///< m, between the two
  double dead = 0.0;                   ///< m, on the far side of the way in: emptied at the full flow
  double trapped = 0.0;                ///< m, on the far side of the way out: never emptied
  const BenchOpening* only = nullptr;  ///< the widest, where there is one level alone
};

Ways ways_of(const BenchVessel& vessel, const BenchGas& gas) {
  Ways ways;
  if (vessel.openings.empty()) return ways;
  // Heights are counted the way the gas goes: downwards where it sinks.
  const auto level = [&](const BenchOpening& opening) {
    return gas.floats() ? opening.height : vessel.height - opening.height;
  };
  double low = HUGE_VAL, high = -HUGE_VAL;
  for (const BenchOpening& opening : vessel.openings) {
    low = std::min(low, level(opening));
    high = std::max(high, level(opening));
    if (ways.only == nullptr || opening.diameter > ways.only->diameter) ways.only = &opening;
  }
  constexpr double least_apart = 0.02;  // of the height of the vessel: closer ones are one level
  ways.trapped = std::max(0.0, vessel.height - high);
  if (high - low <= least_apart * vessel.height) return ways;
  ways.only = nullptr;
  ways.depth = high - low;
  ways.dead = std::max(0.0, low);
  for (const BenchOpening& opening : vessel.openings) {
    (level(opening) > 0.5 * (low + high) ? ways.drain.out : ways.drain.in) += area_of(opening);
  }
  return ways;
}

double discharge_of(Bound bound) { return bound == Bound::quick ? 0.7 : 0.6; }

/// The error of a flow that was measured to about 10 %, and of a diffusivity.
double factor_of(Bound bound, double error) {
  return bound == Bound::quick ? 1.0 + error : bound == Bound::slow ? 1.0 - error : 1.0;
}

double front_factor(Bound bound) { return bound == Bound::quick ? 0.35 : bound == Bound::slow ? 0.33 : 0.34; }

constexpr double error_of_exchange = 0.1, error_of_diffusion = 0.15;

double section_of(const BenchVessel& vessel) { return vessel.volume / vessel.height; }

/// Flow through a single opening, without diffusion.
double exchange_of(const BenchVessel& vessel, const BenchGas& gas, const BenchOpening& opening, WayIn way,
                   double density, Bound bound) {
  const double lighter = std::min(density, gas.outside), heavier = std::max(density, gas.outside);
  switch (way) {
    case WayIn::narrow_mouth:
      return factor_of(bound, error_of_exchange) *
             horizontal_exchange(opening.diameter, opening.neck, lighter, heavier);
    case WayIn::wide_mouth:
      return front_speed(opening.diameter, lighter, heavier, front_factor(bound)) * section_of(vessel) *
             (bound == Bound::quick ? 0.5 : 0.25);  // emptied in 2 to 4 H/u
    case WayIn::side:
      return side_exchange(opening.diameter, lighter, heavier, discharge_of(bound));
    default:
      return 0.0;
  }
}

/// Finds where a falling function of time passes `level`.
template <class Left>
double time_of(const Left& left, double level, double scale) {
  double low = 0.0, high = scale;
  constexpr int doublings = 60, halvings = 100;
  for (int k = 0; k < doublings && left(high) > level; ++k) high *= 2.0;
  for (int k = 0; k < halvings; ++k) {
    const double middle = 0.5 * (low + high);
    (left(middle) > level ? low : high) = middle;
  }
  return high;
}

double diffusivity_of(const BenchGas& gas, Bound bound) {
  return gas.diffusivity * factor_of(bound, error_of_diffusion);
}

/// What goes through a single opening by diffusion.
double diffusion_of(const BenchVessel& vessel, const BenchGas& gas, const Ways& ways, WayIn way, Bound bound) {
  const double diffusivity = diffusivity_of(gas, bound);
  if (way == WayIn::diffusion) return diffusivity * pi * pi / 4.0 * section_of(vessel) / vessel.height;
  return diffusion_through_hole(diffusivity, ways.only->diameter, ways.only->neck);
}

}  // namespace

WayIn way_in(const BenchVessel& vessel, const BenchGas& gas) {
  if (vessel.openings.empty()) return WayIn::none;
  const Ways ways = ways_of(vessel, gas);
  if (ways.only == nullptr) return WayIn::two_openings;
  if (ways.only->facing == Facing::sideways) return WayIn::side;
  const bool lets_out = (ways.only->facing == Facing::up) == gas.floats();
  const bool wide = ways.only->diameter >= whole_width * vessel.diameter;
  if (lets_out) return wide ? WayIn::wide_mouth : WayIn::narrow_mouth;
  return wide ? WayIn::diffusion : WayIn::small_hole;
}

double air_flow(const BenchVessel& vessel, const BenchGas& gas, double share, Bound bound) {
  BenchGas left = gas;
  left.inside = gas.density_at(share);
  const WayIn way = way_in(vessel, gas);
  if (way == WayIn::none) return 0.0;
  const Ways ways = ways_of(vessel, gas);
  if (way == WayIn::two_openings) {
    Drain drain = ways.drain;
    drain.discharge = discharge_of(bound);
    return draining_flow(drain, ways.depth, left.inside, gas.outside);
  }
  return exchange_of(vessel, gas, *ways.only, way, left.inside, bound) + diffusion_of(vessel, gas, ways, way, bound);
}

namespace {

/// Air in by one of two openings, m3/s, while `outflow` more leaves by the other.
double drained_against(const Ways& ways, const BenchGas& gas, double outflow, Bound bound) {
  const double out = discharge_of(bound) * ways.drain.out, in = discharge_of(bound) * ways.drain.in;
  const double out_resists = gas.inside / (out * out), in_resists = gas.outside / (in * in);
  const double head = 2.0 * gas.difference() * standard_gravity * ways.depth;
  const double spare = head - out_resists * outflow * outflow;
  if (!(spare > 0.0)) return 0.0;
  // (r_o + r_i) q^2 + 2 r_o F q - spare = 0, in the form that keeps its digits.
  const double half = out_resists * outflow;
  return spare / (half + std::sqrt(half * half + (out_resists + in_resists) * spare));
}

/// What is left of an exchange against an outflow.
double thinned_exchange(double exchange, double outflow, Bound bound) {
  if (bound == Bound::quick) return outflow < most_purge * exchange ? exchange : 0.0;
  return std::max(0.0, exchange - outflow / (bound == Bound::slow ? least_purge : usual_purge));
}

/// Steady diffusion against a flow.
double thinned_diffusion(double diffusion, double outflow) {
  if (!(outflow > 0.0) || !(diffusion > 0.0)) return diffusion;
  const double peclet = outflow / diffusion;
  return outflow / std::expm1(peclet);
}

}  // namespace

double air_against(const BenchVessel& vessel, const BenchGas& gas, double outflow, Bound bound) {
  const WayIn way = way_in(vessel, gas);
  if (way == WayIn::none) return 0.0;
  const Ways ways = ways_of(vessel, gas);
  if (way == WayIn::two_openings) return drained_against(ways, gas, outflow, bound);
  return thinned_exchange(exchange_of(vessel, gas, *ways.only, way, gas.inside, bound), outflow, bound) +
         thinned_diffusion(diffusion_of(vessel, gas, ways, way, bound), outflow);
}

double outflow_against_air(const BenchVessel& vessel, const BenchGas& gas, Bound bound) {
  const WayIn way = way_in(vessel, gas);
  if (way == WayIn::none) return 0.0;
  const Ways ways = ways_of(vessel, gas);
  if (way == WayIn::two_openings) {
    const double out = discharge_of(bound) * ways.drain.out;
    return out * std::sqrt(2.0 * gas.difference() * standard_gravity * ways.depth / gas.inside);
  }
  constexpr double hardly_any = 6.47;  // the Peclet number at which Pe/(e^Pe - 1) is 1 %
  const double purge = bound == Bound::quick ? most_purge : bound == Bound::slow ? least_purge : usual_purge;
  return std::max(purge * exchange_of(vessel, gas, *ways.only, way, gas.inside, bound),
                  hardly_any * diffusion_of(vessel, gas, ways, way, bound));
}

// With w = x^(-1/2), V dx/dt = -x Q(x) becomes dt = 2 V dw / (w Q(w^-2)): where Q goes with the root of x, the
// integrand is constant and Simpson's rule exact.
double mixed_time(const BenchVessel& vessel, const BenchGas& gas, double share, Bound bound) {
  if (share >= 1.0) return 0.0;
  const WayIn way = way_in(vessel, gas);
  if (way == WayIn::none || !(share > 0.0)) return HUGE_VAL;
  if (way == WayIn::diffusion) {
    const double diffusivity = diffusivity_of(gas, bound);
    return time_of([&](double t) { return mean_left_by_diffusion(diffusivity, vessel.height, t); }, share,
                   vessel.height * vessel.height / diffusivity);
  }
  const double last = 1.0 / std::sqrt(share);
  const auto rate = [&](double w) { return 2.0 * vessel.volume / (w * air_flow(vessel, gas, 1.0 / (w * w), bound)); };
  constexpr int steps = 400;
  const double h = (last - 1.0) / steps;
  double sum = rate(1.0) + rate(last);
  for (int k = 1; k < steps; ++k) sum += (k % 2 == 1 ? 4.0 : 2.0) * rate(1.0 + k * h);
  return sum * h / 3.0;
}

std::vector<double> mixed_shares(const BenchVessel& vessel, const BenchGas& gas, std::span<const double> times) {
  std::vector<double> shares(times.size(), 1.0);
  const WayIn way = way_in(vessel, gas);
  if (way == WayIn::none) return shares;
  if (way == WayIn::diffusion) {
    std::ranges::transform(times, shares.begin(),
                           [&](double t) { return mean_left_by_diffusion(gas.diffusivity, vessel.height, t); });
    return shares;
  }
  // The times at a row of w, as in mixed_time(), and between two of them a straight line.
  constexpr double step = 0.02, last = 1000.0;
  double w = 1.0, time = 0.0, before = 0.0;
  const auto rate = [&](double at) {
    return 2.0 * vessel.volume / (at * air_flow(vessel, gas, 1.0 / (at * at), Bound::usual));
  };
  for (std::size_t i = 0; i < times.size(); ++i) {
    while (time < times[i] && w < last) {
      const double h = step * w;
      before = time;
      time += h / 6.0 * (rate(w) + 4.0 * rate(w + 0.5 * h) + rate(w + h));
      w += h;
    }
    if (!(time > 0.0)) continue;
    const double h = w - w / (1.0 + step), part = std::clamp((times[i] - before) / (time - before), 0.0, 1.0);
    const double at = w - h + part * h;
    shares[i] = 1.0 / (at * at);
  }
  return shares;
}

double unmixed_time(const BenchVessel& vessel, const BenchGas& gas, Bound bound) {
  const WayIn way = way_in(vessel, gas);
  if (way == WayIn::none) return HUGE_VAL;
  if (way == WayIn::diffusion) return 0.0;
  const double flow = air_flow(vessel, gas, 1.0, bound);
  const Ways ways = ways_of(vessel, gas);
  const double section = section_of(vessel);
  if (way != WayIn::two_openings) return flow > 0.0 ? vessel.volume / flow : HUGE_VAL;
  return ways.dead * section / flow + emptying_time(ways.depth * section, flow);
}

double unmixed_level(const BenchVessel& vessel, const BenchGas& gas, double time, Bound bound) {
  const WayIn way = way_in(vessel, gas);
  if (way == WayIn::none || !(time > 0.0)) return 1.0;
  if (way == WayIn::diffusion) return mean_left_by_diffusion(diffusivity_of(gas, bound), vessel.height, time);
  const double flow = air_flow(vessel, gas, 1.0, bound);
  if (way != WayIn::two_openings) return std::max(0.0, 1.0 - flow * time / vessel.volume);
  const Ways ways = ways_of(vessel, gas);
  const double section = section_of(vessel), first = ways.dead * section / flow;
  const double trapped = ways.trapped / vessel.height;
  if (time < first) return 1.0 - flow * time / vessel.volume;
  const double rest = std::max(0.0, 1.0 - (time - first) / emptying_time(ways.depth * section, flow));
  return trapped + ways.depth / vessel.height * rest * rest;
}

double trapped_volume(const BenchVessel& vessel, const BenchGas& gas) {
  if (way_in(vessel, gas) != WayIn::two_openings) return 0.0;
  return ways_of(vessel, gas).trapped * section_of(vessel);
}

std::optional<FlameWindow> flame_window(const BenchVessel& vessel, const BenchGas& gas, double rich_share,
                                        double lean_share) {
  const WayIn way = way_in(vessel, gas);
  if (way == WayIn::none) return std::nullopt;
  const auto mixed = [&](double share, Bound bound) { return mixed_time(vessel, gas, share, bound); };
  FlameWindow window;
  window.mixed_from = mixed(rich_share, Bound::usual);
  window.mixed_until = mixed(lean_share, Bound::usual);
  if (vessel.stirred) {
    window.unmixed = window.from = window.at_latest = window.mixed_from;
    window.until = window.mixed_until;
    return window;
  }
  window.unmixed = unmixed_time(vessel, gas, Bound::usual);
  window.from = std::min(mixed(rich_share, Bound::quick), unmixed_time(vessel, gas, Bound::quick));
  window.at_latest = std::max(mixed(rich_share, Bound::slow), unmixed_time(vessel, gas, Bound::slow));
  window.until = std::max(mixed(lean_share, Bound::slow), unmixed_time(vessel, gas, Bound::slow));
  if (way == WayIn::diffusion) {
    // The last to be diluted is the closed end.
    const double slow = diffusivity_of(gas, Bound::slow);
    window.until =
        std::max(window.until, time_of([&](double t) { return end_left_by_diffusion(slow, vessel.height, t); },
                                       lean_share, vessel.height * vessel.height / slow));
  }
  return window;
}

double flow_that_keeps(const BenchVessel& vessel, const BenchGas& gas, double share) {
  if (share >= 1.0 || way_in(vessel, gas) == WayIn::none) return 0.0;
  return air_flow(vessel, gas, share, Bound::quick) * share / (1.0 - share);
}

}  // namespace leanside
