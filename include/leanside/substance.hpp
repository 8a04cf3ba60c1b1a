// SPDX-License-Identifier: Apache-2.0
/// One substance, the built-in table and named mixtures; every value with its source.
#pragma once

#include <cstddef>
#include <functional>
#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/diagnostic.hpp"

namespace leanside {

/// A number of the table and where it is from. `recalled`: known to the compiler of the table but not read again in the
/// source; shown to the user wherever the value is.
struct Sourced {
  double value = 0.0;
  std::string source;  ///< a key of docs/sources.md, or the text that a site file gives
  bool recalled = false;
};

/// The pair of flammable limits that one source gives, mol/mol in air at about 25 degC and 1 atm. Either may be
/// missing; a source of which only one of the two was recalled has an entry for each.
struct LimitPair {
  std::string source;
  std::optional<double> lower;
  std::optional<double> upper;
  bool recalled = false;
};

/// log10(p / kPa) = a - b / (T / K + c), valid from t_min to t_max, K.
struct AntoineEquation {
  double a = 0.0, b = 0.0, c = 0.0;
  double t_min = 0.0, t_max = 0.0;
  std::string source;
};

/// ln(p / Pa) = c1 + c2/T + c3 ln T + c4 T^c5, T in K, valid from t_min to t_max.
struct WideVapourPressure {
  double c1 = 0.0, c2 = 0.0, c3 = 0.0, c4 = 0.0, c5 = 0.0;
  double t_min = 0.0, t_max = 0.0;
  std::string source;
};

/// Heat of vaporisation, J/mol: c1 (1 - r)^(c2 + c3 r + c4 r^2 + c5 r^3), r = T / critical, valid from t_min to t_max,
/// K. `critical` belongs to the equation and may differ a little from the critical temperature of the substance.
struct VaporisationEquation {
  double c1 = 0.0, c2 = 0.0, c3 = 0.0, c4 = 0.0, c5 = 0.0;
  double critical = 0.0;  ///< K
  double t_min = 0.0, t_max = 0.0;
  std::string source;
};

/// Density of the saturated liquid, mol/m3: c1 / c2^(1 + (1 - T / c3)^c4), T in K, valid from t_min to t_max.
struct LiquidDensityEquation {
  double c1 = 0.0, c2 = 0.0, c3 = 0.0, c4 = 0.0;
  double t_min = 0.0, t_max = 0.0;
  std::string source;
};

/// One substance. SI units throughout; an empty optional is a value that no source gives, never a zero.
struct Substance {
  std::string id;
  std::string name;
  std::vector<std::string> synonyms;
  std::string formula;
  std::string cas;
  Sourced molar_mass;                      ///< kg/mol
  std::vector<LimitPair> limits;           ///< empty: not flammable
  std::optional<Sourced> limiting_oxygen;  ///< mol/mol, with nitrogen
  /// mol of nitrogen that inerts as much as one mol of it, 0 to 1; empty: as much as nitrogen, or more
  std::optional<Sourced> nitrogen_equivalent;
  std::optional<Sourced> oxygen_demand;         ///< mol O2 per mol burnt completely
  std::optional<Sourced> net_heat;              ///< net heat of combustion, J/mol
  std::optional<Sourced> flash_point;           ///< K, closed cup
  std::optional<Sourced> autoignition;          ///< K
  std::optional<Sourced> min_ignition_energy;   ///< J
  std::optional<Sourced> boiling_point;         ///< K
  std::optional<Sourced> liquid_density;        ///< kg/m3 at 20 degC
  std::optional<Sourced> vapour_pressure_20c;   ///< Pa
  std::optional<Sourced> heat_capacity_ratio;   ///< Cp/Cv of the gas
  std::optional<Sourced> diffusivity_in_air;    ///< m2/s at 25 degC
  std::optional<Sourced> idlh;                  ///< mol/mol
  std::optional<Sourced> exposure_limit;        ///< mol/mol, time-weighted average
  std::optional<Sourced> critical_temperature;  ///< K
  std::optional<Sourced> critical_pressure;     ///< Pa
  std::optional<Sourced> acentric_factor;       ///< of Pitzer
  std::optional<Sourced> triple_point;          ///< K; the melting point where no triple point is published
  std::optional<Sourced> liquid_heat;           ///< heat capacity of the liquid at 25 degC, J/(mol K)
  std::optional<Sourced> boiling_liquid_heat;   ///< the same at the boiling point at 1 atm
  std::optional<Sourced> gas_heat;              ///< heat capacity of the gas at 300 K and constant pressure, J/(mol K)
  std::optional<AntoineEquation> antoine;
  std::optional<WideVapourPressure> vapour_pressure;
  std::optional<VaporisationEquation> vaporisation;
  std::optional<LiquidDensityEquation> saturated_density;
  std::vector<std::string> classification;

