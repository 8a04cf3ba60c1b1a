// SPDX-License-Identifier: Apache-2.0
#include "transport/layered/layered_stepper.hpp"

#include <array>
#include <cmath>
#include <utility>

#include "airflow/solver.hpp"
#include "transport/coupled/coupled_stepper.hpp"
#include "transport/coupled/step_pieces.hpp"

namespace leanside::transport {
namespace {

/// By how much what a layer holds is changed to see what it then gains, mol: towards the thicker one of the two.
double shift_of(const MovingPair& pair, std::span<const double> held) {
  const double both = held[pair.grows] + held[pair.shrinks];
  return (held[pair.grows] < held[pair.shrinks] ? 1e-6 : -1e-6) * both;
}

}  // namespace

/// Pressures found at a stage are the first guess for that stage of the next step, in the next stretch too.
struct LayeredStepper::Memory {
  std::array<airflow::Memory, stages + 1> flows;
  airflow::Memory shifted;  ///< of the flows with one interface moved a little
};

LayeredStepper::LayeredStepper(const RunSetup& setup, LayeredSite& layers, double tolerance)
    : setup_{setup},
      layers_{layers},
      tolerance_{tolerance},
      most_apart_(layers.rooms(), 0.0),
      broken_(layers.rooms()),
      far_end_(layers.rooms()),
      memory_(std::make_shared<Memory>()) {
  for (airflow::Memory& stage : memory_->flows) stage.parts = &layers_.parts();
  memory_->shifted.parts = &layers_.parts();
}

std::variant<Balanced, FlowFault> LayeredStepper::balance(const Stretch& stretch, const RunState& state) {
  const std::size_t n = setup_.site.spaces.size();
  const auto density = densities_now(setup_, stretch.state, state);
  std::vector<double> held;
  for (std::size_t i = 0; i < n; ++i) {
    held.push_back(setup_.site.conditions.pressure * state.volume[i] / (gas_constant * stretch.state.temperature[i]));
  }
  SiteState shaped = stretch.state;
  layers_.shape(shaped, column_major(state.x, n), n, held);
  airflow::Memory memory;
  memory.parts = &layers_.parts();
  auto flows = airflow::balance(setup_.site, shaped, density, memory);
  if (auto* fault = std::get_if<FlowFault>(&flows)) return std::move(*fault);
  layers_.move_interfaces(std::get<FlowField>(flows));
  return Balanced{std::move(shaped), std::move(std::get<FlowField>(flows))};
}

Result<double> LayeredStepper::advance(const Stretch& stretch, FlowField& flows, RunState& state, RunSignals& signals) {
  auto end = advance_coupled_stretch(setup_, stretch, model(stretch, signals), flows, state, signals);
  if (auto* fault = std::get_if<Fault>(&end)) return std::move(*fault);
  layers_.keep(std::get<CoupledEnd>(end).held, stretch.state);
  for (std::size_t i = 0; i < state.volume.size(); ++i) state.volume[i] = setup_.site.spaces[i].volume;
  return std::get<CoupledEnd>(end).reached;
}

RoomModel LayeredStepper::model(const Stretch& stretch, const RunSignals& signals) {
  const auto memory = memory_;
  RoomModel model;
  model.follows_composition = true;
  model.tolerance = tolerance_;
  model.flows_at = [this, memory](const SiteState& state, const StagePoint& point, std::span<const double> density) {
    return flows_at(state, point, density, *memory);
  };
  const std::size_t spaces = setup_.site.spaces.size();
  for (std::size_t i = 0; i < spaces; ++i) model.expands.push_back(layers_.is_layer(i));
  for (std::size_t i = 0; i < spaces - layers_.rooms(); ++i) model.cell_of.push_back(layers_.cell_of(SpaceIndex{i}));
  model.reported = [this, &stretch](const CollocationStep& step, std::size_t space) {
    for (std::size_t k = 0; k < layers_.rooms(); ++k) {
      if (layers_.ambient_cell(k) == space) return far_coefficients(k, step, stretch);
    }
    return std::vector<double>{};
  };
  model.on_step = [this, memory, &stretch, &signals](const CollocationStep& step) {
    judge(stretch.state, step, *memory);
    for (std::size_t k = 0; k < layers_.rooms(); ++k) {
      const auto values = far_values(k, step, stretch);
      far_end_[k].assign(values.end() - static_cast<std::ptrdiff_t>(setup_.columns.asked), values.end());
    }
    report_layers(step, stretch, signals);
  };
  return model;
}

std::variant<PointFlows, std::string> LayeredStepper::flows_at(const SiteState& state, const StagePoint& point,
                                                               std::span<const double> density, Memory& memory) {
  PointFlows result;
  for (std::size_t k = 0; k < layers_.rooms(); ++k) {
    result.moving.push_back({layers_.gas_cell(k), layers_.ambient_cell(k), 0.0});
  }
  if (point.slopes) {
    if (auto fault = find_slopes(state, point, density, memory, result.moving)) return std::move(*fault);
  }
  SiteState shaped = state;
  layers_.shape(shaped, point.x, point.held.size(), point.held);
  auto flows = airflow::balance(setup_.site, shaped, density, memory.flows[point.stage]);
  if (auto* fault = std::get_if<FlowFault>(&flows)) return std::move(fault->message);
  result.field = std::move(std::get<FlowField>(flows));
  layers_.move_interfaces(result.field);
  if (!point.slopes) return result;
  for (MovingPair& pair : result.moving) {
    pair.slope = (pair.slope - result.field.storage[pair.grows]) / shift_of(pair, point.held);
  }
  return result;
}

std::optional<std::string> LayeredStepper::find_slopes(const SiteState& state, const StagePoint& point,
                                                       std::span<const double> density, Memory& memory,
                                                       std::vector<MovingPair>& pairs) {
  for (MovingPair& pair : pairs) {
    std::vector<double> held(point.held.begin(), point.held.end());
    const double shift = shift_of(pair, point.held);
    held[pair.grows] += shift;
    held[pair.shrinks] -= shift;
    SiteState shaped = state;
    layers_.shape(shaped, point.x, held.size(), held);
    auto flows = airflow::balance(setup_.site, shaped, density, memory.shifted);
    if (auto* fault = std::get_if<FlowFault>(&flows)) return std::move(fault->message);
    layers_.move_interfaces(std::get<FlowField>(flows));
    pair.slope = std::get<FlowField>(flows).storage[pair.grows];
  }
  return std::nullopt;
}

void LayeredStepper::judge(const SiteState& state, const CollocationStep& step, Memory& memory) {
  if (!layers_.may_break()) return;
  const auto& x = step.values[stages];
  const std::size_t rows = step.held[stages].size();
  const auto density = densities(setup_.site, state, x, rows);
  std::optional<FlowField> field;
  for (std::size_t k = 0; k < layers_.rooms(); ++k) {
    const double apart = std::abs(density[layers_.gas_cell(k)] - density[layers_.ambient_cell(k)]);
    if (apart <= most_apart_[k]) continue;
    if (!field) {
      SiteState shaped = state;
      layers_.shape(shaped, x, rows, step.held[stages]);
      auto flows = airflow::balance(setup_.site, shaped, density, memory.flows[stages - 1]);
      if (std::holds_alternative<FlowFault>(flows)) return;
      field = std::move(std::get<FlowField>(flows));
      layers_.move_interfaces(*field);
    }
    most_apart_[k] = apart;
    broken_[k] = layers_.broken(k, *field, density, state);
  }
}

std::vector<double> LayeredStepper::far_values(std::size_t room, const CollocationStep& step,
                                               const Stretch& stretch) const {
  const std::size_t rows = step.held[stages].size(), gas = layers_.gas_cell(room);
  const double whole = layers_.whole(room, stretch.state.temperature[gas]);
  std::vector<double> values;
  for (std::size_t s = 0; s <= stages; ++s) {
    SiteState now = stretch.state;
    const double at = step.begin + (s == 0 ? 0.0 : radau().c[s - 1]) * (step.end - step.begin);
    for (const ReleaseIndex r : stretch.varying) {
      now.release_rate[r.value] = setup_.schedule.rate(r, stretch.from + at);
    }
    const auto far = layers_.far_end(room, now, step.values[s], rows, step.held[s][gas] / whole);
    for (std::size_t c = setup_.columns.first; c < setup_.columns.first + setup_.columns.asked; ++c) {
      values.push_back(far.of(setup_.columns.tracers[c], step.values[s][c * rows + gas]));
    }
  }
  return values;
}

std::vector<double> LayeredStepper::far_coefficients(std::size_t room, const CollocationStep& step,
                                                     const Stretch& stretch) const {
  constexpr std::size_t length = dense_degree + 1;
  const std::size_t asked = setup_.columns.asked;
  const auto values = far_values(room, step, stretch);
  std::vector<double> coefficients(asked * length, 0.0);
  for (std::size_t c = 0; c < asked; ++c) {
    for (std::size_t j = 0; j < length; ++j) {
      for (std::size_t s = 0; s <= stages; ++s) {
        coefficients[c * length + j] += radau().bernstein[j][s] * values[s * asked + c];
      }
    }
  }
  return coefficients;
}

void LayeredStepper::report_layers(const CollocationStep& step, const Stretch& stretch,
                                   const RunSignals& signals) const {
  if (!signals.layers.has_observers()) return;
  const std::size_t rows = step.held[stages].size();
  for (std::size_t k = 0; k < layers_.rooms(); ++k) {
    const std::size_t gas_cell = layers_.gas_cell(k);
    const auto ambient = step_coefficients(setup_, step, layers_.ambient_cell(k), rows);
    const auto gas = step_coefficients(setup_, step, gas_cell, rows);
    std::vector<double> height = held_coefficients(step, gas_cell, 1.0);
    for (double& moles : height) {
      moles = layers_.interface_height(k, moles, stretch.state.temperature[gas_cell]);
    }
    DensePiece piece = piece_of(step, stretch.from);
    piece.space = SpaceIndex{layers_.ambient_cell(k)};
    LayerPiece both{piece, piece, layers_.gas_above(k), height, piece};
    const auto far = far_coefficients(k, step, stretch);
    both.far_end.coefficients = far;
    both.lower.coefficients = both.gas_above ? ambient : gas;
    both.upper.coefficients = both.gas_above ? gas : ambient;
    signals.layers.notify(both);
  }
}

}  // namespace leanside::transport
