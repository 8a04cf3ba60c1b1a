// SPDX-License-Identifier: Apache-2.0
#include "transport/cells/cells.hpp"

#include <algorithm>
#include <numeric>

#include "airflow/round_off.hpp"

namespace leanside::transport {
namespace {

std::vector<network::Edge> edges(std::span<const Stream> streams) {
  std::vector<network::Edge> result;
  result.reserve(streams.size());
  for (const Stream& s : streams) result.push_back(edge(s.from, s.to));
  return result;
}

struct Builder {
  Cells cells;
  std::vector<Stream> unordered;

  void stream(std::size_t from, std::size_t to, double rate) {
    if (rate <= 0.0) return;
    unordered.push_back({from, to, rate});
    cells.inflow[to] += rate;
  }

  void from_outside(std::size_t to, double rate) {
    cells.inflow[to] += rate;
    cells.fresh[to] += rate;
  }

  std::size_t add_outlet(std::size_t space) {
    for (auto* rates : {&cells.capacity, &cells.inflow, &cells.fresh, &cells.outflow, &cells.release}) {
      rates->push_back(0.0);
    }
    cells.space_of.push_back(space);
    return cells.count++;
  }

  void order_streams() {
    cells.stream_start.assign(cells.count + 1, 0);
    for (const Stream& s : unordered) ++cells.stream_start[s.to + 1];
    std::partial_sum(cells.stream_start.begin(), cells.stream_start.end(), cells.stream_start.begin());
    auto next = cells.stream_start;
    cells.streams.resize(unordered.size());
    for (const Stream& s : unordered) cells.streams[next[s.to]++] = s;
  }
};

/// A cell that holds nothing gets its fractions from what streams in. Where nothing does, or only air that goes round
/// among such cells, the equations do not determine them.
void find_dead(Cells& cells) {
  cells.dead.assign(cells.count, false);
  std::vector<Stream> between;
  bool any = false;
  for (std::size_t i = 0; i < cells.count; ++i) {
    if (cells.capacity[i] > 0.0) continue;
    any = true;
    cells.dead[i] = cells.through(i) <= 0.0;
    for (const Stream& s : cells.into(i)) {
      if (cells.capacity[s.from] <= 0.0) between.push_back(s);
    }
  }
  if (!any) return;
  const Parts parts = strong_parts(cells.count, edges(between));
  std::vector<double> from_elsewhere(parts.count, 0.0), through(parts.count, 0.0);
  for (std::size_t i = 0; i < cells.count; ++i) {
    const std::size_t part = parts.part_of[i];
    through[part] += cells.through(i);
    from_elsewhere[part] += cells.through(i);
    for (const Stream& s : cells.into(i)) {
      if (parts.part_of[s.from] == part) from_elsewhere[part] -= s.rate;
    }
  }
  for (std::size_t i = 0; i < cells.count; ++i) {
    const std::size_t part = parts.part_of[i];
    const bool fed = from_elsewhere[part] > airflow::surplus_round_off * through[part];
    if (cells.capacity[i] <= 0.0 && !fed) cells.dead[i] = true;
  }
}

/// The cells of the spaces, without streams.
Cells cells_of_spaces(const Site& site, const SiteState& state, const FlowField& field) {
  Cells cells;
  const std::size_t n = site.spaces.size();
  cells.spaces = cells.count = n;
  cells.inflow.assign(n, 0.0);
  cells.fresh.assign(n, 0.0);
  cells.outflow.assign(n, 0.0);
  cells.release = field.release;
  cells.space_of.resize(n);
  std::iota(cells.space_of.begin(), cells.space_of.end(), std::size_t{0});
  cells.capacity.reserve(n);
  for (std::size_t i = 0; i < n; ++i) {
    cells.capacity.push_back(moles_held(site.spaces[i], site.conditions, state.temperature[i]));
  }
  return cells;
}

}  // namespace

Parts Cells::connected_parts() const { return transport::connected_parts(count, edges(streams)); }

Parts Cells::strong_parts() const { return transport::strong_parts(count, edges(streams)); }

Cells make_cells(const Site& site, const SiteState& state, const FlowField& field, std::span<const double> surplus) {
  Builder builder{cells_of_spaces(site, state, field), {}};
  Cells& cells = builder.cells;
  const std::size_t n = site.spaces.size();
  // The cell that gas leaves a space from, and the share of what enters that mixes.
  std::vector<std::size_t> exit_of = cells.space_of;
  std::vector<double> mixing(n, 1.0);
  for (std::size_t i = 0; i < n; ++i) {
    if (site.spaces[i].mixing_factor <= 1.0 || site.spaces[i].kind == SpaceKind::junction) continue;
    exit_of[i] = builder.add_outlet(i);
    const bool draws_in = !surplus.empty() && surplus[i] < 0.0;
    mixing[i] = draws_in ? 1.0 : 1.0 / site.spaces[i].mixing_factor;
  }
  for (const MolarFlow& flow : field.flows) {
    if (!flow.to) {
      cells.outflow[exit_of[flow.from->value]] += flow.rate;
      continue;
    }
    const std::size_t to = flow.to->value;
    const auto enter = [&](std::size_t cell, double rate) {
      if (flow.from) {
        builder.stream(exit_of[flow.from->value], cell, rate);
      } else {
        builder.from_outside(cell, rate);
      }
    };
    enter(to, flow.rate * mixing[to]);
    if (mixing[to] < 1.0) enter(exit_of[to], flow.rate * (1.0 - mixing[to]));
  }
  // What has mixed leaves for the outlet; a sealed space keeps what it stores.
  for (std::size_t i = 0; i < n; ++i) {
    if (exit_of[i] != i) builder.stream(i, exit_of[i], cells.inflow[i] + cells.release[i] - field.storage[i]);
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

std::vector<double> sources(const Cells& cells, const Site& site, const SiteState& state,
                            std::span<const Tracer> tracers) {
  std::vector<double> b(cells.count * tracers.size(), 0.0);
  for (std::size_t c = 0; c < tracers.size(); ++c) {
    for (const Tracer::FromRelease& source : tracers[c].sources) {
      const std::size_t r = source.release.value;
      b[c * cells.count + site.releases[r].into.value] += source.share * state.release_rate[r];
    }
  }
  return b;
}

linalg::SparseMatrix operator_of(const Cells& cells, std::span<const std::size_t> members,
                                 std::span<const std::size_t> row_of) {
  std::vector<linalg::Entry> entries;
  entries.reserve(4 * members.size());
  for (std::size_t row = 0; row < members.size(); ++row) {
    const std::size_t cell = members[row];
    if (cells.dead[cell]) {
      entries.push_back({row, row, -1.0});
      continue;
    }
    for (const Stream& s : cells.into(cell)) {
      if (row_of[s.from] != no_row) entries.push_back({row, row_of[s.from], s.rate});
    }
    entries.push_back({row, row, -cells.through(cell)});
  }
  return linalg::compress(members.size(), entries);
}

linalg::SparseMatrix operator_of(const Cells& cells) {
  std::vector<std::size_t> all(cells.count);
  std::iota(all.begin(), all.end(), std::size_t{0});
  return operator_of(cells, all, all);
}

}  // namespace leanside::transport
