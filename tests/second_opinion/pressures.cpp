// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/pressures.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace second_opinion {
namespace {

constexpr Real gas_constant = 8.31446261815324L, gravity = 9.80665L, mass_of_air = 0.0289655L;
constexpr Real reference = 4, smooth_below = 1e-4L;  ///< Pa

/// Spaces connected by openings share one pressure, apart from the weight of the gas between their floors.
struct Ties {
  std::vector<std::size_t> group;  ///< by space
  std::vector<bool> known;         ///< by group: an opening leads outside
  Vector offset;                   ///< by space, Pa above the pressure of the group
};

class Network {
 public:
  Network(const Site& site, const Moment& moment, const Vector& density, const Layers* layers)
      : site_{site},
        moment_{moment},
        density_{density},
        layers_{layers},
        outdoors_{Real(site.pressure) * mass_of_air / (gas_constant * Real(site.outside_temperature))} {}

  /// Flow of airway `i`, with `extra` Pa added to the pressure of its first side.
  BothWays flow(std::size_t i, const Vector& p, Real extra) const {
    BothWays sum;
    for (const Piece& piece : cut(site_, layers_, i)) {
      const BothWays q = through(i, piece, p, extra);
      sum.forward += q.forward;
      sum.backward += q.backward;
    }
    return sum;
  }

  /// An opening equalises the pressure of its two sides at the floor of the side named first.
  Ties ties() const {
    const std::size_t n = site_.spaces.size();
    Ties out{std::vector<std::size_t>(n), std::vector<bool>(n, false), Vector::Zero(static_cast<Eigen::Index>(n))};
    std::iota(out.group.begin(), out.group.end(), std::size_t{0});
    for (bool again = true; again;) {
      again = false;
      for (std::size_t i = 0; i < site_.airways.size(); ++i) {
        const Airway& a = site_.airways[i];
        if (a.way != Way::opening || !moment_.airway_on[i]) continue;
        const Real z = floor_of(a.first != outside ? a.first : a.second);
        const auto weight = [&](int side) { return gravity * (outdoors_ - rho(side)) * (z - floor_of(side)); };
        if (a.first == outside || a.second == outside) {
          const int inside = a.first == outside ? a.second : a.first;
          const std::size_t group = out.group[static_cast<std::size_t>(inside)];
          if (out.known[group]) continue;
          out.known[group] = again = true;
          const Real raise = -weight(inside) - out.offset(inside);
          for (std::size_t k = 0; k < n; ++k)
            out.offset(static_cast<Eigen::Index>(k)) += out.group[k] == group ? raise : 0;
          continue;
        }
        const std::size_t one = out.group[static_cast<std::size_t>(a.first)],
                          two = out.group[static_cast<std::size_t>(a.second)];
        if (one == two) continue;
        again = true;
        const bool keep_two = out.known[two];
        const std::size_t stays = keep_two ? two : one, goes = keep_two ? one : two;
        const int kept = keep_two ? a.second : a.first, moved = keep_two ? a.first : a.second;
        const Real raise = out.offset(kept) + weight(kept) - weight(moved) - out.offset(moved);
        for (std::size_t k = 0; k < n; ++k) {
          if (out.group[k] != goes) continue;
          out.offset(static_cast<Eigen::Index>(k)) += raise;
          out.group[k] = stays;
        }
      }
    }
    return out;
  }

  BothWays through(std::size_t i, const Piece& piece, const Vector& p, Real extra) const {
    const Airway& a = site_.airways[i];
    if (a.way == Way::doorway) return doorway(i, piece, p, extra);
    const int named = a.first != outside ? a.first : a.second;
    Real z = floor_of(named) + Real(a.height.si);
    if (a.assumed && layers_ != nullptr && layers_->is_layered(named) &&
        !layers_->above[static_cast<std::size_t>(named)])
      z += layers_->edge[static_cast<std::size_t>(named)];
    const Real dp = at(a, a.first, piece.first, p, z) - at(a, a.second, piece.second, p, z) + extra;
    if (a.way == Way::curve) return {piece.share * curve(a, -dp) * per_volume(a.first), 0};
    const Real density = rho(dp > 0 ? piece.first : piece.second);
    const Real size = piece.share * gap(a, std::abs(dp), density) * per_volume(dp > 0 ? a.first : a.second);
    return dp > 0 ? BothWays{size, 0} : BothWays{0, size};
  }

