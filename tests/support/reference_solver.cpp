// SPDX-License-Identifier: Apache-2.0
#include "support/reference_solver.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <unsupported/Eigen/MatrixFunctions>

#include "support/reference_stiff.hpp"

namespace reference {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using leanside::Site;
using leanside::SpaceKind;

constexpr double gas_constant_si = 8.31446261815324;

Index ix(std::size_t i) { return static_cast<Index>(i); }

std::size_t side_index(const Site& site, const leanside::Side& side) { return side ? side->value : site.spaces.size(); }

double side_temperature(const Site& site, const leanside::Side& side) {
  return side ? site.spaces[side->value].temperature : site.conditions.outside_temperature;
}

double molar(const Site& site, double volume_flow, double temperature) {
  return site.conditions.pressure * volume_flow / (gas_constant_si * temperature);
}

double moles_of(const Site& site, std::size_t i) {
  return molar(site, site.spaces[i].volume, site.spaces[i].temperature);
}

/// Seconds of emission and rate of a release.
struct Emitter {
  double rate = 0.0;
  double seconds = std::numeric_limits<double>::infinity();
};

Emitter emitter_of(const leanside::Release& release) {
  if (const auto* steady = std::get_if<leanside::SteadyRelease>(&release.kind)) {
    return {steady->rate, steady->duration.value_or(std::numeric_limits<double>::infinity())};
  }
  if (const auto* dump = std::get_if<leanside::DumpRelease>(&release.kind)) {
    return {dump->amount / dump->over, dump->over};
  }
  const auto& fittings = std::get<leanside::FittingsRelease>(release.kind);
  return {fittings.count * fittings.each, std::numeric_limits<double>::infinity()};
}

double written_flow(const leanside::Airway& airway) {
  if (const auto* fan = std::get_if<leanside::Fan>(&airway.kind)) return fan->flow;
  if (const auto* exchange = std::get_if<leanside::Exchange>(&airway.kind)) return exchange->flow;
  return 0.0;
}

struct Switches {
  leanside::SiteState state;
  std::vector<bool> release_on;
};

Switches switches_of(const Site& site) {
  Switches result;
  for (const auto& airway : site.airways) {
    result.state.airway_on.push_back(airway.on);
    result.state.airway_flow.push_back(written_flow(airway));
  }
  for (const auto& release : site.releases) result.release_on.push_back(release.on);
  result.state.release_rate.assign(site.releases.size(), 0.0);
  return result;
}

void apply(Switches& switches, const leanside::Event& event) {
  if (const auto* airway = std::get_if<leanside::SetAirwayOn>(&event.change)) {
    switches.state.airway_on[airway->airway.value] = airway->on;
  } else if (const auto* flow = std::get_if<leanside::SetAirwayFlow>(&event.change)) {
    switches.state.airway_flow[flow->airway.value] = flow->flow;
  } else if (const auto* release = std::get_if<leanside::SetReleaseOn>(&event.change)) {
    switches.release_on[release->release.value] = release->on;
  }
}

/// One edge that carries whatever balance needs.
struct FreeEdge {
  std::size_t a = 0, b = 0;
  std::size_t airway = std::numeric_limits<std::size_t>::max();  ///< none: the air changes of space `a`
  bool cabinet = false;                                          ///< `a` leaks where it stands
};

/// Labels of the parts of spaces that free edges join; outside joins nothing.
std::vector<std::size_t> parts_of(std::size_t n, const std::vector<FreeEdge>& edges) {
  std::vector<std::size_t> label(n);
  for (std::size_t i = 0; i < n; ++i) label[i] = i;
  for (bool changed = true; changed;) {
    changed = false;
    for (const auto& edge : edges) {
      if (edge.a == n || edge.b == n || label[edge.a] == label[edge.b]) continue;
      const auto low = std::min(label[edge.a], label[edge.b]);
      label[edge.a] = label[edge.b] = low;
      changed = true;
    }
  }
  return label;
}

/// What a part of joined spaces can do with its excess.
struct Part {
  std::vector<std::size_t> members;
  double excess = 0.0;
  double scale = 0.0;
  bool to_outside = false, has_room = false, has_cabinet = false, has_vessel = false;
};

std::vector<Part> describe_parts(const Site& site, const std::vector<FreeEdge>& edges, const VectorXd& excess,
                                 const VectorXd& scale) {
  const std::size_t n = site.spaces.size();
  const auto label = parts_of(n, edges);
  std::vector<Part> parts(n);
  for (std::size_t i = 0; i < n; ++i) {
    auto& part = parts[label[i]];
    const auto kind = site.spaces[i].kind;
    part.members.push_back(i);
    part.excess += excess(ix(i));
    part.scale += scale(ix(i));
    part.has_room = part.has_room || kind == SpaceKind::room;
    part.has_cabinet = part.has_cabinet || kind == SpaceKind::cabinet;
    part.has_vessel = part.has_vessel || kind == SpaceKind::vessel;
  }
  for (const auto& edge : edges) {
    if (edge.a == n) parts[label[edge.b]].to_outside = true;
    if (edge.b == n) parts[label[edge.a]].to_outside = true;
  }
  std::erase_if(parts, [](const Part& part) { return part.members.empty(); });
  for (auto& part : parts) {
    if (std::abs(part.excess) <= 1e-13 * part.scale) part.excess = 0.0;
  }
  return parts;
}

/// Shut reliefs of parts that lead nowhere and are not in balance, else the cabinets of those without a room, become
/// free edges. True where any did.
bool open_assumed(const Site& site, const leanside::SiteState& state, const VectorXd& excess, const VectorXd& scale,
                  std::vector<FreeEdge>& edges, std::vector<bool>& draws) {
  const std::size_t n = site.spaces.size();
  const auto parts = describe_parts(site, edges, excess, scale);
  std::vector<std::size_t> of(n + 1, n);
  for (std::size_t p = 0; p < parts.size(); ++p) {
    for (const auto i : parts[p].members) of[i] = p;
  }
  const auto kind = [&](std::size_t i) { return site.spaces[i].kind; };
  std::vector<FreeEdge> found;
  for (std::size_t p = 0; p < parts.size(); ++p) {
    const Part& part = parts[p];
    if (part.to_outside || part.excess == 0.0 || (!part.has_room && !part.has_cabinet)) continue;
    std::vector<FreeEdge> ways;
    for (std::size_t k = 0; k < site.airways.size(); ++k) {
      const auto* relief = std::get_if<leanside::Relief>(&site.airways[k].kind);
      if (relief == nullptr || state.airway_on[k]) continue;
      const auto a = side_index(site, relief->first), b = side_index(site, relief->second);
      const bool a_in = a < n && of[a] == p, b_in = b < n && of[b] == p;
      const auto own = a_in ? a : b, other = a_in ? b : a;
      if (a_in == b_in || kind(own) == SpaceKind::vessel) continue;
      if (other < n &&
          (kind(other) == SpaceKind::vessel || (kind(other) == SpaceKind::junction && !parts[of[other]].to_outside)))
        continue;
      ways.push_back({a, b, k});
    }
    for (const auto i : part.members) {
      if (!ways.empty() && ways.back().airway < site.airways.size()) break;
      if (part.has_room || kind(i) != SpaceKind::cabinet || !site.spaces[i].stands_in) continue;
      ways.push_back({i, side_index(site, site.spaces[i].stands_in->place), site.airways.size(), true});
    }
    for (const auto i : part.members) draws[i] = draws[i] || !ways.empty();
    for (const auto& way : ways) {
      const auto same = [&](const FreeEdge& edge) { return !way.cabinet && edge.airway == way.airway; };
      if (std::none_of(found.begin(), found.end(), same)) found.push_back(way);
    }
  }
  edges.insert(edges.end(), found.begin(), found.end());
  return !found.empty();
}

/// Potentials of the members that let the free edges carry `excess` away, equal conductances; outside is at 0.
Eigen::Matrix<long double, Eigen::Dynamic, 1> potentials(std::size_t n, const Part& part,
                                                         const std::vector<FreeEdge>& edges, const VectorXd& excess) {
  std::vector<Index> row(n + 1, -1);
  for (std::size_t k = 0; k < part.members.size(); ++k) row[part.members[k]] = ix(k);
  using Wide = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic>;
  Wide laplacian = Wide::Zero(ix(part.members.size()), ix(part.members.size()));
  Wide right(ix(part.members.size()), 1);
  for (std::size_t k = 0; k < part.members.size(); ++k) {
    right(ix(k), 0) = static_cast<long double>(excess(ix(part.members[k])));
  }
  for (const auto& edge : edges) {
    const Index a = row[edge.a], b = row[edge.b];
    if (a >= 0) laplacian(a, a) += 1.0L;
    if (b >= 0) laplacian(b, b) += 1.0L;
    if (a >= 0 && b >= 0) {
      laplacian(a, b) -= 1.0L;
      laplacian(b, a) -= 1.0L;
    }
  }
  const Wide solved = laplacian.completeOrthogonalDecomposition().solve(right);
  Eigen::Matrix<long double, Eigen::Dynamic, 1> result = Eigen::Matrix<long double, Eigen::Dynamic, 1>::Zero(ix(n + 1));
  for (std::size_t k = 0; k < part.members.size(); ++k) result(ix(part.members[k])) = solved(ix(k), 0);
  return result;
}

/// exp of the system with its drive, in extended precision: squaring loses a bit each time.
MatrixXd exponential_step(const MatrixXd& matrix, const MatrixXd& drive, const VectorXd& moles, const MatrixXd& from,
                          double dt) {
  using Wide = Eigen::Matrix<long double, Eigen::Dynamic, Eigen::Dynamic>;
  const Index n = from.rows(), columns = from.cols();
  Wide augmented = Wide::Zero(n + columns, n + columns);
  for (Index i = 0; i < n; ++i) {
    const long double scale = static_cast<long double>(dt) / static_cast<long double>(moles(i));
    for (Index j = 0; j < n; ++j) augmented(i, j) = scale * static_cast<long double>(matrix(i, j));
    for (Index c = 0; c < columns; ++c) augmented(i, n + c) = scale * static_cast<long double>(drive(i, c));
  }
  const Wide full = augmented.exp();
  const Wide result = full.topLeftCorner(n, n) * from.cast<long double>() + full.topRightCorner(n, columns);
  return result.cast<double>();
}

}  // namespace

