// SPDX-License-Identifier: Apache-2.0
/// Balanced flows of the reference solver.
#include <algorithm>
#include <cmath>
#include <limits>

#include "support/reference_amounts.hpp"
#include "support/reference_solver.hpp"

namespace reference {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using leanside::Site;
using leanside::SpaceKind;

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

/// Shut openings of parts that lead nowhere and are not in balance, else the cabinets of those without a room, become
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
      const auto* opening = std::get_if<leanside::Opening>(&site.airways[k].kind);
      if (opening == nullptr || state.airway_on[k]) continue;
      const auto a = side_index(site, opening->first), b = side_index(site, opening->second);
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

/// The balance of one moment, step by step.
class Balance {
 public:
  Balance(const Site& site, const leanside::SiteState& state)
      : site_{site},
        state_{state},
        n_{site.spaces.size()},
        exchanges_(n_),
        excess_{VectorXd::Zero(ix(n_ + 1))},
        scale_{VectorXd::Zero(ix(n_ + 1))} {
    flows_.rate = MatrixXd::Zero(ix(n_ + 1), ix(n_ + 1));
    flows_.released = flows_.leak = flows_.storage = VectorXd::Zero(ix(n_));
    flows_.forward.assign(site.airways.size(), 0.0);
    flows_.backward.assign(site.airways.size(), 0.0);
  }

  std::optional<Flows> solve() {
    take_given();
    free_exchanges();
    std::vector<bool> draws(n_, false);
    while (open_assumed(site_, state_, excess_, scale_, free_edges_, draws)) {
    }
    remaining_ = excess_;
    air_change_surplus_ = VectorXd::Zero(ix(n_));
    for (const auto& part : describe_parts(site_, free_edges_, excess_, scale_)) {
      if (!part.to_outside && part.excess != 0.0) {
        if (part.has_room) {
          leak(part, draws);
        } else if (!part.has_vessel || part.has_cabinet || part.excess <= 0.0 || !store(part)) {
          return std::nullopt;
        }
      }
      carry(part);
    }
    add_up();
    return std::move(flows_);
  }

 private:
  /// Releases, fans and exchanges; what may carry anything is noted.
  void take_given() {
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      flows_.released(ix(site_.releases[r].into.value)) += state_.release_rate[r];
    }
    excess_.head(ix(n_)) = flows_.released;
    scale_.head(ix(n_)) = flows_.released;
    for (std::size_t k = 0; k < site_.airways.size(); ++k) {
      if (!state_.airway_on[k]) continue;
      if (const auto* fan = std::get_if<leanside::Fan>(&site_.airways[k].kind)) {
        const double rate = molar(site_, state_.airway_flow[k], side_temperature(site_, fan->from));
        flows_.forward[k] = rate;
        for (const auto& [side, sign] : {std::pair{fan->from, -1.0}, std::pair{fan->to, 1.0}}) {
          excess_(ix(side_index(site_, side))) += sign * rate;
          scale_(ix(side_index(site_, side))) += rate;
        }
      } else if (const auto* exchange = std::get_if<leanside::Exchange>(&site_.airways[k].kind)) {
        const double rate = molar(site_, state_.airway_flow[k], side_temperature(site_, exchange->first));
        flows_.forward[k] = flows_.backward[k] = rate;
        const FreeEdge edge{side_index(site_, exchange->first), side_index(site_, exchange->second), k};
        if (rate > 0.0) {
          if (edge.a < n_) exchanges_[edge.a].push_back(edge);
          if (edge.b < n_) exchanges_[edge.b].push_back(edge);
        }
      } else {
        const auto& opening = std::get<leanside::Opening>(site_.airways[k].kind);
        free_edges_.push_back({side_index(site_, opening.first), side_index(site_, opening.second), k});
      }
    }
    for (std::size_t i = 0; i < n_; ++i) {
      if (site_.spaces[i].air_changes > 0.0) {
        exchanges_[i].push_back({i, n_, std::numeric_limits<std::size_t>::max()});
      }
    }
  }

  /// Exchanges of vessels that have nowhere else to send their excess carry it.
  void free_exchanges() {
    std::vector<bool> opened(n_, false);
    std::vector<bool> is_free(site_.airways.size(), false);
    for (bool changed = true; changed;) {
      changed = false;
      for (const auto& part : describe_parts(site_, free_edges_, excess_, scale_)) {
        if (part.excess == 0.0 || part.to_outside || part.has_room) continue;
        for (const auto i : part.members) {
          if ((!part.has_vessel && !part.has_cabinet) || opened[i])
            continue;  // junctions joined to a vessel let it out too
          opened[i] = true;
          for (const auto& edge : exchanges_[i]) {
            if (edge.airway < is_free.size()) {
              if (is_free[edge.airway]) continue;
              is_free[edge.airway] = true;
            }
            free_edges_.push_back(edge);
            changed = true;
          }
        }
      }
    }
  }

