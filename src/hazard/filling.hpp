// SPDX-License-Identifier: Apache-2.0
/// What a vessel holds while gas comes into it, through its releases and through tubes from other vessels, and air gets
/// in against it: evenly mixed, step by step.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "hazard/mixture.hpp"
#include "leanside/advanced/release.hpp"
#include "leanside/assess.hpp"

namespace leanside::hazard {

/// The vessels whose gas all goes through another one, because their only way out is a tube that leads there; the
/// nearest first.
std::vector<SpaceIndex> vessels_before(const Site& site, CaseIndex case_index, SpaceIndex space);

/// All vessels joined to one by open ways, itself included, where none of them has a way to a room or outside; empty
/// where one has.
std::vector<SpaceIndex> closed_group(const Site& site, CaseIndex case_index, SpaceIndex space);

/// One instant of a vessel that gas comes into.
struct FillingPoint {
  double time = 0.0;            ///< s
  double gone = 0.0;            ///< mol that have left it
  std::vector<double> left;     ///< mol of each gas that have left it, by GasIndex
  std::vector<double> mixture;  ///< mol/mol by GasIndex
  MixtureState state = MixtureState::clear;
};

/// A vessel over time. Points lie so close that its content changes by at most 1 % from one to the next.
struct Filled {
  std::vector<FillingPoint> points;
  std::vector<StateSpan> spans;
  double flammable_time = 0.0;        ///< s
  std::optional<double> from, until;  ///< s, first and last instant inside the range; until empty: still inside
};

class Filling {
 public:
  /// m3/s of air that gets into a vessel with this content while so much more (m3/s) leaves it than gets in.
  using Air = std::function<double(const std::vector<double>& mixture, double outflow)>;

  Filling(const Site& site, CaseIndex case_index, SpaceIndex space, const MixtureModel& model);

  /// Whether gas comes whose amount does not depend on what is already there (as that of a spill does).
  bool is_known() const { return known_; }
  const std::vector<SpaceIndex>& before() const { return before_; }
  /// m3/s that come in, the least at any time between the first and the last gas.
  double least_flow() const;
  /// From 0 to `end` s.
  Filled run(double end, const Air& air = {}) const;

 private:
  struct Source {
    ReleaseIndex release;
    std::size_t vessel = 0;  ///< of `vessels_`
    std::vector<EmissionSpan> spans;
  };
  struct Vessel {
    SpaceIndex space;
    std::size_t next = 0;  ///< of `vessels_`, that it leads to
    double held = 0.0;     ///< mol
  };
  using Contents = std::vector<std::vector<double>>;  ///< by vessel and gas

  double given(const Source& source, double begin, double end) const;  ///< mol
  double rate(double time) const;                                      ///< mol/s, of all sources
  double step(Contents& contents, FillingPoint& point, double time, double until, const Air& air) const;
  double step_length(const Contents& contents, double time, double volumes, const Air& air) const;
  double cubic_metres(double amount) const;
  void settle_state(FillingPoint& point, const std::vector<double>& mixture) const;

  const Site& site_;
  const MixtureModel& model_;
  std::vector<SpaceIndex> before_;
  std::vector<Vessel> vessels_;  ///< those that lead on come before those that they lead to; the last is the vessel
  std::vector<Source> sources_;
  std::vector<double> breaks_;  ///< s, where a source starts or ends
  bool known_ = false;
};

}  // namespace leanside::hazard
