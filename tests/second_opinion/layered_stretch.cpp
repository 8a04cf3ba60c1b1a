// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/layered_stretch.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace second_opinion {
namespace {

constexpr Real tolerance = 1e-11L, least = 1e-17L;

Matrix rows_of(const LayeredFlows& flows, const Layers& layers, Real time, const Vector& y) {
  const Matrix x = flows.fractions(time, y);
  Layers now = layers;
  put_edges(now, flows.shares(y));
  const auto rooms = static_cast<Eigen::Index>(now.rooms.size());
  Matrix out = Matrix::Zero(x.rows() + 2 * rooms, std::max<Eigen::Index>(1, x.cols()));
  out.bottomRows(rooms) = flows.far_ends(time, y);
  out.topLeftCorner(x.rows(), x.cols()) = x;
  for (std::size_t k = 0; k < now.rooms.size(); ++k)
    out(x.rows() + static_cast<Eigen::Index>(k), 0) = now.edge[now.rooms[k]];
  return out;
}

Vector shares_of(const Layers& layers, const Matrix& rows) {
  Vector out(static_cast<Eigen::Index>(layers.rooms.size()));
  for (std::size_t k = 0; k < layers.rooms.size(); ++k) {
    const std::size_t room = layers.rooms[k];
    const Real below = rows(static_cast<Eigen::Index>(layers.cells + k), 0) / layers.height[room];
    out(static_cast<Eigen::Index>(k)) = layers.above[room] ? 1 - below : below;
  }
  return out;
}

/// Integrates up to the next breakpoint. A start on a breakpoint leaves it in the direction of the slope.
Extrapolation up_to_breakpoint(const LayeredFlows& flows, const Vector& y, Real from, Real to, Real tolerance,
                               Real least) {
  const auto slope = [&flows](Real t, const Vector& state) { return flows.slope(t, state); };
  const Vector soon = flows.to_kinks(y + 1e-9L * std::min(to - from, Real(1)) * slope(from, y));
  const Vector sign = flows.to_kinks(y).binaryExpr(
      soon, [](Real at, Real next) { return (std::abs(at) > 1e-11L ? at > 0 : next > at) ? Real(1) : Real(-1); });
  const auto ends = [&flows, sign](const Vector& state) {
    return flows.to_kinks(state).cwiseProduct(sign).minCoeff() + Real(1e-12L);
  };
  return {slope, from, to, y, tolerance, least, ends};
}

}  // namespace

Matrix first_rows(const Site& site, bool filled) {
  const Layers layers = layers_of(site);
  const auto cells = static_cast<Eigen::Index>(layers.cells);
  Matrix out = Matrix::Zero(cells + static_cast<Eigen::Index>(layers.rooms.size()),
                            static_cast<Eigen::Index>(std::max<std::size_t>(1, site.gases.size())));
  for (std::size_t i = 0; i < site.spaces.size() && filled; ++i) {
    for (const Share& s : site.spaces[i].initial) {
      out(static_cast<Eigen::Index>(i), static_cast<Eigen::Index>(s.gas)) = s.fraction;
      if (layers.is_layered(static_cast<int>(i))) out(layers.ambient[i], static_cast<Eigen::Index>(s.gas)) = s.fraction;
    }
  }
  for (std::size_t k = 0; k < layers.rooms.size(); ++k) {
    out(cells + static_cast<Eigen::Index>(k), 0) = layers.edge[layers.rooms[k]];
  }
  return out;
}

LayeredStretch::LayeredStretch(const Site& site, const Moment& at_start, std::vector<Emitting> emitting,
                               const Vector& held, const Matrix& x, Real from, Real to)
    : site_{site}, flows_{site, at_start, std::move(emitting), from}, held_{held} {
  moment = at_start;
  begin = from;
  end = to;
  const Vector y = flows_.state_of(x, shares_of(layers_of(site), x));
  first_ = flows_.streams(begin, y);
  if (!fault().empty()) return;
  solution_.emplace(up_to_breakpoint(flows_, y, begin, end, tolerance, least));
  solution_->read_closely();
  end = solution_->end();
}

Matrix LayeredStretch::at(Real time) const { return rows_of(flows_, layers_of(site_), time, solution_->between(time)); }

std::vector<Real> LayeredStretch::knots() const { return solution_->halves(); }

SteadyState layered_steady_state(const Site& site, const Moment& moment, std::vector<Emitting> emitting,
                                 std::string& fault) {
  const LayeredFlows flows{site, moment, std::move(emitting), 0};
  const Layers layers = layers_of(site);
  const Matrix start = first_rows(site, false);
  Vector y = flows.state_of(start, shares_of(layers, start));
  SteadyState out;
  const auto slope = [&](Real t, const Vector& state) { return flows.slope(t, state); };
  int parts = 0;
  for (Real until = 100; until < 1e13L; until *= 10) {
    for (Real from = until / 10; from < until;) {
      const Extrapolation part = up_to_breakpoint(flows, y, from, until, 1e-6L, 1e-13L);
      y = part.knots().back().y;
      from = part.end();
      if (++parts > 500) throw std::runtime_error("an interface stays at a breakpoint");
    }
  }
  // Newton's method adds the last digits.
  for (int round = 0; round < 6 && flows.fault().empty(); ++round) {
    const Vector f = slope(0, y);
    Matrix jacobian(y.size(), y.size());
    for (Eigen::Index j = 0; j < y.size(); ++j) {
      Vector moved = y;
      const Real by = std::max(std::abs(y(j)), Real(1e-6)) * 1e-9L;
      moved(j) += by;
      jacobian.col(j) = (slope(0, moved) - f) / by;
    }
    Vector next = y - jacobian.fullPivLu().solve(f);
    const Vector there = slope(0, next);
    if (!(there.norm() < f.norm()) || (next - y).cwiseAbs().maxCoeff() > 1e-4L) break;
    y = next;
  }
  fault = flows.fault();
  if (!fault.empty()) return out;
  out.reached = flows.leads_out(0, y);
  out.fraction = rows_of(flows, layers, 0, y);
  const auto rooms = static_cast<Eigen::Index>(layers.rooms.size());
  for (Eigen::Index k = y.size() - rooms; k < y.size(); ++k) {
    Real least = never;
    for (const Real by : {-1e-3L, 1e-3L}) {
      Vector moved = y;
      moved(k) += by;
      if (moved(k) > 0 && moved(k) < 1) least = std::min(least, std::abs(slope(0, moved)(k)));
    }
    out.at_rest.push_back(least > 1e-14L);
  }
  return out;
}

}  // namespace second_opinion
