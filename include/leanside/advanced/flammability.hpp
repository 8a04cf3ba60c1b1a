// SPDX-License-Identifier: Apache-2.0
/// Limits and state of a mixture of fuels, oxygen and inert gas. Pure functions; fractions are mol/mol, temperatures K.
#pragma once

#include <optional>
#include <span>
#include <string_view>

namespace leanside {

inline constexpr double oxygen_in_dry_air = 0.2095;  ///< mol/mol

/// Fraction of fuel in air that burns completely with nothing left: 1 / (1 + nu / o), nu mol O2 per mol fuel (> 0), o
/// the oxygen fraction of the air. Source: Zabetakis, Bureau of Mines Bulletin 627 (1965), appendix A (column C_st).
double stoichiometric_fraction(double oxygen_demand, double oxygen_in_air = oxygen_in_dry_air);

/// Lower limit at temperature T. Above 25 degC it falls linearly, relative to LFL25, by the steeper of 0.75/(dHc LFL25)
/// (vol %, degC, kcal/mol; modified Burgess-Wheeler law, background in Bulletin 627) and 1/875 a degree, at most by
/// 0.00163, the line measured of hydrogen; 1/875 without a heat of combustion. At and below 25 degC the 25 degC value
/// stays. Never below a hundredth of LFL25: shares of the limit stay finite. `net_heat` J/mol. Sources: the zero at 900
/// degC of hydrogen, methane, methanol and formaldehyde, Combustion, Explosion and Shock Waves (abstract; mathnet.ru
/// fgv985); hydrogen, V. Schroeder and K. Holtappels, ICHS 2005 (from memory).
double lower_limit_at(double lower_25, std::optional<double> net_heat, double temperature);

/// Upper limit at temperature T: UFL25 LFL25/LFL(T), since the product of the two hardly changes (S. Kondo and others,
/// J. Hazard. Mater. 187 (2011) 585, abstract), but at most what leaves LFL(T)/LFL25 of the air in the mixture, so that
/// it stays below 1.
double upper_limit_at(double upper_25, double lower_25, std::optional<double> net_heat, double temperature);

/// Limiting oxygen concentration at temperature T: falls as the lower limit, LOC25 LFL(T)/LFL25 (derived; agrees with
/// the practice of a twelfth less for each 100 degC, from memory).
double limiting_oxygen_at(double limiting_25, double lower_25, std::optional<double> net_heat, double temperature);

/// What a fuel's lower limit in nitrous oxide is taken for, as a share of that in air: a half, which is below every
/// value measured (hydrogen 3.0 %, methane 2.5 %, propane 2.1 %, ethylene 1.9 %, propylene 1.4 %, carbon monoxide 10 %,
/// diethyl ether 1.5 %), and of ammonia 2.2/15. Sources: Bulletins 503 and 627 (from memory); L. Pfahl, M. Ross and J.
/// Shepherd, Combust. Flame 123 (2000) 140 (hydrogen, methane and ammonia; abstract). The rule itself has no source.
double lower_share_in_nitrous_oxide(std::string_view fuel);

/// Upper limit at `ratio` times the pressure at which `upper` was measured: U + 0.206 log10(ratio), the line of the
/// paraffins, at most 0.95; U where the pressure is not above that, and of hydrogen, whose upper limit hardly changes
/// (Schroeder and Holtappels 2005, abstract). Source: Zabetakis, Bulletin 627 (1965), up to some 140 atm (from memory).
/// For other fuels the rule has no source. The lower limit hardly changes with pressure.
double upper_limit_under_pressure(std::string_view fuel, double upper, double ratio);

/// Limit of a mixture of fuels: 1 / sum(y_k / L_k), y the shares of the fuels among themselves (they add up to 1).
/// Source: Le Chatelier (1891), as in Coward and Jones, Bulletin 503 (1952).
double le_chatelier(std::span<const double> share, std::span<const double> limit);

/// Estimate of the limiting oxygen concentration where none is measured: LFL * nu. Not for hydrogen.
/// Source: Crowl and Louvar, Chemical Process Safety, example 6-4 (from memory). Shown to users as an estimate, never
/// used silently.
double limiting_oxygen_estimate(double lower, double oxygen_demand);

/// One fuel at the temperature in question.
struct Fuel {
  double lower = 0.0;                     ///< LFL, mol/mol in air
  double upper = 1.0;                     ///< UFL, mol/mol in air; 1 = burns or decomposes without air
  double oxygen_demand = 0.0;             ///< mol/mol; 0 where not known
  std::optional<double> limiting_oxygen;  ///< mol/mol; empty: any oxygen is taken to be enough
};

/// What a mixture is, from clear to flammable; the words of the result.
enum class MixtureState { clear, note, margin, flammable, rich, inerted };
std::string_view word_of(MixtureState state);

struct StateThresholds {
  double note_at = 0.10;  ///< of the lower limit
  double warn_at = 0.25;
};

/// How a mixture stands to its flammable range.
struct MixtureRange {
  double lfl_fraction = 0.0;  ///< sum x_k / LFL_k: 1 at the lower limit
  double ufl_fraction = 0.0;  ///< sum x_k / UFL_k: 1 at the upper limit in air
  /// How far inside the range, >= 0 inside or on its edge, < 0 outside; continuous in the composition. The least of
  /// (lfl_fraction - 1), (oxygen - limiting oxygen) and the distance to the upper line, mol/mol. -1 without fuel.
  double inside = -1.0;
};

/// Oxygen at or below this, mol/mol, counts as none: one part in a million, which burns nothing, but is far above what
/// rounding leaves of a mixture without air.
inline constexpr double no_oxygen = 1e-6;

/// The range in fuel, oxygen and inert gas (nitrogen), a region in fuel fraction x and oxygen fraction o:
///
///     x >= LFL                                              the lower line
///     o >= LOC                                              the least oxygen
///     (x, o) not below the line (x_n, LOC) - (UFL, o_U)     the upper line, or  o >= o_U  beyond the UFL
///
/// with o_U = o_air (1 - UFL), the oxygen at the upper limit in air, and x_n = LOC / nu, the nose, where the oxygen is
/// the limiting one on the stoichiometric line (construction as in Crowl and Louvar, Chemical Process Safety, ch. 6).
/// In mixtures with air alone that is LFL <= x <= UFL exactly. What the construction leaves open is settled to the
/// cautious side:
///  - A nose left of the lower line is moved onto it, so that LOC stays the least oxygen that burns.
///  - An LOC above o_U (the upper limit of a hot mixture) is lowered to o_U.
///  - Beyond the UFL with more oxygen than air brings, o >= o_U is enough. The upper line carried straight on would
///    call some mixtures rich that burn: measured upper limits in oxygen lie beyond it (propane 55 %, the line 47 %).
///  - Without a demand (nu = 0) the nose may be anywhere up to the UFL: o >= LOC burns from the LFL to the UFL.
///  - Without an LOC every nose is possible: any oxygen above `no_oxygen` burns from the LFL to the UFL.
///  - An upper limit of 1 (self-decomposing; within 1e-6) has neither upper line nor nose: x >= LFL is inside.
///
/// Several fuels: Le Chatelier's rule for LFL, UFL and the fuel fraction of the nose; LOC is the mean of the LOC_k,
/// each weighted by its fuel's share of lfl_fraction, since at the LOC a mixture is near its lower limit. (The rule
/// carried to oxygen, no source; weights by the share of the oxygen demand would put mixtures of methane and hydrogen
/// above the relation 5 + 7 R used in mines, these put them below it.) A fuel without LOC takes the mixture's LOC and
/// nose away; where its share of lfl_fraction is below 1 % it does so in proportion, so that a trace from the next
/// room does not switch the answer.
///
/// `fraction[k]` belongs to `fuel[k]`; those not above 0 count as absent. `oxygen` is the oxygen fraction of the whole
/// mixture. `oxygen_in_air` is that of the air in which the upper limits were measured, not that of the site.
///
/// `idle` is how much of the mixture is inert gas in excess of the nitrogen that it stands for, mol/mol from 0 to below
/// 1: the sum of x_j (1 - K_j), K_j of `Substance::nitrogen_equivalent`. The LOC was measured with nitrogen; argon and
/// helium quench less, so that the mixture burns where the same one without the idle part (every fraction divided by
/// 1 - idle) has the oxygen for it. It also burns where it would with nitrogen. The lower line stays that in air.
/// Source of the equivalent mixture: ISO 10156, as in UN GHS rev. 1 to 5, chapter 2.2.5 (from memory).
MixtureRange range_of(std::span<const Fuel> fuel, std::span<const double> fraction, double oxygen,
                      double oxygen_in_air = oxygen_in_dry_air, double idle = 0.0);

/// The state of such a mixture. A threshold counts as reached at its value. At or over the lower limit and not inside
/// the range: rich where the upper limit is reached, else inerted. A rich mixture is never clear.
MixtureState state_of(const MixtureRange& range, const StateThresholds& thresholds);

}  // namespace leanside
