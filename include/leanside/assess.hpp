// SPDX-License-Identifier: Apache-2.0
/// Thresholds, crossings, warnings, rank, causes and remedies: what the fractions mean.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "leanside/advanced/airflow.hpp"
#include "leanside/advanced/flammability.hpp"
#include "leanside/advanced/near_source.hpp"
#include "leanside/advanced/transport.hpp"
#include "leanside/air.hpp"
#include "leanside/experiment.hpp"
#include "leanside/result.hpp"
#include "leanside/site.hpp"
#include "leanside/stock.hpp"

namespace leanside {

/// A space at one instant.
struct Instant {
  double time = 0.0;             ///< s
  std::vector<double> fraction;  ///< by GasIndex
  double oxygen = 0.0;           ///< mol/mol
  double lfl_fraction = 0.0;     ///< of the lower limit of the mixture
  MixtureState state = MixtureState::clear;
};

struct SteadyInstant {
  bool reached = true;
  std::string reason;  ///< why there is none
  Instant at;          ///< meaningful only where reached; its time is not
};

enum class Threshold { note, warn, lfl, ufl, stoichiometric };
std::string_view word_of(Threshold threshold);

/// One passage over a threshold; `up` is 0 where the space starts over it, `down` empty where it is never left.
struct Crossing {
  Threshold threshold = Threshold::note;
  double up = 0.0;
  std::optional<double> down;
};

/// How much of a gas with an IDLH (the concentration immediately dangerous to life or health) a space holds.
struct Exposure {
  GasIndex gas;
  double idlh = 0.0;                ///< mol/mol
  double worst = 0.0;               ///< mol/mol, the largest fraction within the horizon
  double worst_time = 0.0;          ///< s
  std::optional<double> from = {};  ///< s, first instant at or above the IDLH
};

/// The worst of the course in time and the steady state, where that is reached.
struct WorstOf {
  double lfl_fraction = 0.0;
  bool is_steady = false;                       ///< the steady state exceeds the course by more than round-off
  MixtureState at_worst = MixtureState::clear;  ///< where `lfl_fraction` is largest
  MixtureState state = MixtureState::clear;     ///< the most dangerous at any time: inside the range before too rich
  double lowest_oxygen = 0.0, highest_oxygen = 0.0;  ///< mol/mol
};

struct SpaceResult {
  SteadyInstant steady;
  /// Of a layer that people do not breathe: the steady state of the other layer, which they do.
  std::optional<Instant> breathed_steady;
  Instant peak;  ///< worst instant within the horizon, by lfl_fraction
  Instant end;
  std::vector<Crossing> crossings;       ///< in order of time
  double flammable_time = 0.0;           ///< s inside the range
  std::optional<double> flammable_from;  ///< s, first instant inside the range
  double flammable_gas = 0.0;     ///< m3 at site conditions, largest volume of fuel gas held while inside the range
  double flammable_oxygen = 0.0;  ///< mol/mol, most oxygen (and other oxidisers) while inside the range
  /// Whether the way from the end of the horizon to the steady state, as a straight line of mixtures, passes the range.
  bool range_ahead = false;
  double lowest_oxygen = 0.0, highest_oxygen = 0.0;
  double worst_oxygen_time = 0.0;              ///< s, when oxygen is farthest from air within the horizon
  std::optional<double> oxygen_left_criteria;  ///< s, first instant outside
  double pressure = 0.0;                       ///< Pa, highest within the horizon
  std::optional<double> pressure_110;          ///< s, when it has gained 10 %
  std::optional<double> pressure_rated;        ///< s, when it has reached the rated pressure of the vessel
  std::optional<double> pressure_200;          ///< s, when it has reached twice ambient
  std::vector<Exposure> exposures;             ///< of each gas that has an IDLH, by GasIndex
  WorstOf worst;
  std::vector<double> halfway;  ///< fractions at half the horizon, by GasIndex; empty where nothing was solved in time
};

/// Part of the height of a room, m above its floor.
struct HeightRange {
  double from = 0.0, to = 0.0;
};

/// A room that was computed in two layers. Its SpaceResult is that of the worse of the two.
struct LayeredRoom {
  SpaceIndex space;
  bool gas_above = true;  ///< the gas gathers under the ceiling; else on the floor
  SpaceResult lower, upper;
  double end_interface = 0.0;                   ///< m above the floor, at the horizon
  std::optional<double> steady_interface;       ///< m above the floor
  double deepest_interface = 0.0;               ///< m above the floor, where the layer of gas is deepest
  double deepest_time = 0.0;                    ///< s
  double flammable_volume = 0.0;                ///< m3, the most that is inside the range at one time
  std::optional<HeightRange> flammable_height;  ///< where that is
  struct Height {
    double time = 0.0;    ///< s
    double height = 0.0;  ///< m above the floor
  };
  std::vector<Height> course;  ///< of the interface, on the grid of `series_points`
};

/// Which model of a "worse of both" room, or of a space beside one, the answer shows.
enum class RoomModel { only, mixed, layered };
std::string_view word_of(RoomModel room_model);

/// A release of vapour that neither burns nor poisons, of which saturated air cannot hold all.
struct Condensing {
  ReleaseIndex release;
  double share = 1.0;  ///< that stays in the air; the rest is taken to condense at once
};

/// Where the gas of one release can be ignited although the space as a whole may not be.
struct SourceZone {
  ReleaseIndex release;
  SpaceIndex space;  ///< that it gets into
  Zone zone;
  double background = 0.0;           ///< lfl_fraction of the space that it was computed with
  bool fills_space = false;          ///< the zone is so large that the whole space counts as one
  double from = 0.0;                 ///< s, when the release starts
  std::optional<double> until = {};  ///< s, when it ends within the horizon
};
/// A zone is a warning above this volume of the cloud whose mean is half of the lower limit, m3, or this share of its
/// space; or where it reaches this far, m, in a space with an ignition source. Source: IEC 60079-10-1, negligible
/// extent (volume and share, from memory); the distance is common practice, no source.
inline constexpr double zone_volume = 0.1, zone_share = 0.01, zone_reach = 0.5;

struct CaseResult {
  CaseIndex case_index;
  FlowField flows;                  ///< at time 0 after the events at 0
  std::vector<SpaceResult> spaces;  ///< by SpaceIndex
  AirAtStart air;
  std::vector<AssumedLeak> leaks;
  std::vector<AirwayIndex> overflowing;
  std::vector<AirwayIndex> leaking;    ///< shut openings that leaked by assumption at some time
  std::vector<StarvedFan> starved;     ///< at some time or in the end, each when it is worst
  std::vector<AirwayIndex> off_curve;  ///< fans that left their curve at some time
  std::vector<Condensing> condensing;
  std::vector<SpaceIndex> unvented;         ///< joined by gaps or doorways, but with no such way to outside
  double balance_error = 0.0;               ///< worst over gases
  std::vector<ReleaseTrace> releases;       ///< by ReleaseIndex; empty where no transient was run
  std::vector<LayeredRoom> layered;         ///< the rooms that are shown in layers
  std::vector<MixedRoom> mixed;             ///< rooms that were asked to be layered and were computed mixed
  std::vector<RoomModel> room_model;        ///< by SpaceIndex; empty where only one was computed
  std::vector<SourceZone> zones;            ///< of the releases that are on at some time, by ReleaseIndex
  std::vector<Experiment> experiments;      ///< of the vessels with gas, by SpaceIndex
  std::vector<FlowDifference> differences;  ///< by AirwayIndex; empty in the first case
};

enum class Severity { flammable, pressure, rich, near_source, toxic, margin, oxygen, note };  ///< worst first
std::string_view word_of(Severity severity);

/// What brought a share of the gas (or of the lost oxygen, or of the pressure): a release, or what a space held at the
/// start.
struct Cause {
  std::optional<ReleaseIndex> release;
  std::optional<SpaceIndex> initial_of;
  double share = 0.0;  ///< of the whole; shares add up to 1
};

enum class RemedyKind {
  more_fresh_air,      ///< `extra_air` brings the steady value under warn_at
  more_air_for_peak,   ///< `extra_air` keeps the worst instant under warn_at
  keep_air_out,        ///< a vessel that holds fuel gas: keep air out, purge with inert gas before opening
  vent_vessel,         ///< a sealed vessel gains pressure
  vents,               ///< a layered room: `vent_area` at the ceiling and as much at the floor, to outside
  open_inlet,          ///< a fan gets too little air here: `opening` alone keeps the space within its criteria
  stop_source,         ///< air alone does not help: gas that has no way out, or is already there at the start
  restore_oxygen,      ///< oxygen outside its criteria; `extra_air` where solved
  reduce_source,       ///< more air than may be advised would be needed: only less gas helps
  remove_source,       ///< ignitable at its source: close or remove that, and keep ignition sources away
  leave,               ///< toxic gas: people leave, then the source is stopped and the space aired
  air_before_opening,  ///< a cabinet with air that nobody may breathe: air it before anyone leans into it
  watch                ///< a note: nothing to do but know it
};

/// A gas above its IDLH, for severity toxic and for the note on a cabinet.
struct ToxicGas {
  GasIndex gas;
  double idlh = 0.0;   ///< mol/mol
  double worst = 0.0;  ///< mol/mol, the worse of its peak and its steady state
  /// The IDLH is about a tenth of the lower flammable limit and the gas is not classed as toxic: the fire comes first.
  bool tenth_of_limit = false;
};

/// What a changed site still does to the space of a warning: assessed again, the whole course and the steady state.
struct Outcome {
  double worst = 0.0;        ///< lfl_fraction (severity oxygen: mol/mol of oxygen, pressure: Pa), the worse of the two
  bool over = false;         ///< still at or over the margin (or outside its criteria) in the course or in steady state
  bool steady_over = false;  ///< so in the steady state
  bool steady = true;        ///< there is a steady state; otherwise the outcome holds within the horizon alone
  double over_time = 0.0;    ///< s at or over the margin within the horizon; 0 for severity oxygen and pressure
  // What advice against one thing leaves of the others, where that still asks for a warning above a note.
  std::optional<ToxicGas> toxic = {};  ///< in a room: the gas that is then farthest above its IDLH
  std::optional<double> fuel = {};     ///< of advice about oxygen: the lfl_fraction that is then over the margin
  std::optional<double> oxygen = {};   ///< of advice about gas that burns: mol/mol of oxygen outside its criteria
};

/// Releases to stop, the largest share first: as many as it takes, or all that have a share.
struct StopAdvice {
  std::vector<ReleaseIndex> releases;
  std::optional<Outcome> after_first;  ///< the first alone is stopped; empty where it was not assessed
  std::optional<Outcome> after_all;    ///< all of them are stopped; empty where it was not assessed
};

/// Less gas: what keeps the space under the margin with the air of today.
struct Reduction {
  std::vector<ReleaseIndex> releases;  ///< all by the same share
  double share = 0.0;                  ///< of the rate (the amount of a dump or reaction, the area of a hole or pool)
  Outcome after;
};

/// Why more air is not advised.
enum class AirLimit {
  none,
  too_much,    ///< more than `most_air_changes` would be needed; `after_air` is what those would leave
  too_small,   ///< the space is smaller than `least_aired_volume`
  holds_fuel,  ///< a vessel with fuel gas in it
  at_start     ///< the gas is there from the start: no airflow is quick enough
};
std::string_view word_of(AirLimit limit);

/// Nobody is advised to move more air than this through a space, 1/h. Common practice, no source.
inline constexpr double most_air_changes = 60.0;
/// Nobody is advised to blow air into less than this, m3. Common practice, no source.
inline constexpr double least_aired_volume = 0.05;

/// An opening to outside that a starved fan of the space lacks, and what it alone leaves.
struct OpeningAdvice {
  AirwayIndex fan;
  bool inlet = true;  ///< that lets air in; else one that lets air out
  double area = 0.0;  ///< m2, free area
  Outcome after;
};

struct Remedy {
  RemedyKind kind = RemedyKind::watch;
  std::optional<OpeningAdvice> opening;
  std::optional<double> extra_air;    ///< m3/s of fresh air into the space at its temperature, with as much leaving it
  std::optional<double> vent_area;    ///< m2, free area of each of two openings
  double value_after = 0.0;           ///< lfl_fraction (or oxygen) with that air, from a solution of its own
  bool passes_through_range = false;  ///< rich now: dilution brings it through the range first
  StopAdvice stop;
  std::optional<Reduction> reduction;
  AirLimit air_limit = AirLimit::none;
  std::optional<Outcome> after_air;  ///< with `extra_air` or the vents; empty where it was not assessed again
};

/// Why gas can be ignited at its source whatever the average of the space is.
enum class SourceHazard {
  hot_liquid,  ///< a liquid at or above its flash point: the vapour at its surface can be ignited
  pyrophoric,  ///< a gas that ignites by itself when it meets air
  zone         ///< gas that has not yet mixed with the air of the space: a jet or a plume
};
std::string_view word_of(SourceHazard hazard);

/// A release that can be ignited at its source, for severity near_source.
struct NearSource {
  ReleaseIndex release;
  SourceHazard hazard = SourceHazard::hot_liquid;
  double temperature = 0.0;                ///< K, of the liquid
  std::optional<double> flash_point = {};  ///< K, of the liquid, where it is known
  double surface_lfl_fraction = 0.0;       ///< of the lower limit, saturated vapour at the surface of the liquid
  std::optional<double> until = {};        ///< s, when the release ends within the horizon
  std::optional<SourceZone> zone = {};     ///< where it can be ignited
};

struct Warning {
  Severity severity = Severity::note;
  CaseIndex case_index;
  SpaceIndex space;
  double lfl_fraction = 0.0;   ///< the worse of peak and steady
  std::optional<double> time;  ///< s, when it reaches the threshold of its severity; empty: not within the horizon
  bool worst_is_steady = false;
  MixtureState worst_state = MixtureState::clear;  ///< at the worst instant
  double oxygen = 0.0;                             ///< for severity oxygen: the worst value
  double pressure = 0.0;                           ///< for severity pressure: Pa, the highest
  std::optional<double> rated_pressure;            ///< for severity pressure: Pa, where the vessel has a rating
  std::optional<double> pressure_twice;            ///< for severity pressure: s, when it reaches twice ambient
  std::vector<Cause> causes;                       ///< largest share first
  Remedy remedy;
  double flammable_time = 0.0;           ///< for severity flammable: s inside the range within the horizon
  std::optional<double> stoichiometric;  ///< s, first instant with just the oxygen that burns all of the fuel
  /// Where it is in a layered room: of severity flammable what can be ignited, else the layer of gas at its deepest.
  std::optional<HeightRange> layer;
  /// Where that is the worse of two room models: the share of the lower limit that the mixed room reaches.
  std::optional<double> mixed_lfl_fraction;
  std::optional<StorageFinding> storage;  ///< a note on what is stored there: nothing was computed in time for it
  std::optional<NearSource> source;       ///< for severity near_source
  std::optional<ToxicGas> toxic;          ///< for severity toxic, and for a note on the air in a cabinet
  double energy = 0.0;   ///< J, net heat of the fuel that the space holds at the worst instant that can burn
  bool violent = false;  ///< for severity flammable: inside the range with more oxygen than `oxygen_high`
  bool near_stoichiometric = false;  ///< the peak holds, within a fifth, just the oxygen that burns its fuel
  std::optional<double> later;       ///< s, when it reaches its threshold after the given horizon
  /// For severity pressure: the vessel can burn too, but bursts without any ignition source.
  bool bursts_first = false;
  std::optional<Experiment> experiment = {};  ///< what the vessel may do, for severity flammable, rich and pressure
};

/// What a warning is about, whatever its severity.
enum class Subject { fuel, oxygen, pressure, toxic, source, storage };
Subject subject_of(const Warning& warning);

/// What the answer does not settle although a reader may expect it to.
enum class OpenQuestion {
  release_off,   ///< a release is off and no case turns it on
  still_rising,  ///< at the end of the given horizon something still rises towards a threshold that it has not reached
  unknown_limits,   ///< a gas that is classed as flammable has no flammable limits, or a toxic one no IDLH
  layers_unsolved,  ///< of a space that is to show the worse of two room models: its layers were not found
};
std::string_view word_of(OpenQuestion kind);

/// What a value still rises towards.
enum class RisingTo { note, warn, lfl, idlh, oxygen, pressure };
std::string_view word_of(RisingTo threshold);

struct NotJudged {
  OpenQuestion kind = OpenQuestion::release_off;
  std::optional<ReleaseIndex> release = {};  ///< of release_off
  std::optional<SpaceIndex> space = {};      ///< where that is; of layers_unsolved
  std::optional<GasIndex> gas = {};          ///< of unknown_limits, and of still_rising towards an IDLH
  std::optional<CaseIndex> case_index = {};  ///< of still_rising and layers_unsolved: the first case
  std::optional<RisingTo> threshold = {};    ///< of still_rising
  double value = 0.0;                        ///< of still_rising: what rises, at the end of the horizon (Pa or mol/mol)
  std::optional<double> time = {};           ///< s, of still_rising: when it gets there; empty: not within a year
};

/// One cause and everything it does. The release (or filling) is the first cause of its leading warning.
struct Finding {
  std::vector<std::size_t> warnings;  ///< into Assessment::warnings, the leading one first; of one case and one cause
  std::vector<CaseIndex> cases;       ///< those in which it does the same, that of the warnings first
};

struct Assessment {
  std::vector<CaseResult> cases;
  /// By rank: severity, the normal case first, more combustible energy (by decade of MJ), earlier, id. A toxic gas
  /// whose IDLH is a tenth of its lower limit comes after severity margin.
  std::vector<Warning> warnings;
  std::vector<Finding> findings;        ///< by rank of the leading warning; every warning is in one, or does the same
  std::vector<NotJudged> not_judged;    ///< by kind, then in the order of the site
  double horizon = 0.0;                 ///< s, the time that was computed
  double balance_error = 0.0;           ///< worst over gases and cases
  std::vector<Assumption> assumptions;  ///< all that the answer rests on: of the site, of the engine, of its cases
  Stock stock;
};

struct AssessOptions {
  std::optional<CaseIndex> only;  ///< one case alone
  bool steady_only = false;       ///< no transient: peak, end and crossings are then those of time 0
  bool explain = true;            ///< causes and remedies of the warnings too; without them it is quicker
  /// Receives fractions on a grid of times, in order of time; empty: none.
  std::function<void(CaseIndex, double time, const FractionField&)> series;
  /// Receives the layers of every layered room, after `series` has received the room; empty: none.
  std::function<void(CaseIndex, double time, const LayerState&)> layer_series;
  std::size_t series_points = 240;
};

/// Whether somebody has to act: a warning above a note, a fan that gets too little air, a release that no case tries,
/// or something that still rises towards a threshold.
bool calls_for_action(const Assessment& assessment);

/// Whether a release in a case can bring gas that burns or harms: it is on at some time, and flammable, toxic or
/// pyrophoric.
bool brings_hazard(const Site& site, CaseIndex case_index, ReleaseIndex release);

/// Solves every case and judges every space.
Result<Assessment> assess(const Site& site, const AssessOptions& options = {});

/// Oxygen fraction of a mixture: what air brings plus what was added. `fraction` by GasIndex.
double oxygen_of(const Site& site, std::span<const double> fraction);

/// The fuels of the site at a temperature, by GasIndex; empty for a gas that does not burn.
std::vector<std::optional<Fuel>> fuels_at(const Site& site, double temperature);

}  // namespace leanside
