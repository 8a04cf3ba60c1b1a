// SPDX-License-Identifier: Apache-2.0
/// Balanced molar flows of a site at one moment of one case.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "leanside/result.hpp"
#include "leanside/site.hpp"

namespace leanside {

/// What is switched how at one moment of a case, after its events so far.
struct SiteState {
  std::vector<bool> airway_on;       ///< by AirwayIndex
  std::vector<double> airway_flow;   ///< m3/s, by AirwayIndex; only of fans and exchanges
  std::vector<double> airway_open;   ///< by AirwayIndex; only of doorways and gaps
  std::vector<bool> airway_shut;     ///< by AirwayIndex: switched off, or a doorway or gap with open = 0
  std::vector<double> release_rate;  ///< mol/s, by ReleaseIndex
  std::vector<double> temperature;   ///< K, by SpaceIndex
  /// Airways of which events have changed other numbers, by AirwayIndex::value: what they are now.
  std::map<std::size_t, std::shared_ptr<const AirwayKind>> changed;
};

/// What an airway is in this state.
const AirwayKind& kind_now(const Site& site, const SiteState& state, std::size_t airway);

/// State of a case at time `t`, the events and starts at exactly `t` included. `t` infinite: after everything, with the
/// steady releases only. A spill counts as not dry and as evaporating into clean air.
SiteState state_at(const Site& site, CaseIndex case_index, double t);

/// Moles that stream from one place to another, mol/s >= 0. At least one side is a space.
struct MolarFlow {
  Side from, to;
  double rate = 0.0;
};

/// Flow of one airway, mol/s, from its first side to its second and back; both >= 0.
struct AirwayFlow {
  double forward = 0.0;
  double backward = 0.0;
  /// Pa, first side less second at the height of the airway (the middle of a doorway); empty where no pressures were
  /// solved.
  std::optional<double> pressure_difference;
};

/// Flow that was assumed, mol/s into the space (> 0) or out of it (< 0), because nothing else balanced it.
struct AssumedLeak {
  SpaceIndex space;
  double rate = 0.0;
  Side other = {};  ///< where it comes from or goes to: outside, or the room that a cabinet stands in
};

/// A fan that gets, or gets rid of, less air than it would move: no opening that the file names lets enough through.
struct StarvedFan {
  AirwayIndex fan;
  double given = 0.0;              ///< mol/s: its flow in the file; of a curve, that against no pressure
  double carried = 0.0;            ///< mol/s; = given where a fan of given flow only works against too high a pressure
  std::optional<double> pressure;  ///< Pa, that it works against
  SpaceIndex space;                ///< where an opening is missing
  bool inlet = true;               ///< that lets air in; else one that lets air out
};

/// Free area, m2, of an opening that lets `flow`, m3/s of air of 1.2 kg/m3, pass at 20 Pa (sharp-edged, discharge
/// coefficient 0.6): little enough for any fan. Common practice, no source.
double free_area_for(double flow);

/// Keeps the worse of two findings about the same fan: the smaller share of its flow, else the higher pressure.
void keep_worst(std::optional<StarvedFan>& worst, const StarvedFan& fan);

/// Balanced flows. For every space but the sealed ones: sum in + release = sum out, to round-off.
struct FlowField {
  std::vector<AirwayFlow> airways;  ///< by AirwayIndex
  std::vector<MolarFlow> flows;     ///< all streams: airways, air changes, assumed leaks
  std::vector<double> release;      ///< mol/s into each space, all gases and air together, by SpaceIndex
  std::vector<AssumedLeak> leaks;
  std::vector<AirwayIndex> overflowing;  ///< exchanges that had to carry the excess of a vessel or cabinet
  std::vector<AirwayIndex> leaking;      ///< shut openings that leak by assumption; `airways` has their flows
  std::vector<StarvedFan> starved;
  std::vector<double> storage;  ///< mol/s that each space gains: > 0 only in sealed vessels; by SpaceIndex
  std::vector<double>
      pressure;  ///< Pa, at the floor, over the outside air at that height; 0 where none was solved; by SpaceIndex
  std::vector<AirwayIndex> off_curve;  ///< fans that work outside the pressures of their curve: held at its end
  std::vector<SpaceIndex> unvented;    ///< spaces joined by gaps or doorways, but with no such way to outside
  std::vector<bool> sealed;            ///< no way out for a surplus: the space holds pressure; by SpaceIndex
};

/// Why no balanced flows exist, naming the spaces and what to add.
struct FlowFault {
  std::string message;
  SpaceIndex space;
  FaultKind kind = FaultKind::bad_input;  ///< unsolved where the pressures did not converge
};

/// Molar flow, mol/s, of `volume_flow` m3/s at `temperature` K and `pressure` Pa.
double molar_flow(double volume_flow, double pressure, double temperature);

/// Moles held by a space at ambient pressure and its own temperature, or at another; 0 for a junction.
double moles_held(const Space& space, const Conditions& conditions);
double moles_held(const Space& space, const Conditions& conditions, double temperature);

/// Prescribed flows as given; opening airways share what is missing as equal conductances would; gaps, doorways and
/// fans with a curve follow the pressures that balance every space. Rooms whose surplus (or lack) no way carries
/// outside leak it by assumption, a cabinet into the room that it stands in; where a fan would need more than such a
/// leak passes, its flow falls and it is starved. The surplus of a vessel leaves by its exchanges, or else stays in it.
/// `density`, kg/m3 by SpaceIndex, drives stack and buoyancy; empty: that of air at each space's temperature.
/// docs/methods.md, section 3.
std::variant<FlowField, FlowFault> balance_flows(const Site& site, const SiteState& state,
                                                 std::span<const double> density = {});

/// Where a surplus goes that bursts out of spaces at one moment, `surplus[i]` mol by SpaceIndex (< 0: what a space
/// draws in): moles that stream through each airway, every fan and exchange standing still. `flows` and `airways` are
/// then in mol, not mol/s.
std::variant<FlowField, FlowFault> burst_flows(const Site& site, const SiteState& state,
                                               std::span<const double> surplus, std::span<const double> density = {});

}  // namespace leanside
