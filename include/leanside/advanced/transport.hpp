// SPDX-License-Identifier: Apache-2.0
/// Gas fractions in the network: the steady state, and the course in time as polynomials that can be searched exactly.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "leanside/advanced/airflow.hpp"
#include "leanside/result.hpp"
#include "leanside/site.hpp"

namespace leanside {

/// Fractions of `columns` gases (or of any other quantities that ride with the air) in every space, mol/mol.
class FractionField {
 public:
  FractionField() = default;
  FractionField(std::size_t spaces, std::size_t columns) : columns_{columns}, x_(spaces * columns, 0.0) {}
  std::size_t spaces() const { return columns_ == 0 ? 0 : x_.size() / columns_; }
  std::size_t columns() const { return columns_; }
  double& operator()(SpaceIndex space, std::size_t column) { return x_[space.value * columns_ + column]; }
  double operator()(SpaceIndex space, std::size_t column) const { return x_[space.value * columns_ + column]; }
  std::span<const double> of(SpaceIndex space) const { return {x_.data() + space.value * columns_, columns_}; }

 private:
  std::size_t columns_ = 0;
  std::vector<double> x_;
};

/// One column to follow through the network: it gains a share of each source, and starts at a fraction in some spaces.
struct Tracer {
  struct FromRelease {
    ReleaseIndex release;
    double share = 0.0;  ///< mol of this column per mol released
    friend bool operator==(const FromRelease&, const FromRelease&) = default;
  };
  struct AtStart {
    SpaceIndex space;
    double fraction = 0.0;
    friend bool operator==(const AtStart&, const AtStart&) = default;
  };
  std::vector<FromRelease> sources;
  std::vector<AtStart> initial;
  friend bool operator==(const Tracer&, const Tracer&) = default;
};

/// One column for each tracked gas, by GasIndex.
std::vector<Tracer> gas_tracers(const Site& site);

/// One column for each release and one for each space that starts with gas. Their sum, weighted by composition, is the
/// gas columns exactly (for given flows; a pool of a mixture counts with the composition of its liquid). Columns
/// 0..releases-1 are the releases, with a share of 1 each.
struct CauseTracers {
  std::vector<Tracer> tracers;
  std::vector<SpaceIndex> initial_of;  ///< space of column releases + i; that column starts at 1 in it
};
CauseTracers cause_tracers(const Site& site);

/// A layered room at one moment. The gas gathers in one layer; the other one is the ambient layer.
struct LayerState {
  SpaceIndex space;
  bool gas_above = true;             ///< the gas gathers under the ceiling; else on the floor
  double interface_height = 0.0;     ///< m above its floor
  std::vector<double> lower, upper;  ///< means of the layers, by column
  std::vector<double> far_end;       ///< in the layer of gas under the ceiling or on the floor, by column
};

/// A room that the file wants in layers but that was computed as mixed, and why.
struct MixedRoom {
  SpaceIndex space;
  std::string reason;
};

/// The state that a case tends to.
struct SteadyFractions {
  FlowField flows;                      ///< the flows of that state
  FractionField fractions;              ///< of a layered room: LayerState::far_end
  std::vector<bool> reached;            ///< by space
  std::vector<std::string> reason;      ///< by space; why not reached
  std::vector<LayerState> layers = {};  ///< of the rooms that are in layers
  std::vector<MixedRoom> mixed = {};
};

/// Degree of the polynomials of a DensePiece.
inline constexpr std::size_t dense_degree = 8;

/// Fractions of one space during one accepted step, in Bernstein form over s in [0, 1]. Time is linear in s, except in
/// a sealed vessel that fills, where it follows the growth of what the vessel holds (see time_at).
struct DensePiece {
  SpaceIndex space;
  double begin = 0.0;   ///< s
  double end = 0.0;     ///< s
  double growth = 0.0;  ///< 1/s at segment_begin: d ln N/dt of a sealed group; 0 elsewhere
  double segment_begin = 0.0;
  std::span<const double>
      coefficients;  ///< columns x (dense_degree + 1), row-major: coefficient j of column c at c*(degree+1)+j

