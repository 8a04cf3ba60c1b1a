// SPDX-License-Identifier: Apache-2.0
/// The steady state with something failed, as a low-rank change of the steady state without. A failure changes the rows
/// of the few cells into which streams differ: A' = A + E D, E columns of the identity. By the Woodbury identity
///
///     x' = y - Z s,   (I + D Z) s = D y,   y = x + Z (change of the sources),   Z = A^-1 E,
///
/// and the columns of A^-1 are kept, since failures in one corner of a building share them.
#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "airflow/incremental_balance.hpp"
#include "airflow/round_off.hpp"
#include "base/linalg/dense.hpp"
#include "base/linalg/sparse.hpp"
#include "leanside/study/failures.hpp"
#include "transport/steady/steady_system.hpp"

namespace leanside {
namespace {

using airflow::FlowChange;
using airflow::FlowSwitch;
using transport::Cells;

/// More changed rows than this are left to a solution of their own.
constexpr std::size_t most_rows = 400;
/// Columns of the inverse are kept up to this many bytes.
constexpr std::size_t most_memory = 512u << 20;

/// One changed row: what is added to A, by column, and to the sources, by gas.
struct RowChange {
  std::map<int, double> entries;
  std::vector<double> source;
  double through = 0.0;  ///< change of what streams through the cell
};

struct SmallMatrix {
  std::vector<double> value, scale;
};

FlowSwitch switch_of(const Failure& failure) {
  using Kind = FlowSwitch::Kind;
  FlowSwitch out{Kind::airway_off, failure.airway, failure.space, failure.release};
  switch (failure.kind) {
    case FailureKind::fan_off:
    case FailureKind::shut:
    case FailureKind::system_off:  // taken apart before
      break;
    case FailureKind::opened:
      out.kind = Kind::airway_open;
      break;
    case FailureKind::no_air_change:
      out.kind = Kind::no_air_changes;
      break;
    case FailureKind::release_starts:
      out.kind = Kind::release_on;
      break;
  }
  return out;
}

/// I + D Z, column-major, and by row the size of what it is summed up from, at least 1.
SmallMatrix small_matrix(const std::map<int, RowChange>& rows, const std::vector<const double*>& z) {
  const std::size_t k = rows.size();
  SmallMatrix out{std::vector<double>(k * k, 0.0), std::vector<double>(k, 1.0)};
  std::size_t i = 0;
  for (const auto& [cell, row] : rows) {
    for (std::size_t j = 0; j < k; ++j) {
      double sum = i == j ? 1.0 : 0.0;
      double size = 0.0;
      for (const auto& [column, value] : row.entries) {
        sum += value * z[j][column];
        size += std::abs(value * z[j][column]);
      }
      out.value[j * k + i] = sum;
      out.scale[i] = std::max(out.scale[i], size);
    }
    ++i;
  }
  return out;
}

}  // namespace

struct FailureSolver::State {
  State(const Site& s, SteadySystem steady)
      : site{s}, system{std::move(steady)}, balance{s, system.state(), system.flows()}, gases{s.gases.size()} {}

  const Site& site;
  SteadySystem system;
  airflow::IncrementalBalance balance;
  std::size_t gases;
  linalg::SparseLu lu;
  std::vector<double> base;  ///< x of the normal case, cells x gases, column-major
  std::vector<bool> reached;
  std::vector<bool> shut;                    ///< by cell: of a part without a way out; its row is x = 0
  std::vector<int> outlet;                   ///< by space: the cell that gas leaves it from
  std::vector<std::vector<double>> columns;  ///< of the inverse, by cell; empty: not made
  std::size_t kept = 0;