std::vector<Stretch> timeline(const Site& site, std::size_t which, double horizon) {
  auto switches = switches_of(site);
  std::vector<Emitter> left;
  for (const auto& release : site.releases) left.push_back(emitter_of(release));
  const auto& events = site.cases[which].events;
  std::size_t next_event = 0;
  std::vector<Stretch> result;
  for (double now = 0.0; now < horizon;) {
    while (next_event < events.size() && events[next_event].at <= now) apply(switches, events[next_event++]);
    double until = horizon;
    if (next_event < events.size()) until = std::min(until, events[next_event].at);
    for (std::size_t r = 0; r < site.releases.size(); ++r) {
      const bool started = site.releases[r].start <= now;
      if (!started) until = std::min(until, site.releases[r].start);
      const bool emits = started && switches.release_on[r] && left[r].seconds > 0.0;
      switches.state.release_rate[r] = emits ? left[r].rate : 0.0;
      if (emits) until = std::min(until, now + left[r].seconds);
    }
    for (std::size_t r = 0; r < site.releases.size(); ++r) {
      if (switches.state.release_rate[r] <= 0.0) continue;
      left[r].seconds -= until - now;
      if (left[r].seconds <= 1e-12 * (1.0 + until)) left[r].seconds = 0.0;
    }
    result.push_back({now, until, switches.state});
    now = until;
  }
  return result;
}

