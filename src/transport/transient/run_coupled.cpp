// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "leanside/advanced/release.hpp"
#include "transport/transient/run.hpp"

namespace leanside::transport {

double Run::partial_pressure(const Release& release, double fraction, double held) const {
  const bool layer = layers_ != nullptr && layers_->is_layer(release.into.value);
  const double over_ambient = layer ? 1.0 : held / moles_in(release.into.value);
  return fraction * over_ambient * site_.conditions.pressure;
}

void Run::set_rates(SiteState& state, const std::vector<ReleaseIndex>& varying, double t) const {
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

Draw Run::draw_of(ReleaseIndex r, const StagePoint& point, std::size_t rows) const {
  const Release& release = site_.releases[r.value];
  Draw draw{release.into.value, gas_of(release), 0.0, 0.0, {}};
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

std::vector<std::pair<int, int>> Run::directions(SiteState state, const std::vector<ReleaseIndex>& varying,
                                                 double t) const {
  for (const ReleaseIndex r : varying) state.release_rate[r.value] = std::max(0.0, book_.rate(r, t, 0.0));
  const auto flows = balance_flows(site_, state);
  std::vector<std::pair<int, int>> result;
  const auto* field = std::get_if<FlowField>(&flows);
  if (field == nullptr) return result;
  double most = 0.0;
  for (const MolarFlow& flow : field->flows) most = std::max(most, flow.rate);
  constexpr double round_off = 1e-12;
  const auto number = [](const Side& side) { return side ? static_cast<int>(side->value) : -1; };
  for (const MolarFlow& flow : field->flows) {
    if (flow.rate > round_off * most) result.emplace_back(number(flow.from), number(flow.to));
  }
  // Where a fan begins to starve, or ceases to, flows have a kink too.
  for (const StarvedFan& fan : field->starved) {
    if (fan.carried < fan.given) result.emplace_back(-2, static_cast<int>(fan.fan.value));
  }
  std::sort(result.begin(), result.end());
  return result;
}

double Run::first_turn(const SiteState& state, const std::vector<ReleaseIndex>& varying, double from, double to) const {
  constexpr double fewest_looks = 8.0, most_looks = 400.0;
  constexpr double too_short = 1e-9;  // for a stretch of its own, as a share of this one
  const double first = from + too_short * (to - from), last = to - too_short * (to - from);
  const auto at_start = directions(state, varying, first);
  for (double before = first; before < last;) {
    const double step =
        std::clamp(book_.longest_step(varying, before), (to - from) / most_looks, (to - from) / fewest_looks);
    double after = std::min(last, before + step);
    if (directions(state, varying, after) == at_start) {
      before = after;
      continue;
    }
    constexpr int halvings = 52;
    for (int k = 0; k < halvings; ++k) {
      const double middle = 0.5 * (before + after);
      (directions(state, varying, middle) == at_start ? before : after) = middle;
    }
    return after;
  }
  return to;
}

std::optional<SolveFault> Run::advance_coupled(const SiteState& state, const std::vector<ReleaseIndex>& varying,
                                               FlowField& at_start, double from, double& to) {
  const bool follows = flows_follow_gas(site_, state);
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
  std::array<airflow::Memory, stages + 1> memory, beside;
  std::array<FlowField, stages + 1> fields;  // as last computed: those on the way there are nobody's flows
  fields[stages] = std::move(at_start);
  const MomentAt moment_at = [&](const StagePoint& point) -> std::variant<Moment, std::string> {
    SiteState now = state;
    Moment moment;
    std::vector<double> exact;  // rates of the varying ones that are no spills
    for (const ReleaseIndex r : varying) {
      double& rate = now.release_rate[r.value];
      if (follows_vapour(site_.releases[r.value])) {
        const Draw draw = draw_of(r, point, count);
        rate = std::max(0.0, draw.full - draw.slope * point.x[draw.column * count + draw.cell]);
        moment.draws.push_back(draw);
      } else {
        exact.push_back(book_.stage_rate(r, from + point.begin, point.step, point.stage));
        rate = std::max(0.0, exact.back());
      }
    }
    const auto density = follows ? densities(site_, now, point.x, count) : std::vector<double>{};
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
      for (MovingPair& pair : moment.moving) {
        pair.slope = (pair.slope - field.storage[pair.grows]) / shift_of(pair, point.held);
      }
    }
    moment.cells = make_cells(site_, now, field);
    moment.storage = field.storage;
    moment.storage.resize(count, 0.0);
    std::size_t k = 0;
    for (const ReleaseIndex r : varying) {
      now.release_rate[r.value] = follows_vapour(site_.releases[r.value]) ? 0.0 : exact[k++];
    }
    moment.source = sources(moment.cells, site_, now, tracers_);
    fields[point.stage] = std::move(field);
    return moment;
  };
  std::vector<double> x(count * m_, 0.0);
  for (std::size_t c = 0; c < m_; ++c) {
    for (std::size_t i = 0; i < n_; ++i) x[c * count + i] = x_(SpaceIndex{i}, c);
  }
  std::vector<double> stock;
  for (const ReleaseIndex r : spills) stock.push_back(book_.left(r));
  const bool fixed = !follows && spills.empty() && layers_ == nullptr;
  if (fixed) to = first_turn(state, varying, from, to);
  CoupledStretch stretch{m_, to - from, moment_at, fixed, 1e-7, {}, {}};
  constexpr double fine = 1e-11;  // where a spill makes the air turn round, the kink's error is more than it looks
  if (!follows && layers_ == nullptr) stretch.relative_tolerance = fine;
  if (!varying.empty()) {
    stretch.longest_step = [&](double begin) { return book_.longest_step(varying, from + begin); };
  }
  stretch.observe = [&](const CollocationStep& step) {
    for (const FlowField& field : fields) remember(field);
    follow_pressures(step, from);
    if (layers_ != nullptr) judge_layers(state, step, count, memory[stages - 1]);
    if (observe_ || observe_layers_) report_step(step, from, count);
  };
  StepCount steps;
  const auto reached = transport::advance_coupled(stretch, x, capacity, stock, gone_, steps);
  result_.steps += steps.steps;
  result_.factorisations += steps.factorisations;
  result_.rejected += steps.rejected;
  if (const auto* fault = std::get_if<std::string>(&reached)) return fault_at(from, *fault, false);
  at_start = std::move(fields[stages]);
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

double Run::shift_of(const MovingPair& pair, std::span<const double> held) {
  const double both = held[pair.grows] + held[pair.shrinks];
  return (held[pair.grows] < held[pair.shrinks] ? 1e-6 : -1e-6) * both;
}

std::variant<std::vector<MovingPair>, std::string> Run::moving_pairs(const SiteState& state, const StagePoint& point,
                                                                     const std::vector<double>& density,
                                                                     std::size_t count, airflow::Memory& memory) {
  std::vector<MovingPair> pairs;
  for (std::size_t k = 0; k < layers_->rooms(); ++k) {
    MovingPair pair{layers_->gas_cell(k), layers_->ambient_cell(k), 0.0};
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

void Run::judge_layers(const SiteState& state, const CollocationStep& step, std::size_t count,
                       airflow::Memory& memory) {
  if (!layers_->may_break()) return;
  const auto& x = step.values[stages];
  const auto density = densities(site_, state, x, count);
  std::optional<FlowField> field;
  for (std::size_t k = 0; k < layers_->rooms(); ++k) {
    const double apart = std::abs(density[layers_->gas_cell(k)] - density[layers_->ambient_cell(k)]);
    if (apart <= most_apart_[k]) continue;
    if (!field) {
      SiteState shaped = state;
      layers_->shape(shaped, x, count, step.held[stages]);
      auto flows = airflow::balance(site_, shaped, density, memory);
      if (std::holds_alternative<FlowFault>(flows)) return;
      field = std::move(std::get<FlowField>(flows));
      layers_->move_interfaces(*field);
    }
    most_apart_[k] = apart;
    broken_[k] = layers_->broken(k, *field, density, state);
  }
}

}  // namespace leanside::transport