  bool prepare();
  const std::vector<double>& column(int cell);
  std::map<int, RowChange> rows_of(const FlowChange& change) const;
  bool close_cells(std::map<int, RowChange>& rows, std::vector<bool>& now_reached) const;
  std::vector<const double*> columns_for(const std::map<int, RowChange>& rows);
  bool correct(const std::map<int, RowChange>& rows, std::vector<double>& x);
};

/// Factorises the whole network, parts without a way out left at 0. False where it is singular all the same.
bool FailureSolver::State::prepare() {
  const Cells& cells = system.cells();
  const std::size_t n = cells.count;
  shut.assign(n, false);
  reached.assign(site.spaces.size(), true);
  for (std::size_t part = 0; part < system.parts().count; ++part) {
    if (!system.closed(part)) continue;
    for (const std::size_t cell : system.parts().of(part)) {
      shut[cell] = true;
      if (!cells.is_outlet(cell) && system.may_hold_gas(SpaceIndex{cell})) reached[cell] = false;
    }
  }
  outlet.resize(site.spaces.size());
  for (std::size_t i = 0; i < outlet.size(); ++i) outlet[i] = static_cast<int>(i);
  for (std::size_t cell = cells.spaces; cell < n; ++cell) outlet[cells.space_of[cell]] = static_cast<int>(cell);
  linalg::SparseMatrix a = transport::operator_of(cells);
  for (std::size_t column = 0; column < n; ++column) {
    const auto end = static_cast<std::size_t>(a.column_start[column + 1]);
    for (auto k = static_cast<std::size_t>(a.column_start[column]); k < end; ++k) {
      const auto row = static_cast<std::size_t>(a.row[k]);
      if (shut[row]) a.value[k] = row == column ? -1.0 : 0.0;
    }
  }
  if (n == 0 || !lu.factorise(a)) return false;
  base = transport::sources(cells, site, system.state(), gas_tracers(site));
  for (std::size_t c = 0; c < gases; ++c) {
    for (std::size_t i = 0; i < n; ++i) base[c * n + i] = shut[i] ? 0.0 : -base[c * n + i];
  }
  if (gases > 0) lu.solve(base, gases);
  columns.resize(n);
  return true;
}

const std::vector<double>& FailureSolver::State::column(int cell) {
  auto& slot = columns[static_cast<std::size_t>(cell)];
  if (!slot.empty()) return slot;
  slot.assign(columns.size(), 0.0);
  slot[static_cast<std::size_t>(cell)] = 1.0;
  lu.solve(slot, 1);
  ++kept;
  return slot;
}

/// Streams into spaces as changes of rows. Of what enters a space with an outlet of its own the share `mixing` mixes
/// and the rest goes straight to the outlet (see make_cells).
std::map<int, RowChange> FailureSolver::State::rows_of(const FlowChange& change) const {
  std::map<int, RowChange> rows;
  const auto row = [&](int cell) -> RowChange& {
    RowChange& r = rows[cell];
    if (r.source.empty()) r.source.assign(gases, 0.0);
    return r;
  };
  const auto through = [&](int cell, double more) {
    RowChange& r = row(cell);
    r.entries[cell] -= more;
    r.through += more;
  };
  const auto enters = [&](std::size_t space, const std::optional<int>& from, double more, double mixing) {
    const int cell = static_cast<int>(space), exit = outlet[space];
    if (from) row(cell).entries[*from] += mixing * more;
    through(cell, mixing * more);
    if (exit == cell) return;
    row(exit).entries[cell] += mixing * more;
    if (from) row(exit).entries[*from] += (1.0 - mixing) * more;
    through(exit, more);
  };
  for (const FlowChange::Inflow& inflow : change.inflows) {
    const std::size_t to = inflow.to.value;
    const double mixing = outlet[to] == static_cast<int>(to) ? 1.0 : 1.0 / site.spaces[to].mixing_factor;
    enters(to, inflow.from ? std::optional(outlet[inflow.from->value]) : std::nullopt, inflow.change, mixing);
  }
  for (const FlowChange::Released& released : change.releases) {
    const Release& release = site.releases[released.release.value];
    enters(release.into.value, std::nullopt, released.rate, 1.0);
    for (const GasShare& share : release.gas.shares) {
      row(static_cast<int>(release.into.value)).source[share.gas.value] += share.fraction * released.rate;
    }
  }
  return rows;
}

/// Cells that nothing streams through any more get the row x = 0. False where only a solution of its own tells.
bool FailureSolver::State::close_cells(std::map<int, RowChange>& rows, std::vector<bool>& now_reached) const {
  const Cells& cells = system.cells();
  for (auto& [cell, row] : rows) {
    const auto i = static_cast<std::size_t>(cell);
    if (shut[i] || cells.dead[i]) return false;
    const double before = cells.through(i);
    if (before + row.through > airflow::surplus_round_off * before) continue;
    const std::size_t space = cells.space_of[i];
    if (outlet[space] != static_cast<int>(space)) return false;
    if (std::any_of(row.source.begin(), row.source.end(), [](double s) { return s != 0.0; })) return false;
    // Row i becomes -x_i = 0: what stood there is taken away entry by entry, the source with it.
    row.entries.clear();
    for (const transport::Stream& s : cells.into(i)) row.entries[static_cast<int>(s.from)] -= s.rate;
    row.entries[cell] += before - 1.0;
    for (std::size_t r = 0; r < site.releases.size(); ++r) {
      if (site.releases[r].into.value == space && system.state().release_rate[r] > 0.0) return false;
    }
    if (system.may_hold_gas(SpaceIndex{space})) now_reached[space] = false;
  }
  return true;
}

/// The columns of A^-1 that the changed rows need; those kept so far are dropped where they would take too much memory.
std::vector<const double*> FailureSolver::State::columns_for(const std::map<int, RowChange>& rows) {
  if ((kept + rows.size()) * columns.size() * sizeof(double) > most_memory) {
    for (auto& kept_column : columns) kept_column = {};
    kept = 0;
  }
  std::vector<const double*> z;
  for (const auto& [cell, row] : rows) z.push_back(column(cell).data());
  return z;
}

/// The fractions `x` of the normal case become those with the changed rows. False where too few digits are left.
bool FailureSolver::State::correct(const std::map<int, RowChange>& rows, std::vector<double>& x) {
  const std::size_t n = columns.size(), k = rows.size();
  const std::vector<const double*> z = columns_for(rows);
  SmallMatrix small = small_matrix(rows, z);
  // The source is -b: y = x - Z (change of b). `right` is D y for each gas.
  std::vector<double> right(k * gases, 0.0);
  for (std::size_t c = 0; c < gases; ++c) {
    std::size_t j = 0;
    for (const auto& [cell, row] : rows) {
      if (row.source[c] != 0.0) {
        for (std::size_t p = 0; p < n; ++p) x[c * n + p] -= row.source[c] * z[j][p];
      }
      ++j;
    }
    std::size_t i = 0;
    for (const auto& [cell, row] : rows) {
      double sum = 0.0;
      for (const auto& [column, value] : row.entries) sum += value * x[c * n + static_cast<std::size_t>(column)];
      right[c * k + i++] = sum;
    }
  }
  // Less is left of what a row was summed up from where gas hardly gets out any more: too few digits for a billionth.
  constexpr double singular = 1e-6;
  if (!linalg::solve_dense(small.value, k, right, gases, small.scale, singular)) return false;
  for (std::size_t c = 0; c < gases; ++c) {
    for (std::size_t j = 0; j < k; ++j) {
      const double weight = right[c * k + j];
      if (weight == 0.0) continue;
      for (std::size_t p = 0; p < n; ++p) x[c * n + p] -= weight * z[j][p];
    }
  }
  return true;
}

FailureSolver::FailureSolver(std::unique_ptr<State> state) : state_{std::move(state)} {}
FailureSolver::FailureSolver(FailureSolver&&) noexcept = default;
FailureSolver::~FailureSolver() = default;

Result<FailureSolver> FailureSolver::build(const Site& site) {
  if (has_layers(site)) return Fault{"rooms in layers have no update: solve each failure as a site of its own"};
  auto built = SteadySystem::build(site, CaseIndex{0});
  if (auto* fault = std::get_if<Fault>(&built)) return std::move(*fault);
  auto state = std::make_unique<State>(site, std::move(std::get<SteadySystem>(built)));
  if (!state->prepare()) return Fault{"the steady state could not be computed: its equations are singular"};
  return FailureSolver{std::move(state)};
}

std::optional<FailureSolver::Solution> FailureSolver::solve(const std::vector<Failure>& failures) {
  State& s = *state_;
  std::vector<FlowSwitch> switches;
  for (const Failure& failure : failures) switches.push_back(switch_of(failure));
  const auto change = s.balance.changed(switches);
  if (!change) return std::nullopt;
  if (!change->fault.empty()) return Solution{{}, {}, change->fault};
  auto rows = s.rows_of(*change);
  Solution out{FractionField(s.site.spaces.size(), s.gases), s.reached, {}};
  if (rows.size() > most_rows || !s.close_cells(rows, out.reached)) return std::nullopt;
  std::vector<double> x = s.base;
  if (!s.correct(rows, x)) return std::nullopt;
  const std::size_t n = s.columns.size();
  for (std::size_t c = 0; c < s.gases; ++c) {
    for (std::size_t p = 0; p < s.site.spaces.size(); ++p)
      out.fractions(SpaceIndex{p}, c) = std::max(0.0, x[c * n + p]);
  }
  return out;
}

}  // namespace leanside
