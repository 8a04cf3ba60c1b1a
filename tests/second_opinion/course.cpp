// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/course.hpp"

#include <algorithm>
#include <cmath>

#include "second_opinion/extrapolation.hpp"
#include "second_opinion/layered_stretch.hpp"
#include "second_opinion/linear_stretch.hpp"
#include "second_opinion/pressures.hpp"
#include "second_opinion/sources.hpp"
#include "second_opinion/varying_stretch.hpp"

namespace second_opinion {
namespace {

std::vector<Event> events_of(const Site& site, std::size_t case_index) {
  std::vector<Event> out = site.events;
  if (case_index > 0)
    out.insert(out.end(), site.cases[case_index - 1].events.begin(), site.cases[case_index - 1].events.end());
  std::stable_sort(out.begin(), out.end(), [](const Event& a, const Event& b) { return a.at.si < b.at.si; });
  return out;
}

class Runner {
 public:
  Runner(const Site& site, std::size_t case_index)
      : site_{site},
        events_{events_of(site, case_index)},
        n_{static_cast<Eigen::Index>(site.spaces.size())},
        gases_{static_cast<Eigen::Index>(site.gases.size())},
        moment_{first_moment(site)} {
    for (std::size_t r = 0; r < site.releases.size(); ++r) spans_.push_back(spans(site.releases[r], r, events_));
    run_.hottest = run_.coldest = moment_.temperature;
    for (const Event& e : events_) {
      if (e.change == Change::temperature && e.at.si <= 0) apply(e, moment_);
    }
    held_.resize(n_);
    x_ = Matrix::Zero(n_, gases_);
    for (Eigen::Index i = 0; i < n_; ++i) {
      held_(i) = holds(site, moment_, static_cast<std::size_t>(i));
      for (const Share& s : site.spaces[static_cast<std::size_t>(i)].initial) {
        x_(i, static_cast<Eigen::Index>(s.gas)) = s.fraction;
      }
    }
    layered_ = !layers_of(site).rooms.empty();
    if (layered_) x_ = first_rows(site, true);
    for (const Event& e : events_) {
      if (e.change != Change::temperature) continue;
      run_.hottest[e.target] = std::max(run_.hottest[e.target], e.value.si);
      run_.coldest[e.target] = std::min(run_.coldest[e.target], e.value.si);
    }
    run_.largest_leak = Vector::Zero(n_);
    run_.overflows.assign(site.airways.size(), false);
    run_.given.assign(site.releases.size(), 0);
    run_.spent.assign(site.releases.size(), never);
    for (const Release& r : site.releases) {
      stages_.push_back(r.source == Source::spill ? stages_of(site, r) : std::vector<Stage>{});
      stock_.push_back(stages_.back().empty() ? Real(0) : stages_.back().front().amount);
    }
  }

  Run go() {
    Moment before = moment_;
    std::size_t next = 0;
    const std::vector<Real> breakpoints = all_breakpoints();
    for (std::size_t c = 0; c + 1 < breakpoints.size() && run_.fault.empty() && run_.beyond.empty(); ++c) {
      while (next < events_.size() && Real(events_[next].at.si) <= breakpoints[c]) apply(events_[next++], moment_);
      stretch(breakpoints[c], breakpoints[c + 1]);
    }
    while (next < events_.size()) apply(events_[next++], moment_);
    if (run_.fault.empty() && run_.beyond.empty()) steady();
    for (std::size_t r = 0; r < spans_.size(); ++r) account(r);
    return std::move(run_);
  }

 private:
  std::vector<Real> all_breakpoints() const {
    std::vector<Real> out{0, Real(site_.horizon)};
    const auto add = [&](Real t) {
      if (t > 0 && t < Real(site_.horizon)) out.push_back(t);
    };
    for (const Event& e : events_) add(e.at.si);
    for (const auto& of_release : spans_) {
      const Release& release = site_.releases[static_cast<std::size_t>(&of_release - spans_.data())];
      for (const Span& s : of_release) {
        add(s.begin);
        add(s.end);
        if (!runs_a_course(release)) continue;
        for (const Real age : joints(release)) {
          const Real joint = s.begin + (age - s.age);
          if (joint > s.begin && joint < s.end) add(joint);
        }
      }
    }
    std::sort(out.begin(), out.end());
    out.erase(std::unique(out.begin(), out.end()), out.end());
    return out;
  }