leanside::SiteState final_state(const Site& site, std::size_t which) {
  auto switches = switches_of(site);
  for (const auto& event : site.cases[which].events) apply(switches, event);
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const auto emitter = emitter_of(site.releases[r]);
    if (switches.release_on[r] && std::isinf(emitter.seconds)) switches.state.release_rate[r] = emitter.rate;
  }
  return switches.state;
}

std::optional<Flows> balance(const Site& site, const leanside::SiteState& state) {
  const std::size_t n = site.spaces.size();
  Flows flows;
  flows.rate = MatrixXd::Zero(ix(n + 1), ix(n + 1));
  flows.released = flows.leak = flows.storage = VectorXd::Zero(ix(n));
  flows.forward.assign(site.airways.size(), 0.0);
  flows.backward.assign(site.airways.size(), 0.0);
  std::vector<FreeEdge> free_edges;
  std::vector<std::vector<FreeEdge>> exchanges(n);  // of each space

  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    flows.released(ix(site.releases[r].into.value)) += state.release_rate[r];
  }
  VectorXd excess = VectorXd::Zero(ix(n + 1)), scale = VectorXd::Zero(ix(n + 1));
  excess.head(ix(n)) = flows.released;
  scale.head(ix(n)) = flows.released;
  for (std::size_t k = 0; k < site.airways.size(); ++k) {
    if (!state.airway_on[k]) continue;
    if (const auto* fan = std::get_if<leanside::Fan>(&site.airways[k].kind)) {
      const double rate = molar(site, state.airway_flow[k], side_temperature(site, fan->from));
      flows.forward[k] = rate;
      for (const auto& [side, sign] : {std::pair{fan->from, -1.0}, std::pair{fan->to, 1.0}}) {
        excess(ix(side_index(site, side))) += sign * rate;
        scale(ix(side_index(site, side))) += rate;
      }
    } else if (const auto* exchange = std::get_if<leanside::Exchange>(&site.airways[k].kind)) {
      const double rate = molar(site, state.airway_flow[k], side_temperature(site, exchange->first));
      flows.forward[k] = flows.backward[k] = rate;
      const FreeEdge edge{side_index(site, exchange->first), side_index(site, exchange->second), k};
      if (rate > 0.0) {
        if (edge.a < n) exchanges[edge.a].push_back(edge);
        if (edge.b < n) exchanges[edge.b].push_back(edge);
      }
    } else {
      const auto& relief = std::get<leanside::Relief>(site.airways[k].kind);
      free_edges.push_back({side_index(site, relief.first), side_index(site, relief.second), k});
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    if (site.spaces[i].air_changes > 0.0) exchanges[i].push_back({i, n, std::numeric_limits<std::size_t>::max()});
  }

  // Exchanges of vessels that have nowhere else to send their excess carry it.
  std::vector<bool> opened(n, false);
  std::vector<bool> is_free(site.airways.size(), false);
  for (bool changed = true; changed;) {
    changed = false;
    for (const auto& part : describe_parts(site, free_edges, excess, scale)) {
      if (part.excess == 0.0 || part.to_outside || part.has_room) continue;
      for (const auto i : part.members) {
        if ((!part.has_vessel && !part.has_cabinet) || opened[i])
          continue;  // junctions joined to a vessel let it out too
        opened[i] = true;
        for (const auto& edge : exchanges[i]) {
          if (edge.airway < is_free.size()) {
            if (is_free[edge.airway]) continue;
            is_free[edge.airway] = true;
          }
          free_edges.push_back(edge);
          changed = true;
        }
      }
    }
  }

  std::vector<bool> draws(n, false);
  while (open_assumed(site, state, excess, scale, free_edges, draws)) {
  }
  VectorXd remaining = excess;
  const auto parts = describe_parts(site, free_edges, excess, scale);
  VectorXd air_change_surplus = VectorXd::Zero(ix(n));
  for (const auto& part : parts) {
    if (!part.to_outside && part.excess != 0.0) {
      if (part.has_room) {
        double own = 0.0, leaky = 0.0;
        const auto share_of = [&](std::size_t i) { return std::max(0.0, excess(ix(i)) * (part.excess > 0 ? 1 : -1)); };
        const auto is_room = [&](std::size_t i) { return site.spaces[i].kind == SpaceKind::room; };
        const bool others = std::any_of(part.members.begin(), part.members.end(),
                                        [&](std::size_t i) { return is_room(i) && !draws[i]; });
        const auto leaks = [&](std::size_t i) { return is_room(i) && !(others && draws[i]); };
        for (const auto i : part.members) {
          if (!leaks(i)) continue;
          own += share_of(i);
          leaky += 1.0;
        }
        for (const auto i : part.members) {
          if (!leaks(i)) continue;
          flows.leak(ix(i)) = -part.excess * (own > 0.0 ? share_of(i) / own : 1.0 / leaky);
          remaining(ix(i)) += flows.leak(ix(i));
        }
      } else if (part.has_vessel && !part.has_cabinet && part.excess > 0.0) {
        // Released gas raises the pressure of a tight vessel; a fan that blows into or draws from one is a slip.
        double released = 0.0;
        for (const auto i : part.members) released += flows.released(ix(i));
        if (std::abs(part.excess - released) > 1e-13 * part.scale) return std::nullopt;
        double held = 0.0;
        for (const auto i : part.members) held += moles_of(site, i);
        for (const auto i : part.members) {
          flows.storage(ix(i)) = part.excess * moles_of(site, i) / held;
          remaining(ix(i)) -= flows.storage(ix(i));
        }
      } else {
        return std::nullopt;
      }
    }
    const auto potential = potentials(n, part, free_edges, remaining);
    for (const auto& edge : free_edges) {
      const auto inside = edge.a < n ? edge.a : edge.b;
      if (std::find(part.members.begin(), part.members.end(), inside) == part.members.end()) continue;
      double carried = static_cast<double>(potential(ix(edge.a)) - potential(ix(edge.b)));
      if (std::abs(carried) <= 1e-15 * part.scale) carried = 0.0;  // round-off, not a flow
      if (edge.cabinet) {
        flows.leak(ix(edge.a)) -= carried;
        flows.rate(ix(edge.a), ix(edge.b)) += std::max(0.0, carried);
        flows.rate(ix(edge.b), ix(edge.a)) += std::max(0.0, -carried);
      } else if (edge.airway < site.airways.size()) {
        (carried > 0.0 ? flows.forward : flows.backward)[edge.airway] += std::abs(carried);
      } else {
        air_change_surplus(ix(edge.a)) = carried;
      }
    }
  }

  for (std::size_t k = 0; k < site.airways.size(); ++k) {
    const auto a = side_index(site, leanside::first_side(site.airways[k]));
    const auto b = side_index(site, leanside::second_side(site.airways[k]));
    flows.rate(ix(a), ix(b)) += flows.forward[k];
    flows.rate(ix(b), ix(a)) += flows.backward[k];
  }
  for (std::size_t i = 0; i < n; ++i) {
    const double changes = molar(site, site.spaces[i].air_changes * site.spaces[i].volume, site.spaces[i].temperature);
    const double leak = site.spaces[i].kind == SpaceKind::cabinet ? 0.0 : flows.leak(ix(i));
    flows.rate(ix(i), ix(n)) += changes + std::max(0.0, air_change_surplus(ix(i))) + std::max(0.0, -leak);
    flows.rate(ix(n), ix(i)) += changes + std::max(0.0, -air_change_surplus(ix(i))) + std::max(0.0, leak);
  }
  return flows;
}

