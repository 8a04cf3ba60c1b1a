// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/flows.hpp"

#include <algorithm>
#include <numeric>
#include <utility>

#include "second_opinion/closed.hpp"
#include "second_opinion/pressures.hpp"

namespace second_opinion {
namespace {

constexpr Real gas_constant = 8.31446261815324L;
constexpr Real nothing = 1e-13L;  ///< share of the largest stream that is round-off
/// The same for a stream through an opening: what a slow fan draws through a junction may be far less than the air
/// changes of the hall beside it.
constexpr Real nothing_through = 1e-15L;

/// Sets of places that joined pairs make; outside is the last place.
class Groups {
 public:
  explicit Groups(std::size_t places) : of_(places) { std::iota(of_.begin(), of_.end(), std::size_t{0}); }
  void join(std::size_t a, std::size_t b) {
    const std::size_t from = of_[a], to = of_[b];
    std::replace(of_.begin(), of_.end(), from, to);
  }
  std::size_t of(std::size_t place) const { return of_[place]; }

 private:
  std::vector<std::size_t> of_;
};

class Balancer {
 public:
  explicit Balancer(const Closed& closed)
      : site_{closed.site},
        moment_{closed.moment},
        n_{closed.site.spaces.size()},
        promoted_{closed.promoted},
        breathes_{closed.breathes} {
    const Site& site = site_;
    promoted_.resize(site.airways.size(), false);
    const auto size = static_cast<Eigen::Index>(n_);
    s_.rate = Matrix::Zero(size + 1, size + 1);
    s_.released = s_.stored = s_.leak = s_.pressure = Vector::Zero(size);
    s_.forward.assign(site.airways.size(), 0);
    s_.backward.assign(site.airways.size(), 0);
    s_.overflows.assign(site.airways.size(), false);
    s_.fault = closed.fault;
    s_.leak = closed.leak;
    for (std::size_t i = 0; i < n_; ++i) {
      s_.rate(index(n_), index(i)) += std::max(Real(0), s_.leak(index(i)));
      s_.rate(index(i), index(n_)) += std::max(Real(0), -s_.leak(index(i)));
    }
  }

  /// Fans, exchanges and air changes, as the file gives them.
  void prescribe() {
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const Airway& a = site_.airways[i];
      if (!moment_.airway_on[i] || (a.way != Way::fan && a.way != Way::exchange)) continue;
      const Real moles = Real(site_.pressure) * Real(moment_.flow[i]) / (gas_constant * temperature(a.first));
      carry(i, moles, a.way == Way::exchange ? moles : Real(0));
    }
    for (std::size_t i = 0; i < n_; ++i) {
      const Real moles = Real(site_.spaces[i].air_changes.si) * holds(site_, moment_, i);
      s_.rate(index(i), index(n_)) += moles;
      s_.rate(index(n_), index(i)) += moles;
    }
  }

  Streams finish(const Vector& released, const Vector& surplus) {
    s_.released = released;
    surplus_ = surplus;
    for (std::size_t i = 0; i < n_; ++i) {
      surplus_(index(i)) += s_.rate.col(index(i)).sum() - s_.rate.row(index(i)).sum();
    }
    largest_ = std::max(s_.rate.maxCoeff(), surplus.cwiseAbs().maxCoeff());
    s_.through = std::max(largest_, least_ / nothing);
    const Groups groups = opening_groups();
    for (std::size_t g = 0; g <= n_; ++g) settle(groups, g);
    return std::move(s_);
  }

  Streams& streams() { return s_; }
  /// What is left over below this, mol/s, is round-off of solved pressures.
  void take_for_nothing(Real least) { least_ = least; }
  void carry(std::size_t airway, Real forward, Real backward) {
    const Airway& a = site_.airways[airway];
    s_.rate(place(a.first), place(a.second)) += forward;
    s_.rate(place(a.second), place(a.first)) += backward;
    s_.forward[airway] += forward;
    s_.backward[airway] += backward;
  }

