// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "leanside/advanced/release.hpp"
#include "transport/transient/run.hpp"

namespace leanside::transport {

const LayerObserver& no_layer_observer() {
  static const LayerObserver nobody;
  return nobody;
}

Run::Run(const Site& site, CaseIndex which, std::span<const Tracer> tracers, double horizon,
         const PieceObserver& observe, SegmentLog* log, transport::LayeredSite* layers,
         const LayerObserver& observe_layers)
    : site_{site},
      which_{which},
      reported_{tracers.size()},
      horizon_{horizon},
      observe_{observe},
      log_{log},
      layers_{layers},
      observe_layers_{observe_layers},
      n_{site.spaces.size()},
      pressure_(n_, 1.0),
      book_(site, which, horizon) {
  // Where flows or releases follow the gas, the gas fractions are always carried, before the columns that were asked
  // for.
  if (layers_ != nullptr || std::any_of(site.airways.begin(), site.airways.end(), follows_pressure) ||
      std::any_of(site.releases.begin(), site.releases.end(), follows_vapour)) {
    tracers_ = gas_tracers(site);
    if (!std::equal(tracers.begin(), tracers.end(), tracers_.begin(), tracers_.end())) first_ = tracers_.size();
  }
  if (tracers_.empty() || first_ > 0) tracers_.insert(tracers_.end(), tracers.begin(), tracers.end());
  m_ = tracers_.size();
  x_ = FractionField(n_, m_);
  gone_.assign(m_, 0.0);
}

std::variant<TransientResult, SolveFault> Run::run() {
  start();
  const std::vector<double> times = cuts();
  for (std::size_t k = 0; k + 1 < times.size(); ++k) {
    if (auto fault = stretch(times[k], times[k + 1], k == 0)) return *fault;
    if (log_ && !log_->complete) break;
  }
  finish();
  return std::move(result_);
}

void Run::start() {
  result_.balance.resize(m_);
  for (std::size_t c = 0; c < m_; ++c) {
    for (const Tracer::AtStart& at : tracers_[c].initial) {
      x_(at.space, c) += at.fraction;
    }
  }
  temperature_ = state_at(site_, which_, 0.0).temperature;
  for (std::size_t i = 0; i < n_; ++i) leak_of_.push_back({SpaceIndex{i}});
  starved_.resize(site_.airways.size());
  leaking_.assign(site_.airways.size(), false);
  off_curve_.assign(site_.airways.size(), false);
  adrift_.assign(n_, false);
  seen_.assign(n_, false);
  overflows_.assign(site_.airways.size(), false);
  traces_.resize(n_);
  if (layers_ != nullptr) {
    most_apart_.assign(layers_->rooms(), 0.0);
    broken_.resize(layers_->rooms());
  }
  for (std::size_t c = 0; c < m_; ++c) {
    for (std::size_t i = 0; i < n_; ++i) result_.balance[c].initial += x_(SpaceIndex{i}, c) * moles_in(i);
  }
}

std::vector<double> Run::cuts() {
  std::vector<double> times{0.0, horizon_};
  const auto add = [&](double t) {
    if (t > 0.0 && t < horizon_) times.push_back(t);
  };
  for (const Event& event : site_.cases[which_.value].events) add(event.at);
  book_.cuts(add);
  std::sort(times.begin(), times.end());
  times.erase(std::unique(times.begin(), times.end()), times.end());
  return times;
}

SolveFault Run::fault_at(double t, const std::string& message, bool bad_input) const {
  return {fmt::format("case '{}', from {} on: {}", site_.cases[which_.value].id, format_duration(t), message),
          bad_input};
}

std::optional<SolveFault> Run::stretch(double from, double to, bool first) {
  SiteState state = state_at(site_, which_, from);
  const auto varying = book_.varying_at(from);
  set_rates(state, varying, from);
  const bool coupled = layers_ != nullptr || transport::flows_follow_gas(site_, state) || !varying.empty();
  const auto density = densities_now(state);
  const SiteState unshaped = layers_ != nullptr ? state : SiteState{};
  if (layers_ != nullptr) layers_->shape(state, fractions_by_column(), n_, moles_at(state));
  auto flows = balance_flows(site_, state, density);
  if (const auto* fault = std::get_if<FlowFault>(&flows)) return fault_at(from, fault->message, !fault->numerical);
  FlowField field = std::move(std::get<FlowField>(flows));
  if (layers_ != nullptr) layers_->move_interfaces(field);
  if (auto fault = let_out(state, field, from)) return fault;
  if (layers_ != nullptr) state = unshaped;
  if (coupled && log_) {
    log_->complete = false;
    return std::nullopt;
  }
  if (coupled) {
    const double planned = to;
    if (auto fault = advance_coupled(state, varying, field, from, to)) return fault;
    if (first) result_.first_flows = std::move(field);
    return to < planned ? stretch(to, planned, false) : std::nullopt;
  } else {
    remember(field);
    Segment segment{from, to, to - from, transport::make_cells(site_, state, field), {}, state.release_rate};
    segment.growth.assign(static_cast<std::size_t>(segment.cells.count), 0.0);
    for (std::size_t i = 0; i < n_; ++i) {
      double& capacity = segment.cells.capacity[i];
      capacity *= pressure_[i];
      if (capacity > 0.0) segment.growth[i] = field.storage[i] / capacity;
    }
    if (!advance_parts(segment, transport::sources(segment.cells, site_, state, tracers_), observe_)) {
      return fault_at(from, "the fractions could not be computed: the step became too small", false);
    }
    if (log_) log_->segments.push_back(std::move(segment));
  }
  for (std::size_t i = 0; i < n_; ++i) gain_pressure(i, field.storage[i], from, to);
  if (first) result_.first_flows = std::move(field);
  return std::nullopt;
}

std::vector<double> Run::fractions_by_column() const {
  std::vector<double> x(n_ * m_);
  for (std::size_t i = 0; i < n_; ++i) {
    for (std::size_t c = 0; c < m_; ++c) x[c * n_ + i] = x_(SpaceIndex{i}, c);
  }
  return x;
}

std::vector<double> Run::moles_at(const SiteState& state) const {
  std::vector<double> moles;
  for (std::size_t i = 0; i < n_; ++i) {
    moles.push_back(moles_held(site_.spaces[i], site_.conditions, state.temperature[i]));
  }
  return moles;
}

std::vector<double> Run::densities_now(const SiteState& state) const {
  const std::vector<double> x = fractions_by_column();
  // Without airways that follow pressures the columns need not be gases, and nothing asks for densities.
  return transport::flows_follow_gas(site_, state) ? transport::densities(site_, state, x, n_) : std::vector<double>{};
}

bool Run::advance_parts(const Segment& segment, const std::vector<double>& source, const PieceObserver& observe) {
  const Cells& cells = segment.cells;
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
    if (!gas) {
      report_emptied(members, segment.from, segment.duration, observe);
      continue;
    }
    auto equations = transport::equations_of(segment, members, row_of);
    for (const int cell : members) system.outflow.push_back(cells.outflow[static_cast<std::size_t>(cell)]);
    system.capacity = equations.capacity;
    system.a = std::move(equations.a);
    if (!advance_part(system, equations, members, x, segment.from, segment.duration, observe)) return false;
    for (std::size_t k = 0; k < rows; ++k) {
      const auto cell = static_cast<std::size_t>(members[k]);
      if (cell >= n_) continue;
      for (std::size_t c = 0; c < m_; ++c) x_(SpaceIndex{cell}, c) = x[c * rows + k];
    }
  }
  return true;
}

