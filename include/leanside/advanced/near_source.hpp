// SPDX-License-Identifier: Apache-2.0
/// How far from a release its gas can be ignited: jets and plumes in still air, as pure functions. SI units, fractions
/// in mol/mol. docs/methods.md derives them and states their error.
#pragma once

#include <optional>
#include <string_view>

namespace leanside {

/// K of the decay Y = K sqrt(rho_e/rho_a) d/x of the mean mass fraction on the axis of a round jet. Measurements give
/// 4.0 to 5.4; the largest makes the longest jet. Source: Chen and Rodi 1980; Saffers and Molkov 2013 (from memory).
inline constexpr double jet_decay = 5.4;
/// K_p of the plume X = K_p Q^(2/3) g'^(-1/3) z^(-5/3). Source: Rouse, Yih and Humphreys 1952 (from memory); others
/// give 9.1 to 14.3.
inline constexpr double plume_decay = 11.0;
/// Profiles over the radius, exp(-k (r/x)^2). Source: Chen and Rodi 1980 (jet), Rouse, Yih and Humphreys 1952 (plume);
/// from memory.
inline constexpr double jet_spread = 57.0, plume_spread = 71.0;
/// Below this Reynolds number of its hole a jet stays laminar at first.
inline constexpr double turbulent_reynolds = 2000.0;
/// Where a laminar leak into air breaks up at the latest, m (common practice, no source).
inline constexpr double laminar_length = 0.3;

/// Mass fraction of a gas of `molar_mass` in a mixture with air that has the mole fraction `fraction`; kg/mol.
double mass_fraction(double fraction, double molar_mass, double air_molar_mass);

/// What leaves a hole, in its plane.
struct ExitPlane {
  double pressure = 0.0;  ///< Pa; above ambient where the flow is choked
  double density = 0.0;   ///< kg/m3
  double speed = 0.0;     ///< m/s
};
/// Isentropic flow of an ideal gas of `density` kg/m3 at `pressure` Pa (where it is at rest) to `ambient` Pa. `ratio`
/// is Cp/Cv > 1. No speed where `pressure` is not above `ambient`.
ExitPlane exit_plane(double density, double pressure, double ratio, double ambient);

/// m along the axis at which the mean falls to a mass fraction: K sqrt(exit_density/ambient_density) d/Y.
double jet_reach(double exit_density, double diameter, double ambient_density, double mass_fraction);

/// The same of a jet of which only its mass flow, kg/s, and its momentum, N, are known.
double jet_reach_of_momentum(double mass_flow, double momentum, double ambient_density, double mass_fraction);

/// m3 of the jet in which the mean is above the fraction that it has on its axis at `reach` m: pi x^3/(9 k).
double jet_volume(double reach);

/// m above (light gas) or below (heavy gas) a point at which the mean on the axis of a plume falls to `fraction`:
/// (K_p/X)^(3/5) Q^(2/5) g'^(-1/5). `flow` m3/s of gas; `reduced_gravity` g |rho_a - rho_g|/rho_a > 0, m/s2.
double plume_reach(double flow, double reduced_gravity, double fraction);
/// m3 of the plume above the fraction at `reach` m: 5 pi z^3/(27 k).
double plume_volume(double reach);

/// m at which a laminar jet falls to `fraction`: (2 Sc + 1) Q/(8 pi nu X), not more than laminar_length. `diffusivity`
/// of the gas in air and `viscosity` (kinematic, of air), m2/s. Source: Schlichting, Boundary-Layer Theory (from
/// memory).
double laminar_reach(double flow, double diffusivity, double viscosity, double fraction);

/// The fraction of fresh gas to which a jet has to be diluted where the air already has `background` of the gas:
/// (X - X_b)/(1 - X_b); 0 where the air alone is at the fraction. Mixing is linear.
double fraction_over_background(double fraction, double background);

/// How a zone comes about.
enum class ZoneShape { jet, plume, pool };
std::string_view word_of(ZoneShape shape);

/// Gas close to a release.
struct SourceJet {
  double flow = 0.0;                    ///< m3/s of gas at the conditions of the room
  double density = 0.0;                 ///< kg/m3 of it there
  double molar_mass = 0.0;              ///< kg/mol
  double ambient_density = 0.0;         ///< kg/m3
  double air_molar_mass = 0.0;          ///< kg/mol
  std::optional<ExitPlane> exit = {};   ///< with `diameter`: of a hole
  double diameter = 0.0;                ///< m, of the hole
  std::optional<double> momentum = {};  ///< N, where no hole is known
  std::optional<double> amount = {};    ///< m3 of gas that there is in all, at the conditions of the room
};

/// Where a release can be ignited.
struct Zone {
  ZoneShape shape = ZoneShape::plume;
  double reach = 0.0;     ///< m, to where the mean on the axis is at the lower limit
  double keep_out = 0.0;  ///< m, to where it is at half of it: puffs still ignite there
  double volume = 0.0;    ///< m3, in which the mean is above the lower limit
  double cloud = 0.0;     ///< m3 of the larger cloud whose mean is half of the lower limit: what "negligible" is about
};
/// `limit` is the lower limit as a fraction of the released gas, > 0, and `background` what the room has of it already.
/// A jet where a hole or a momentum is known, whichever way it points; else a plume. Where the hole may be laminar, the
/// longer of the two and of laminar_reach(). Empty where the room alone is at the limit, or the gas cannot reach it.
std::optional<Zone> zone_of(const SourceJet& source, double limit, double background);

}  // namespace leanside