 private:
  Real floor_of(int side) const {
    const Space& s = site_.spaces[static_cast<std::size_t>(side)];
    return s.elevation ? Real(s.elevation->si) : Real(0);
  }
  Real rho(int cell) const { return cell == outside ? outdoors_ : density_(cell); }
  /// mol/m3 on that side.
  Real per_volume(int side) const {
    const double t = side == outside ? site_.outside_temperature : moment_.temperature[static_cast<std::size_t>(side)];
    return Real(site_.pressure) / (gas_constant * Real(t));
  }
  /// Pressure above the outside air at height z, Pa, with the layer at the opening extended up or down.
  Real at(const Airway& a, int side, int cell, const Vector& p, Real z) const {
    if (side != outside) return p(side) + gravity * lighter(side, cell, z - floor_of(side));
    const Real v = site_.wind_speed;
    return a.wind ? outdoors_ * Real(*a.wind) * v * v / 2 : Real(0);
  }

  /// Mass deficit of a column from the floor up to z relative to the outside air, kg/m2.
  Real lighter(int side, int cell, Real z) const {
    if (layers_ == nullptr || !layers_->is_layered(side) || cell == layers_->lower(side))
      return (outdoors_ - rho(cell)) * z;
    const Real edge = layers_->edge[static_cast<std::size_t>(side)];
    return (outdoors_ - rho(layers_->lower(side))) * edge + (outdoors_ - rho(cell)) * (z - edge);
  }

  static Real gap(const Airway& a, Real dp, Real density) {
    const Real n = Real(a.exponent), whole = Real(a.area.si) * std::sqrt(2 * reference / density);
    if (dp >= smooth_below) return whole * std::pow(double(dp / reference), double(n));
    const Real s = dp / smooth_below;
    return whole * std::pow(double(smooth_below / reference), double(n)) * s * ((3 - n) / 2 + (n - 1) / 2 * s * s);
  }

  static Real smooth_root(Real d) {
    const Real s = d / smooth_below;
    return d >= smooth_below ? std::sqrt(d) : std::sqrt(smooth_below) * s * (1.25L - 0.25L * s * s);
  }
  static Real root_integral(Real d) {
    const Real s = d / smooth_below, unit = smooth_below * std::sqrt(smooth_below);
    return unit * (s >= 1 ? (s * std::sqrt(s) - 1) * 2 / 3 + 0.5625L : s * s * (0.625L - 0.0625L * s * s));
  }

  /// Piecewise cubic, constant beyond the ends; the slope at a point is the harmonic mean of the adjacent chords.
  static Real curve(const Airway& a, Real against) {
    const auto& points = a.points;
    const std::size_t n = points.size();
    const auto p = [&](std::size_t k) { return Real(points[k].first.si); };
    const auto q = [&](std::size_t k) { return Real(points[k].second.si); };
    if (against <= p(0)) return q(0);
    if (against >= p(n - 1)) return q(n - 1);
    std::vector<Real> chord, slope(n);
    for (std::size_t k = 0; k + 1 < n; ++k) chord.push_back((q(k + 1) - q(k)) / (p(k + 1) - p(k)));
    slope[0] = chord[0];
    slope[n - 1] = chord[n - 2];
    for (std::size_t k = 1; k + 1 < n; ++k) {
      const Real before = chord[k - 1], after = chord[k];
      slope[k] = before * after > 0 ? 2 * before * after / (before + after) : Real(0);
    }
    std::size_t k = 0;
    while (against > p(k + 1)) ++k;
    const Real h = p(k + 1) - p(k), t = (against - p(k)) / h, left = 1 - t;
    return q(k) * left * left * (1 + 2 * t) + q(k + 1) * t * t * (3 - 2 * t) +
           h * t * left * (slope[k] * left - slope[k + 1] * t);
  }

