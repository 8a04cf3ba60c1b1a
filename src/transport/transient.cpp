// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "leanside/release.hpp"
#include "leanside/transport.hpp"
#include "transport/cells.hpp"
#include "transport/stepper.hpp"

namespace leanside {
namespace {

using transport::Cells;
using transport::LinearSystem;

class Run {
 public:
  Run(const Site& site, CaseIndex which, std::span<const Tracer> tracers, double horizon, const PieceObserver& observe)
      : site_{site},
        which_{which},
        tracers_{tracers},
        horizon_{horizon},
        observe_{observe},
        n_{site.spaces.size()},
        m_{tracers.size()},
        x_(n_, m_),
        pressure_(n_, 1.0),
        gone_(m_, 0.0) {}

  std::variant<TransientResult, SolveFault> run() {
    start();
    const std::vector<double> times = cuts();
    for (std::size_t k = 0; k + 1 < times.size(); ++k) {
      if (auto fault = stretch(times[k], times[k + 1], k == 0)) return *fault;
    }
    finish();
    return std::move(result_);
  }

 private:
  void start() {
    result_.balance.resize(m_);
    for (std::size_t c = 0; c < m_; ++c) {
      for (const Tracer::AtStart& at : tracers_[c].initial) {
        x_(at.space, c) += at.fraction;
        result_.balance[c].initial += at.fraction * moles_held(site_.spaces[at.space.value], site_.conditions);
      }
    }
    leak_of_.assign(n_, 0.0);
    overflows_.assign(site_.airways.size(), false);
    traces_.resize(n_);
  }

  /// Every instant at which the equations change, from 0 to the horizon.
  std::vector<double> cuts() {
    std::vector<double> times{0.0, horizon_};
    const auto add = [&](double t) {
      if (t > 0.0 && t < horizon_) times.push_back(t);
    };
    const auto& events = site_.cases[which_.value].events;
    for (const Event& event : events) add(event.at);
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      for (const EmissionSpan& span : emission(site_.releases[r], ReleaseIndex{r}, events)) {
        add(span.begin);
        add(span.end);
        const double seconds = std::min(span.end, horizon_) - std::min(span.begin, horizon_);
        for (std::size_t c = 0; c < m_; ++c) {
          for (const Tracer::FromRelease& source : tracers_[c].sources) {
            if (source.release == ReleaseIndex{r}) result_.balance[c].released += source.share * span.rate * seconds;
          }
        }
      }
    }
    std::sort(times.begin(), times.end());
    times.erase(std::unique(times.begin(), times.end()), times.end());
    return times;
  }

  SolveFault fault_at(double t, const std::string& message, bool bad_input) const {
    return {fmt::format("case '{}', from {} on: {}", site_.cases[which_.value].id, format_duration(t), message),
            bad_input};
  }

  std::optional<SolveFault> stretch(double from, double to, bool first) {
    const SiteState state = state_at(site_, which_, from);
    auto flows = balance_flows(site_, state);
    if (const auto* fault = std::get_if<FlowFault>(&flows)) return fault_at(from, fault->message, true);
    FlowField field = std::move(std::get<FlowField>(flows));
    if (auto fault = let_out(state, field, from)) return fault;
    remember(field);
    const Cells cells = transport::make_cells(site_, field);
    if (!advance_parts(cells, field, transport::sources(cells, site_, state, tracers_), from, to - from, observe_)) {
      return fault_at(from, "the fractions could not be computed: the step became too small", false);
    }
    for (std::size_t i = 0; i < n_; ++i) gain_pressure(i, field.storage[i], from, to);
    if (first) result_.first_flows = std::move(field);
    return std::nullopt;
  }

  void remember(const FlowField& field) {
    for (const AssumedLeak& leak : field.leaks) {
      double& largest = leak_of_[leak.space.value];
      if (std::abs(leak.rate) > std::abs(largest)) largest = leak.rate;
    }
    for (const AirwayIndex airway : field.overflowing) overflows_[airway.value] = true;
  }

