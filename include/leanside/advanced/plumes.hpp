// SPDX-License-Identifier: Apache-2.0
/// Gas that gathers under a ceiling or on a floor: plumes, the layers that they feed, and what stirs layers up. Pure
/// functions, SI units. Heavy gas is the mirror image of light gas: distances are then counted downwards.
/// docs/methods.md derives them.
#pragma once

namespace leanside {

/// Entrainment coefficient of a plume with uniform profiles: the air that is drawn in, over the speed of the plume. On
/// the cautious side of the 0.11 to 0.13 that measurements give (from memory): less air makes a richer layer.
/// Source: Morton, Taylor and Turner, Proc. R. Soc. A 234 (1956) 1 (form, from memory).
inline constexpr double plume_entrainment = 0.1;

/// C = (6 a/5) (9 a/10)^(1/3) pi^(2/3) of a plume from a point, a the entrainment coefficient > 0.
/// Source: Morton, Taylor and Turner 1956 (from memory).
double plume_constant(double entrainment = plume_entrainment);

/// B = g (ambient - gas)/ambient q, m4/s3, of q m3/s of a gas: > 0 for what rises. Densities in kg/m3.
double buoyancy_flux(double ambient_density, double gas_density, double volume_flow);

/// Q_p = C B^(1/3) z^(5/3), m3/s, that a plume of buoyancy flux `buoyancy` m4/s3 carries at `distance` m from its
/// source; 0 where either is not above 0.
double plume_flow(double constant, double buoyancy, double distance);

/// How far from its source, m, the front of the layer is `time` s after a plume began to fill a closed room of
/// `floor_area` m2 whose far end is `height` m from the source: z^(-2/3) = H^(-2/3) + (2/3) (C B^(1/3)/S) t.
/// Source: Baines and Turner, J. Fluid Mech. 37 (1969) 51 (from memory).
double filling_front(double constant, double buoyancy, double floor_area, double height, double time);

/// A* = sqrt(2) a b / sqrt(a^2 + b^2), m2, of a low and a high opening of effective areas (discharge coefficient times
/// area) a and b. Source: Linden, Lane-Serff and Smeed, J. Fluid Mech. 212 (1990) 309 (from memory).
double effective_opening(double low, double high);

/// The share xi of the height H at which the interface stands in steady state, with one plume from the floor and
/// openings at floor and ceiling: A*/H^2 = C^(3/2) (xi^5/(1 - xi))^(1/2). However strong the plume is.
/// `opening` is A*/H^2 > 0. Source: Linden, Lane-Serff and Smeed 1990 (from memory).
double steady_interface(double opening, double constant);

/// Slope of the fraction of a gas at the interface, mol/mol per height of the room, from its means in the layer of gas
/// and in the ambient layer; `share` of the room that the layer of gas fills. Each layer has a parabola; the two meet
/// at the interface in value and slope. That of the layer of gas is level at its far end. That of the ambient layer is
/// too, or it ends at 0 where gas has not got further yet. Derived in docs/methods.md, no source.
double interface_slope(double share, double gas, double ambient);

/// Volume, m3/s, that each of the two layers of a room gives the other by diffusion: 3 D S/H, more where the gas has
/// not spread through the ambient layer yet (interface_slope). `diffusivity` m2/s, `floor_area` m2, `height` of the
/// room m; `share` as above; `gas`, `ambient`: all gas in each layer, mol/mol.
double layer_exchange(double diffusivity, double floor_area, double height, double share, double gas, double ambient);

/// Diffusivity of a gas in air at `temperature` K and `pressure` Pa from its value at 25 degC and 1 atm: D T^1.75/P.
/// Source: Fuller, Schettler and Giddings, Ind. Eng. Chem. 58 (1966) 18 (from memory).
double diffusivity_at(double at_25_degc, double temperature, double pressure);

/// The share of gas, mol/mol, in what a plume carries: released/(released + drawn in), of volume flows in m3/s.
double undiluted(double released, double drawn_in);

/// What a layer of gas holds at its far end, under the ceiling or on the floor: `layer` times its mean fraction, and
/// `release` times the fraction of what is released.
struct FarEnd {
  double layer = 1.0, release = 0.0;
};
/// `share`: of the room that the layer fills; `gas`, `ambient`: all gas in it and in the other layer, mol/mol;
/// `brought`: undiluted() of the richest plume at the far end, 0 without a plume. Derived in docs/methods.md.
FarEnd far_end(double share, double gas, double ambient, double brought);

/// The fraction of one gas at a height. `gas`, `ambient`: its mean fractions in the two layers; `far`: in the layer of
/// gas at its far end; `bend`: how much of far - gas is due to diffusion (far_end_bend); `share` as above; `at`: 0 at
/// the far end of the ambient layer, 1 at that of the layer of gas, as a share of the height of the room.
double fraction_at(double gas, double ambient, double far, double bend, double share, double at);
/// Part of far - gas that is due to diffusion; gases as for far_end, `fraction` that of one gas in the layer.
double far_end_bend(double share, double gas, double ambient, double fraction);

/// Volume Richardson number: the power of buoyancy over that of jets, g V^(1/3) sum |rho_a - rho| q / sum W u^2, W the
/// kg/s and u the m/s of each jet. For one jet of gas it is g (rho_a - rho) V^(1/3) / (rho u^2). Infinite without jets.
/// `weight_flow` is sum |rho_a - rho| q, kg/s; `jet_power` is sum W u^2, W; `volume` m3.
/// Source: Cleaver, Marshall and Linden, J. Hazard. Mater. 36 (1994) 209 (the number); Cariteau and Tkatschenko, Int.
/// J. Hydrogen Energy 37 (2012) 17400 (this form; both from memory).
double volume_richardson(double weight_flow, double jet_power, double volume);

/// Below this volume Richardson number jets mix a whole room. Source: Cariteau and Tkatschenko 2012 (from memory).
inline constexpr double mixing_richardson = 0.0032;

}  // namespace leanside