  /// The speed varies with the square root of a pressure difference that is linear in height.
  BothWays doorway(std::size_t i, const Piece& piece, const Vector& p, Real extra) const {
    const Airway& a = site_.airways[i];
    const Real low = piece.low, tall = piece.high - piece.low;
    const Real below = at(a, a.first, piece.first, p, low) - at(a, a.second, piece.second, p, low) + extra;
    const Real above =
        at(a, a.first, piece.first, p, low + tall) - at(a, a.second, piece.second, p, low + tall) + extra;
    const Real width = Real(a.width.si) * Real(moment_.open[i]) * Real(a.discharge);
    // Integral of the square root of |d|, smoothed as in a gap, if both ends have the same sign.
    const auto part = [&](Real d0, Real d1, Real length) {
      d0 = std::abs(d0);
      d1 = std::abs(d1);
      if (std::abs(d1 - d0) > 1e-9L * (d0 + d1)) return length * (root_integral(d1) - root_integral(d0)) / (d1 - d0);
      return length * smooth_root((d0 + d1) / 2);
    };
    BothWays out;
    const auto add = [&](Real d0, Real d1, Real length) {
      const bool forward = d0 + d1 > 0;
      (forward ? out.forward : out.backward) += width * std::sqrt(2 / rho(forward ? piece.first : piece.second)) *
                                                part(d0, d1, length) * per_volume(forward ? a.first : a.second);
    };
    if (below * above >= 0) {
      add(below, above, tall);
    } else {
      const Real neutral = tall * below / (below - above);
      add(below, 0, neutral);
      add(0, above, tall - neutral);
    }
    return out;
  }

  const Site& site_;
  const Moment& moment_;
  const Vector& density_;
  const Layers* layers_;
  Real outdoors_;
};

/// Where nothing leads outside, pressures are known but for a constant: one of them is held.
void hold_one(const Site& site, const std::vector<bool>& moves, const Ties& ties, std::vector<bool>& unknown) {
  const std::size_t n = unknown.size();
  std::vector<bool> held(n);
  for (std::size_t g = 0; g < n; ++g) held[g] = !unknown[g];
  const auto group = [&](int side) { return ties.group[static_cast<std::size_t>(side)]; };
  const auto spread = [&] {
    for (bool again = true; again;) {
      again = false;
      for (std::size_t i = 0; i < site.airways.size(); ++i) {
        const Airway& a = site.airways[i];
        if (!moves[i]) continue;
        const bool one = a.first == outside || held[group(a.first)], two = a.second == outside || held[group(a.second)];
        if (one == two) continue;
        held[group(one ? a.second : a.first)] = again = true;
      }
    }
  };
  spread();
  for (std::size_t g = 0; g < n; ++g) {
    if (!unknown[g] || held[g]) continue;
    unknown[g] = false;
    held[g] = true;
    spread();
  }
}

/// Newton's method for the pressures of the groups that openings form.
class PressureBalance {
 public:
  PressureBalance(const Site& site, const Moment& moment, const Vector& surplus, const Vector& released,
                  const Vector& density, const Layers* layers)
      : site_{site},
        surplus_{surplus},
        n_{surplus.size()},
        network_{site, moment, density, layers},
        moves_{driven_ways(site, moment, released)},
        ties_{network_.ties()},
        unknown_(static_cast<std::size_t>(n_), false),
        flows_(site.airways.size()),
        scale_{surplus.cwiseAbs().maxCoeff()} {
    // Unknowns are the pressures of groups with an airway whose flow depends on pressure.
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      if (!moves_[i]) continue;
      for (const int side : {site_.airways[i].first, site_.airways[i].second}) {
        if (side == outside) continue;
        const auto g = static_cast<std::size_t>(group(side));
        unknown_[g] = !ties_.known[g];
      }
    }
    hold_one(site_, moves_, ties_, unknown_);
  }

  /// `p`: initial guess and result, Pa, by space.
  Driven solve(Vector& p) {
    Vector q = by_group(p);
    Vector rest = residual(q);
    for (int round = 0; round < 400 && rest.cwiseAbs().maxCoeff() > 2e-15L * scale_; ++round) {
      const Vector move = slope(q).partialPivLu().solve(rest);
      const Vector next = q + share_of(q, move, rest.dot(move)) * move;
      const Vector there = residual(next);
      const bool round_off = rest.cwiseAbs().maxCoeff() < 1e-12L * scale_ && there.norm() > rest.norm() / 2;
      if (round_off || next == q) break;
      q = next;
      rest = there;
    }
    residual(q);
    p = by_space(q);
    for (BothWays& flow : flows_) {
      if (flow.forward <= 1e-12L * scale_) flow.forward = 0;
      if (flow.backward <= 1e-12L * scale_) flow.backward = 0;
    }
    return {flows_, scale_};
  }

