// SPDX-License-Identifier: Apache-2.0
/// What a switch does to balanced flows that are given by the file, without balancing the whole site again: only the
/// groups of spaces joined by openings that it touches.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/graph/graph.hpp"
#include "base/linalg/laplacian.hpp"
#include "leanside/advanced/airflow.hpp"

namespace leanside::airflow {

/// Something that is switched and stays so.
struct FlowSwitch {
  enum class Kind {
    airway_off,      ///< a fan stops, an opening is shut
    airway_open,     ///< an opening is opened wide
    no_air_changes,  ///< the air changes of a space with outside stop
    release_on       ///< a release starts
  };
  Kind kind = Kind::airway_off;
  std::optional<AirwayIndex> airway = {};
  std::optional<SpaceIndex> space = {};
  std::optional<ReleaseIndex> release = {};
};

/// Streams that differ, mol/s.
struct FlowChange {
  struct Inflow {
    Side from;
    SpaceIndex to;
    double change = 0.0;
  };
  struct Released {
    ReleaseIndex release;
    double rate = 0.0;
  };
  std::vector<Inflow> inflows;  ///< what streams into spaces; streams to outside are left out
  std::vector<Released> releases;
  std::string fault;  ///< not empty: there are no balanced flows, and why
};

class IncrementalBalance {
 public:
  /// `state` and `field` are those of the normal case after everything has happened; all three must outlive this
  /// object.
  IncrementalBalance(const Site& site, const SiteState& state, const FlowField& field);

  /// Empty where only a balance of the whole site tells: the object is not usable, or the switches touch a group in
  /// which a shut opening or a cabinet would leak, or a fan would get too little air.
  std::optional<FlowChange> changed(std::span<const FlowSwitch> switches);

  /// Whether changed() can tell: the flows are given by the file, none follows pressures, no vessel keeps what it gets,
  /// no cabinet or shut opening leaks, no fan gets too little air, and exchanges that carry the surplus of a cabinet or
  /// vessel are the only way for it.
  bool usable() const { return usable_; }
  /// The same of by_surplus(): no group without a way outside has anything but rooms that could leak.
  bool derivable() const { return usable_ && derivable_; }

  /// How a quantity changes with a surplus put into each space, by space, for what openings and leaks then carry.
  /// `by_inflow(from, to)` is how it changes with a stream into a space. At an opening that stands still, and where a
  /// room begins to leak, it is that of a surplus, not of a lack.
  using ByInflow = std::function<double(const Side& from, SpaceIndex to)>;
  std::vector<double> by_surplus(const ByInflow& by_inflow);

 private:
  struct Path {
    AirwayIndex airway;
    Side a, b;
    double flow = 0.0;  ///< mol/s from a to b in the normal case
    bool on = true;
  };
  struct Group {
    std::vector<int> paths;
    bool grounded = false;
    std::unique_ptr<linalg::Laplacian> laplacian;  ///< made when first needed; the first node left out if not grounded
  };
  using Surplus = std::map<std::size_t, double>;  ///< mol/s by space; only where it differs or matters

  /// Sums up what the file gives; returns which spaces openings join.
  std::vector<network::Edge> take_given();
  void group(const std::vector<network::Edge>& edges);
  void find_pushed();
  int part_of(const Side& side) const { return groups_.part_of[side->value]; }
  /// Whether it belongs to a group that hands its surplus on by an exchange.
  bool hangs(const Side& side) const {
    return side && !hanging_.empty() && hanging_[static_cast<std::size_t>(part_of(side))];
  }
  bool is_room(std::size_t space) const { return site_.spaces[space].kind == SpaceKind::room; }
  double molar(double volume_flow, const Side& from) const;
  std::string cannot_balance(std::span<const int> members, double surplus) const;
  /// What each member leaks, > 0 comes in. Empty where only a balance of the whole site tells: a shut opening or a
  /// cabinet has a part in it, or fans want more than rooms leak.
  std::optional<std::vector<double>> leaks_for(std::span<const int> members, std::span<const double> surplus,
                                               double through, FlowChange& change) const;
  /// Whether an opening that leads out of the group is shut, before the switches or by them.
  bool has_shut_opening(std::span<const int> members) const;
  /// Whether the rooms of a group leak what its fans want, `sum` mol/s being what it gets too much.
  bool leaks_enough(std::span<const int> members, double sum) const;
  bool prescribed(const FlowSwitch& switched, Surplus& surplus, FlowChange& change, std::vector<int>& removed,
                  std::vector<int>& added);
  bool prescribed_airway(const FlowSwitch& switched, Surplus& surplus, FlowChange& change, std::vector<int>& removed,
                         std::vector<int>& added);
  const linalg::Laplacian* laplacian_of(int g);
  bool settle(const Surplus& delta, std::span<const int> removed, std::span<const int> added, FlowChange& change);
  bool settle_group(int g, const Surplus& delta, FlowChange& change);
  bool settle_anew(std::span<const int> groups, const Surplus& delta, std::span<const int> removed,
                   std::span<const int> added, FlowChange& change);
  struct Regrouped;
  Regrouped regrouped(std::span<const int> groups, std::span<const int> removed, std::span<const int> added) const;
  bool inject(int part, const Surplus& delta, Regrouped& in, FlowChange& change) const;
  std::optional<std::vector<double>> by_opening_flows(int g, const ByInflow& by_inflow);
  void add_leaks(int g, const std::vector<double>& mu, const ByInflow& by_inflow, std::vector<double>& out) const;
  void put_opening(const Path& path, double before, double after, FlowChange& change) const;
  void put_leak(std::size_t space, double after, FlowChange& change) const;

  const Site& site_;
  const SiteState& state_;
  const FlowField& field_;
  bool usable_ = true, derivable_ = true;
  std::vector<AirwayIndex> shut_;                 ///< openings, those that are shut just now included
  bool vessels_ = false;                          ///< there are some, whose exchanges may have to carry more
  std::vector<double> surplus_, through_, leak_;  ///< by space: of what is given; leak > 0 comes in
  std::vector<double> pushed_;                    ///< mol/s that such exchanges bring, by space; part of surplus_
  std::vector<bool> hanging_;                     ///< by group: hands its surplus on by an exchange; may be empty
  std::vector<double> rate_when_on_;              ///< mol/s, by release: what it gives without end once it is on
  std::vector<Path> paths_;
  std::vector<int> path_of_;  ///< by airway; -1
  network::Parts groups_;
  std::vector<Group> group_;
  std::vector<int> node_;  ///< of each space within its group
};

}  // namespace leanside::airflow
