// SPDX-License-Identifier: Apache-2.0
/// What the user wrote, as plain data in SI units: spaces, airways, releases, cases.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "leanside/advanced/bench.hpp"
#include "leanside/advanced/flammability.hpp"
#include "leanside/advanced/index.hpp"
#include "leanside/advanced/plumes.hpp"
#include "leanside/advanced/sources.hpp"
#include "leanside/assumptions.hpp"
#include "leanside/diagnostic.hpp"
#include "leanside/substance.hpp"
#include "leanside/units.hpp"

namespace leanside {

struct Conditions {
  double temperature = zero_celsius + 20.0;          ///< K, of every space that gives none
  double pressure = standard_atmosphere;             ///< Pa, ambient
  double outside_temperature = zero_celsius + 20.0;  ///< K
  double wind_speed = 0.0;                           ///< m/s
  double oxygen_in_air = oxygen_in_dry_air;          ///< mol/mol
  UnitSystem units = UnitSystem::si;                 ///< of the numbers that people read
};

/// A higher margin needs a reason in the file.
inline constexpr double highest_plain_margin = 0.5;

struct Criteria {
  double warn_at = 0.25;  ///< of the lower limit
  double note_at = 0.10;
  double oxygen_low = 0.195;  ///< mol/mol
  double oxygen_high = 0.235;
  std::string limits = "cautious";  ///< "cautious" or the id of a source of limits
  std::string accept_high_margin;   ///< why a warn_at above highest_plain_margin is accepted
  double horizon = 8.0 * 3600.0;    ///< s
  /// The file gives no horizon: assess() computes from `horizon` on until the verdict cannot change, at most a year.
  bool open_ended = false;
};

/// A gas that is tracked: a substance of the table or of this file, with the limits chosen for this run.
struct Gas {
  Substance substance;
  std::optional<ChosenLimits> limits;  ///< empty: does not burn
  std::optional<FlameProperties> flame = {};
};

/// Share of one tracked gas in a release or a filling.
struct GasShare {
  GasIndex gas;
  double fraction = 0.0;  ///< mol/mol
};

/// What a release or a filling is made of; what the shares leave to 1 is air.
struct Composition {
  std::vector<GasShare> shares;
  std::string name;  ///< as the user named it: a substance, a mixture or a gas of the file
};

enum class SpaceKind { room, cabinet, vessel, junction };
std::string_view word_of(SpaceKind kind);

/// How gas spreads in a room or cabinet: through all of it; in a layer under the ceiling or on the floor; or whichever
/// of the two gives the worse answer.
enum class Stratification { mixed, layered, worse_of_both };
std::string_view word_of(Stratification stratification);

/// One side of an airway: a space, or outside where empty.
using Side = std::optional<SpaceIndex>;

/// Where a cabinet or vessel stands, so that what leaves it has somewhere to go.
struct StandsIn {
  Side place;             ///< a space, or outside where empty
  bool inferred = false;  ///< the file does not say: it is the only room that an airway joins to the cabinet
};

/// A hole in a vessel.
struct VesselOpening {
  double diameter = 0.0;  ///< m
  double height = 0.0;    ///< m, of its middle above the bottom of the vessel
  double neck = 0.0;      ///< m, its length
  Facing facing = Facing::up;
  bool flame = false;  ///< what leaves is lit there
};

/// What a vessel is as an apparatus on a bench.
struct Apparatus {
  std::optional<double> diameter;      ///< m, inside
  std::optional<double> inner_height;  ///< m, inside, with the liquid
  double liquid = 0.0;                 ///< m3, inside; the volume of the space is what it leaves
  std::string material;                ///< "glass", "metal" or "plastic"; empty: not given
  std::vector<VesselOpening> openings;
  bool stirred = false;        ///< what comes in is mixed at once by force
  std::optional<double> jars;  ///< m3 of each jar in which what leaves is collected over water
};

struct Space {
  std::string id;
  std::string name;  ///< empty: none given
  SpaceKind kind = SpaceKind::room;
  double volume = 0.0;                   ///< m3; 0 for a junction
  std::optional<double> floor_area;      ///< m2
  std::optional<double> height;          ///< m
  double elevation = 0.0;                ///< m, of its floor above the site datum
  double temperature = 293.15;           ///< K
  double mixing_factor = 1.0;            ///< K >= 1
  double air_changes = 0.0;              ///< 1/s, exchange with outside of that many volumes
  std::vector<GasShare> initial;         ///< at time 0; the rest is air
  std::vector<std::string> ignition;     ///< ignition sources known to be there
  std::optional<StandsIn> stands_in;     ///< of a cabinet, or a vessel with openings; empty: not known
  std::optional<double> rated_pressure;  ///< Pa, absolute; only of a vessel
  bool entered = false;                  ///< only of a vessel: people go in, so its air is judged for breathing
  Apparatus apparatus;                   ///< only of a vessel
  Stratification stratification = Stratification::mixed;
  double entrainment = plume_entrainment;  ///< coefficient of the plumes in a layered room
  /// Of a room in layers that both light and heavy gas get into: whether the light one makes the layer. Empty: the
  /// stronger of the two.
  std::optional<bool> gas_above;
  SourceLocation place;
};

/// A point of a fan curve.
struct FanPoint {
  double pressure = 0.0;  ///< Pa, that the fan works against
  double flow = 0.0;      ///< m3/s
};
/// One way, `flow` m3/s at the temperature of `from`; with a curve (pressures ascending, flows not ascending) the flow
/// follows the pressure of `to` over that of `from`, and `flow` is not used.
struct Fan {
  Side from, to;
  double flow = 0.0;
  std::vector<FanPoint> curve;
  std::optional<double> height = {};    ///< m above the floor of the first-named side that is a space
  std::optional<double> momentum = {};  ///< N, of the air that it blows into `to` at `flow`
};
/// Equal amounts each way; `flow` m3/s at the temperature of the first side.
struct Exchange {
  Side first, second;
  double flow = 0.0;
  std::optional<double> height = {};  ///< m above the floor of the first-named side that is a space
};
/// Carries what balance needs, either way, without resistance.
struct Opening {
  Side first, second;
};

/// Leak of an effective leakage area (m2 at 4 Pa), driven by pressure, stack effect and wind. `height` m above the
/// floor of the first-named side that is a space.
struct Gap {
  Side first, second;
  double leakage_area = 0.0;
  double exponent = 0.65;
  double height = 0.0;
  std::optional<double> wind_coefficient;
};
/// Discharge coefficient of a doorway where the file gives none. Source: R. A. Bryant, Proc. Combust. Inst. 33 (2011)
/// 2481: 0.69 on average between flows measured by particle images and those from temperatures (abstract).
inline constexpr double doorway_discharge = 0.69;

/// The same of a louvre, a window or the slit under a door: sharp edges. Common practice, no source.
inline constexpr double sharp_discharge = 0.6;

/// What an opening of some height is in the building.
enum class OpeningForm { doorway, louvre, window, undercut };
std::string_view word_of(OpeningForm form);

/// Opening of some height, m: flow both ways where densities differ. `open` is the share of its width, 0 to 1.
struct Doorway {
  Side first, second;
  double width = 0.0;  ///< m, of the free area alone
  double height = 0.0;
  double sill = 0.0;  ///< m above the floor of the first-named side that is a space
  double open = 1.0;
  double discharge = doorway_discharge;
  OpeningForm form = OpeningForm::doorway;
  std::optional<double> wind_coefficient = {};
};

using AirwayKind = std::variant<Fan, Exchange, Opening, Gap, Doorway>;

struct Airway {
  std::string id;
  bool on = true;
  AirwayKind kind;
  SourceLocation place;
  std::optional<SystemIndex> system = {};  ///< the air handling unit that it belongs to
};

/// An air handling unit, or several fans on one shaft: its airways change and fail together.
struct System {
  std::string id;
  std::string name;  ///< empty: none given
  bool on = true;
  double flow_factor = 1.0;    ///< what the file gives as flows of its airways is multiplied by it
  double recirculation = 0.0;  ///< share of the supply air that is return air, 0 to 1
  /// Carries the return air to the supply; where there is recirculation at some time.
  std::optional<AirwayIndex> return_fan = {};
  SourceLocation place;
};

/// Whether its flow follows pressures: a gap, a doorway, a fan with a curve.
bool follows_pressure(const Airway& airway);

/// First-named and second-named side of any airway.
Side first_side(const Airway& airway);
Side second_side(const Airway& airway);

/// Constant rate, mol/s, without end or for `duration` s.
struct SteadyRelease {
  double rate = 0.0;
  std::optional<double> duration;
  std::optional<double> current = {};  ///< A, where it is water that is split by electricity
};
/// `amount` mol at a constant rate over `over` s.
struct DumpRelease {
  double amount = 0.0;
  double over = 0.0;
};
/// `count` small seeps of `each` mol/s, without end.
struct FittingsRelease {
  double count = 0.0;
  double each = 0.0;
};

/// Gas from a place that holds its pressure, through a hole, without end or for `duration` s.
struct OrificeRelease {
  HeldGas held;
  Hole hole;
  double pressure = 0.0;                 ///< Pa, absolute
  double ambient = standard_atmosphere;  ///< Pa
  std::optional<double> duration;
};
/// A cylinder that empties itself through a hole, at constant temperature.
struct CylinderRelease {
  HeldGas held;
  Hole hole;
  double water_volume = 0.0;             ///< m3
  double pressure = 0.0;                 ///< Pa, absolute, at the start
  double ambient = standard_atmosphere;  ///< Pa
  /// How what it holds comes out. Empty: an ideal gas down to ambient pressure (Blowdown).
  Outflow course = {};
};
/// Liquid that boils away on a floor warmer than itself.
struct BoilingRelease {
  Outflow course;
  double area = 0.0;     ///< m2
  double boiling = 0.0;  ///< K
};
/// Spilled liquid, `amount` mol, composed as its release. `pool` is the fresh liquid; a mixture dries in stages.
struct SpillRelease {
  double amount = 0.0;
  double air_speed = 0.2;  ///< m/s
  double schmidt = 1.0;
  Pool pool;
  double ambient = standard_atmosphere;  ///< Pa
  std::vector<PoolStage> stages = {};    ///< of a mixture; shares in the order of those of the release
};
/// `amount` mol of gas from a reaction: at a constant rate over `over` s, or half of what is left in each `half_time`
/// s. Exactly one of the two is given.
struct ReactionRelease {
  std::string reaction;          ///< id of the reaction table
  std::vector<double> reagents;  ///< mol, in the order of the table; infinite where there is more than enough
  double amount = 0.0;
  std::size_t limiting = 0;  ///< the reagent that is used up first
  std::optional<double> over;
  std::optional<double> half_time;
};
/// Hydrogen from `cells` in series through which `current` A makes gas: by the class of the battery, or as given.
struct ChargingRelease {
  double cells = 0.0;
  double current = 0.0;            ///< A
  std::optional<double> capacity;  ///< C
  std::optional<Battery> battery;
  ChargingRegime regime = ChargingRegime::float_charge;
  std::optional<double> duration;
};

struct Release {
  std::string id;
  std::string name;  ///< empty: none given
  SpaceIndex into;
  Composition gas;
  double start = 0.0;              ///< s
  bool on = true;                  ///< off: starts only when an event turns it on
  std::optional<double> height;    ///< m above the floor of `into`
  std::optional<double> momentum;  ///< N, of the jet; empty: that of its hole, or none
  std::variant<SteadyRelease, DumpRelease, FittingsRelease, OrificeRelease, CylinderRelease, SpillRelease,
               ReactionRelease, ChargingRelease, BoilingRelease>
      kind;
  double count = 1.0;  ///< how many of it there are in store, of which one lets its gas out
  /// For a leak of a cylinder in store: the release that represents its entire contents.
  std::optional<ReleaseIndex> happens_to = {};
  std::string as_written;  ///< the size in the user's words: "4 L/min", "20 L over 10 min", "12 fittings of 2 mL/min"
  SourceLocation place;
};

struct SetAirwayOn {
  AirwayIndex airway;
  bool on = true;
};
struct SetAirwayFlow {  ///< of a fan or an exchange
  AirwayIndex airway;
  double flow = 0.0;  ///< m3/s
};
struct SetAirwayOpen {  ///< of a doorway or a gap
  AirwayIndex airway;
  double open = 1.0;  ///< 0 to 1
};
struct SetAirwayKind {  ///< any other number of it
  AirwayIndex airway;
  std::shared_ptr<const AirwayKind> kind;  ///< of the same alternative, and a fan with a curve where it had one
  std::string as_written;                  ///< "speed 80 %"
};
/// For people alone: what it does to the airways of the system stands in events of their own.
struct SetSystem {
  SystemIndex system;
  std::optional<bool> on = {};
  std::optional<double> flow_factor = {}, recirculation = {};
};
struct SetSpaceTemperature {
  SpaceIndex space;
  double temperature = 293.15;  ///< K
};
struct SetReleaseOn {
  ReleaseIndex release;
  bool on = true;
};

struct Event {
  double at = 0.0;  ///< s
  std::variant<SetAirwayOn, SetAirwayFlow, SetReleaseOn, SetAirwayOpen, SetSpaceTemperature, SetAirwayKind, SetSystem>
      change;
  SourceLocation place;
  bool follows = false;  ///< made by the system event before it; reports show only that event
};

/// The same site with some events. Case 0 is always "normal": the file as it stands, with the events of every case.
struct Case {
  std::string id;
  std::string name;
  std::vector<Event> events;  ///< those of the file itself included; ordered by time, at equal times as written
  /// A release that is off and that no case of the file turns on: the case was added for it.
  std::optional<ReleaseIndex> added_for = {};
};

/// A value that the file gives as a range; the site holds its best value.
struct Range {
  std::string name;                            ///< whose it is: "release regulator: rate"
  double low = 0.0, best = 0.0, high = 0.0;    ///< SI, low <= best <= high; of a gauge pressure over ambient
  Dimension dimension = Dimension::fraction;   ///< of a bare number: fraction
  std::string low_text, best_text, high_text;  ///< as written: "4 L/min"
  SourceLocation place;
};

/// A whole site. Invariants, kept by the reader: ids unique within their kind; every index valid; volumes > 0 but for
/// junctions; flows and rates >= 0; fractions in [0, 1] and fillings adding up to at most 1; cases[0] is "normal".
struct Site {
  std::string title;
  std::string notes;
  std::string file;  ///< as named by the user; empty for a site made by a program
  Conditions conditions;
  Criteria criteria;
  std::vector<Gas> gases;
  std::vector<Space> spaces;
  std::vector<Airway> airways;
  std::vector<System> systems;
  std::vector<Release> releases;
  std::vector<Case> cases;
  std::vector<Range> ranges;            ///< in the order of the file
  std::vector<Assumption> assumptions;  ///< of the reader: defaults used, limits that fell back, ...
};

/// A value of a range as the user would write it, in the unit of its best value: "3.2 L/min".
std::string value_words(const Range& range, double si);

/// The airways of a system, in the order of the site.
std::vector<AirwayIndex> airways_of(const Site& site, SystemIndex system);

/// That the best values alone are computed with. There is at least one range.
Assumption assumption_of_best_values(const std::vector<Range>& ranges);

/// The site without the cases that were added for releases that are off.
Site without_added_cases(const Site& site);

/// Whether any space of it may be in layers.
bool has_layers(const Site& site);

/// Molar mass of a composition, kg/mol, air filling it up to 1.
double molar_mass(const Composition& composition, const std::vector<Gas>& gases);

/// Mean molar mass of dry air, kg/mol. Source: computed from 78.084 % N2, 20.946 % O2, 0.934 % Ar, 0.04 % CO2.
inline constexpr double molar_mass_of_air = 0.0289655;

}  // namespace leanside