 private:
  Eigen::Index group(int side) const { return static_cast<Eigen::Index>(ties_.group[static_cast<std::size_t>(side)]); }
  bool is_unknown(Eigen::Index g) const { return unknown_[static_cast<std::size_t>(g)]; }

  Vector by_space(const Vector& of_group) const {
    Vector out(n_);
    for (Eigen::Index i = 0; i < n_; ++i) out(i) = of_group(group(static_cast<int>(i))) + ties_.offset(i);
    return out;
  }

  Vector by_group(const Vector& of_space) const {
    Vector out = Vector::Zero(n_);
    for (Eigen::Index i = 0; i < n_; ++i) {
      const Eigen::Index g = group(static_cast<int>(i));
      if (is_unknown(g)) out(g) = of_space(i) - ties_.offset(i);
    }
    return out;
  }

  /// How far to go along a move. What leaves a group grows with its pressure, so the surplus along the move falls all
  /// the way: where it turns round is the best point on it.
  Real share_of(const Vector& q, const Vector& move, Real before) {
    const auto along = [&](Real share) { return residual(q + share * move).dot(move); };
    Real low = 0, high = 1;
    if (!(along(high) < -before / 2)) return high;
    for (int k = 0; k < 80; ++k) {
      const Real middle = (low + high) / 2, there = along(middle);
      if (std::abs(there) <= before / 2) return middle;
      (there > 0 ? low : high) = middle;
    }
    return (low + high) / 2;
  }

  /// Surplus of each group, mol/s, at the group pressures `q`. Keeps the flows.
  Vector residual(const Vector& q) {
    Vector rest = Vector::Zero(n_);
    for (Eigen::Index i = 0; i < n_; ++i) rest(group(static_cast<int>(i))) += surplus_(i);
    const Vector pressures = by_space(q);
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      if (!moves_[i]) continue;
      const Airway& a = site_.airways[i];
      const BothWays flow = flows_[i] = network_.flow(i, pressures, 0);
      scale_ = std::max({scale_, flow.forward, flow.backward});
      if (a.first != outside) rest(group(a.first)) -= flow.forward - flow.backward;
      if (a.second != outside) rest(group(a.second)) += flow.forward - flow.backward;
    }
    for (Eigen::Index i = 0; i < n_; ++i) rest(i) = is_unknown(i) ? rest(i) : Real(0);
    return rest;
  }

  /// Outflow of each group per Pa, by central differences; the identity for groups that are not unknown.
  Matrix slope(const Vector& q) const {
    Matrix out = Matrix::Zero(n_, n_);
    const Vector pressures = by_space(q);
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      if (!moves_[i]) continue;
      const Airway& a = site_.airways[i];
      const Real step = 1e-8L;
      const BothWays up = network_.flow(i, pressures, step), down = network_.flow(i, pressures, -step);
      const Real by = (up.forward - up.backward - down.forward + down.backward) / (2 * step);
      if (a.first != outside) out(group(a.first), group(a.first)) += by;
      if (a.second != outside) out(group(a.second), group(a.second)) += by;
      if (a.first == outside || a.second == outside) continue;
      out(group(a.first), group(a.second)) -= by;
      out(group(a.second), group(a.first)) -= by;
    }
    for (Eigen::Index i = 0; i < n_; ++i) {
      if (is_unknown(i) && out(i, i) > 0) continue;
      out.row(i).setZero();
      out.col(i).setZero();
      out(i, i) = 1;
    }
    return out;
  }

  const Site& site_;
  const Vector& surplus_;
  Eigen::Index n_;
  Network network_;
  std::vector<bool> moves_;  ///< by airway: its flow depends on pressure
  Ties ties_;
  std::vector<bool> unknown_;  ///< by group
  std::vector<BothWays> flows_;
  Real scale_;
};

}  // namespace

Driven driven_flows(const Site& site, const Moment& moment, const Vector& surplus, const Vector& released,
                    const Vector& density, Vector& p, const Layers* layers) {
  if (p.size() != surplus.size()) p = Vector::Zero(surplus.size());
  return PressureBalance{site, moment, surplus, released, density, layers}.solve(p);
}

BothWays through_piece(const Site& site, const Moment& moment, std::size_t airway, const Piece& piece,
                       const Vector& density, const Vector& p, const Layers& layers) {
  return Network{site, moment, density, &layers}.through(airway, piece, p, 0);
}

}  // namespace second_opinion
