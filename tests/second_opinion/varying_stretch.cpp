// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/varying_stretch.hpp"

#include <algorithm>
#include <cmath>

#include "second_opinion/pressures.hpp"
#include "second_opinion/sources.hpp"

namespace second_opinion {
namespace {

// Values within a step are less accurate than those at its end: with 3e-10 some differed by 1e-4 of themselves.
// Junctions whose composition changes the flows are iterated at every instant; with 1e-12 one such site takes minutes.
constexpr Real tolerance = 1e-12L, tolerance_with_junctions = 3e-10L, least = 1e-16L;
}  // namespace

VaryingStretch::VaryingStretch(const Site& site, const Moment& at_start, std::vector<Emitting> emitting,
                               const Vector& held, const Matrix& x, Real from, Real to)
    : site_{site}, emitting_{std::move(emitting)}, held_{held}, n_{held.size()}, gases_{x.cols()} {
  moment = at_start;
  begin = from;
  end = to;
  for (Eigen::Index i = 0; i < n_; ++i) {
    const Kind kind = site.spaces[static_cast<std::size_t>(i)].kind;
    if (kind != Kind::junction) stored_.push_back(i);
    if (kind == Kind::vessel) vessels_.push_back(i);
  }
  for (std::size_t e = 0; e < emitting_.size(); ++e) {
    if (site.releases[emitting_[e].release].source == Source::spill) spills_.push_back(e);
  }
  fill_at_ = static_cast<Eigen::Index>(stored_.size()) * gases_;
  stock_at_ = fill_at_ + static_cast<Eigen::Index>(vessels_.size());
  Vector y(stock_at_ + static_cast<Eigen::Index>(spills_.size()));
  for (std::size_t i = 0; i < stored_.size(); ++i) {
    for (Eigen::Index k = 0; k < gases_; ++k) y(static_cast<Eigen::Index>(i) * gases_ + k) = x(stored_[i], k);
  }
  for (std::size_t v = 0; v < vessels_.size(); ++v) y(fill_at_ + static_cast<Eigen::Index>(v)) = 1;
  for (std::size_t s = 0; s < spills_.size(); ++s) y(stock_at_ + static_cast<Eigen::Index>(s)) = 0;
  first_ = now(begin, y).streams;
  if (!fault_.empty()) return;
  // The stretch ends at a breakpoint: a spill dries, or the air above it becomes or stops being saturated.
  std::vector<Real> sign;
  for (const std::size_t s : spills_) sign.push_back(room_for_vapour(s, y) > 0 ? 1 : -1);
  const auto switches = [this, sign](const Vector& state) {
    Real left = 1;
    for (std::size_t s = 0; s < spills_.size(); ++s) {
      left = std::min({left, 1 - state(stock_at_ + static_cast<Eigen::Index>(s)),
                       sign[s] * room_for_vapour(spills_[s], state) + Real(1e-10L)});
    }
    return left;
  };
  const bool iterated = follows_pressures(site_, moment) && stored_.size() < static_cast<std::size_t>(n_);
  solution_.emplace([this](Real t, const Vector& state) { return slope(t, state); }, begin, end, y,
                    iterated ? tolerance_with_junctions : tolerance, least,
                    spills_.empty() ? std::function<Real(const Vector&)>{} : switches, FirstStep::fastest_rate);
  end = solution_->end();
}

Matrix VaryingStretch::fractions(const Vector& y) const {
  Matrix x = Matrix::Zero(n_, gases_);
  for (std::size_t i = 0; i < stored_.size(); ++i) {
    for (Eigen::Index k = 0; k < gases_; ++k) x(stored_[i], k) = y(static_cast<Eigen::Index>(i) * gases_ + k);
  }
  return x;
}

Vector VaryingStretch::amounts(const Vector& y) const {
  Vector held = held_;
  for (std::size_t v = 0; v < vessels_.size(); ++v) held(vessels_[v]) *= y(fill_at_ + static_cast<Eigen::Index>(v));
  return held;
}

/// Partial pressure of the vapour over ambient pressure, by the part that there is most of. In a closed vessel it
/// exceeds the fraction.
Real VaryingStretch::vapour_at(const Emitting& spill, const Vector& y) const {
  const Release& r = site_.releases[spill.release];
  const auto at = std::find(stored_.begin(), stored_.end(), static_cast<Eigen::Index>(r.into)) - stored_.begin();
  const Real pressed = amounts(y)(static_cast<Eigen::Index>(r.into)) / holds(site_, moment, r.into);
  const auto& vapour = spill.stage.vapour;
  const Share most = *std::max_element(vapour.begin(), vapour.end(),
                                       [](const Share& a, const Share& b) { return a.fraction < b.fraction; });
  return pressed * y(at * gases_ + static_cast<Eigen::Index>(most.gas)) / Real(most.fraction);
}

/// The vapour that the air above a spill can still take up, as a share of saturation.
Real VaryingStretch::room_for_vapour(std::size_t spill, const Vector& y) const {
  const Emitting& e = emitting_[spill];
  return 1 - vapour_at(e, y) / (e.stage.pressure / Real(site_.pressure));
}

VaryingStretch::Now VaryingStretch::now(Real time, const Vector& y) const {
  // Where a release ends or its rate jumps, a stretch ends: both of its ends count as within it.
  const Real since = std::clamp(time - begin, (end - begin) * 1e-13L, (end - begin) * (1 - 1e-13L));
  Now out;
  Vector released = Vector::Zero(n_);
  out.gas = Matrix::Zero(n_, gases_);
  for (const Emitting& e : emitting_) {
    const Release& r = site_.releases[e.release];
    const auto into = static_cast<Eigen::Index>(r.into);
    const bool spill = r.source == Source::spill;
    const Real rate = spill ? evaporation(site_, r, e.stage, vapour_at(e, y)) : rate_of(r, e.age + since);
    out.rates.push_back(rate);
    released(into) += rate;
    for (const Share& s : spill ? e.stage.vapour : r.gas.shares)
      out.gas(into, static_cast<Eigen::Index>(s.gas)) += rate * Real(s.fraction);
  }
  // The composition of junctions follows from the flows and affects them.
  Matrix x = fractions(y);
  const bool follows = follows_pressures(site_, moment);
  const bool junctions = follows && stored_.size() < static_cast<std::size_t>(n_);
  for (int round = 0; round < 200; ++round) {
    for (Eigen::Index i = 0; i < n_ && junctions && in_junctions_.size() > 0; ++i) {
      if (site_.spaces[static_cast<std::size_t>(i)].kind == Kind::junction) x.row(i) = in_junctions_.row(i);
    }
    out.streams = balance(site_, moment, released, follows ? densities(site_, moment, x) : Vector{}, &pressure_);
    if (!out.streams.fault.empty()) {
      fault_ = out.streams.fault;
      return out;
    }
    if (!junctions) return out;
    const Linear linear = linear_system(site_, out.streams, out.gas, amounts(y));
    const Matrix leaves = linear.out * fractions(y) + linear.out_gas;
    const bool settled = in_junctions_.size() > 0 && (leaves - in_junctions_).cwiseAbs().maxCoeff() < 1e-15L;
    in_junctions_ = leaves;
    if (settled) return out;
  }
  fault_ = "the composition of junctions and the flows do not converge";
  return out;
}

Vector VaryingStretch::slope(Real time, const Vector& y) const {
  const Now at = now(time, y);
  Vector out = Vector::Zero(y.size());
  if (!fault_.empty()) return out;
  const Linear linear = linear_system(site_, at.streams, at.gas, amounts(y));
  const Matrix change = linear.a * fractions(y) + linear.b;
  for (std::size_t i = 0; i < stored_.size(); ++i) {
    for (Eigen::Index k = 0; k < gases_; ++k) out(static_cast<Eigen::Index>(i) * gases_ + k) = change(stored_[i], k);
  }
  for (std::size_t v = 0; v < vessels_.size(); ++v) {
    out(fill_at_ + static_cast<Eigen::Index>(v)) = at.streams.stored(vessels_[v]) / held_(vessels_[v]);
  }
  for (std::size_t s = 0; s < spills_.size(); ++s) {
    out(stock_at_ + static_cast<Eigen::Index>(s)) = at.rates[spills_[s]] / emitting_[spills_[s]].stock;
  }
  return out;
}

Vector VaryingStretch::state(Real time) const { return solution_->between(time); }

Matrix VaryingStretch::at(Real time) const {
  const Vector y = state(time);
  Matrix x = fractions(y);
  if (stored_.size() == static_cast<std::size_t>(n_)) return x;
  const Now here = now(time, y);
  const Linear linear = linear_system(site_, here.streams, here.gas, amounts(y));
  const Matrix leaves = linear.out * x + linear.out_gas;
  for (Eigen::Index i = 0; i < n_; ++i) {
    if (site_.spaces[static_cast<std::size_t>(i)].kind == Kind::junction) x.row(i) = leaves.row(i);
  }
  return x;
}

Vector VaryingStretch::held(Real time) const { return amounts(state(time)); }

std::vector<Real> VaryingStretch::given(Real time) const {
  std::vector<Real> out(emitting_.size(), 0);
  const Vector y = state(time);
  for (std::size_t s = 0; s < spills_.size(); ++s) {
    out[spills_[s]] = y(stock_at_ + static_cast<Eigen::Index>(s)) * emitting_[spills_[s]].stock;
  }
  return out;
}

std::vector<Real> VaryingStretch::knots() const { return solution_->halves(); }

}  // namespace second_opinion
