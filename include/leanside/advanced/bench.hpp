// SPDX-License-Identifier: Apache-2.0
/// Small vessels on a bench: how air gets in by itself, when a flame at an opening may strike back, what a jar collects
/// over water. Pure functions; SI units, fractions mol/mol. docs/methods.md, section 15, derives them, with their
/// sources.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "leanside/substance.hpp"

namespace leanside {

/// What is known of the flame of a gas; empty where no source gives it.
struct FlameProperties {
  std::string gas;                                   ///< id of the substance table
  std::optional<Sourced> safe_gap;                   ///< m, maximum experimental safe gap
  std::optional<Sourced> quenching_distance;         ///< m, of plates, the worst mixture in air
  std::optional<Sourced> burning_velocity;           ///< m/s, the largest in air
  std::optional<Sourced> explosion_pressure;         ///< Pa absolute, closed vessel with air, 1 atm and 25 degC before
  std::optional<Sourced> explosion_pressure_oxygen;  ///< the same with oxygen, just enough to burn all of it
};

/// Exchange, m3/s each way, through one horizontal opening of `diameter` m and length `neck` m with the heavier gas
/// above the lighter. Source: M. Epstein, J. Heat Transfer 110 (1988) 885: good to 10 %, `neck`/`diameter` from 0.01 to
/// 10 (held there outside), measured up to a density difference of a fifth; densities kg/m3.
double horizontal_exchange(double diameter, double neck, double lighter, double heavier);

/// Exchange, m3/s each way, through one round opening of `diameter` m in a wall: 0.240 C (g' D^5)^(1/2). Derived from
/// Bernoulli's equation over the height of the opening, as for a doorway.
double side_exchange(double diameter, double lighter, double heavier, double discharge);

/// Speed, m/s, at which a front of heavier gas comes down a tube of `diameter` m that is open at its top:
/// `factor` (g' D)^(1/2). Source: R. M. Davies and G. I. Taylor, Proc. R. Soc. A 200 (1950) 375: 0.33; up to 0.35.
double front_speed(double diameter, double lighter, double heavier, double factor = 0.33);

/// Two openings at different heights, from which a lighter gas drains upwards (a heavier one downwards).
struct Drain {
  double out = 0.0;        ///< m2, that the gas leaves by
  double in = 0.0;         ///< m2, that air comes in by
  double discharge = 0.6;  ///< of both
};
/// m3/s that leave through `drain` where gas of `inside` kg/m3 stands `depth` m deep in a surrounding of `outside`
/// kg/m3: the resistances of both openings in series, each with the density of what flows there. Source: P. F. Linden,
/// G. F. Lane-Serff and D. A. Smeed, J. Fluid Mech. 212 (1990) 309, for equal densities.
double draining_flow(const Drain& drain, double depth, double inside, double outside);

/// Time, s, in which air that stays unmixed pushes `volume` m3 of gas out, where the first flow is `first` m3/s and
/// falls with the root of the depth that is left: 2 V / q. Source: as above.
double emptying_time(double volume, double first);

/// Share that is left, on average and at the closed end, after `time` s of a gas that only diffuses out of the open end
/// of a tube of `length` m; `diffusivity` m2/s. Source: J. Crank, The Mathematics of Diffusion, ch. 4.
double mean_left_by_diffusion(double diffusivity, double length, double time);
double end_left_by_diffusion(double diffusivity, double length, double time);

/// m3/s of gas that diffuses out through a hole of `diameter` m and length `neck` m: D / (L/A + 1/d), the two ends of
/// the hole each in still gas. Source: H. T. Brown and F. Escombe, Phil. Trans. R. Soc. B 193 (1900) 223 (from memory).
double diffusion_through_hole(double diffusivity, double diameter, double neck);

enum class Facing { up, down, sideways };

/// A hole in a vessel.
struct BenchOpening {
  double diameter = 0.0;  ///< m
  double height = 0.0;    ///< m, of its middle above the bottom of the gas space
  double neck = 0.0;      ///< m, its length
  Facing facing = Facing::up;
};

/// The gas space of a vessel, of one section all the way up.
struct BenchVessel {
  double volume = 0.0;    ///< m3
  double height = 0.0;    ///< m
  double diameter = 0.0;  ///< m
  std::vector<BenchOpening> openings;
  bool stirred = false;  ///< what comes in is mixed at once by force
};

/// What a vessel holds and what surrounds it.
struct BenchGas {
  double inside = 1.0;                    ///< kg/m3
  double outside = 1.2;                   ///< kg/m3
  double diffusivity = 2e-5;              ///< m2/s, of the content in air
  double difference() const;              ///< kg/m3, how much lighter or heavier
  double density_at(double share) const;  ///< kg/m3, where this share of the content is left and the rest is air
  bool floats() const { return inside < outside; }
};

/// By which way air gets into a vessel by itself.
enum class WayIn {
  none,          ///< no opening
  two_openings,  ///< gas drains through one opening, air comes in by a lower (heavy gas: higher) one
  narrow_mouth,  ///< both ways through one opening where the gas can leave
  wide_mouth,    ///< the same, open over its full width
  side,          ///< both ways through an opening in the wall
  diffusion,     ///< full width, but on the side where the gas stays: by diffusion alone
  small_hole     ///< the same through a smaller hole
};
std::string_view word_of(WayIn way);
WayIn way_in(const BenchVessel& vessel, const BenchGas& gas);

/// Which end of the error of the method: quick and slow enclose the usual value.
enum class Bound { quick, usual, slow };

/// m3/s of air that gets in while `share` of the content is left, evenly mixed.
double air_flow(const BenchVessel& vessel, const BenchGas& gas, double share, Bound bound);

/// When, s, evenly mixed content is down to `share` of itself (0 < share < 1); infinite where no air gets in.
double mixed_time(const BenchVessel& vessel, const BenchGas& gas, double share, Bound bound);
/// Its share left at each of `times`, s, in ascending order, by the usual values; to 0.1 %.
std::vector<double> mixed_shares(const BenchVessel& vessel, const BenchGas& gas, std::span<const double> times);

/// When, s, air that stays unmixed has pushed out all content that it can; infinite where no air gets in. Of
/// WayIn::diffusion: 0, since the mixture at the mouth is there from the start.
double unmixed_time(const BenchVessel& vessel, const BenchGas& gas, Bound bound);
/// Share of the gas space that still holds the content unmixed after `time` s.
double unmixed_level(const BenchVessel& vessel, const BenchGas& gas, double time, Bound bound);
/// m3 of the content that no air pushes out: above the highest opening (heavy gas: below the lowest).
double trapped_volume(const BenchVessel& vessel, const BenchGas& gas);

/// When the content of a vessel can burn inside: s after it was left alone. The shares are those of the content at
/// which the mixture with air enters and leaves the flammable range; 1 where it is inside from the start.
struct FlameWindow {
  double mixed_from = 0.0, mixed_until = 0.0;  ///< where entering air mixes at once, by the usual values
  double unmixed = 0.0;                        ///< where it stays unmixed: the range passes in an instant then
  double from = 0.0;                           ///< may strike back from then on, the earlier of both, quick
  double at_latest = 0.0;                      ///< has come into the range by then, the later of both, slow
  double until = 0.0;                          ///< is too lean from then on, slow
};
/// Of a stirred vessel both bounds are one instant. Empty where no air gets in.
std::optional<FlameWindow> flame_window(const BenchVessel& vessel, const BenchGas& gas, double rich_share,
                                        double lean_share);

/// m3/s of gas let into a vessel that keeps evenly mixed content at `share`, against the air that gets in by itself.
double flow_that_keeps(const BenchVessel& vessel, const BenchGas& gas, double share);

/// Vapour pressure of water, Pa, from 0 to 100 degC; `temperature` K. Source: A. L. Buck, J. Appl. Meteorol. 20 (1981)
/// 1527, with the constants of 1996 (from memory).
double water_vapour_pressure(double temperature);

/// Volume, m3, of `amount` mol of gas collected over water: n R T / (p - p_w).
double volume_over_water(double amount, double temperature, double pressure);

/// Share of the gas made, the rest being the first content of the generator, in what leaves it while the made gas goes
/// from `from` to `to` volumes of its gas space, evenly mixed: the mean of 1 - exp(-n).
double collected_share(double from, double to);

/// mol/s by electrolysis of water with `current` A: two electrons a molecule of hydrogen, four of oxygen.
double electrolysis_hydrogen(double current);
double electrolysis_oxygen(double current);

/// Pressure, Pa, that gas burnt in a closed vessel reaches: `measured` Pa absolute, from `standard_atmosphere` and 25
/// degC, carried to `pressure` and `temperature` by p/T. Source: ideal gas.
double closed_pressure(double measured, double pressure, double temperature);

}  // namespace leanside
