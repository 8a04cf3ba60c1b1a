// SPDX-License-Identifier: Apache-2.0
/// Where gas comes from: holes, cylinders, pools, reactions and batteries on charge, as pure functions. SI units,
/// mol/s; gases are ideal. docs/methods.md derives them, with their sources.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace leanside {

/// A gas under pressure, as its way out through a hole sees it.
struct HeldGas {
  double temperature = 293.15;       ///< K
  double molar_mass = 0.0289655;     ///< kg/mol
  double heat_capacity_ratio = 1.4;  ///< Cp/Cv > 1
};

struct Hole {
  double diameter = 0.0;    ///< m
  double discharge = 0.85;  ///< coefficient of discharge, 0 to 1
  double area() const;      ///< m2
};

/// Upstream over downstream pressure from which on the flow is choked: ((k+1)/2)^(k/(k-1)).
/// Source: any text on compressible flow; IEC 60079-10-1, annex B.
double critical_pressure_ratio(double heat_capacity_ratio);

/// mol/s through a hole from `pressure` to `ambient` Pa: choked from the critical ratio on, subsonic below, the two of
/// one value and slope where they meet; 0 where `pressure` is not above `ambient`.
double discharge_rate(const HeldGas& gas, const Hole& hole, double pressure, double ambient);

/// Thrust, N, of the jet from a hole: its flow times its speed and, where it is choked, what its pressure is still
/// above ambient times its area. The jet has it still when it has spread to ambient pressure. Source: any text on
/// compressible flow, (1 + k) p A - p_ambient A at the throat.
double jet_momentum(const HeldGas& gas, const Hole& hole, double pressure, double ambient);

/// A vessel that empties itself through a hole at constant temperature: choked and exponential at first, then subsonic
/// until it stands at ambient pressure, which it reaches in finite time.
class Blowdown {
 public:
  /// `volume` m3, `pressure` > `ambient` Pa.
  Blowdown(const HeldGas& gas, const Hole& hole, double volume, double pressure, double ambient);

  double stock() const;                                    ///< mol that come out: what it holds above ambient pressure
  double choked_until() const { return choked_; }          ///< s; 0 where the flow is never choked
  double duration() const { return choked_ + subsonic_; }  ///< s
  double time_constant() const { return tau_; }            ///< s, of the choked stretch
  double pressure_at(double age) const;                    ///< Pa, `age` s after the hole opened
  double rate_at(double age) const;                        ///< mol/s
  double amount_out(double age) const;                     ///< mol out by then

 private:
  double left_at(double u) const;
  double left_slope(double u) const;

  HeldGas gas_;
  Hole hole_;
  double volume_, pressure_, ambient_;
  double tau_ = 0.0, choked_ = 0.0, subsonic_ = 0.0, start_u_ = 0.0;
};

/// Cp/Cv of a mixture of ideal gases: molar heat capacities add up. Shares add up to 1.
double mixed_heat_capacity_ratio(std::span<const double> share, std::span<const double> ratio);

/// Kinematic viscosity of air over the diffusivity of a vapour in it. `diffusivity` m2/s at 25 degC and 1 atm, carried
/// to `temperature` K and `pressure` Pa by T^1.75 / P (Fuller, Schettler and Giddings 1966); viscosity by Sutherland's
/// formula (White, Viscous Fluid Flow; both from memory).
double schmidt_number(double diffusivity, double temperature, double pressure);

/// Mass transfer coefficient, m/s, of a pool: 0.00482 u^0.78 X^-0.11 Sc^-0.67, u the air speed over it, m/s, X its
/// diameter, m. Source: Mackay and Matsugu, Can. J. Chem. Eng. 51 (1973) 434 (from memory; 0.0292 with m/h).
double mass_transfer_coefficient(double air_speed, double diameter, double schmidt);

/// Liquid that lies open.
struct Pool {
  double area = 0.0;             ///< m2
  double transfer = 0.0;         ///< m/s, mass transfer coefficient
  double vapour_pressure = 0.0;  ///< Pa, at its temperature
  double temperature = 293.15;   ///< K
};

/// mol/s that leave a pool where the vapour already there has `partial_pressure` Pa: k A (p_sat - p)/(R T), and 0 where
/// the air holds as much as the pool can give. Nothing condenses back: the cautious side.
double evaporation_rate(const Pool& pool, double partial_pressure);

/// Batteries on charge, by the classes of IEC 62485-2 (EN 50272-2), table 1.
enum class Battery { vented_lead, valve_regulated_lead, vented_nickel_cadmium };
enum class ChargingRegime { float_charge, boost_charge };
std::string_view word_of(Battery battery);
std::string_view word_of(ChargingRegime regime);

/// The current that makes gas, A for each A h of capacity: 5 and 20 mA (vented lead, float and boost), 1 and 8 mA
/// (valve regulated), 5 and 50 mA (nickel-cadmium). Contains the standard's factor 5 for faulty and aged cells.
double gas_current_per_capacity(Battery battery, ChargingRegime regime);

inline constexpr double elementary_charge = 1.602176634e-19;     ///< C, exact (SI Brochure, 9th ed.)
inline constexpr double avogadro = 6.02214076e23;                ///< 1/mol, exact
inline constexpr double faraday = elementary_charge * avogadro;  ///< C/mol

/// mol/s of hydrogen from `cells` in series through which `current` A makes gas: two electrons a molecule.
double charging_hydrogen(double cells, double current);

/// m3/s of air that the standard asks for: 0.05 n I C / 1000 m3/h, n cells, I mA for each A h, C A h; that is
/// n times the current in A, times 0.05 m3/h. Source: IEC 62485-2, clause on ventilation.
double charging_airflow_of_standard(double cells, double current);

/// m2 of each of two openings, one low and one high in walls that face each other or at least far apart, that bring
/// `airflow` m3/s without a fan: A = 28 Q, cm2 and m3/h (0.1 m/s in the opening). Source: IEC 62485-2, natural
/// ventilation.
double charging_opening_of_standard(double airflow);

/// What a reaction uses up or makes.
struct ReactionPart {
  std::string id;           ///< as a site file names it
  std::string name;         ///< for people
  double count = 0.0;       ///< mol in the equation
  double molar_mass = 0.0;  ///< kg/mol
};

/// A reaction that makes gas, by its balanced equation; what limits its use stands in `note`.
struct Reaction {
  std::string id;
  std::string name;
  std::string equation;
  std::vector<ReactionPart> reagents;
  std::string gas;         ///< id of the substance table
  double gas_count = 0.0;  ///< mol of it in the equation
  std::string note;
};

/// What a reaction yields from given amounts.
struct ReactionYield {
  double gas = 0.0;          ///< mol
  std::size_t limiting = 0;  ///< the reagent that is used up first
  std::vector<double> left;  ///< mol of each reagent that stays
};
/// `amount[i]` mol of reagent i; infinite where there is more than enough of it. At least one must be finite.
ReactionYield yield_of(const Reaction& reaction, std::span<const double> amount);

}  // namespace leanside
