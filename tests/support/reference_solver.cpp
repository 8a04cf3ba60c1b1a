// SPDX-License-Identifier: Apache-2.0
#include "support/reference_solver.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <unsupported/Eigen/MatrixFunctions>

#include "support/reference_amounts.hpp"
#include "support/reference_stiff.hpp"

namespace reference {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;
using leanside::Site;
using leanside::SpaceKind;

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

std::vector<Stretch> timeline(const Site& site, std::size_t case_index, double horizon) {
  auto switches = switches_of(site);
  std::vector<Emitter> left;
  for (const auto& release : site.releases) left.push_back(emitter_of(release));
  const auto& events = site.cases[case_index].events;
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

leanside::SiteState final_state(const Site& site, std::size_t case_index) {
  auto switches = switches_of(site);
  for (const auto& event : site.cases[case_index].events) apply(switches, event);
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const auto emitter = emitter_of(site.releases[r]);
    if (switches.release_on[r] && std::isinf(emitter.seconds)) switches.state.release_rate[r] = emitter.rate;
  }
  return switches.state;
}

std::optional<Transient> Transient::solve(const Site& site, std::size_t case_index, double horizon, Method method) {
  Transient result;
  result.site_ = &site;
  result.method_ = method;
  result.stretches_ = timeline(site, case_index, horizon);
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

std::optional<Steady> steady(const Site& site, std::size_t case_index) {
  const auto state = final_state(site, case_index);
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