  void stretch(Real begin, Real end) {
    settle_surplus();
    while (begin < end && run_.fault.empty() && run_.beyond.empty()) begin = part(begin, end);
  }

  /// Until `end`, or until a stage of a spill is over.
  Real part(Real begin, Real end) {
    Vector released = Vector::Zero(n_);
    Matrix gas = Matrix::Zero(n_, gases_);
    std::vector<Emitting> emitting;
    const bool moving = follows_pressures(site_, moment_);
    bool varying = moving;
    for (std::size_t r = 0; r < spans_.size(); ++r) {
      const Release& release = site_.releases[r];
      for (const Span& s : spans_[r]) {
        if (s.begin > begin || s.end < end || (release.source == Source::spill && stock_[r] <= 0)) continue;
        emitting.push_back({r, s.age + (begin - s.begin), stock_[r], {}});
        if (!stages_[r].empty()) emitting.back().stage = stages_[r].front();
        if (varies(release))
          varying = true;
        else
          vent_surplus(r, released, gas);
      }
    }
    if (layered_) {
      return keep_layered(std::make_unique<LayeredStretch>(site_, moment_, emitting, held_, x_, begin, end));
    }
    if (!varying) {
      const Streams streams = balance(site_, moment_, released, {});
      run_.fault = streams.fault;
      if (!run_.fault.empty()) return end;
      if (auto made = LinearStretch::make(site_, streams, gas, held_, x_, begin, end)) {
        note(streams);
        keep(std::move(made));
        return end;
      }
    }
    auto made = std::make_unique<VaryingStretch>(site_, moment_, emitting, held_, x_, begin, end);
    run_.fault = made->fault();
    if (!run_.fault.empty()) return end;
    run_.varying = true;
    note(made->first_streams());
    const Real until = made->end;
    const auto given = made->given(until);
    for (std::size_t e = 0; e < emitting.size(); ++e) {
      const std::size_t r = emitting[e].release;
      Real& stock = stock_[r];
      if (stock <= 0) continue;
      stock -= given[e];
      run_.given[r] += given[e];
      if (stock > stages_[r].front().amount * 1e-14L) continue;
      stages_[r].erase(stages_[r].begin());
      stock = stages_[r].empty() ? Real(0) : stages_[r].front().amount;
      if (stages_[r].empty()) run_.spent[r] = until;
    }
    keep(std::move(made));
    return until;
  }

  /// Until an interface reaches a breakpoint.
  Real keep_layered(std::unique_ptr<LayeredStretch> made) {
    const Real until = made->end;
    run_.fault = made->fault();
    if (!run_.fault.empty()) return until;
    if (run_.stretches.size() > 500) run_.beyond = "an interface stays at a breakpoint";
    run_.varying = true;
    note(made->first_streams());
    keep(std::move(made));
    return until;
  }

  void keep(std::unique_ptr<Stretch> made) {
    made->moment = moment_;
    x_ = made->at(made->end);
    held_ = made->held(made->end);
    auto& knots = run_.knots.emplace_back();
    for (const Real t : made->knots()) knots.push_back({t, made->at(t)});
    run_.stretches.push_back(std::move(made));
  }

  void vent_surplus(std::size_t r, Vector& released, Matrix& gas) const {
    const Release& release = site_.releases[r];
    const auto into = static_cast<Eigen::Index>(release.into);
    released(into) += release.rate;
    for (const Share& s : release.gas.shares) {
      gas(into, static_cast<Eigen::Index>(s.gas)) += Real(release.rate) * Real(s.fraction);
    }
  }

