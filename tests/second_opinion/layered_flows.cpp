// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/layered_flows.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "second_opinion/pressures.hpp"
#include "second_opinion/sources.hpp"

namespace second_opinion {

LayeredFlows::LayeredFlows(const Site& site, const Moment& moment, std::vector<Emitting> emitting, Real begin)
    : site_{site},
      moment_{moment},
      layers_{layers_of(site)},
      emitting_{std::move(emitting)},
      n_{static_cast<Eigen::Index>(site.spaces.size())},
      cells_{static_cast<Eigen::Index>(layers_.cells)},
      gases_{static_cast<Eigen::Index>(site.gases.size())},
      begin_{begin} {
  cell_site_.spaces = site.spaces;
  for (const std::size_t room : layers_.rooms) {
    cell_site_.spaces.push_back(site.spaces[room]);
    moment_.temperature.push_back(moment.temperature[room]);
  }
  for (Eigen::Index i = 0; i < cells_; ++i) {
    if (cell_site_.spaces[static_cast<std::size_t>(i)].kind != Kind::junction) stored_.push_back(i);
  }
}

Vector LayeredFlows::state_of(const Matrix& x, const Vector& share) const {
  const auto stored = static_cast<Eigen::Index>(stored_.size());
  Vector y(stored * gases_ + share.size());
  for (Eigen::Index i = 0; i < stored; ++i) {
    for (Eigen::Index k = 0; k < gases_; ++k) y(i * gases_ + k) = x(stored_[static_cast<std::size_t>(i)], k);
  }
  y.tail(share.size()) = share;
  return y;
}

Matrix LayeredFlows::stored(const Vector& y) const {
  Matrix x = Matrix::Zero(cells_, gases_);
  for (std::size_t i = 0; i < stored_.size(); ++i) {
    for (Eigen::Index k = 0; k < gases_; ++k) x(stored_[i], k) = y(static_cast<Eigen::Index>(i) * gases_ + k);
  }
  return x;
}

std::vector<Real> LayeredFlows::rates(Real time) const {
  std::vector<Real> rate(site_.releases.size(), 0);
  for (const Emitting& e : emitting_) {
    rate[e.release] = rate_of(site_.releases[e.release], e.age + (time - begin_));
  }
  return rate;
}

Matrix LayeredFlows::far_ends(Real time, const Vector& y) const {
  const Matrix x = stored(y);
  const Vector density = densities(site_, moment_, x), share = shares(y);
  Matrix out = Matrix::Zero(share.size(), std::max<Eigen::Index>(1, gases_));
  for (Eigen::Index k = 0; k < share.size(); ++k) {
    const std::size_t room = layers_.rooms[static_cast<std::size_t>(k)];
    const Real a_m3 = holds(site_, moment_, room) / Real(site_.spaces[room].volume.si);
    out.row(k).head(gases_) =
        at_far_end(site_, layers_, room, rates(time), density(n_ + k), a_m3,
                   x.row(static_cast<Eigen::Index>(room)).transpose(), x.row(n_ + k).transpose(), share(k))
            .transpose();
  }
  return out;
}

LayeredFlows::Now LayeredFlows::now(Real time, const Vector& y) const {
  Now out;
  const Vector share = shares(y);
  Layers layers = layers_;
  put_edges(layers, share);
  Vector released = Vector::Zero(n_);
  const std::vector<Real> rate = rates(time);
  out.gas = Matrix::Zero(cells_, gases_);
  for (const Emitting& e : emitting_) {
    const Release& r = site_.releases[e.release];
    const auto into = static_cast<Eigen::Index>(r.into);
    released(into) += rate[e.release];
    for (const Share& s : r.gas.shares) {
      out.gas(into, static_cast<Eigen::Index>(s.gas)) += rate[e.release] * Real(s.fraction);
    }
  }
  const Vector density = densities(site_, moment_, stored(y));
  if (!pressure_.allFinite()) pressure_.resize(0);  // after a step that went astray
  out.rooms = balance(site_, moment_, released, density, &pressure_, &layers);
  fault_ = out.rooms.fault;
  out.held.resize(cells_);
  for (Eigen::Index i = 0; i < n_; ++i) out.held(i) = holds(site_, moment_, static_cast<std::size_t>(i));
  for (std::size_t k = 0; k < layers.rooms.size(); ++k) {
    const auto room = static_cast<Eigen::Index>(layers.rooms[k]), at = static_cast<Eigen::Index>(k);
    out.held(n_ + at) = out.held(room) * (1 - share(at));
    out.held(room) *= share(at);
  }
  out.cells.rate = Matrix::Zero(cells_ + 1, cells_ + 1);
  out.cells.released = Vector::Zero(cells_);
  out.cells.released.head(n_) = released;
  stream_through_airways(out, layers, density);
  stream_between_layers(out, layers, density, y, rate);
  return out;
}

void LayeredFlows::stream_through_airways(Now& now, const Layers& layers, const Vector& density) const {
  const auto place = [this](int cell) { return cell == outside ? cells_ : static_cast<Eigen::Index>(cell); };
  const auto carry = [&](int first, int second, Real forward, Real backward) {
    now.cells.rate(place(first), place(second)) += forward;
    now.cells.rate(place(second), place(first)) += backward;
  };
  for (std::size_t i = 0; i < site_.airways.size(); ++i) {
    const Way way = site_.airways[i].way;
    const Real forward = now.rooms.forward[i], backward = now.rooms.backward[i];
    const bool shut = !moment_.airway_on[i] || (way == Way::doorway && moment_.open[i] <= 0);
    if (shut || (forward <= 0 && backward <= 0)) continue;
    for (const Piece& piece : cut(site_, &layers, i)) {
      if (way == Way::fan || way == Way::exchange || way == Way::opening) {
        carry(piece.first, piece.second, piece.share * forward, piece.share * backward);
      } else {
        const BothWays q = through_piece(site_, moment_, i, piece, density, pressure_, layers);
        carry(piece.first, piece.second, q.forward, q.backward);
      }
    }
  }
  for (Eigen::Index i = 0; i < n_; ++i) {
    const auto room = static_cast<std::size_t>(i);
    const bool layered = layers.is_layered(static_cast<int>(i));
    const int other = layered ? layers.ambient[room] : outside;
    const Real pace = site_.spaces[room].air_changes.si;
    if (pace > 0) carry(static_cast<int>(i), outside, pace * now.held(i), pace * now.held(i));
    if (pace > 0 && layered) carry(other, outside, pace * now.held(other), pace * now.held(other));
  }
  for (const Streams::Assumed& leak : now.rooms.through_shut) {
    const auto cell = [&](int side) {
      return layers.is_layered(side) ? layers.ambient[static_cast<std::size_t>(side)] : side;
    };
    carry(cell(leak.first), cell(leak.second), leak.forward, leak.backward);
  }
}

void LayeredFlows::stream_between_layers(Now& now, const Layers& layers, const Vector& density, const Vector& y,
                                         const std::vector<Real>& rate) const {
  const Vector share = shares(y);
  now.moved.resize(share.size());
  const Matrix x = stored(y);
  for (std::size_t k = 0; k < layers.rooms.size(); ++k) {
    const std::size_t room = layers.rooms[k];
    const auto gas = static_cast<Eigen::Index>(room), ambient = n_ + static_cast<Eigen::Index>(k);
    const Real whole = holds(site_, moment_, room), a_m3 = whole / Real(site_.spaces[room].volume.si);
    const Real plume = drawn_in(site_, layers, room, rate, density(ambient), a_m3) * a_m3;
    const Real surplus =
        plume + now.cells.released(gas) + now.cells.rate.col(gas).sum() - now.cells.rate.row(gas).sum();
    const Crossing over = crossing(surplus, share(static_cast<Eigen::Index>(k)), whole, plume > 0);
    const Real both = (tumbling(site_, layers, room, density(gas), density(ambient)) +
                       spread_across(site_, layers, room, moment_.temperature[room],
                                     share(static_cast<Eigen::Index>(k)), x.row(gas).sum(), x.row(ambient).sum())) *
                      a_m3;
    now.cells.rate(ambient, gas) += plume + over.to_gas + both;
    now.cells.rate(gas, ambient) += over.to_ambient + both;
    now.moved(static_cast<Eigen::Index>(k)) = surplus + over.to_gas - over.to_ambient;
  }
}

Vector LayeredFlows::slope(Real time, const Vector& y) const {
  const Now at = now(time, y);
  // A step that goes astray may meet flows that nothing balances: the step is then too long.
  if (!fault_.empty()) return Vector::Constant(y.size(), std::numeric_limits<Real>::quiet_NaN());
  const Linear linear = linear_system(cell_site_, at.cells, at.gas, at.held);
  const Matrix change = linear.a * stored(y) + linear.b;
  Vector moved = at.moved;
  for (Eigen::Index k = 0; k < moved.size(); ++k) {
    moved(k) /= holds(site_, moment_, layers_.rooms[static_cast<std::size_t>(k)]);
  }
  return state_of(change, moved);
}

Vector LayeredFlows::to_kinks(const Vector& y) const {
  Layers layers = layers_;
  put_edges(layers, shares(y));
  std::vector<Real> out;
  const auto high = [&](std::size_t room) {
    const auto& elevation = site_.spaces[room].elevation;
    return layers.edge[room] + (elevation ? Real(elevation->si) : Real(0));
  };
  for (const std::size_t room : layers.rooms) {
    for (const Real level : levels(site_, layers, room))
      out.push_back((layers.edge[room] - level) / layers.height[room]);
    for (const std::size_t other : layers.rooms) {
      if (other > room) out.push_back((high(room) - high(other)) / layers.height[room]);
    }
  }
  return Eigen::Map<const Vector>(out.data(), static_cast<Eigen::Index>(out.size()));
}

Matrix LayeredFlows::fractions(Real time, const Vector& y) const {
  Matrix x = stored(y);
  if (stored_.size() == static_cast<std::size_t>(cells_)) return x;
  const Now here = now(time, y);
  const Linear linear = linear_system(cell_site_, here.cells, here.gas, here.held);
  const Matrix leaves = linear.out * x + linear.out_gas;
  for (Eigen::Index i = 0; i < n_; ++i) {
    if (site_.spaces[static_cast<std::size_t>(i)].kind == Kind::junction) x.row(i) = leaves.row(i);
  }
  return x;
}

Streams LayeredFlows::streams(Real time, const Vector& y) const { return now(time, y).rooms; }

std::vector<bool> LayeredFlows::leads_out(Real time, const Vector& y) const {
  return has_way_out(cell_site_, now(time, y).cells);
}

}  // namespace second_opinion
