// SPDX-License-Identifier: Apache-2.0
#include "transport/cells/cells.hpp"

#include <algorithm>
#include <numeric>

#include "airflow/round_off.hpp"

namespace leanside::transport {
namespace {

struct Builder {
  Cells cells;
  std::vector<Stream> unordered;

  void stream(int from, int to, double rate) {
    if (rate <= 0.0) return;
    unordered.push_back({from, to, rate});
    cells.inflow[static_cast<std::size_t>(to)] += rate;
  }

  int add_outlet(int space) {
    cells.capacity.push_back(0.0);
    cells.inflow.push_back(0.0);
    cells.fresh.push_back(0.0);
    cells.outflow.push_back(0.0);
    cells.release.push_back(0.0);
    cells.space_of.push_back(space);
    return cells.count++;
  }

  void order_streams() {
    cells.stream_start.assign(static_cast<std::size_t>(cells.count) + 1, 0);
    for (const Stream& s : unordered) ++cells.stream_start[static_cast<std::size_t>(s.to) + 1];
    std::partial_sum(cells.stream_start.begin(), cells.stream_start.end(), cells.stream_start.begin());
    auto next = cells.stream_start;
    cells.streams.resize(unordered.size());
    for (const Stream& s : unordered) cells.streams[next[static_cast<std::size_t>(s.to)]++] = s;
  }
};

/// Cells without capacity get their fractions from what streams in. Where that is nothing, or only air that goes round
/// among such cells, the equations do not determine them.
void find_dead(Cells& cells) {
  cells.dead.assign(static_cast<std::size_t>(cells.count), false);
  std::vector<network::Edge> edges;
  bool any = false;
  for (int cell = 0; cell < cells.count; ++cell) {
    const auto i = static_cast<std::size_t>(cell);
    if (cells.capacity[i] > 0.0) continue;
    any = true;
    cells.dead[i] = cells.through(cell) <= 0.0;
    for (const Stream& s : cells.into(cell)) {
      if (cells.capacity[static_cast<std::size_t>(s.from)] <= 0.0) edges.push_back({s.from, s.to});
    }
  }
  if (!any) return;
  const auto parts = network::strong_parts(cells.count, edges);
  std::vector<double> from_elsewhere(static_cast<std::size_t>(parts.count), 0.0);
  std::vector<double> through(static_cast<std::size_t>(parts.count), 0.0);
  for (int cell = 0; cell < cells.count; ++cell) {
    const auto part = static_cast<std::size_t>(parts.part_of[static_cast<std::size_t>(cell)]);
    through[part] += cells.through(cell);
    from_elsewhere[part] += cells.through(cell);
    for (const Stream& s : cells.into(cell)) {
      if (static_cast<std::size_t>(parts.part_of[static_cast<std::size_t>(s.from)]) == part)
        from_elsewhere[part] -= s.rate;
    }
  }
  for (std::size_t i = 0; i < cells.capacity.size(); ++i) {
    const auto part = static_cast<std::size_t>(parts.part_of[i]);
    if (cells.capacity[i] <= 0.0 && from_elsewhere[part] <= airflow::surplus_round_off * through[part])
      cells.dead[i] = true;
  }
}

}  // namespace

std::vector<network::Edge> Cells::edges() const {
  std::vector<network::Edge> result;
  result.reserve(streams.size());
  for (const Stream& s : streams) result.push_back({s.from, s.to});
  return result;
}

Cells make_cells(const Site& site, const SiteState& state, const FlowField& field, std::span<const double> surplus) {
  Builder builder;
  Cells& cells = builder.cells;
  const std::size_t n = site.spaces.size();
  cells.spaces = cells.count = static_cast<int>(n);
  cells.inflow.assign(n, 0.0);
  cells.fresh.assign(n, 0.0);
  cells.outflow.assign(n, 0.0);
  cells.release = field.release;
  cells.capacity.reserve(n);
  cells.space_of.resize(n);
  std::iota(cells.space_of.begin(), cells.space_of.end(), 0);
  for (std::size_t i = 0; i < n; ++i) {
    cells.capacity.push_back(moles_held(site.spaces[i], site.conditions, state.temperature[i]));
  }

  // The cell that gas leaves a space from, and the share of what enters that mixes.
  std::vector<int> exit_of = cells.space_of;
  std::vector<double> mixing(n, 1.0);
  for (std::size_t i = 0; i < n; ++i) {
    if (site.spaces[i].mixing_factor <= 1.0 || site.spaces[i].kind == SpaceKind::junction) continue;
    exit_of[i] = builder.add_outlet(static_cast<int>(i));
    const bool draws_in = !surplus.empty() && surplus[i] < 0.0;
    mixing[i] = draws_in ? 1.0 : 1.0 / site.spaces[i].mixing_factor;
  }

  const auto enter = [&](int from, std::size_t to, double rate) {
    builder.stream(from, static_cast<int>(to), rate * mixing[to]);
    if (mixing[to] < 1.0) builder.stream(from, exit_of[to], rate * (1.0 - mixing[to]));
  };
  for (const MolarFlow& flow : field.flows) {
    if (flow.from && flow.to) {
      enter(exit_of[flow.from->value], flow.to->value, flow.rate);
    } else if (flow.from) {
      cells.outflow[static_cast<std::size_t>(exit_of[flow.from->value])] += flow.rate;
    } else {
      const std::size_t to = flow.to->value;
      const auto bring = [&](std::size_t cell, double rate) {
        cells.inflow[cell] += rate;
        cells.fresh[cell] += rate;
      };
      bring(to, flow.rate * mixing[to]);
      if (mixing[to] < 1.0) bring(static_cast<std::size_t>(exit_of[to]), flow.rate * (1.0 - mixing[to]));
    }
  }
  // What mixed leaves for the outlet; a tight space keeps what it stores.
  for (std::size_t i = 0; i < n; ++i) {
    if (exit_of[i] == static_cast<int>(i)) continue;
    builder.stream(static_cast<int>(i), exit_of[i], cells.inflow[i] + cells.release[i] - field.storage[i]);
  }
  builder.order_streams();
  find_dead(cells);
  return std::move(builder.cells);
}

std::vector<double> densities(const Site& site, const SiteState& state, std::span<const double> x, std::size_t cells) {
  std::vector<double> density(site.spaces.size());
  for (std::size_t i = 0; i < density.size(); ++i) {
    double mass = molar_mass_of_air;
    for (std::size_t k = 0; k < site.gases.size(); ++k) {
      const double fraction = std::clamp(x[k * cells + i], 0.0, 1.0);
      mass += fraction * (site.gases[k].substance.molar_mass.value - molar_mass_of_air);
    }
    density[i] = site.conditions.pressure * mass / (gas_constant * state.temperature[i]);
  }
  return density;
}

bool flows_follow_gas(const Site& site, const SiteState& state) {
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    if (state.airway_on[i] && follows_pressure(site.airways[i])) return true;
  }
  return false;
}