 private:
  static Eigen::Index index(std::size_t i) { return static_cast<Eigen::Index>(i); }
  Eigen::Index place(int side) const { return side == outside ? index(n_) : side; }
  Real temperature(int side) const {
    return side == outside ? site_.outside_temperature : moment_.temperature[static_cast<std::size_t>(side)];
  }
  bool yields(std::size_t airway) const {
    const Airway& a = site_.airways[airway];
    // At the moment of a burst what stands open is a way like any other.
    if (bursting_ && moment_.airway_on[airway] &&
        (a.way == Way::gap || (a.way == Way::doorway && moment_.open[airway] > 0)))
      return true;
    return moment_.airway_on[airway] && (site_.airways[airway].way == Way::opening || promoted_[airway]);
  }

  Groups opening_groups() const {
    Groups groups{n_ + 1};
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      if (!yields(i)) continue;
      groups.join(static_cast<std::size_t>(place(site_.airways[i].first)),
                  static_cast<std::size_t>(place(site_.airways[i].second)));
    }
    for (std::size_t i = 0; i < n_; ++i) {
      if (breathes_[i]) groups.join(i, n_);
    }
    return groups;
  }

  std::vector<std::size_t> members(const Groups& groups, std::size_t g) const {
    std::vector<std::size_t> out;
    for (std::size_t i = 0; i < n_; ++i) {
      if (groups.of(i) == g) out.push_back(i);
    }
    return out;
  }

  Real surplus_of(const std::vector<std::size_t>& group) const {
    Real sum = 0;
    for (const std::size_t i : group) sum += surplus_(index(i));
    // Closed groups are found by the sum of their streams, which may be several times the largest one.
    constexpr Real several = 10;
    return std::abs(sum) <= several * nothing * s_.through ? Real(0) : sum;
  }

  /// Fans and exchanges that do not match cannot fill a vessel.
  bool only_released(const std::vector<std::size_t>& group, Real sum) const {
    for (const std::size_t i : group) sum -= s_.released(index(i));
    return std::abs(sum) <= nothing * s_.through;
  }

  void settle(const Groups& groups, std::size_t g) {
    const auto group = members(groups, g);
    if (group.empty()) return;
    Vector rest = surplus_;
    if (groups.of(n_) != g) {
      const Real sum = surplus_of(group);
      if (sum != 0) hand_over(group, sum);
      for (const std::size_t i : group) rest(index(i)) -= s_.stored(index(i));
    }
    spread(groups, g, group, rest);
  }

  /// What no opening leads outside: gained by vessels, else a fault.
  void hand_over(const std::vector<std::size_t>& group, Real sum) {
    std::vector<std::size_t> vessels;
    for (const std::size_t i : group) {
      if (site_.spaces[i].kind == Kind::vessel) vessels.push_back(i);
    }
    Real held = 0;
    for (const std::size_t i : vessels) held += holds(site_, moment_, i);
    if (vessels.empty() || (!bursting_ && !only_released(group, sum)))
      s_.fault = "nothing balances " + site_.spaces[group[0]].id;
    for (const std::size_t i : vessels) s_.stored(index(i)) = sum * holds(site_, moment_, i) / held;
  }

