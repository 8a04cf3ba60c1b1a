// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "airflow/solver.hpp"
#include "leanside/release.hpp"
#include "leanside/transport.hpp"
#include "transport/cells.hpp"
#include "transport/collocation.hpp"
#include "transport/layers.hpp"
#include "transport/segments.hpp"
#include "transport/stepper.hpp"
#include "transport/varying.hpp"

namespace leanside {
namespace {

using transport::Cells;
using transport::LinearSystem;
using transport::Segment;

/// The segments of a run, as far as they could be kept.
struct SegmentLog {
  std::vector<Segment> segments;
  bool complete = true;
};

const LayerObserver& no_layer_observer() {
  static const LayerObserver nobody;
  return nobody;
}

class Run {
 public:
  Run(const Site& site, CaseIndex which, std::span<const Tracer> tracers, double horizon, const PieceObserver& observe,
      SegmentLog* log = nullptr, transport::LayeredSite* layers = nullptr,
      const LayerObserver& observe_layers = no_layer_observer())
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

  std::variant<TransientResult, SolveFault> run() {
    start();
    const std::vector<double> times = cuts();
    for (std::size_t k = 0; k + 1 < times.size(); ++k) {
      if (auto fault = stretch(times[k], times[k + 1], k == 0)) return *fault;
      if (log_ && !log_->complete) break;
    }
    finish();
    return std::move(result_);
  }

  const std::vector<std::optional<std::string>>& broken() const { return broken_; }

