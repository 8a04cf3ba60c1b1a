// SPDX-License-Identifier: Apache-2.0
/// The sustained state as a system that is kept: solved part by part, and asked what more fresh air would do.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <variant>
#include <vector>

#include "base/graph/graph.hpp"
#include "leanside/advanced/transport.hpp"
#include "transport/cells/cells.hpp"
#include "transport/layered/layered_site.hpp"

namespace leanside {

class SustainedSystem {
 public:
  /// Flows and parts of a case after everything has happened. Where flows follow the gas, the two are brought into
  /// agreement, starting from a site without gas. `site` must outlive the system.
  static std::variant<SustainedSystem, SolveFault> build(const Site& site, CaseIndex which);

  /// Fractions for these columns, every space. Keeps the factorisations for further calls.
  std::variant<SustainedFractions, SolveFault> solve(std::span<const Tracer> tracers);

  /// Fractions in `space` that the columns of cause_tracers(site) come to, as solve() gives them, for one transposed
  /// solution whatever their number.
  std::vector<double> origins(SpaceIndex space);

  struct ExtraAir {
    double rate = 0.0;   ///< mol/s of fresh air into the space, as much of the mixture leaving it
    double value = 0.0;  ///< of the weighted sum with that air
  };
  /// The least fresh air into `space` that brings v = sum_c weight[c] x_c in it down to `target` > 0, the columns being
  /// those solved last. Exact: the matrix changes in rank 2 only. Empty where there is no sustained state or no need.
  std::optional<ExtraAir> extra_air(SpaceIndex space, std::span<const double> weight, double target);

  /// Whether rooms of it are in layers: flows and cells are then those of a site with more spaces.
  bool in_layers() const { return layers_ != nullptr; }

  /// What the system was made of, for studies that change a little of it.
  const SiteState& state() const { return state_; }
  const FlowField& flows() const { return field_; }
  const transport::Cells& cells() const { return cells_; }
  const network::Parts& parts() const { return parts_; }
  /// Whether nothing leaves a part for another one or for outside, and nothing replaces what it holds.
  bool closed(int part) const;
  /// Whether gas can get there at all, by whatever airway.
  bool may_hold_gas(SpaceIndex space) const { return may_hold_gas_[space.value]; }

 private:
  SustainedSystem(const Site& site, SiteState state, FlowField field);
  static std::variant<SustainedSystem, SolveFault> settle(const Site& site, CaseIndex which, const SiteState& state);
  static std::variant<SustainedSystem, SolveFault> build_layered(const Site& site, CaseIndex which);
  SustainedFractions collapsed(SustainedFractions whole) const;
  std::size_t cell_of(SpaceIndex space) const { return layers_ ? layers_->cell_of(space) : space.value; }

  struct PartSystem {
    linalg::SparseMatrix a;
    linalg::SparseLu lu;
  };
  PartSystem* factorised(int part);
  /// Corrects the solution x of a part for its right-hand side, rows x columns each.
  void refine(int part, const PartSystem& system, std::span<const double> right, std::span<double> x,
              std::size_t columns) const;
  std::string why_not_reached(int part, SpaceIndex space) const;
  void find_where_gas_may_be();

  const Site* site_;
  SiteState state_;
  FlowField field_;
  transport::Cells cells_;
  network::Parts parts_;
  std::vector<int> row_of_;  ///< of each cell within its part
  std::vector<bool> may_hold_gas_;
  std::map<int, PartSystem> systems_;
  std::shared_ptr<transport::LayeredSite> layers_;  ///< what site_ belongs to; null: no room is in layers
  std::vector<MixedRoom> mixed_;
  std::vector<double> solution_;  ///< of the last call of solve, cells x columns, column-major
};

/// Names of some spaces for a message: at most five, then how many more.
std::string list_names(const Site& site, std::span<const SpaceIndex> spaces);

}  // namespace leanside
