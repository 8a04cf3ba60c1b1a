// SPDX-License-Identifier: Apache-2.0
/// Where gas comes from: holes, cylinders, pools, reactions and batteries on charge, as pure functions. SI units,
/// mol/s. docs/methods.md derives them, with their sources.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace leanside {

struct GasPart;

/// A gas under pressure, as its way out through a hole sees it.
struct HeldGas {
  double temperature = 293.15;       ///< K
  double molar_mass = 0.0289655;     ///< kg/mol
  double heat_capacity_ratio = 1.4;  ///< Cp/Cv > 1
  /// Z of the gas behind the hole, which makes the flow go with 1/sqrt(Z); at most 1, the side of the larger flow.
  double compressibility = 1.0;
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

/// A stretch in which a stock loses `amount` mol (> 0) while its rate goes from `first` to `last` mol/s (both > 0),
/// linearly with what is left: an exponential in time, or a constant.
struct OutflowPiece {
  double amount = 0.0;
  double first = 0.0, last = 0.0;
  double pressure = 0.0;  ///< Pa behind the hole where the piece begins; 0 where there is none
};

/// A stock that comes out by a known course, piece by piece, and is then spent. Rate and amount belong together
/// exactly: the amount is the integral of the rate.
class Outflow {
 public:
  Outflow() = default;
  explicit Outflow(std::vector<OutflowPiece> pieces);

  bool empty() const { return pieces_.empty(); }
  const std::vector<OutflowPiece>& pieces() const { return pieces_; }
  double stock() const;                  ///< mol
  double duration() const;               ///< s
  double rate_at(double age) const;      ///< mol/s, `age` s after the start; 0 when it is spent
  double amount_out(double age) const;   ///< mol out by then
  double pressure_at(double age) const;  ///< Pa behind the hole, of the piece that runs then
  std::vector<double> joints() const;    ///< ages at which one piece follows another
  double time_scale(double age) const;   ///< s in which the rate changes much; infinite where it is constant
  Outflow at_share(double share) const;  ///< the same stock at this share of its rates

 private:
  /// The piece that runs at an age, null when spent; how long it has run and what was out before it.
  const OutflowPiece* running(double age, double& into, double& before) const;
  std::vector<OutflowPiece> pieces_;
  std::vector<double> ends_, out_;  ///< age and mol out at the end of each piece
};

/// How a cylinder of real gas, `volume` m3 at `pressure` Pa, empties through a hole to `ambient` at constant
/// temperature: the content at each pressure by `compressibility`, the flow by `discharge_rate` with that Z. Where Z is
/// under 0.5 the gas is nearly a liquid and may become one in the hole: `liquid_discharge`, the larger bound. The rate
/// is linear between pressures whose excess over ambient halves with every second. Empty where Z is not known.
Outflow real_gas_outflow(std::span<const GasPart> parts, const HeldGas& gas, const Hole& hole, double volume,
                         double pressure, double ambient);

/// mol/s of liquid through a hole under pressure, as Bernoulli has it: C A sqrt(2 rho dp) / M. The most that any
/// mixture of liquid and vapour can be, so what is taken where liquid boils in the hole or a dense gas turns to liquid
/// there. `density` kg/m3, `molar_mass` kg/mol. Source: any text on fluid flow.
double liquid_discharge(const Hole& hole, double density, double molar_mass, double pressure, double ambient);

/// The share of a liquid that turns to vapour by its own heat when it is let out at `temperature`, K, to the pressure
/// at which it boils at `boiling`: c (T - T_b) / H, at most 1; 0 where it does not boil. `heat_capacity` J/(mol K),
/// `heat` of vaporisation J/mol. Source: CCPS, Guidelines for Chemical Process Quantitative Risk Analysis, 2nd ed.
/// 2000, ch. 2 (from memory).
double flash_fraction(double heat_capacity, double heat, double temperature, double boiling);

/// A liquid on a floor that is warmer than its boiling point: the floor gives up k dT / sqrt(pi alpha t), at most
/// `film`, and convection adds `convection`.
struct WarmFloor {
  double conductivity = 0.92;    ///< W/(m K), concrete
  double diffusivity = 4.16e-7;  ///< m2/s, the same
  double film = 50e3;            ///< W/m2, what a film of vapour lets through
  double convection = 1.3;       ///< factor
};
/// How `amount` mol boil off `area` m2 of it, `excess` K warmer than they, with `heat` J/mol of vaporisation. Source of
/// the law and of the pair for concrete: CCPS, Guidelines for Chemical Process Quantitative Risk Analysis, 2nd ed.
/// 2000, boiling pool (from memory); film and convection: common practice, no source.
Outflow boiling_pool(double amount, double area, double excess, double heat, const WarmFloor& floor = {});

/// -ln(1 - y) / y, by which evaporation into clean air is faster than k A p / (R T), because the vapour itself carries
/// air away; y = `saturated` is the share of vapour at the surface, 0 to below 1. Source: Stefan (1874), as in any text
/// on mass transfer.
double stefan_factor(double saturated);

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

/// A stretch in which a pool of several liquids gives off `amount` mol of vapour of one composition.
struct PoolStage {
  double amount = 0.0;           ///< mol
  double vapour_pressure = 0.0;  ///< Pa: that of the liquid where the stage begins, its highest
  double transfer = 0.0;         ///< m/s, as that of Pool; distillation() leaves it 0
  std::vector<double> share;     ///< mol/mol of the vapour, by part; they add up to 1
};

/// How a pool of an ideal mixture dries: the light parts go first. `amount` mol of each part, `pressure` Pa its vapour
/// pressure when pure (all > 0). All parts evaporate with the same coefficient, so that part i, which has n_i left,
/// goes with n_i p_i: n_i = n_i0 exp(-p_i u), whatever the pace (Rayleigh, Phil. Mag. 4 (1902) 521, from memory; a
/// closed form for an ideal mixture). A stage ends where the pressure over the liquid has fallen by a sixth; below a
/// fiftieth of the first pressure one last stage gives the rest. What the stages give adds up to `amount` part by part;
/// the pressure of a stage is its highest, so that no real pool gives off its vapour sooner. The first stage has the
/// pressure of the fresh liquid, the pressures fall, and there are at most 22 of them.
std::vector<PoolStage> distillation(std::span<const double> amount, std::span<const double> pressure);

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