  bool flammable() const { return !limits.empty(); }
  /// Whether `classification` has the word.
  bool is_classed(std::string_view word) const;
  /// Whether it is classed as an oxidiser (oxygen itself, nitrous oxide, chlorine).
  bool oxidiser() const;
};

/// Limits chosen for a computation, with the source of each.
struct ChosenLimits {
  double lower = 0.0;  ///< mol/mol in air at 25 degC
  double upper = 0.0;
  std::string lower_source;
  std::string upper_source;
  bool recalled = false;   ///< either was recalled
  bool fell_back = false;  ///< the source asked for lacks this substance: the cautious pair was taken
};

/// The limits to use. `choice` is "cautious" (lowest lower limit and highest upper limit of all sources; of equals one
/// that was read before one that was recalled) or the id of one source; where that source lacks either limit the
/// cautious pair is used and `fell_back` says so. Empty where the substance is not flammable or where no source gives a
/// lower or none an upper limit (parse_substances refuses such a substance).
std::optional<ChosenLimits> choose_limits(const Substance& substance, std::string_view choice);

struct MixturePart {
  std::string substance;  ///< id
  double fraction = 0.0;  ///< mol/mol
};

/// A gas made of several substances, e.g. natural gas. Parts add up to 1.
struct Mixture {
  std::string id;
  std::string name;
  std::vector<MixturePart> parts;
  std::string source;
  std::vector<std::string> synonyms;
  std::string cas;
};

/// Substances and mixtures by id. Value type; cheap to copy for the sizes met. An id means one thing: a substance or a
/// mixture.
class SubstanceTable {
 public:
  const Substance* find(std::string_view id) const;                         ///< by id; null where unknown
  const Mixture* find_mixture(std::string_view id) const;                   ///< by id; null where unknown
  const std::vector<Substance>& substances() const { return substances_; }  ///< in the order in which they came
  const std::vector<Mixture>& mixtures() const { return mixtures_; }
  /// The ids of all sources of limits, sorted.
  std::vector<std::string> limit_sources() const;
  /// The id meant by a name, formula, synonym or CAS number that is not an id ("marsh gas" -> "methane"), whatever the
  /// letter case and whether words are joined by spaces or hyphens; empty where it means none, or several (C4H10).
  std::string meant(std::string_view word) const;
  /// As `meant`; else the id whose own name is nearest to the word; may be
  /// empty. For messages: it walks the table.
  std::string nearest(const std::string& word) const;
  void put(Substance substance);  ///< adds, or replaces what has the same id
  void put(Mixture mixture);

 private:
  using Index = std::map<std::string, std::size_t, std::less<>>;
  std::vector<Substance> substances_;
  std::vector<Mixture> mixtures_;
  Index substance_index_;
  Index mixture_index_;
};

/// `base` with everything of `additions` added or put in its place.
SubstanceTable merged(SubstanceTable base, const SubstanceTable& additions);

/// Saturation vapour pressure, Pa, at temperature T, K: the wide-range equation inside its range, else Antoine inside
/// its own; empty outside every range (no extrapolation). Source: see WideVapourPressure and AntoineEquation of the
/// substance.
std::optional<double> vapour_pressure(const Substance& substance, double temperature);

/// Heat of vaporisation, J/mol, at temperature T, K; 0 from the critical temperature on, empty outside the range of the
/// equation and where there is none.
std::optional<double> heat_of_vaporisation(const Substance& substance, double temperature);

/// Density, kg/m3, of the liquid under its own vapour at temperature T, K; empty outside the range of the equation and
/// where there is none.
std::optional<double> liquid_density(const Substance& substance, double temperature);

/// The temperature, K, at which the vapour pressure is `pressure`, Pa, by bisection between the ends of its equations;
/// empty where no temperature of theirs gives it.
std::optional<double> boiling_temperature(const Substance& substance, double pressure);

/// A part of a gas under pressure. What the parts leave to 1 is air.
struct GasPart {
  const Substance* substance = nullptr;  ///< never null
  double fraction = 0.0;                 ///< mol/mol
};

/// Z = P V / (n R T) of a gas at temperature T, K, and pressure P, Pa; of the gas where there is also a liquid. Empty
/// where a part lacks its critical constants. Source: B. I. Lee and M. G. Kesler, AIChE J. 21 (1975) 510, with their
/// rules for mixtures; pure hydrogen by Lemmon, Huber and Leachman, J. Res. Natl. Inst. Stand. Technol. 113 (2008) 341;
/// hydrogen and helium have the effective critical constants of Gunn, Chueh and Prausnitz, AIChE J. 12 (1966) 937 (all
/// from memory). Within 2 % of the published densities in docs/validation.md.
std::optional<double> compressibility(std::span<const GasPart> parts, double temperature, double pressure);

/// Where a gas begins to condense at one temperature, by Raoult's law.
struct Condensation {
  double dew_pressure = 0.0;       ///< Pa, 1 / sum(y / p_sat): the first drop; infinite where no part condenses
  double bubble_pressure = 0.0;    ///< Pa, sum(x p_sat) over a liquid of that composition; infinite where a part of it
                                   ///< is above its critical temperature
  bool known = true;               ///< false: of some part it is not known whether it condenses; it counts as a gas
  std::string lightest;            ///< id of the part with the highest vapour pressure; empty where none condenses
  double lightest_pressure = 0.0;  ///< Pa, its vapour pressure
};

/// Parts above their critical temperature, and air, do not condense. Where the table has no equation for the vapour
/// pressure, that of Lee and Kesler, AIChE J. 21 (1975) 510 (from memory), takes its place if the critical constants
/// are known.
Condensation condensation(std::span<const GasPart> parts, double temperature);

/// Vapour pressure, Pa, of a part as `condensation` takes it; empty above its critical temperature and where unknown.
std::optional<double> saturation_pressure(const Substance& substance, double temperature);

}  // namespace leanside