std::optional<System> assemble(const Site& site, const Flows& flows, const leanside::SiteState& state) {
  const std::size_t n = site.spaces.size();
  std::vector<std::size_t> outlet(n + 1);
  std::size_t unknowns = n;
  for (std::size_t i = 0; i < n; ++i) outlet[i] = site.spaces[i].mixing_factor > 1.0 ? unknowns++ : i;

  System system;
  system.full = MatrixXd::Zero(ix(unknowns), ix(unknowns));
  system.source = MatrixXd::Zero(ix(unknowns), ix(site.gases.size()));
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    for (const auto& share : site.releases[r].gas.shares) {
      system.source(ix(site.releases[r].into.value), ix(share.gas.value)) += share.fraction * state.release_rate[r];
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    const double inflow = flows.rate.col(ix(i)).sum(), released = flows.released(ix(i));
    const double mixed = 1.0 / std::max(1.0, site.spaces[i].mixing_factor);
    for (std::size_t j = 0; j < n; ++j) system.full(ix(i), ix(outlet[j])) += mixed * flows.rate(ix(j), ix(i));
    system.full(ix(i), ix(i)) -= mixed * inflow + released;
    if (outlet[i] != i) {
      const Index o = ix(outlet[i]);
      system.full(o, ix(i)) += mixed * inflow + released;
      for (std::size_t j = 0; j < n; ++j) system.full(o, ix(outlet[j])) += (1.0 - mixed) * flows.rate(ix(j), ix(i));
      system.full(o, o) -= inflow + released;
      if (inflow + released <= 0.0) {
        system.full(o, o) = -1.0;
        system.full(o, ix(i)) = 1.0;
      }
    } else if (site.spaces[i].kind == SpaceKind::junction && inflow + released <= 0.0) {
      system.full(ix(i), ix(i)) = -1.0;
    }
  }
  for (std::size_t u = 0; u < unknowns; ++u) {
    const bool holds = u < n && site.spaces[u].kind != SpaceKind::junction;
    (holds ? system.stored : system.algebraic).push_back(u);
  }

  const auto pick = [](const MatrixXd& m, const std::vector<std::size_t>& rows,
                       const std::vector<std::size_t>& columns) {
    MatrixXd result(ix(rows.size()), ix(columns.size()));
    for (std::size_t i = 0; i < rows.size(); ++i) {
      for (std::size_t j = 0; j < columns.size(); ++j) result(ix(i), ix(j)) = m(ix(rows[i]), ix(columns[j]));
    }
    return result;
  };
  std::vector<std::size_t> all_gases(site.gases.size());
  for (std::size_t k = 0; k < all_gases.size(); ++k) all_gases[k] = k;
  system.reduced = pick(system.full, system.stored, system.stored);
  system.drive = pick(system.source, system.stored, all_gases);
  system.recover = MatrixXd::Zero(0, ix(system.stored.size()));
  system.recover_constant = MatrixXd::Zero(0, ix(all_gases.size()));
  if (!system.algebraic.empty()) {
    MatrixXd own = pick(system.full, system.algebraic, system.algebraic);
    MatrixXd other = pick(system.full, system.algebraic, system.stored);
    MatrixXd source = pick(system.source, system.algebraic, all_gases);
    for (Index row = 0; row < own.rows(); ++row) {  // rows span many decades: judge rank on scaled ones
      const double size = std::abs(own(row, row));
      if (size <= 0.0) return std::nullopt;
      own.row(row) /= size;
      other.row(row) /= size;
      source.row(row) /= size;
    }
    const Eigen::FullPivLU<MatrixXd> lu(own);
    if (!lu.isInvertible()) return std::nullopt;
    // Eigen does not solve for no columns at all: a network of nothing but junctions, a site without gases.
    const auto solved = [&](const MatrixXd& right) -> MatrixXd {
      if (right.cols() == 0) return right;
      return -lu.solve(right);
    };
    system.recover = solved(other);
    system.recover_constant = solved(source);
    const MatrixXd coupling = pick(system.full, system.stored, system.algebraic);
    system.reduced += coupling * system.recover;
    system.drive += coupling * system.recover_constant;
  }
  return system;
}