  /// A vessel that held pressure and no longer does lets its surplus out at once, at the composition that it had.
  std::optional<SolveFault> let_out(const SiteState& state, const FlowField& field, double t) {
    std::vector<double> surplus(n_, 0.0);
    bool any = false;
    for (std::size_t i = 0; i < n_; ++i) {
      if (pressure_[i] == 1.0) continue;
      if (field.tight[i]) continue;
      surplus[i] = (pressure_[i] - 1.0) * moles_held(site_.spaces[i], site_.conditions);
      pressure_[i] = 1.0;
      any = true;
    }
    if (auto fault = joined_at_different_pressures(state, field, t)) return fault;
    if (!any) return std::nullopt;
    auto burst = burst_flows(site_, state, surplus);
    if (const auto* fault = std::get_if<FlowFault>(&burst)) return fault_at(t, fault->message, true);
    const FlowField& out = std::get<FlowField>(burst);
    const Cells cells = transport::make_cells(site_, out);
    const std::vector<double> none(static_cast<std::size_t>(cells.count) * m_, 0.0);
    if (!advance_parts(cells, out, none, t, 1.0, {})) {
      return fault_at(t, "the gas that bursts out of a vessel could not be followed", false);
    }
    return std::nullopt;
  }

  std::optional<SolveFault> joined_at_different_pressures(const SiteState& state, const FlowField& field,
                                                          double t) const {
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const Airway& airway = site_.airways[i];
      const Side a = first_side(airway), b = second_side(airway);
      if (!state.airway_on[i] || !a || !b || std::holds_alternative<Fan>(airway.kind)) continue;
      if (!field.tight[a->value] || !field.tight[b->value]) continue;
      if (std::abs(pressure_[a->value] - pressure_[b->value]) > 1e-9) {
        return fault_at(
            t,
            fmt::format(
                "airway '{}' joins '{}' and '{}', closed vessels at different pressures, and the rush of gas "
                "between them cannot be followed: join them before gas is released, or open one to a room first",
                airway.id, site_.spaces[a->value].id, site_.spaces[b->value].id),
            true);
      }
    }
    return std::nullopt;
  }

  void gain_pressure(std::size_t i, double storage, double from, double to) {
    if (storage <= 0.0) return;
    const double moles = moles_held(site_.spaces[i], site_.conditions);
    const double before = pressure_[i];
    pressure_[i] += storage * (to - from) / moles;
    PressureTrace& trace = traces_[i];
    trace.largest_factor = std::max(trace.largest_factor, pressure_[i]);
    if (!trace.reaches_110_percent && pressure_[i] >= 1.1) {
      trace.reaches_110_percent = from + std::max(0.0, (1.1 - before) * moles / storage);
    }
  }

  /// Each part of the network that hangs together steps on its own; a part without gas is left alone.
  bool advance_parts(const Cells& cells, const FlowField& field, const std::vector<double>& source, double from,
                     double duration, const PieceObserver& observe) {
    const auto parts = network::connected_parts(cells.count, cells.edges());
    const auto count = static_cast<std::size_t>(cells.count);
    std::vector<int> row_of(count, -1);
    for (int part = 0; part < parts.count; ++part) {
      const auto members = parts.of(part);
      LinearSystem system;
      system.columns = m_;
      const std::size_t rows = members.size();
      std::vector<double> x(rows * m_, 0.0);
      system.source.assign(rows * m_, 0.0);
      bool gas = false;
      for (std::size_t k = 0; k < rows; ++k) {
        const auto cell = static_cast<std::size_t>(members[k]);
        for (std::size_t c = 0; c < m_; ++c) {
          if (cell < n_) x[c * rows + k] = x_(SpaceIndex{cell}, c);
          system.source[c * rows + k] = source[c * count + cell];
          gas = gas || x[c * rows + k] != 0.0 || system.source[c * rows + k] != 0.0;
        }
      }
      if (!gas) continue;
      double growth = 0.0;
      for (std::size_t k = 0; k < rows; ++k) {
        const auto cell = static_cast<std::size_t>(members[k]);
        row_of[cell] = static_cast<int>(k);
        double capacity = cells.capacity[cell];
        if (cell < n_ && capacity > 0.0) {
          capacity *= pressure_[cell];
          growth = std::max(growth, field.storage[cell] / capacity);
        }
        system.capacity.push_back(capacity);
        system.outflow.push_back(cells.outflow[cell]);
      }
      system.a = transport::operator_of(cells, members, row_of);
      if (!advance_part(system, members, x, growth, from, duration, observe)) return false;
      for (std::size_t k = 0; k < rows; ++k) {
        const auto cell = static_cast<std::size_t>(members[k]);
        row_of[cell] = -1;
        if (cell >= n_) continue;
        for (std::size_t c = 0; c < m_; ++c) x_(SpaceIndex{cell}, c) = x[c * rows + k];
      }
    }
    return true;
  }

