// SPDX-License-Identifier: Apache-2.0
/// The steady state of a case, kept as a system of equations: it can be solved for any columns, and asked what more
/// fresh air would do.
#pragma once

#include <cstddef>
#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "base/linalg/sparse.hpp"
#include "leanside/advanced/transport.hpp"
#include "transport/cells/cells.hpp"
#include "transport/layered/layered_site.hpp"

namespace leanside {

class SteadySystem {
 public:
  /// Flows and parts of a case after all events. If flows follow the gas, flows and fractions are iterated until they
  /// agree, from a site without gas on. `site` must outlive the system.
  static Result<SteadySystem> build(const Site& site, CaseIndex case_index);

  /// Fractions of these columns in every space. Keeps the factorisations for further calls.
  Result<SteadyFractions> solve(std::span<const Tracer> tracers);

  /// Fractions of the columns of cause_tracers(site) in `space`, as solve() gives them, by one transposed solution
  /// whatever their number.
  std::vector<double> origins(SpaceIndex space);

  struct ExtraAir {
    double rate = 0.0;   ///< mol/s of fresh air into the space, as much of the mixture leaving it
    double value = 0.0;  ///< of the weighted sum with that air
  };
  /// The least fresh air into `space` that brings v = sum_c weight[c] x_c in it down to `target` > 0; the columns are
  /// those solved last. Exact: the matrix changes only in rank 2. Empty if there is no steady state or no need.
  std::optional<ExtraAir> extra_air(SpaceIndex space, std::span<const double> weight, double target);

  /// The layers of rooms as spaces of their own, at rest.
  struct CellsAtRest {
    struct Room {
      SpaceIndex ambient, gas;  ///< cells; the first has the index of the room
      bool gas_above = true;
      transport::LayeredSite::FarEndOf far_end;
    };
    Site site;  ///< every cell a space
    SteadyFractions steady;
    std::vector<Room> rooms;
  };
  /// Only if rooms are in layers.
  Result<CellsAtRest> cells_at_rest();

  /// Whether rooms are in layers: flows and cells are then those of a site with more spaces.
  bool in_layers() const { return layers_ != nullptr; }

  /// What the system was made of, for studies that change a part of it.
  const SiteState& state() const { return state_; }
  const FlowField& flows() const { return field_; }
  const transport::Cells& cells() const { return cells_; }
  const transport::Parts& parts() const { return parts_; }
  /// Whether nothing leaves a part for another one or for outside, and nothing replaces what it holds.
  bool closed(std::size_t part) const;
  /// Whether gas can get there by any airway.
  bool may_hold_gas(SpaceIndex space) const { return may_hold_gas_[space.value]; }

 private:
  SteadySystem(const Site& site, SiteState state, FlowField field);
  static Result<SteadySystem> settle(const Site& site, CaseIndex case_index, const SiteState& state);
  static Result<SteadySystem> build_layered(const Site& site, CaseIndex case_index);
  /// As solve(), by cell.
  Result<SteadyFractions> solve_cells(std::span<const Tracer> tracers);
  SteadyFractions collapsed(SteadyFractions whole, std::span<const Tracer> tracers) const;
  std::size_t cell_of(SpaceIndex space) const { return layers_ ? layers_->cell_of(space) : space.value; }

  const transport::LayeredSite::FarEndOf* far_end_of(SpaceIndex space) const;  ///< null: not in layers

  struct PartSystem {
    linalg::SparseMatrix a;
    linalg::SparseLu lu;
  };
  PartSystem* factorised(std::size_t part);
  /// What one part of the network gets from its releases and from the parts upstream: the right-hand side of its
  /// equations, rows x columns, for the fractions `x` found so far.
  std::vector<double> right_hand_side(std::size_t part, std::span<const double> source, std::span<const double> x,
                                      std::size_t columns) const;
  /// Solves a part in place of its right-hand side; false if its equations are singular.
  bool solve_part(std::size_t part, std::vector<double>& right, std::size_t columns);
  /// Corrects the solution x of a part for its right-hand side, rows x columns each.
  void refine(std::size_t part, const PartSystem& system, std::span<const double> right, std::span<double> x,
              std::size_t columns) const;
  void mark_not_reached(std::size_t part, SteadyFractions& result) const;
  std::string why_not_reached(std::size_t part, SpaceIndex space) const;
  void find_where_gas_may_be();
  /// v = sum_c weight[c] x_c in a cell, of the columns solved last.
  double weighted(std::span<const double> weight, std::size_t cell) const;

  const Site* site_;
  SiteState state_;
  FlowField field_;
  transport::Cells cells_;
  transport::Parts parts_;           ///< numbered downstream after upstream
  std::vector<std::size_t> row_of_;  ///< of each cell within its part
  std::vector<bool> may_hold_gas_;
  std::map<std::size_t, PartSystem> systems_;              ///< by part
  std::shared_ptr<transport::LayeredSite> layers_;         ///< what site_ belongs to; null: no room is in layers
  std::vector<transport::LayeredSite::FarEndOf> far_end_;  ///< by layered room
  std::vector<MixedRoom> mixed_;
  std::vector<double> solution_;  ///< of the last call of solve, cells x columns, column-major
};

/// A fault of the steady state of a case.
Fault steady_fault(const Site& site, CaseIndex case_index, const std::string& message, FaultKind kind);

}  // namespace leanside