std::optional<Transient> Transient::solve(const Site& site, std::size_t which, double horizon, Method method) {
  Transient result;
  result.site_ = &site;
  result.method_ = method;
  result.stretches_ = timeline(site, which, horizon);
  const std::size_t n = site.spaces.size();
  VectorXd moles(ix(n));
  MatrixXd fractions = MatrixXd::Zero(ix(n), ix(site.gases.size()));
  for (std::size_t i = 0; i < n; ++i) {
    moles(ix(i)) = moles_of(site, i);
    for (const auto& share : site.spaces[i].initial) fractions(ix(i), ix(share.gas.value)) += share.fraction;
  }
  for (std::size_t s = 0; s < result.stretches_.size(); ++s) {
    const auto& stretch = result.stretches_[s];
    auto flows = balance(site, stretch.state);
    if (!flows) return std::nullopt;
    auto system = assemble(site, *flows, stretch.state);
    if (!system) return std::nullopt;
    MatrixXd stored(ix(system->stored.size()), fractions.cols());
    for (std::size_t k = 0; k < system->stored.size(); ++k) stored.row(ix(k)) = fractions.row(ix(system->stored[k]));
    result.flows_.push_back(std::move(*flows));
    result.systems_.push_back(std::move(*system));
    result.moles_.push_back(moles);
    result.starts_.push_back(stored);
    fractions = result.expand(s, result.advance(s, stored, stretch.begin, stretch.end));
    moles += result.flows_.back().storage * (stretch.end - stretch.begin);
  }
  return result;
}