  double time_at(double s) const;
  double position_at(double time) const;  ///< inverse of time_at, clamped to [0, 1]
};

/// Value of a Bernstein polynomial at s (de Casteljau: stable on [0, 1]).
double bernstein_value(std::span<const double> coefficients, double s);

/// Gets every piece of every space: those of one space in order of time, the spaces in no particular order. A space is
/// left out while its part of the network holds no gas and gets none: its fractions are 0 then.
using PieceObserver = std::function<void(const DensePiece&)>;

/// Both layers of a layered room during one accepted step.
struct LayerPiece {
  DensePiece lower, upper;
  bool gas_above = true;
  std::span<const double> interface_height;  ///< m above the floor, Bernstein coefficients
  DensePiece far_end;                        ///< as LayerState::far_end
};
/// Gets every piece of every layered room, in order of time.
using LayerObserver = std::function<void(const LayerPiece&)>;

/// Balance of a column, mol: held at the start, released, held at the end, gone outside.
struct ColumnBalance {
  double initial = 0.0;
  double released = 0.0;
  double held = 0.0;
  double gone = 0.0;
  /// |initial + released - held - gone| / (initial + released); 0 where nothing entered.
  double relative_error() const;
};

struct PressureTrace {
  SpaceIndex space;
  double final_factor = 1.0;  ///< moles at the end over moles at ambient pressure
  double largest_factor = 1.0;
  std::optional<double> reaches_110_percent;  ///< s
  std::optional<double> reaches_200_percent;  ///< s
  std::optional<double> reaches_rating;       ///< s, of a vessel that has a rated pressure
};

/// What a release gave during the run.
struct ReleaseTrace {
  double amount = 0.0;  ///< mol
  std::optional<double>
      spent;  ///< s, when it had given all that it had: a cylinder empty, a spill dry; empty: not yet, or never
};

struct TransientResult {
  FractionField end;
  std::vector<ColumnBalance> balance;    ///< by column
  std::vector<PressureTrace> pressures;  ///< of sealed vessels that gained
  std::vector<AssumedLeak> leaks;        ///< the largest leak that was assumed in each space at any time
  std::vector<AirwayIndex> overflowing;
  std::vector<AirwayIndex> leaking;    ///< shut openings that leaked by assumption at any time
  std::vector<StarvedFan> starved;     ///< at any time, each when it was worst
  std::vector<AirwayIndex> off_curve;  ///< fans that left their curve at any time
  std::vector<SpaceIndex> unvented;    ///< spaces joined by gaps or doorways but not to outside, at any time
  FlowField first_flows;               ///< at time 0, after the events at 0
  std::vector<ReleaseTrace> releases;  ///< by ReleaseIndex
  std::vector<LayerState> layers;      ///< at the end, of the rooms that are in layers
  std::vector<MixedRoom> mixed;
  std::size_t steps = 0, factorisations = 0, rejected = 0;
};

/// Steady state of `tracers` in a case: after all events, with the releases that go on for ever. One sparse
/// factorisation serves all columns. Strongly connected parts are solved one by one, downstream after upstream; the
/// graph shows which parts have no way out.
Result<SteadyFractions> solve_steady(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers);

/// Fractions of `tracers` from 0 to `horizon` s. The time is cut exactly at events and at starts and stops of releases.
/// Where flows and releases stay as they are, an L-stable method of order 8 with one real pole steps adaptively;
/// otherwise Radau IIA collocation. docs/methods.md derives both. The pieces given to `observe` are the continuous
/// extension of the method. For a layered room, `observe` and `end` show the far end of the layer of gas.
Result<TransientResult> solve_transient(const Site& site, CaseIndex case_index, std::span<const Tracer> tracers,
                                        double horizon, const PieceObserver& observe,
                                        const LayerObserver& observe_layers = {});

}  // namespace leanside