  /// Openings share the rest as equal conductances would.
  void spread(const Groups& groups, std::size_t g, const std::vector<std::size_t>& group, const Vector& rest) {
    const auto size = index(group.size());
    Matrix laplacian = Matrix::Zero(size, size);
    Vector right(size);
    const auto row = [&](Eigen::Index place) {
      const auto at = std::find(group.begin(), group.end(), static_cast<std::size_t>(place));
      return at == group.end() ? Eigen::Index{-1} : static_cast<Eigen::Index>(at - group.begin());
    };
    std::vector<std::size_t> ways;
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const Eigen::Index a = row(place(site_.airways[i].first)), b = row(place(site_.airways[i].second));
      if (!yields(i) || (a < 0 && b < 0)) continue;
      ways.push_back(i);
      if (a >= 0) laplacian(a, a) += 1;
      if (b >= 0) laplacian(b, b) += 1;
      if (a >= 0 && b >= 0) {
        laplacian(a, b) -= 1;
        laplacian(b, a) -= 1;
      }
    }
    for (Eigen::Index i = 0; i < size; ++i) {
      if (breathes_[group[static_cast<std::size_t>(i)]]) laplacian(i, i) += 1;
    }
    if (laplacian.isZero()) return;
    for (Eigen::Index i = 0; i < size; ++i) right(i) = rest(index(group[static_cast<std::size_t>(i)]));
    if (groups.of(n_) != g) laplacian(0, 0) += 1;  // any reference: only differences count, and the sum is nought
    const Vector potential = laplacian.fullPivLu().solve(right);
    for (const std::size_t i : ways) {
      const Eigen::Index a = row(place(site_.airways[i].first)), b = row(place(site_.airways[i].second));
      Real flow = (a >= 0 ? potential(a) : Real(0)) - (b >= 0 ? potential(b) : Real(0));
      if (std::abs(flow) <= std::max(nothing_through * largest_, least_)) flow = 0;
      carry(i, std::max(Real(0), flow), std::max(Real(0), -flow));
      if (promoted_[i] && flow != 0) s_.overflows[i] = true;
    }
    for (Eigen::Index i = 0; i < size; ++i) {
      const auto space = index(group[static_cast<std::size_t>(i)]);
      if (!breathes_[group[static_cast<std::size_t>(i)]]) continue;
      s_.rate(space, index(n_)) += std::max(Real(0), potential(i));
      s_.rate(index(n_), space) += std::max(Real(0), -potential(i));
    }
  }

 public:
  bool bursting_ = false;

 private:
  const Site& site_;
  const Moment& moment_;
  std::size_t n_;
  std::vector<bool> promoted_, breathes_;  ///< exchanges and air changes that act as openings too
  Streams s_;
  Vector surplus_;
  Real least_ = 0;
  Real largest_ = 0;  ///< stream that is prescribed or released, mol/s
};

/// The streams in terms of the site as it was written.
Streams folded(const Site& site, const Closed& closed, Streams s) {
  for (const Extra& extra : closed.extras) {
    const Real forward = s.forward[extra.airway], backward = s.backward[extra.airway];
    if (extra.shut) {
      s.forward[*extra.shut] += forward;
      s.backward[*extra.shut] += backward;
      const Airway& a = site.airways[*extra.shut];
      s.through_shut.push_back({a.first, a.second, forward, backward});
    } else {
      s.leak(static_cast<Eigen::Index>(extra.space)) += backward - forward;
      const Airway& a = closed.site.airways[extra.airway];
      s.through_shut.push_back({a.first, a.second, forward, backward});
    }
  }
  s.forward.resize(site.airways.size());
  s.backward.resize(site.airways.size());
  s.overflows.resize(site.airways.size());
  for (Eigen::Index i = 0; i < closed.leak.size(); ++i) {
    const Real in = std::max(Real(0), closed.leak(i)), out = std::max(Real(0), -closed.leak(i));
    if (closed.leak(i) != 0) s.through_shut.push_back({static_cast<int>(i), outside, out, in});
  }
  return s;
}

}  // namespace

namespace {

/// What pressures see: exchanges and air changes that carry a surplus are openings.
std::pair<Site, Moment> with_openings(const Closed& closed) {
  std::pair<Site, Moment> out{closed.site, closed.moment};
  auto& [site, moment] = out;
  for (std::size_t i = 0; i < closed.promoted.size(); ++i) {
    if (closed.promoted[i]) site.airways[i].way = Way::opening;
  }
  for (std::size_t i = 0; i < closed.breathes.size(); ++i) {
    if (!closed.breathes[i]) continue;
    Airway a;
    a.way = Way::opening;
    a.first = static_cast<int>(i);
    a.second = outside;
    site.airways.push_back(a);
    moment.airway_on.push_back(true);
    moment.flow.push_back(0);
    moment.open.push_back(1);
  }
  return out;
}

}  // namespace

Streams balance(const Site& site, const Moment& moment, const Vector& released, const Vector& density, Vector* pressure,
                const Layers* layers) {
  const Closed closed = write_down(site, moment, driven_ways(site, moment, released), released, false);
  Balancer balancer{closed};
  balancer.prescribe();
  if (follows_pressures(closed.site, closed.moment)) {
    Vector surplus = released, from_nought;
    const Matrix& rate = balancer.streams().rate;
    for (Eigen::Index i = 0; i < surplus.size(); ++i) surplus(i) += rate.col(i).sum() - rate.row(i).sum();
    const Vector weight =
        density.size() > 0 ? density : densities(site, moment, Matrix::Zero(surplus.size(), Eigen::Index{0}));
    const auto [seen, at] = with_openings(closed);
    const auto [flows, largest] =
        driven_flows(seen, at, surplus, released, weight, pressure != nullptr ? *pressure : from_nought, layers);
    for (std::size_t i = 0; i < closed.site.airways.size(); ++i) balancer.carry(i, flows[i].forward, flows[i].backward);
    balancer.take_for_nothing(1e-11L * largest);
  }
  return folded(site, closed, balancer.finish(released, released));
}