MatrixXd Transient::advance(std::size_t s, const MatrixXd& from, double t0, double t1) const {
  const auto& system = systems_[s];
  VectorXd moles(from.rows()), gain(from.rows());
  for (Index k = 0; k < from.rows(); ++k) {
    const Index i = ix(system.stored[static_cast<std::size_t>(k)]);
    gain(k) = flows_[s].storage(i);
    moles(k) = moles_[s](i) + gain(k) * (t0 - stretches_[s].begin);
  }
  if (t1 <= t0) return from;
  if (method_ == Method::exponential && gain.isZero(0.0)) {
    return exponential_step(system.reduced, system.drive, moles, from, t1 - t0);
  }
  MatrixXd result = from;
  for (Index c = 0; c < from.cols(); ++c) {
    if (from.col(c).isZero(0.0) && system.drive.col(c).isZero(0.0)) continue;
    result.col(c) = integrate_stiff(system.reduced, system.drive.col(c), moles, gain, from.col(c), t0, t1);
  }
  return result;
}

MatrixXd Transient::expand(std::size_t s, const MatrixXd& stored) const {
  const auto& system = systems_[s];
  MatrixXd result = MatrixXd::Zero(ix(site_->spaces.size()), stored.cols());
  const MatrixXd passed = system.recover * stored + system.recover_constant;
  for (std::size_t k = 0; k < system.stored.size(); ++k) result.row(ix(system.stored[k])) = stored.row(ix(k));
  for (std::size_t k = 0; k < system.algebraic.size(); ++k) {
    if (system.algebraic[k] < site_->spaces.size()) result.row(ix(system.algebraic[k])) = passed.row(ix(k));
  }
  return result;
}