  void note(const Streams& streams) {
    if (run_.stretches.empty()) run_.first = streams;
    for (Eigen::Index i = 0; i < n_; ++i) {
      if (std::abs(streams.leak(i)) > std::abs(run_.largest_leak(i))) run_.largest_leak(i) = streams.leak(i);
    }
    for (std::size_t i = 0; i < run_.overflows.size(); ++i) {
      if (streams.overflows[i]) run_.overflows[i] = true;
    }
  }

  /// Settles the surplus or deficit of gas in the spaces after a change of temperature or the opening of a vessel.
  void settle_surplus() {
    Vector surplus(n_), fits(n_);
    bool any = false;
    for (Eigen::Index i = 0; i < n_; ++i) {
      fits(i) = holds(site_, moment_, static_cast<std::size_t>(i));
      surplus(i) = held_(i) - fits(i);
      if (std::abs(surplus(i)) <= fits(i) * 1e-14L) surplus(i) = 0;
      any = any || surplus(i) != 0;
    }
    if (!any) return;
    const Streams streams = burst(site_, moment_, surplus);
    if (!streams.fault.empty()) {
      run_.fault = streams.fault;
      return;
    }
    const Vector after = fits + streams.stored, start = held_;
    const Matrix none = Matrix::Zero(n_, gases_);
    Site drawing = site_;
    for (Eigen::Index i = 0; i < n_; ++i) {
      if (surplus(i) < 0) drawing.spaces[static_cast<std::size_t>(i)].mixing = 1;
    }
    const auto slope = [&](Real part, const Vector& y) -> Vector {
      const Matrix a = linear_system(drawing, streams, none, start + part * (after - start)).a;
      return Matrix{a * Eigen::Map<const Matrix>(y.data(), n_, gases_)}.reshaped();
    };
    if (gases_ > 0 && streams.rate.maxCoeff() > 0) {
      const Extrapolation passed{slope, 0, 1, x_.reshaped(), 1e-12L, 1e-17L};
      x_ = Eigen::Map<const Matrix>(passed.knots().back().y.data(), n_, gases_);
    }
    held_ = after;
  }

  void steady() {
    Vector released = Vector::Zero(n_);
    Matrix gas = Matrix::Zero(n_, gases_);
    std::vector<Emitting> emitting;
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      if (!moment_.release_on[r] || site_.releases[r].lasts != never || varies(site_.releases[r])) continue;
      vent_surplus(r, released, gas);
      emitting.push_back({r, 0, 0});
    }
    if (layered_) {
      run_.steady = layered_steady_state(site_, moment_, std::move(emitting), run_.fault);
      const Layers layers = layers_of(site_);
      run_.steady.never_gas = never_gas();
      for (std::size_t k = 0; k < layers.rooms.size() && run_.fault.empty(); ++k) {
        // An ambient layer that nothing enters or leaves is not compared.
        run_.steady.never_gas.push_back(run_.steady.never_gas[layers.rooms[k]] || !run_.steady.at_rest[k]);
      }
      return;
    }
    if (!follows_pressures(site_, moment_)) {
      settle(released, gas, {});
      return;
    }
    // Iterate flows and fractions until they agree, starting from a site without gas.
    Matrix x = Matrix::Zero(n_, gases_);
    for (int round = 0; round < 400 && run_.fault.empty(); ++round) {
      settle(released, gas, densities(site_, moment_, x));
      const Matrix off = run_.steady.fraction - x;
      if (off.size() == 0 || off.cwiseAbs().maxCoeff() < 1e-15L) return;
      x += off / 2;
    }
    run_.beyond = "flows and fractions at steady state do not converge";
  }

