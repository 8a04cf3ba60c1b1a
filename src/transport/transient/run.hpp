// SPDX-License-Identifier: Apache-2.0
/// One run of a case in time: what it carries from step to step. Its parts stand in files of their own: transient.cpp
/// (stretches between events, flows that stay the same), run_coupled.cpp (flows that follow gas, releases that vary,
/// rooms in layers), run_vessels.cpp (pressures of vessels), run_told.cpp (what an observer is told).
#pragma once

#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "airflow/solver.hpp"
#include "leanside/advanced/transport.hpp"
#include "transport/cells/cells.hpp"
#include "transport/coupled/collocation.hpp"
#include "transport/layered/layered_site.hpp"
#include "transport/linear/linear_system.hpp"
#include "transport/linear/segment.hpp"
#include "transport/run/release_schedule.hpp"

namespace leanside::transport {

/// The segments of a run, as far as they could be kept.
struct SegmentLog {
  std::vector<Segment> segments;
  bool complete = true;
};

/// Of a run that nobody asks layers of.
const LayerObserver& no_layer_observer();

class Run {
 public:
  Run(const Site& site, CaseIndex which, std::span<const Tracer> tracers, double horizon, const PieceObserver& observe,
      SegmentLog* log = nullptr, LayeredSite* layers = nullptr,
      const LayerObserver& observe_layers = no_layer_observer());

  std::variant<TransientResult, SolveFault> run();

  /// By layered room: what broke its layers when they were most apart.
  const std::vector<std::optional<std::string>>& broken() const { return broken_; }

 private:
  void start();
  /// Moles in a space at ambient pressure.
  double moles_in(std::size_t i) const { return moles_held(site_.spaces[i], site_.conditions, temperature_[i]); }
  /// Every instant at which the equations change, from 0 to the horizon.
  std::vector<double> cuts();
  SolveFault fault_at(double t, const std::string& message, bool bad_input) const;
  std::optional<SolveFault> stretch(double from, double to, bool first);
  std::vector<double> fractions_by_column() const;
  std::vector<double> moles_at(const SiteState& state) const;
  std::vector<double> densities_now(const SiteState& state) const;
  /// Pa of the gas of a release in its space.
  double partial_pressure(const Release& release, double fraction, double held) const;
  static std::size_t gas_of(const Release& release) { return release.gas.shares.front().gas.value; }
  /// The rates of varying releases as they are at `t`; those that are spent give nothing.
  void set_rates(SiteState& state, const std::vector<ReleaseIndex>& varying, double t) const;
  /// A spill as it draws on its stock: its rate is linear in the fraction of its gas until the air is saturated.
  Draw draw_of(ReleaseIndex r, const StagePoint& point, std::size_t rows) const;
  /// A stretch in which flows follow the gas, or releases the gas or the time: all is solved together, step by step.
  /// `to` is moved to the instant at which a spill is dry, if that comes first. `at_start` holds flows in which nothing
  /// passes through junctions yet, and becomes those with what does.
  std::optional<SolveFault> advance_coupled(const SiteState& state, const std::vector<ReleaseIndex>& varying,
                                            FlowField& at_start, double from, double& to);
  /// Which way the air goes at `t`, where it follows varying releases alone; empty where it cannot be told.
  std::vector<std::pair<int, int>> directions(SiteState state, const std::vector<ReleaseIndex>& varying,
                                              double t) const;
  /// The first instant within a stretch at which such air turns round; `to` where it never does. The equations have a
  /// kink there, which no step should pass.
  double first_turn(const SiteState& state, const std::vector<ReleaseIndex>& varying, double from, double to) const;
  void report_step(const CollocationStep& step, double from, std::size_t count);
  /// The fractions of a cell during a step.
  void fill_coefficients(const CollocationStep& step, std::size_t cell, std::size_t count,
                         std::vector<double>& coefficients) const;
  void report_layers(const CollocationStep& step, const DensePiece& like, std::size_t count);
  /// By how much what a layer holds is changed to see what it then gains.
  static double shift_of(const MovingPair& pair, std::span<const double> held);
  /// The layers at a point, each with what it would gain if it held a little more (or less).
  std::variant<std::vector<MovingPair>, std::string> moving_pairs(const SiteState& state, const StagePoint& point,
                                                                  const std::vector<double>& density, std::size_t count,
                                                                  airflow::Memory& memory);
  /// At the end of a step: where the layers of a room are told apart best so far, whether something breaks them.
  void judge_layers(const SiteState& state, const CollocationStep& step, std::size_t count, airflow::Memory& memory);
  /// A polynomial through a jump swings beyond it: its coefficients, which enclose it, are kept within its values.
  static void keep_within(const CollocationStep& step, std::size_t at, std::vector<double>& coefficients,
                          std::size_t column);
  /// When vessels that fill during a step reach 1.1 and 2 times ambient pressure.
  void follow_pressures(const CollocationStep& step, double from);
  void remember(const FlowField& field);
  /// A vessel that held pressure and no longer does lets its surplus out at once, at the composition that it had. So
  /// does a space that is warmed; one that is cooled draws in what it then lacks.
  std::optional<SolveFault> let_out(const SiteState& state, const FlowField& field, double t);
  void note_pressure(std::size_t i, double t);
  std::optional<SolveFault> joined_at_different_pressures(const SiteState& state, const FlowField& field,
                                                          double t) const;
  void gain_pressure(std::size_t i, double storage, double from, double to);
  /// Each part of the network that hangs together steps on its own; a part without gas is left alone.
  bool advance_parts(const Segment& segment, const std::vector<double>& source, const PieceObserver& observe);
  /// A junction that gas went through and now does not is reported once more, as empty.
  void report_emptied(std::span<const int> members, double from, double duration, const PieceObserver& observe);
  bool advance_part(const LinearSystem& system, const PartEquations& part, std::span<const int> members,
                    std::vector<double>& x, double from, double duration, const PieceObserver& observe);
  void finish();

  const Site& site_;
  CaseIndex which_;
  std::vector<Tracer> tracers_;  ///< all columns that are carried
  std::size_t first_ = 0;        ///< the first of the columns that were asked for
  std::size_t reported_;         ///< how many those are
  double horizon_;
  const PieceObserver& observe_;
  SegmentLog* log_;      ///< where the segments are to be kept
  LayeredSite* layers_;  ///< what site_ is of; null: no room is in layers
  const LayerObserver& observe_layers_;
  std::vector<double> most_apart_;  ///< kg/m3, by layered room
  std::vector<std::optional<std::string>>
      broken_;  ///< by layered room: what broke its layers when they were most apart
  std::size_t n_, m_ = 0;
  FractionField x_;
  std::vector<double> pressure_;                    ///< moles over moles at ambient pressure, by space
  std::vector<double> gone_;                        ///< mol that left for outside, by column
  std::vector<AssumedLeak> leak_of_;                ///< by space, the largest
  std::vector<std::optional<StarvedFan>> starved_;  ///< by airway, the worst
  std::vector<double> temperature_;                 ///< K, by space, as the events so far have it
  std::vector<bool> overflows_, leaking_, off_curve_, adrift_, seen_;
  std::vector<PressureTrace> traces_;
  ReleaseBook book_;
  TransientResult result_;
};

}  // namespace leanside::transport