void Run::report_emptied(std::span<const int> members, double from, double duration, const PieceObserver& observe) {
  if (!observe) return;
  const std::vector<double> nothing(reported_ * (dense_degree + 1), 0.0);
  for (const int member : members) {
    const auto cell = static_cast<std::size_t>(member);
    if (cell >= n_ || !seen_[cell]) continue;
    observe(DensePiece{SpaceIndex{cell}, from, from + duration, 0.0, from, nothing});
  }
}

bool Run::advance_part(const LinearSystem& system, const transport::PartEquations& part, std::span<const int> members,
                       std::vector<double>& x, double from, double duration, const PieceObserver& observe) {
  const double growth = part.growth;
  const double clock_end = part.clock(duration);
  const auto time_of = [&](double tau) { return from + (tau >= clock_end ? duration : part.seconds(tau)); };
  const transport::Tolerance tolerance{growth > 0.0 ? 1e-12 : 1e-9, 1e-16};
  transport::StepCount count;
  std::vector<double> coefficients(reported_ * (dense_degree + 1));
  std::array<std::array<double, dense_degree + 1>, dense_degree + 1> by_difference{};
  for (std::size_t d = 0; d <= dense_degree; ++d) {
    for (std::size_t j = 0; j <= dense_degree; ++j) by_difference[d][j] = transport::bernstein_weights()[j][d];
  }
  const auto on_step = [&](const transport::Step& step) {
    DensePiece piece;
    piece.begin = time_of(step.begin);
    piece.end = time_of(step.end);
    piece.growth = growth;
    piece.segment_begin = from;
    piece.coefficients = coefficients;
    const std::size_t rows = members.size();
    for (std::size_t k = 0; k < rows; ++k) {
      if (static_cast<std::size_t>(members[k]) >= n_) continue;
      piece.space = SpaceIndex{static_cast<std::size_t>(members[k])};
      seen_[piece.space.value] = true;
      for (std::size_t c = 0; c < reported_; ++c) {
        std::array<double, dense_degree + 1> difference{}, coefficient{};
        for (std::size_t d = 0; d <= dense_degree; ++d) {
          difference[d] = step.differences[d][(first_ + c) * rows + k];
        }
        for (std::size_t d = 0; d <= dense_degree; ++d) {
          for (std::size_t j = 0; j <= dense_degree; ++j) coefficient[j] += by_difference[d][j] * difference[d];
        }
        std::copy(coefficient.begin(), coefficient.end(),
                  coefficients.begin() + static_cast<std::ptrdiff_t>(c * (dense_degree + 1)));
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

void Run::finish() {
  result_.releases = book_.traces();
  for (std::size_t c = 0; c < m_; ++c) {
    for (const Tracer::FromRelease& source : tracers_[c].sources) {
      result_.balance[c].released += source.share * result_.releases[source.release.value].amount;
    }
    for (std::size_t i = 0; i < n_; ++i) {
      result_.balance[c].held += x_(SpaceIndex{i}, c) * pressure_[i] * moles_in(i);
    }
    result_.balance[c].gone = gone_[c];
  }
  for (std::size_t i = 0; i < n_; ++i) {
    if (traces_[i].largest_factor > 1.0) {
      traces_[i].space = SpaceIndex{i};
      traces_[i].final_factor = pressure_[i];
      result_.pressures.push_back(traces_[i]);
    }
    if (leak_of_[i].rate != 0.0) result_.leaks.push_back(leak_of_[i]);
  }
  for (std::size_t i = 0; i < overflows_.size(); ++i) {
    if (overflows_[i]) result_.overflowing.push_back(AirwayIndex{i});
  }
  for (std::size_t i = 0; i < leaking_.size(); ++i) {
    if (leaking_[i]) result_.leaking.push_back(AirwayIndex{i});
    if (starved_[i]) result_.starved.push_back(*starved_[i]);
  }
  for (std::size_t i = 0; i < off_curve_.size(); ++i) {
    if (off_curve_[i]) result_.off_curve.push_back(AirwayIndex{i});
  }
  for (std::size_t i = 0; i < n_; ++i) {
    if (adrift_[i]) result_.adrift.push_back(SpaceIndex{i});
  }
  result_.balance.erase(result_.balance.begin(), result_.balance.begin() + static_cast<std::ptrdiff_t>(first_));
  result_.end = FractionField(n_, reported_);
  for (std::size_t i = 0; i < n_; ++i) {
    for (std::size_t c = 0; c < reported_; ++c) result_.end(SpaceIndex{i}, c) = x_(SpaceIndex{i}, first_ + c);
  }
}

}  // namespace leanside::transport

namespace leanside {

using transport::Run;
using transport::Segment;

namespace {

/// What is told of a layered site in terms of the site as it was written.
void collapse(const transport::LayeredSite& layers, TransientResult& result) {
  const std::size_t n = result.end.spaces() - layers.rooms(), columns = result.end.columns();
  for (std::size_t k = 0; k < layers.rooms(); ++k) {
    const auto of = [&](std::size_t cell) {
      const auto x = result.end.of(SpaceIndex{cell});
      return std::vector<double>(x.begin(), x.end());
    };
    const std::size_t gas = layers.gas_cell(k), ambient = layers.ambient_cell(k);
    LayerState state{SpaceIndex{ambient}, layers.gas_above(k), 0.0, of(ambient), of(gas)};
    if (!state.gas_above) std::swap(state.lower, state.upper);
    const Space& upper = layers.site().spaces[state.gas_above ? gas : ambient];
    state.interface_height = upper.elevation - layers.site().spaces[state.gas_above ? ambient : gas].elevation;
    result.layers.push_back(std::move(state));
  }
  FractionField end(n, columns);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t c = 0; c < columns; ++c)
      end(SpaceIndex{i}, c) = result.end(SpaceIndex{layers.cell_of(SpaceIndex{i})}, c);
  }
  result.end = std::move(end);
  result.first_flows = layers.collapsed(result.first_flows);
  for (AssumedLeak& leak : result.leaks) {
    leak.space = layers.original(leak.space);
    if (leak.other) leak.other = layers.original(*leak.other);
  }
  const auto map_all = [&](auto& list) {
    for (auto& entry : list) entry = layers.original(entry);
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
  };
  map_all(result.overflowing);
  map_all(result.leaking);
  map_all(result.off_curve);
  map_all(result.adrift);
}

std::variant<TransientResult, SolveFault> run_layered(const Site& site, CaseIndex which,
                                                      std::span<const Tracer> tracers, double horizon,
                                                      const PieceObserver& observe,
                                                      const LayerObserver& observe_layers) {
  auto plan = transport::plan_layers(site, which);
  // Where something may break the layers, a run that nobody looks at tells.
  for (bool again = true; again && !plan.rooms.empty();) {
    again = false;
    transport::LayeredSite layers(site, plan);
    if (!layers.may_break()) break;
    const PieceObserver nobody;
    const auto gases = gas_tracers(layers.site());
    Run trial(layers.site(), which, gases, horizon, nobody, nullptr, &layers);
    auto result = trial.run();
    if (const auto* fault = std::get_if<SolveFault>(&result)) return *fault;
    for (std::size_t k = 0; k < layers.rooms(); ++k) {
      if (!trial.broken()[k]) continue;
      plan.mix(SpaceIndex{layers.ambient_cell(k)}, *trial.broken()[k]);
      again = true;
    }
  }
  if (plan.rooms.empty()) {
    auto result = Run(site, which, tracers, horizon, observe).run();
    if (auto* transient = std::get_if<TransientResult>(&result)) transient->mixed = std::move(plan.mixed);
    return result;
  }
  transport::LayeredSite layers(site, plan);
  const auto columns = layers.tracers(tracers);
  auto result = Run(layers.site(), which, columns, horizon, observe, nullptr, &layers, observe_layers).run();
  if (auto* transient = std::get_if<TransientResult>(&result)) {
    collapse(layers, *transient);
    transient->mixed = std::move(plan.mixed);
  }
  return result;
}

}  // namespace

std::variant<TransientResult, SolveFault> solve_transient(const Site& site, CaseIndex which,
                                                          std::span<const Tracer> tracers, double horizon,
                                                          const PieceObserver& observe,
                                                          const LayerObserver& observe_layers) {
  if (has_layers(site)) return run_layered(site, which, tracers, horizon, observe, observe_layers);
  return Run(site, which, tracers, horizon, observe).run();
}

std::variant<std::optional<std::vector<Segment>>, SolveFault> transport::segments_of(const Site& site, CaseIndex which,
                                                                                     double horizon) {
  if (has_layers(site)) return std::nullopt;  // the coefficients of layers change all the time
  SegmentLog log;
  const PieceObserver nobody;
  auto solved = Run(site, which, {}, horizon, nobody, &log).run();
  if (const auto* fault = std::get_if<SolveFault>(&solved)) return *fault;
  if (!log.complete) return std::nullopt;
  return std::move(log.segments);
}

}  // namespace leanside