  /// The rooms of a part leak its excess, each by what it has too much itself; rooms that a fan draws on come last.
  void leak(const Part& part, const std::vector<bool>& draws) {
    double own = 0.0, leaky = 0.0;
    const auto share_of = [&](std::size_t i) { return std::max(0.0, excess_(ix(i)) * (part.excess > 0 ? 1 : -1)); };
    const auto is_room = [&](std::size_t i) { return site_.spaces[i].kind == SpaceKind::room; };
    const bool others =
        std::any_of(part.members.begin(), part.members.end(), [&](std::size_t i) { return is_room(i) && !draws[i]; });
    const auto leaks = [&](std::size_t i) { return is_room(i) && !(others && draws[i]); };
    for (const auto i : part.members) {
      if (!leaks(i)) continue;
      own += share_of(i);
      leaky += 1.0;
    }
    for (const auto i : part.members) {
      if (!leaks(i)) continue;
      flows_.leak(ix(i)) = -part.excess * (own > 0.0 ? share_of(i) / own : 1.0 / leaky);
      remaining_(ix(i)) += flows_.leak(ix(i));
    }
  }

  /// Released gas raises the pressure of a sealed vessel. False where a fan blows into one or draws from one: a slip.
  bool store(const Part& part) {
    double released = 0.0;
    for (const auto i : part.members) released += flows_.released(ix(i));
    if (std::abs(part.excess - released) > 1e-13 * part.scale) return false;
    double held = 0.0;
    for (const auto i : part.members) held += moles_of(site_, i);
    for (const auto i : part.members) {
      flows_.storage(ix(i)) = part.excess * moles_of(site_, i) / held;
      remaining_(ix(i)) -= flows_.storage(ix(i));
    }
    return true;
  }

  void carry(const Part& part) {
    const auto potential = potentials(n_, part, free_edges_, remaining_);
    for (const auto& edge : free_edges_) {
      const auto inside = edge.a < n_ ? edge.a : edge.b;
      if (std::find(part.members.begin(), part.members.end(), inside) == part.members.end()) continue;
      double carried = static_cast<double>(potential(ix(edge.a)) - potential(ix(edge.b)));
      if (std::abs(carried) <= 1e-15 * part.scale) carried = 0.0;  // round-off, not a flow
      if (edge.cabinet) {
        flows_.leak(ix(edge.a)) -= carried;
        flows_.rate(ix(edge.a), ix(edge.b)) += std::max(0.0, carried);
        flows_.rate(ix(edge.b), ix(edge.a)) += std::max(0.0, -carried);
      } else if (edge.airway < site_.airways.size()) {
        (carried > 0.0 ? flows_.forward : flows_.backward)[edge.airway] += std::abs(carried);
      } else {
        air_change_surplus_(ix(edge.a)) = carried;
      }
    }
  }

  void add_up() {
    for (std::size_t k = 0; k < site_.airways.size(); ++k) {
      const auto a = side_index(site_, leanside::first_side(site_.airways[k]));
      const auto b = side_index(site_, leanside::second_side(site_.airways[k]));
      flows_.rate(ix(a), ix(b)) += flows_.forward[k];
      flows_.rate(ix(b), ix(a)) += flows_.backward[k];
    }
    for (std::size_t i = 0; i < n_; ++i) {
      const auto& space = site_.spaces[i];
      const double changes = molar(site_, space.air_changes * space.volume, space.temperature);
      const double leak = space.kind == SpaceKind::cabinet ? 0.0 : flows_.leak(ix(i));
      const double surplus = air_change_surplus_(ix(i));
      flows_.rate(ix(i), ix(n_)) += changes + std::max(0.0, surplus) + std::max(0.0, -leak);
      flows_.rate(ix(n_), ix(i)) += changes + std::max(0.0, -surplus) + std::max(0.0, leak);
    }
  }

  const Site& site_;
  const leanside::SiteState& state_;
  std::size_t n_;
  Flows flows_;
  std::vector<FreeEdge> free_edges_;
  std::vector<std::vector<FreeEdge>> exchanges_;  // of each space
  VectorXd excess_, scale_, remaining_, air_change_surplus_;
};

}  // namespace

std::optional<Flows> balance(const Site& site, const leanside::SiteState& state) {
  return Balance{site, state}.solve();
}

}  // namespace reference