  /// The steady state for given densities.
  void settle(const Vector& released, const Matrix& gas, const Vector& density) {
    const Streams streams = balance(site_, moment_, released, density);
    run_.fault = streams.fault;
    if (!run_.fault.empty()) return;
    SteadyState& out = run_.steady;
    out.reached = has_way_out(site_, streams);
    out.never_gas = never_gas();
    const Linear linear = linear_system(site_, streams, gas, Vector::Ones(n_));
    Matrix a = -linear.a, b = linear.b;
    for (Eigen::Index i = 0; i < n_; ++i) {
      const bool junction = site_.spaces[static_cast<std::size_t>(i)].kind == Kind::junction;
      if (!junction && out.reached[static_cast<std::size_t>(i)]) continue;
      a.row(i).setZero();
      a.col(i).setZero();
      a(i, i) = 1;
      b.row(i).setZero();
    }
    out.fraction = a.fullPivLu().solve(b);
    const Matrix leaves = linear.out * out.fraction + linear.out_gas;
    for (Eigen::Index i = 0; i < n_; ++i) {
      if (site_.spaces[static_cast<std::size_t>(i)].kind == Kind::junction) out.fraction.row(i) = leaves.row(i);
    }
  }

  /// Spaces that gas never reaches through the airways that are ever on.
  std::vector<bool> never_gas() const {
    std::vector<bool> gas(site_.spaces.size(), false);
    for (std::size_t i = 0; i < gas.size(); ++i) gas[i] = !site_.spaces[i].initial.empty();
    for (const Release& r : site_.releases) gas[r.into] = gas[r.into] || !r.gas.shares.empty();
    std::vector<bool> ever;
    for (const Airway& a : site_.airways) ever.push_back(a.on);
    for (const Event& e : events_) {
      if (e.change == Change::airway_on && e.on) ever[e.target] = true;
    }
    for (bool again = true; again;) {
      again = false;
      for (const Airway& a : site_.airways) {
        if (!ever[static_cast<std::size_t>(&a - site_.airways.data())]) continue;
        if (a.first == outside || a.second == outside) continue;
        const auto first = static_cast<std::size_t>(a.first), second = static_cast<std::size_t>(a.second);
        if (gas[first] == gas[second]) continue;
        gas[first] = gas[second] = again = true;
      }
    }
    gas.flip();
    return gas;
  }

  void account(std::size_t r) {
    const Release& release = site_.releases[r];
    Real age = 0;
    for (const Span& s : spans_[r]) {
      const Real end = std::min(s.end, Real(site_.horizon));
      if (end > s.begin) age = s.age + (end - s.begin);
      if (s.end <= Real(site_.horizon) && s.age + (s.end - s.begin) >= Real(release.lasts) * (1 - 1e-15L)) {
        run_.spent[r] = s.end;
      }
    }
    if (release.source != Source::spill) run_.given[r] = given_by(release, age);
  }

  const Site& site_;
  std::vector<Event> events_;
  Eigen::Index n_, gases_;
  Moment moment_;
  std::vector<std::vector<Span>> spans_;
  Vector held_;
  Matrix x_;
  std::vector<std::vector<Stage>> stages_;  ///< those that each spill still has before it
  std::vector<Real> stock_;                 ///< mol left of the first of them
  bool layered_ = false;
  Run run_;
};

}  // namespace

std::vector<Span> spans(const Release& release, std::size_t index, const std::vector<Event>& events) {
  std::vector<Span> out;
  bool on = release.on;
  Real since = 0, age = 0;
  const auto close = [&](Real until) {
    const Real begin = std::max(since, Real(release.start.si));
    const Real end = std::min(until, begin + (Real(release.lasts) - age));
    if (!on || end <= begin) return;
    out.push_back({begin, end, age});
    age += end - begin;
  };
  for (const Event& e : events) {
    if (e.change != Change::release_on || e.target != index || e.on == on) continue;
    close(e.at.si);
    on = e.on;
    since = e.at.si;
  }
  close(never);
  return out;
}

const Stretch& Run::stretch_at(Real time) const {
  for (const auto& s : stretches) {
    if (time < s->end) return *s;
  }
  return *stretches.back();
}

Run run(const Site& site, std::size_t case_index) { return Runner{site, case_index}.go(); }

}  // namespace second_opinion