std::size_t Transient::stretch_of(double t) const {
  std::size_t s = 0;
  while (s + 1 < stretches_.size() && t >= stretches_[s].end) ++s;
  return s;
}

std::vector<MatrixXd> Transient::at(const std::vector<double>& times) const {
  std::vector<MatrixXd> result;
  std::size_t current = 0;
  double now = 0.0;
  MatrixXd stored = starts_.front();
  for (const double t : times) {
    const auto s = stretch_of(t);
    if (s != current) {
      current = s;
      now = stretches_[s].begin;
      stored = starts_[s];
    }
    stored = advance(s, stored, now, t);
    now = std::max(now, t);
    result.push_back(expand(s, stored));
  }
  return result;
}

VectorXd Transient::moles_at(double t) const {
  const auto s = stretch_of(t);
  return moles_[s] + flows_[s].storage * (t - stretches_[s].begin);
}

bool Transient::alive(std::size_t space, double t) const {
  if (site_->spaces[space].kind != SpaceKind::junction) return true;
  const auto& flows = flows_[stretch_of(t)];
  return flows.rate.col(ix(space)).sum() + flows.released(ix(space)) > 0.0;
}

std::optional<Steady> steady(const Site& site, std::size_t which) {
  const auto state = final_state(site, which);
  const auto flows = balance(site, state);
  if (!flows) return std::nullopt;
  const auto system = assemble(site, *flows, state);
  if (!system) return std::nullopt;
  const std::size_t n = site.spaces.size();

  // Who gets where: transitive closure over positive flows.
  std::vector<std::vector<bool>> reach(n + 1, std::vector<bool>(n + 1, false));
  for (std::size_t i = 0; i < n; ++i) {
    reach[i][i] = true;
    for (std::size_t j = 0; j <= n; ++j) reach[i][j] = reach[i][j] || flows->rate(ix(i), ix(j)) > 0.0;
  }
  for (std::size_t k = 0; k < n; ++k) {
    for (std::size_t i = 0; i < n; ++i) {
      if (!reach[i][k]) continue;
      for (std::size_t j = 0; j <= n; ++j) reach[i][j] = reach[i][j] || reach[k][j];
    }
  }
  Steady result;
  result.closed.assign(n, false);
  for (std::size_t i = 0; i < n; ++i) {
    result.reaches_outside.push_back(reach[i][n]);
    result.alive.push_back(flows->rate.col(ix(i)).sum() + flows->released(ix(i)) > 0.0);
    bool closed = !reach[i][n];
    for (std::size_t j = 0; j < n && closed; ++j) closed = !reach[i][j] || reach[j][i];
    result.closed[i] = closed;
  }

  // Solve for the spaces that are not closed; nothing flows to them from closed ones.
  const auto space_of = [&](std::size_t unknown) {
    if (unknown < n) return unknown;
    std::size_t extra = unknown - n;
    for (std::size_t i = 0; i < n; ++i) {
      if (site.spaces[i].mixing_factor > 1.0 && extra-- == 0) return i;
    }
    return n;
  };
  const auto unknowns = static_cast<std::size_t>(system->full.rows());
  MatrixXd matrix = system->full, source = system->source;
  for (std::size_t u = 0; u < unknowns; ++u) {
    if (!result.closed[space_of(u)]) continue;
    matrix.row(ix(u)).setZero();
    matrix(ix(u), ix(u)) = -1.0;
    source.row(ix(u)).setZero();
  }
  for (Index row = 0; row < matrix.rows(); ++row) {
    const double size = matrix.row(row).cwiseAbs().maxCoeff();
    if (size <= 0.0) return std::nullopt;
    matrix.row(row) /= size;
    source.row(row) /= size;
  }
  const MatrixXd solved = -matrix.partialPivLu().solve(source);
  result.fractions = solved.topRows(ix(n));
  return result;
}

}  // namespace reference