Streams burst(const Site& site, const Moment& moment, const Vector& surplus) {
  const Vector none = Vector::Zero(surplus.size());
  const Closed closed = write_down(site, moment, driven_ways(site, moment, none), surplus, true);
  Balancer balancer{closed};
  balancer.bursting_ = true;
  return folded(site, closed, balancer.finish(none, surplus));
}

namespace {

/// Junctions that anything but other such junctions streams into: the others hold nothing and pass nothing on.
std::vector<bool> fed_places(const Site& site, const Streams& s) {
  std::vector<bool> fed;
  for (const Space& space : site.spaces) fed.push_back(space.kind != Kind::junction);
  fed.push_back(true);
  for (bool again = true; again;) {
    again = false;
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      if (fed[i]) continue;
      const auto column = s.rate.col(static_cast<Eigen::Index>(i));
      bool any = s.released(static_cast<Eigen::Index>(i)) > 0;
      for (std::size_t j = 0; j < fed.size(); ++j) any = any || (fed[j] && column(static_cast<Eigen::Index>(j)) > 0);
      if (any) fed[i] = again = true;
    }
  }
  return fed;
}

}  // namespace

Linear linear_system(const Site& site, const Streams& s, const Matrix& gas, const Vector& held) {
  const Eigen::Index n = held.size(), gases = gas.cols();
  Matrix mean = Matrix::Zero(n, n), passes = Matrix::Identity(n, n), own = Matrix::Zero(n, n);
  Matrix fresh = Matrix::Zero(n, gases);
  Vector mixes(n);
  const std::vector<bool> fed = fed_places(site, s);
  for (Eigen::Index i = 0; i < n; ++i) {
    const Space& space = site.spaces[static_cast<std::size_t>(i)];
    const Real inflow = s.rate.col(i).sum(), all = inflow + s.released(i), k = Real(space.mixing);
    mixes(i) = inflow / k;
    if (inflow > 0 && fed[static_cast<std::size_t>(i)]) mean.row(i) = s.rate.col(i).head(n).transpose() / inflow;
    const bool junction = space.kind == Kind::junction;
    if (!junction) own(i, i) = all > 0 ? (inflow / k + s.released(i)) / all : Real(1);
    if (all > 0) passes.row(i) -= mean.row(i) * (junction ? inflow / all : inflow * (1 - 1 / k) / all);
    if (junction && all > 0) fresh.row(i) = gas.row(i) / all;
  }
  const Eigen::PartialPivLU<Matrix> through{passes};
  Linear out;
  out.out = through.solve(own);
  out.out_gas = through.solve(fresh);
  out.a = mean * out.out;
  out.b = mean * out.out_gas;
  for (Eigen::Index i = 0; i < n; ++i) {
    if (site.spaces[static_cast<std::size_t>(i)].kind == Kind::junction) {
      out.a.row(i).setZero();
      out.b.row(i).setZero();
      continue;
    }
    out.a.row(i) *= mixes(i) / held(i);
    out.a(i, i) -= (mixes(i) + s.released(i)) / held(i);
    out.b.row(i) = (out.b.row(i) * mixes(i) + gas.row(i)) / held(i);
  }
  return out;
}

std::vector<bool> has_way_out(const Site& site, const Streams& s) {
  const std::size_t n = site.spaces.size();
  std::vector<bool> out(n, false);
  for (bool again = true; again;) {
    again = false;
    for (std::size_t i = 0; i < n; ++i) {
      if (out[i]) continue;
      const auto row = s.rate.row(static_cast<Eigen::Index>(i));
      bool leads = row(static_cast<Eigen::Index>(n)) > 0;
      for (std::size_t j = 0; j < n; ++j) leads = leads || (out[j] && row(static_cast<Eigen::Index>(j)) > 0);
      if (leads) out[i] = again = true;
    }
  }
  return out;
}

}  // namespace second_opinion
