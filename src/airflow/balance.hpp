// SPDX-License-Identifier: Apache-2.0
/// One balance of a site: what the file prescribes (balance.cpp), groups of spaces without a way outside
/// (balance_closed.cpp), and the fans that cannot move what the file says (balance_fans.cpp). docs/methods.md,
/// section 3.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "airflow/driven.hpp"
#include "airflow/leakage.hpp"
#include "airflow/open_paths.hpp"
#include "airflow/solver.hpp"
#include "base/graph/graph.hpp"
#include "leanside/advanced/airflow.hpp"

namespace leanside::airflow {

class Balance {
 public:
  Balance(const Site& site, const SiteState& state, std::span<const double> density, Memory& memory);

  std::variant<FlowField, FlowFault> run();
  std::variant<FlowField, FlowFault> run_burst(std::span<const double> surplus);

 private:
  /// What the spaces of a group get more than they pass on, mol/s.
  struct Sum {
    double surplus = 0.0, through = 0.0, release = 0.0;
    bool rooms = false, cabinets = false, vessels = false;
    bool balanced() const;
    /// mol/s that the fans lack, or have too much: what a release pushes out always finds a way.
    double wanted() const;
  };

  /// Two groups that a running fan joins, or a shut opening.
  struct FanLink {
    Side a, b;
    bool curve = false;  ///< a fan with a curve
  };

  double temperature_of(const Side& side) const;
  double molar(double volume_flow, const Side& from) const;
  double held_by(std::size_t i) const;
  void stream(const Side& from, const Side& to, double rate);
  bool is_open(std::size_t airway) const;
  std::size_t group_of(const Side& side) const { return static_cast<std::size_t>(groups_.part_of[side->value]); }
  bool is_closed(const Side& side) const { return side && !grounded_[group_of(side)]; }

  // balance.cpp
  void clear();
  void list_ways();
  /// Fans, exchanges, air changes and releases as given, but for the fans that follow pressures.
  void prescribe();
  void prescribe_airway(std::size_t i);
  double given_flow(std::size_t fan) const;
  bool pressures_known(const Side& side) const { return !side || grounded_[group_of(side)] || solved_[side->value]; }
  /// Groups joined by openings, gaps, doorways and assumed gaps; whether each reaches outside by one.
  void group();
  std::optional<FlowFault> solve_driven();
  std::vector<bool> pinned_spaces();
  bool is_round_off(const OpenPath& path) const;
  void solve_open_paths();
  std::variant<FlowField, FlowFault> settle();

  // balance_closed.cpp
  Sum sum_of(std::size_t g) const;
  bool open_exchanges();
  /// Shut openings that lead out of the group, else the cabinets of a group without rooms to where they stand; rooms
  /// without such an opening leak outdoors, which is not in the list.
  std::vector<AssumedGap> ways_out_of(std::size_t g) const;
  std::vector<AssumedGap> shut_ways_out_of(std::size_t g) const;
  /// What a group leaks by assumption at most, m2; `gaps` get their areas.
  double leakage_area_of(std::size_t g, std::span<AssumedGap> gaps) const;
  double most_leaked(double leakage_area) const;
  bool open_assumed_ways();
  /// The rooms of a group that leak outdoors: those that do not draw through a shut opening already, if there are any.
  std::vector<SpaceIndex> leaking_rooms(std::size_t g) const;
  void leak(std::size_t g, const Sum& sum);
  void store(std::size_t g, double surplus);
  /// Neither in balance nor able to keep what is released: nothing can be assumed of ducts and vessels.
  bool cannot_close(const Sum& sum) const;
  std::optional<FlowFault> find_fault() const;
  std::optional<FlowFault> close_groups();
  std::optional<FlowFault> worst_of(std::vector<std::size_t> groups) const;
  std::string flow_words(const Sum& sum) const;
  FlowFault cannot_balance(std::size_t g, const Sum& sum) const;

  // balance_fans.cpp
  /// Groups whose fans have to be solved together with what leaks: by `solved_`. True where there are any.
  bool find_limited_fans();
  std::vector<bool> leaky_groups() const;  ///< groups with a room or cabinet
  std::vector<FanLink> running_fans() const;
  /// Groups whose fans want more than leaks, or have curves. Notes in `draws_` which of them have shut openings.
  std::vector<bool> groups_with_limited_fans(const std::vector<FanLink>& fans, const std::vector<bool>& leaky);
  void add_joined_groups(std::vector<FanLink> links, const std::vector<bool>& leaky, std::vector<bool>& in) const;
  void add_assumed_gaps();
  void note_fans(const DrivenFlows& flows);
  /// Below this, mol/s, a solved flow is round-off and would tie together what no air ties together.
  double nothing() const;
  void drop_round_off();
  void keep_gap_flows(const DrivenFlows& flows);

  const Site& site_;
  const SiteState& state_;
  std::vector<double> density_;  ///< kg/m3, by space
  Memory& memory_;
  FlowField field_;
  std::vector<double> surplus_;  ///< mol/s that a space gets more than it passes on
  std::vector<double> through_;  ///< mol/s in, out and released, the scale of round-off
  std::vector<OpenPath> open_paths_;
  std::vector<AirwayIndex> driven_;   ///< airways that follow pressures
  std::vector<AssumedGap> gaps_;      ///< assumed gaps that follow pressures
  std::vector<AirwayIndex> shut_;     ///< openings that are shut
  std::vector<bool> overflows_;       ///< exchanges that act as openings too
  std::vector<bool> breathes_out_;    ///< spaces whose air changes do
  std::vector<bool> beyond_leakage_;  ///< by space: its fans need more than its group leaks
  std::vector<bool> draws_;           ///< by space: its group wants what its shut openings leak
  std::vector<bool> solved_;          ///< by space: without a way outside, its fans are solved with what leaks
  std::vector<bool> limited_;         ///< by airway: a fan of given flow that is solved with what leaks
  bool bursting_ = false;
  network::Parts groups_;
  std::vector<bool> grounded_;
};

}  // namespace leanside::airflow