 private:
  void start() {
    result_.balance.resize(m_);
    for (std::size_t c = 0; c < m_; ++c) {
      for (const Tracer::AtStart& at : tracers_[c].initial) {
        x_(at.space, c) += at.fraction;
      }
    }
    temperature_ = state_at(site_, which_, 0.0).temperature;
    leak_of_.assign(n_, 0.0);
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

  /// Moles in a space at ambient pressure.
  double moles_in(std::size_t i) const { return moles_held(site_.spaces[i], site_.conditions, temperature_[i]); }

  /// Every instant at which the equations change, from 0 to the horizon.
  std::vector<double> cuts() {
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

  SolveFault fault_at(double t, const std::string& message, bool bad_input) const {
    return {fmt::format("case '{}', from {} on: {}", site_.cases[which_.value].id, format_duration(t), message),
            bad_input};
  }

  std::optional<SolveFault> stretch(double from, double to, bool first) {
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
    remember(field);
    if (coupled && log_) {
      log_->complete = false;
      return std::nullopt;
    }
    if (coupled) {
      const double planned = to;
      if (auto fault = advance_coupled(state, varying, from, to)) return fault;
      if (first) result_.first_flows = std::move(field);
      return to < planned ? stretch(to, planned, false) : std::nullopt;
    } else {
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

  std::vector<double> fractions_by_column() const {
    std::vector<double> x(n_ * m_);
    for (std::size_t i = 0; i < n_; ++i) {
      for (std::size_t c = 0; c < m_; ++c) x[c * n_ + i] = x_(SpaceIndex{i}, c);
    }
    return x;
  }

  std::vector<double> moles_at(const SiteState& state) const {
    std::vector<double> moles;
    for (std::size_t i = 0; i < n_; ++i) {
      moles.push_back(moles_held(site_.spaces[i], site_.conditions, state.temperature[i]));
    }
    return moles;
  }

  std::vector<double> densities_now(const SiteState& state) const {
    const std::vector<double> x = fractions_by_column();
    // Without airways that follow pressures the columns need not be gases, and nothing asks for densities.
    return transport::flows_follow_gas(site_, state) ? transport::densities(site_, state, x, n_)
                                                     : std::vector<double>{};
  }

  /// Pa of the gas of a release in its space.
  double partial_pressure(const Release& release, double fraction, double held) const {
    const bool layer = layers_ != nullptr && layers_->is_layer(release.into.value);
    const double over_ambient = layer ? 1.0 : held / moles_in(release.into.value);
    return fraction * over_ambient * site_.conditions.pressure;
  }

  static std::size_t gas_of(const Release& release) { return release.gas.shares.front().gas.value; }

  /// The rates of varying releases as they are at `t`; those that are spent give nothing.
  void set_rates(SiteState& state, const std::vector<ReleaseIndex>& varying, double t) const {
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      if (rate_varies(site_.releases[r])) state.release_rate[r] = 0.0;
    }
    for (const ReleaseIndex r : varying) {
      const Release& release = site_.releases[r.value];
      double pressure = 0.0;
      if (follows_vapour(release)) {
        const double held = moles_in(release.into.value) * pressure_[release.into.value];
        pressure = partial_pressure(release, x_(release.into, gas_of(release)), held);
      }
      state.release_rate[r.value] = book_.rate(r, t, pressure);
    }
  }

  /// A spill as it draws on its stock: its rate is linear in the fraction of its gas until the air is saturated.
  transport::Draw draw_of(ReleaseIndex r, const transport::StagePoint& point, std::size_t rows) const {
    const Release& release = site_.releases[r.value];
    transport::Draw draw{release.into.value, gas_of(release), 0.0, 0.0, {}};
    const double fraction = point.x[draw.column * rows + draw.cell], held = point.held[draw.cell];
    const Pool& pool = std::get<SpillRelease>(release.kind).pool;
    if (partial_pressure(release, fraction, held) < pool.vapour_pressure) {
      draw.full = strength(release, 0.0, 0.0);
      draw.slope = draw.full * partial_pressure(release, 1.0, held) / pool.vapour_pressure;
    }
    for (std::size_t c = 0; c < m_; ++c) {
      for (const Tracer::FromRelease& source : tracers_[c].sources) {
        if (source.release == r && c != draw.column) draw.shares.emplace_back(c, source.share);
      }
    }
    return draw;
  }

  /// A stretch in which flows follow the gas, or releases the gas or the time: all is solved together, step by step.
  /// `to` is moved to the instant at which a spill is dry, if that comes first.
  std::optional<SolveFault> advance_coupled(const SiteState& state, const std::vector<ReleaseIndex>& varying,
                                            double from, double& to) {
    const bool follows = transport::flows_follow_gas(site_, state);
    std::vector<ReleaseIndex> spills;
    for (const ReleaseIndex r : varying) {
      if (follows_vapour(site_.releases[r.value])) spills.push_back(r);
    }
    std::vector<double> capacity;
    for (std::size_t i = 0; i < n_; ++i) {
      const bool junction = site_.spaces[i].kind == SpaceKind::junction;
      capacity.push_back(junction ? 0.0 : moles_in(i) * pressure_[i]);
    }
    for (const Space& space : site_.spaces) {
      if (space.mixing_factor > 1.0 && space.kind != SpaceKind::junction) capacity.push_back(0.0);
    }
    const std::size_t count = capacity.size();
    std::array<airflow::Memory, transport::stages + 1> memory, beside;
    const transport::MomentAt moment_at =
        [&](const transport::StagePoint& point) -> std::variant<transport::Moment, std::string> {
      SiteState now = state;
      transport::Moment moment;
      std::vector<double> exact;  // rates of the varying ones that are no spills
      for (const ReleaseIndex r : varying) {
        double& rate = now.release_rate[r.value];
        if (follows_vapour(site_.releases[r.value])) {
          const transport::Draw draw = draw_of(r, point, count);
          rate = std::max(0.0, draw.full - draw.slope * point.x[draw.column * count + draw.cell]);
          moment.draws.push_back(draw);
        } else {
          exact.push_back(book_.stage_rate(r, from + point.begin, point.step, point.stage));
          rate = std::max(0.0, exact.back());
        }
      }
      const auto density = follows ? transport::densities(site_, now, point.x, count) : std::vector<double>{};
      if (layers_ != nullptr) {
        auto moving = moving_pairs(now, point, density, count, beside[point.stage]);
        if (const auto* fault = std::get_if<std::string>(&moving)) return *fault;
        moment.moving = std::move(std::get<0>(moving));
        layers_->shape(now, point.x, count, point.held);
      }
      auto flows = airflow::balance(site_, now, density, memory[point.stage]);
      if (const auto* fault = std::get_if<FlowFault>(&flows)) return fault->message;
      FlowField& field = std::get<FlowField>(flows);
      if (layers_ != nullptr) {
        layers_->move_interfaces(field);
        for (transport::MovingPair& pair : moment.moving) {
          pair.slope = (pair.slope - field.storage[pair.grows]) / shift_of(pair, point.held);
        }
      }
      remember(field);
      moment.cells = transport::make_cells(site_, now, field);
      moment.storage = field.storage;
      moment.storage.resize(count, 0.0);
      std::size_t k = 0;
      for (const ReleaseIndex r : varying) {
        now.release_rate[r.value] = follows_vapour(site_.releases[r.value]) ? 0.0 : exact[k++];
      }
      moment.source = transport::sources(moment.cells, site_, now, tracers_);
      return moment;
    };
    std::vector<double> x(count * m_, 0.0);
    for (std::size_t c = 0; c < m_; ++c) {
      for (std::size_t i = 0; i < n_; ++i) x[c * count + i] = x_(SpaceIndex{i}, c);
    }
    std::vector<double> stock;
    for (const ReleaseIndex r : spills) stock.push_back(book_.left(r));
    transport::CoupledStretch stretch{m_,   to - from, moment_at, !follows && spills.empty() && layers_ == nullptr,
                                      1e-7, {},        {}};
    constexpr double fine = 1e-11;  // flows that turn round make kinks, whose error is more than it looks
    if (!follows && layers_ == nullptr) stretch.relative_tolerance = fine;
    if (!varying.empty()) {
      stretch.longest_step = [&](double begin) { return book_.longest_step(varying, from + begin); };
    }
    stretch.observe = [&](const transport::CollocationStep& step) {
      follow_pressures(step, from);
      if (layers_ != nullptr) judge_layers(state, step, count, memory[transport::stages - 1]);
      if (observe_ || observe_layers_) report_step(step, from, count);
    };
    transport::StepCount steps;
    const auto reached = transport::advance_coupled(stretch, x, capacity, stock, gone_, steps);
    result_.steps += steps.steps;
    result_.factorisations += steps.factorisations;
    result_.rejected += steps.rejected;
    if (const auto* fault = std::get_if<std::string>(&reached)) return fault_at(from, *fault, false);
    if (layers_ != nullptr) layers_->keep(capacity, state);
    if (std::get<double>(reached) < to - from) to = from + std::get<double>(reached);
    for (std::size_t c = 0; c < m_; ++c) {
      for (std::size_t i = 0; i < n_; ++i) x_(SpaceIndex{i}, c) = x[c * count + i];
    }
    for (std::size_t i = 0; i < n_; ++i) {
      if (layers_ != nullptr && layers_->is_layer(i)) continue;
      if (capacity[i] > 0.0 && site_.spaces[i].kind == SpaceKind::vessel) pressure_[i] = capacity[i] / moles_in(i);
    }
    for (std::size_t k = 0; k < spills.size(); ++k) {
      book_.give(spills[k], book_.left(spills[k]) - stock[k]);
      book_.left(spills[k]) = stock[k];
      if (stock[k] <= 0.0) book_.note_dry(spills[k], to);
    }
    book_.pass(varying, from, to);
    return std::nullopt;
  }

  void report_step(const transport::CollocationStep& step, double from, std::size_t count) {
    std::vector<double> coefficients(reported_ * (dense_degree + 1));
    DensePiece piece;
    piece.begin = from + step.begin;
    piece.end = from + step.end;
    piece.segment_begin = from;
    piece.coefficients = coefficients;
    const std::size_t shown = layers_ != nullptr ? n_ - layers_->rooms() : n_;
    for (std::size_t i = 0; i < shown && observe_; ++i) {
      piece.space = SpaceIndex{i};
      seen_[i] = true;
      fill_coefficients(step, layers_ != nullptr ? layers_->cell_of(piece.space) : i, count, coefficients);
      observe_(piece);
    }
    if (observe_layers_) report_layers(step, piece, count);
  }

  /// The fractions of a cell during a step.
  void fill_coefficients(const transport::CollocationStep& step, std::size_t cell, std::size_t count,
                         std::vector<double>& coefficients) const {
    const auto& weights = transport::radau().bernstein;
    for (std::size_t c = 0; c < reported_; ++c) {
      for (std::size_t j = 0; j <= dense_degree; ++j) {
        double value = 0.0;
        for (std::size_t s = 0; s <= transport::stages; ++s)
          value += weights[j][s] * step.values[s][(first_ + c) * count + cell];
        coefficients[c * (dense_degree + 1) + j] = value;
      }
      if (step.jump && site_.spaces[cell].kind == SpaceKind::junction) {
        keep_within(step, (first_ + c) * count + cell, coefficients, c);
      }
    }
  }

  void report_layers(const transport::CollocationStep& step, const DensePiece& like, std::size_t count) {
    std::vector<double> ambient(reported_ * (dense_degree + 1)), gas(ambient), height(dense_degree + 1);
    for (std::size_t k = 0; k < layers_->rooms(); ++k) {
      const std::size_t cell = layers_->gas_cell(k);
      fill_coefficients(step, layers_->ambient_cell(k), count, ambient);
      fill_coefficients(step, cell, count, gas);
      for (std::size_t j = 0; j <= dense_degree; ++j) {
        double moles = 0.0;
        for (std::size_t s = 0; s <= transport::stages; ++s)
          moles += transport::radau().bernstein[j][s] * step.held[s][cell];
        height[j] = layers_->interface_height(k, moles, temperature_[cell]);
      }
      LayerPiece piece{like, like, layers_->gas_above(k), height};
      piece.lower.space = piece.upper.space = SpaceIndex{layers_->ambient_cell(k)};
      piece.lower.coefficients = layers_->gas_above(k) ? ambient : gas;
      piece.upper.coefficients = layers_->gas_above(k) ? gas : ambient;
      observe_layers_(piece);
    }
  }

  /// By how much what a layer holds is changed to see what it then gains.
  static double shift_of(const transport::MovingPair& pair, std::span<const double> held) {
    const double both = held[pair.grows] + held[pair.shrinks];
    return (held[pair.grows] < held[pair.shrinks] ? 1e-6 : -1e-6) * both;
  }

  /// The layers at a point, each with what it would gain if it held a little more (or less).
  std::variant<std::vector<transport::MovingPair>, std::string> moving_pairs(const SiteState& state,
                                                                             const transport::StagePoint& point,
                                                                             const std::vector<double>& density,
                                                                             std::size_t count,
                                                                             airflow::Memory& memory) {
    std::vector<transport::MovingPair> pairs;
    for (std::size_t k = 0; k < layers_->rooms(); ++k) {
      transport::MovingPair pair{layers_->gas_cell(k), layers_->ambient_cell(k), 0.0};
      std::vector<double> held(point.held.begin(), point.held.end());
      const double shift = shift_of(pair, point.held);
      held[pair.grows] += shift;
      held[pair.shrinks] -= shift;
      SiteState shaped = state;
      layers_->shape(shaped, point.x, count, held);
      auto flows = airflow::balance(site_, shaped, density, memory);
      if (const auto* fault = std::get_if<FlowFault>(&flows)) return fault->message;
      layers_->move_interfaces(std::get<FlowField>(flows));
      pair.slope = std::get<FlowField>(flows).storage[pair.grows];
      pairs.push_back(pair);
    }
    return pairs;
  }

  /// At the end of a step: where the layers of a room are told apart best so far, whether something breaks them.
  void judge_layers(const SiteState& state, const transport::CollocationStep& step, std::size_t count,
                    airflow::Memory& memory) {
    if (!layers_->may_break()) return;
    const auto& x = step.values[transport::stages];
    const auto density = transport::densities(site_, state, x, count);
    std::optional<FlowField> field;
    for (std::size_t k = 0; k < layers_->rooms(); ++k) {
      const double apart = std::abs(density[layers_->gas_cell(k)] - density[layers_->ambient_cell(k)]);
      if (apart <= most_apart_[k]) continue;
      if (!field) {
        SiteState shaped = state;
        layers_->shape(shaped, x, count, step.held[transport::stages]);
        auto flows = airflow::balance(site_, shaped, density, memory);
        if (std::holds_alternative<FlowFault>(flows)) return;
        field = std::move(std::get<FlowField>(flows));
        layers_->move_interfaces(*field);
      }
      most_apart_[k] = apart;
      broken_[k] = layers_->broken(k, *field, density, state);
    }
  }

  /// A polynomial through a jump swings beyond it: its coefficients, which enclose it, are kept within its values.
  static void keep_within(const transport::CollocationStep& step, std::size_t at, std::vector<double>& coefficients,
                          std::size_t column) {
    double least = step.values[0][at], most = least;
    for (const auto& values : step.values) {
      least = std::min(least, values[at]);
      most = std::max(most, values[at]);
    }
    for (std::size_t j = 0; j <= dense_degree; ++j) {
      double& value = coefficients[column * (dense_degree + 1) + j];
      value = std::clamp(value, least, most);
    }
  }

  /// When vessels that fill during a step reach 1.1 and 2 times ambient pressure.
  void follow_pressures(const transport::CollocationStep& step, double from) {
    for (std::size_t i = 0; i < n_; ++i) {
      const double moles = moles_in(i);
      if (!(step.held[transport::stages][i] > step.held[0][i])) continue;
      if (layers_ != nullptr && layers_->is_layer(i)) continue;
      PressureTrace& trace = traces_[i];
      trace.largest_factor = std::max(trace.largest_factor, step.held[transport::stages][i] / moles);
      std::array<double, dense_degree + 1> factor{};
      for (std::size_t j = 0; j <= dense_degree; ++j) {
        for (std::size_t s = 0; s <= transport::stages; ++s)
          factor[j] += transport::radau().bernstein[j][s] * step.held[s][i] / moles;
      }
      const auto find = [&](double level, std::optional<double>& when) {
        if (when || factor[dense_degree] < level) return;
        double low = 0.0, high = 1.0;
        for (int k = 0; k < 60; ++k) {
          const double middle = 0.5 * (low + high);
          (bernstein_value(factor, middle) < level ? low : high) = middle;
        }
        when = from + step.begin + high * (step.end - step.begin);
      };
      find(1.1, trace.reaches_110_percent);
      find(2.0, trace.reaches_200_percent);
    }
  }

  void remember(const FlowField& field) {
    for (const AssumedLeak& leak : field.leaks) {
      double& largest = leak_of_[leak.space.value];
      if (std::abs(leak.rate) > std::abs(largest)) largest = leak.rate;
    }
    for (const AirwayIndex airway : field.overflowing) overflows_[airway.value] = true;
    for (const AirwayIndex airway : field.off_curve) off_curve_[airway.value] = true;
    for (const SpaceIndex space : field.adrift) adrift_[space.value] = true;
  }

  /// A vessel that held pressure and no longer does lets its surplus out at once, at the composition that it had. So
  /// does a space that is warmed; one that is cooled draws in what it then lacks.
  std::optional<SolveFault> let_out(const SiteState& state, const FlowField& field, double t) {
    std::vector<double> surplus(n_, 0.0), capacity(n_, 0.0);
    bool any = false;
    for (std::size_t i = 0; i < n_; ++i) {
      const double before = pressure_[i] * moles_in(i);
      pressure_[i] *= state.temperature[i] / temperature_[i];
      temperature_[i] = state.temperature[i];
      const double after = moles_in(i);
      capacity[i] = after;
      if (pressure_[i] == 1.0 || site_.spaces[i].kind == SpaceKind::junction) continue;
      if (field.tight[i]) {
        note_pressure(i, t);
        continue;
      }
      surplus[i] = before - after;
      // While moles grow from N0 to N1 in step with what enters, the mixture changes as with this constant capacity.
      if (surplus[i] != 0.0) capacity[i] = (after - before) / std::log(after / before);
      pressure_[i] = 1.0;
      any = true;
    }
    if (auto fault = joined_at_different_pressures(state, field, t)) return fault;
    if (!any) return std::nullopt;
    auto burst = burst_flows(site_, state, surplus);
    if (const auto* fault = std::get_if<FlowFault>(&burst)) return fault_at(t, fault->message, !fault->numerical);
    const FlowField& out = std::get<FlowField>(burst);
    Segment segment{t, t, 1.0, transport::make_cells(site_, state, out), {}, {}};
    const auto count = static_cast<std::size_t>(segment.cells.count);
    segment.growth.assign(count, 0.0);
    for (std::size_t i = 0; i < n_; ++i) segment.cells.capacity[i] = capacity[i] * pressure_[i];
    const std::vector<double> none(count * m_, 0.0);
    if (!advance_parts(segment, none, {})) {
      return fault_at(t, "the gas that bursts out of a space could not be followed", false);
    }
    if (log_) log_->segments.push_back(std::move(segment));
    return std::nullopt;
  }

  void note_pressure(std::size_t i, double t) {
    PressureTrace& trace = traces_[i];
    trace.largest_factor = std::max(trace.largest_factor, pressure_[i]);
    if (!trace.reaches_110_percent && pressure_[i] >= 1.1) trace.reaches_110_percent = t;
    if (!trace.reaches_200_percent && pressure_[i] >= 2.0) trace.reaches_200_percent = t;
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
    const double moles = moles_in(i);
    const double before = pressure_[i];
    pressure_[i] += storage * (to - from) / moles;
    PressureTrace& trace = traces_[i];
    trace.largest_factor = std::max(trace.largest_factor, pressure_[i]);
    const auto find = [&](double level, std::optional<double>& when) {
      if (!when && pressure_[i] >= level) when = from + std::max(0.0, (level - before) * moles / storage);
    };
    find(1.1, trace.reaches_110_percent);
    find(2.0, trace.reaches_200_percent);
  }

  /// Each part of the network that hangs together steps on its own; a part without gas is left alone.
  bool advance_parts(const Segment& segment, const std::vector<double>& source, const PieceObserver& observe) {
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

  /// A junction that gas went through and now does not is reported once more, as empty.
  void report_emptied(std::span<const int> members, double from, double duration, const PieceObserver& observe) {
    if (!observe) return;
    const std::vector<double> nothing(reported_ * (dense_degree + 1), 0.0);
    for (const int member : members) {
      const auto cell = static_cast<std::size_t>(member);
      if (cell >= n_ || !seen_[cell]) continue;
      observe(DensePiece{SpaceIndex{cell}, from, from + duration, 0.0, from, nothing});
    }
  }

  bool advance_part(const LinearSystem& system, const transport::PartEquations& part, std::span<const int> members,
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

  void finish() {
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
      if (leak_of_[i] != 0.0) result_.leaks.push_back({SpaceIndex{i}, leak_of_[i]});
    }
    for (std::size_t i = 0; i < overflows_.size(); ++i) {
      if (overflows_[i]) result_.overflowing.push_back(AirwayIndex{i});
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

  const Site& site_;
  CaseIndex which_;
  std::vector<Tracer> tracers_;  ///< all columns that are carried
  std::size_t first_ = 0;        ///< the first of the columns that were asked for
  std::size_t reported_;         ///< how many those are
  double horizon_;
  const PieceObserver& observe_;
  SegmentLog* log_;                 ///< where the segments are to be kept
  transport::LayeredSite* layers_;  ///< what site_ is of; null: no room is in layers
  const LayerObserver& observe_layers_;
  std::vector<double> most_apart_;  ///< kg/m3, by layered room
  std::vector<std::optional<std::string>>
      broken_;  ///< by layered room: what broke its layers when they were most apart
  std::size_t n_, m_ = 0;
  FractionField x_;
  std::vector<double> pressure_;  ///< moles over moles at ambient pressure, by space
  std::vector<double> gone_;      ///< mol that left for outside, by column
  std::vector<double> leak_of_;
  std::vector<double> temperature_;  ///< K, by space, as the events so far have it
  std::vector<bool> overflows_, off_curve_, adrift_, seen_;
  std::vector<PressureTrace> traces_;
  transport::ReleaseBook book_;
  TransientResult result_;
};

}  // namespace

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
  for (AssumedLeak& leak : result.leaks) leak.space = layers.original(leak.space);
  const auto map_all = [&](auto& list) {
    for (auto& entry : list) entry = layers.original(entry);
    std::sort(list.begin(), list.end());
    list.erase(std::unique(list.begin(), list.end()), list.end());
  };
  map_all(result.overflowing);
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