std::vector<double> sources(const Cells& cells, const Site& site, const SiteState& state,
                            std::span<const Tracer> tracers) {
  const auto n = static_cast<std::size_t>(cells.count);
  std::vector<double> b(n * tracers.size(), 0.0);
  for (std::size_t c = 0; c < tracers.size(); ++c) {
    for (const Tracer::FromRelease& source : tracers[c].sources) {
      const std::size_t r = source.release.value;
      b[c * n + site.releases[r].into.value] += source.share * state.release_rate[r];
    }
  }
  return b;
}

linalg::SparseMatrix operator_of(const Cells& cells, std::span<const int> members, std::span<const int> row_of) {
  std::vector<linalg::Entry> entries;
  entries.reserve(4 * members.size());
  for (std::size_t k = 0; k < members.size(); ++k) {
    const int row = static_cast<int>(k);
    const int cell = members[k];
    for (const Stream& s : cells.into(cell)) {
      if (cells.dead[static_cast<std::size_t>(cell)]) break;
      const int column = row_of[static_cast<std::size_t>(s.from)];
      if (column >= 0) entries.push_back({row, column, s.rate});
    }
    entries.push_back({row, row, cells.dead[static_cast<std::size_t>(cell)] ? -1.0 : -cells.through(cell)});
  }
  return linalg::compress(static_cast<int>(members.size()), entries);
}

}  // namespace leanside::transport