  bool advance_part(const LinearSystem& system, std::span<const int> members, std::vector<double>& x, double growth,
                    double from, double duration, const PieceObserver& observe) {
    // A filling tight group runs on the clock tau = ln(1 + g t)/g, on which its equations have constant coefficients.
    const double clock_end = growth > 0.0 ? std::log1p(growth * duration) / growth : duration;
    const auto time_of = [&](double tau) {
      if (tau >= clock_end) return from + duration;
      return from + (growth > 0.0 ? std::expm1(growth * tau) / growth : tau);
    };
    const transport::Tolerance tolerance{growth > 0.0 ? 1e-12 : 1e-9, 1e-16};
    transport::StepCount count;
    std::vector<double> coefficients(m_ * (dense_degree + 1));
    const auto on_step = [&](const transport::Step& step) {
      DensePiece piece;
      piece.begin = time_of(step.begin);
      piece.end = time_of(step.end);
      piece.growth = growth;
      piece.segment_begin = from;
      piece.coefficients = coefficients;
      const std::size_t rows = members.size();
      const auto& weights = transport::bernstein_weights();
      for (std::size_t k = 0; k < rows; ++k) {
        if (static_cast<std::size_t>(members[k]) >= n_) continue;
        piece.space = SpaceIndex{static_cast<std::size_t>(members[k])};
        for (std::size_t c = 0; c < m_; ++c) {
          for (std::size_t j = 0; j <= dense_degree; ++j) {
            double value = 0.0;
            for (std::size_t d = 0; d <= dense_degree; ++d) value += weights[j][d] * step.differences[d][c * rows + k];
            coefficients[c * (dense_degree + 1) + j] = value;
          }
        }
        observe(piece);
      }
    };
    const bool done = transport::advance(system, clock_end, tolerance, x, gone_,
                                         observe ? on_step : std::function<void(const transport::Step&)>{}, count);
    result_.steps += count.steps;
    result_.factorisations += count.factorisations;
    result_.rejected += count.rejected;
    return done;
  }

  void finish() {
    for (std::size_t c = 0; c < m_; ++c) {
      for (std::size_t i = 0; i < n_; ++i) {
        result_.balance[c].held += x_(SpaceIndex{i}, c) * pressure_[i] * moles_held(site_.spaces[i], site_.conditions);
      }
      result_.balance[c].gone = gone_[c];
    }
    for (std::size_t i = 0; i < n_; ++i) {
      if (traces_[i].largest_factor > 1.0) {
        traces_[i].space = SpaceIndex{i};
        traces_[i].final_factor = pressure_[i];
        result_.pressures.push_back(traces_[i]);
      }
      if (leak_of_[i] != 0.0) result_.leaks.push_back({SpaceIndex{i}, leak_of_[i]});
    }
    for (std::size_t i = 0; i < overflows_.size(); ++i) {
      if (overflows_[i]) result_.overflowing.push_back(AirwayIndex{i});
    }
    result_.end = std::move(x_);
  }

  const Site& site_;
  CaseIndex which_;
  std::span<const Tracer> tracers_;
  double horizon_;
  const PieceObserver& observe_;
  std::size_t n_, m_;
  FractionField x_;
  std::vector<double> pressure_;  ///< moles over moles at ambient pressure, by space
  std::vector<double> gone_;      ///< mol that left for outside, by column
  std::vector<double> leak_of_;
  std::vector<bool> overflows_;
  std::vector<PressureTrace> traces_;
  TransientResult result_;
};

}  // namespace

std::variant<TransientResult, SolveFault> solve_transient(const Site& site, CaseIndex which,
                                                          std::span<const Tracer> tracers, double horizon,
                                                          const PieceObserver& observe) {
  return Run(site, which, tracers, horizon, observe).run();
}

}  // namespace leanside
