// SPDX-License-Identifier: Apache-2.0
/// The sustained state of a site with layered rooms: the heights at which the interfaces stand still.
#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "airflow/solver.hpp"
#include "base/linalg/worse.hpp"
#include "transport/steady/steady_system.hpp"

namespace leanside {
namespace {

using transport::LayeredSite;

SolveFault fault_in_the_long_run(const Site& site, CaseIndex which, const std::string& message, bool bad_input) {
  return {fmt::format("case '{}', once every event has happened: {}", site.cases[which.value].id, message), bad_input};
}

constexpr int most_passes = 600;
constexpr double settled = 1e-11;
/// As close as this will do where all passes together come no closer.
constexpr double nearly_settled = 1e-8;
/// What is less than this share of the largest fraction is a trace: it need not settle as closely.
constexpr double trace = 1e-4;

/// Flows and fractions in agreement for interfaces at given heights, and from there the heights themselves.
class LayersAtRest {
 public:
  LayersAtRest(const Site& site, CaseIndex which, LayeredSite& layers)
      : site_{site},
        which_{which},
        layers_{layers},
        state_{state_at(layers.site(), which, std::numeric_limits<double>::infinity())},
        tracers_{gas_tracers(layers.site())},
        cells_{layers.site().spaces.size()},
        x_(cells_ * tracers_.size(), 0.0) {
    for (std::size_t k = 0; k < layers.rooms(); ++k) share_.push_back(LayeredSite::thinnest);
  }

  /// Brings everything into agreement for the shares as they are. `solve` makes a system of state and flows and gives
  /// its fractions, those at hand where it has none.
  template <class Solve>
  std::optional<SolveFault> agree(const Solve& solve) {
    double part_of_the_way = 0.7, most_of_the_way = 0.9, previous = std::numeric_limits<double>::infinity();
    for (int pass = 0; pass < most_passes; ++pass) {
      SiteState shaped = state_;
      layers_.shape(shaped, x_, cells_, held());
      density_ = transport::densities(layers_.site(), shaped, x_, cells_);
      auto flows = airflow::balance(layers_.site(), shaped, density_, memory_);
      if (const auto* fault = std::get_if<FlowFault>(&flows)) {
        return fault_in_the_long_run(site_, which_, fault->message, !fault->numerical);
      }
      field_ = std::move(std::get<FlowField>(flows));
      // An edge that would move carries nothing across: what a layer then holds follows from what comes in, as (4)
      // says.
      layers_.move_interfaces(field_);
      std::fill(field_.storage.begin(), field_.storage.end(), 0.0);
      auto solved = solve(shaped, field_, x_);
      if (const auto* fault = std::get_if<SolveFault>(&solved)) return *fault;
      const std::vector<double>& found = std::get<std::vector<double>>(solved);
      double largest = 0.0, change = 0.0;
      for (const double value : found) largest = std::max(largest, std::abs(value));
      for (std::size_t k = 0; k < x_.size(); ++k) {
        change = linalg::worse(change, std::abs(found[k] - x_[k]) / (std::abs(found[k]) + trace * largest + 1e-9));
      }
      if (change <= settled) {
        x_ = found;
        return std::nullopt;
      }
      // Gas that drives its own outflow would otherwise swing about the answer.
      if (change > previous) {
        most_of_the_way = std::max(0.05, 0.8 * most_of_the_way);
        part_of_the_way *= 0.6;
      }
      part_of_the_way = std::clamp(1.1 * part_of_the_way, 0.02, most_of_the_way);
      previous = change;
      for (std::size_t k = 0; k < x_.size(); ++k) x_[k] += part_of_the_way * (found[k] - x_[k]);
    }
    if (previous <= nearly_settled) return std::nullopt;
    return fault_in_the_long_run(site_, which_, "flows and fractions do not come into agreement", false);
  }

  /// Moves the interface of one room to where its layers neither grow nor shrink, the others where they are: the more
  /// of the room the gas fills, the less the plume brings and the more leaves. By how much the share has changed.
  template <class Solve>
  std::variant<double, SolveFault> settle_room(std::size_t room, const Solve& solve) {
    const double before = share_[room];
    std::optional<SolveFault> fault;
    const auto surplus_at = [&](double share) {
      share_[room] = share;
      if (!fault) fault = agree(solve);
      return fault ? 0.0 : layers_.surplus(field_, room);
    };
    double low = LayeredSite::thinnest, high = 1.0 - LayeredSite::thinnest;
    double at_low = surplus_at(low);
    // From a thin layer on to the first thickness at which it no longer grows: the one that it comes to by itself. A
    // room full of gas may hold itself as well, but nothing brings it there.
    constexpr int looks = 40;
    // Where the plume no longer reaches the layer and every opening is within it, nothing moves at any thickness.
    const double nothing = 1e-12 * at_low;
    double at_high = 1.0;
    for (int k = 1; k <= looks && at_low > 0.0 && at_high > nothing && !fault; ++k) {
      const double next = LayeredSite::thinnest + (1.0 - 2.0 * LayeredSite::thinnest) * k / looks;
      const double there = surplus_at(next);
      if (there > nothing && k < looks) {
        low = next;
        at_low = there;
      } else {
        high = next;
        at_high = there;
        break;
      }
    }
    if (at_low > 0.0 && !fault) {
      // Halving, with the secant of the ends between where that falls inside.
      for (int k = 0; k < 100 && at_high <= nothing && !fault && high - low > 1e-13; ++k) {
        const double secant = low + (high - low) * at_low / (at_low - at_high);
        const double middle = 0.5 * (low + high);
        const bool halve = k % 3 == 2 || at_high > -nothing || !(secant > low && secant < high);
        const double next = halve ? middle : secant;
        const double there = surplus_at(next);
        if (there > nothing) {
          low = next;
          at_low = there;
        } else {
          high = next;
          at_high = there;
        }
      }
    }
    if (fault) return *fault;
    return std::abs(share_[room] - before);
  }

  template <class Solve>
  std::optional<SolveFault> settle(const Solve& solve) {
    constexpr int most_rounds = 100;
    constexpr double still = 1e-10;
    for (int round = 0; round < most_rounds; ++round) {
      double change = 0.0;
      for (std::size_t k = 0; k < layers_.rooms(); ++k) {
        const auto moved = settle_room(k, solve);
        if (const auto* fault = std::get_if<SolveFault>(&moved)) return *fault;
        change = std::max(change, std::get<double>(moved));
      }
      if (layers_.rooms() < 2 || change <= still) return std::nullopt;
    }
    return fault_in_the_long_run(site_, which_, "the layers of the rooms do not come to rest together", false);
  }

  std::vector<double> held() const {
    std::vector<double> moles;
    for (std::size_t i = 0; i < cells_; ++i) {
      moles.push_back(moles_held(layers_.site().spaces[i], site_.conditions, state_.temperature[i]));
    }
    for (std::size_t k = 0; k < layers_.rooms(); ++k) {
      const double whole = layers_.whole(k, state_.temperature[layers_.ambient_cell(k)]);
      moles[layers_.gas_cell(k)] = share_[k] * whole;
      moles[layers_.ambient_cell(k)] = (1.0 - share_[k]) * whole;
    }
    return moles;
  }

  std::optional<std::string> broken(std::size_t room) const { return layers_.broken(room, field_, density_, state_); }
  const SiteState& state() const { return state_; }
  const FlowField& field() const { return field_; }

 private:
  const Site& site_;
  CaseIndex which_;
  LayeredSite& layers_;
  SiteState state_;
  std::vector<Tracer> tracers_;
  std::size_t cells_;
  std::vector<double> x_;      ///< spaces x gases, column-major
  std::vector<double> share_;  ///< of the layer of gas, by layered room
  std::vector<double> density_;
  FlowField field_;
  airflow::Memory memory_;
};

}  // namespace

std::variant<SustainedSystem, SolveFault> SustainedSystem::build_layered(const Site& site, CaseIndex which) {
  auto plan = transport::plan_layers(site, which);
  while (!plan.rooms.empty()) {
    const auto layers = std::make_shared<LayeredSite>(site, plan);
    LayersAtRest rest(site, which, *layers);
    const auto tracers = gas_tracers(layers->site());
    // A cell that nothing comes into has no value of its own and keeps the one it has.
    const auto solve = [&](const SiteState& state, const FlowField& field,
                           std::vector<double> x) -> std::variant<std::vector<double>, SolveFault> {
      SustainedSystem system(layers->site(), state, field);
      auto solved = system.solve(tracers);
      if (const auto* fault = std::get_if<SolveFault>(&solved)) return *fault;
      const auto& found = std::get<SustainedFractions>(solved);
      const std::size_t cells = found.fractions.spaces();
      for (std::size_t c = 0; c < found.fractions.columns(); ++c) {
        for (std::size_t i = 0; i < cells; ++i) {
          if (found.reached[i]) x[c * cells + i] = found.fractions(SpaceIndex{i}, c);
        }
      }
      return x;
    };
    if (auto fault = rest.settle(solve)) return *fault;
    const auto rooms = plan.rooms;
    for (std::size_t k = 0; k < rooms.size(); ++k) {
      if (auto why = layers->may_break() ? rest.broken(k) : std::nullopt) plan.mix(rooms[k].space, std::move(*why));
    }
    if (plan.rooms.size() < rooms.size()) continue;
    SustainedSystem system(layers->site(), rest.state(), rest.field());
    system.layers_ = layers;
    system.mixed_ = std::move(plan.mixed);
    return system;
  }
  // Every one of them is mixed after all.
  Site mixed = site;
  for (Space& space : mixed.spaces) space.stratification = Stratification::mixed;
  auto system = build(mixed, which);
  if (auto* solved = std::get_if<SustainedSystem>(&system)) {
    solved->site_ = &site;
    solved->mixed_ = std::move(plan.mixed);
  }
  return system;
}

SustainedFractions SustainedSystem::collapsed(SustainedFractions whole) const {
  const std::size_t n = whole.fractions.spaces() - layers_->rooms(), columns = whole.fractions.columns();
  SustainedFractions result{layers_->collapsed(whole.flows), FractionField(n, columns), {}, {}};
  result.mixed = whole.mixed;
  // Where there is no layer of gas to speak of and nothing passes through it, the rest of the room tells of it. However
  // thin, a layer that a plume feeds is there.
  std::vector<std::size_t> telling;
  for (std::size_t i = 0; i < n; ++i) telling.push_back(cell_of(SpaceIndex{i}));
  for (std::size_t k = 0; k < layers_->rooms(); ++k) {
    const std::size_t ambient = layers_->ambient_cell(k), gas = layers_->gas_cell(k);
    constexpr double no_layer = 1.001 * LayeredSite::thinnest;
    if (!whole.reached[gas] &&
        layers_->site().spaces[gas].volume <= no_layer * layers_->written().spaces[ambient].volume) {
      telling[ambient] = ambient;
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t cell = telling[i];
    result.reached.push_back(whole.reached[cell]);
    result.reason.push_back(whole.reason[cell]);
    for (std::size_t c = 0; c < columns; ++c) {
      result.fractions(SpaceIndex{i}, c) = whole.fractions(SpaceIndex{cell}, c);
    }
  }
  for (std::size_t k = 0; k < layers_->rooms(); ++k) {
    const std::size_t ambient = layers_->ambient_cell(k), gas = layers_->gas_cell(k);
    const auto of = [&](std::size_t cell) {
      const auto x = whole.fractions.of(SpaceIndex{cell});
      return std::vector<double>(x.begin(), x.end());
    };
    LayerState state{SpaceIndex{ambient}, layers_->gas_above(k), 0.0, of(ambient), of(telling[ambient])};
    if (!state.gas_above) std::swap(state.lower, state.upper);
    const Space &lower = layers_->site().spaces[state.gas_above ? ambient : gas],
                &upper = layers_->site().spaces[state.gas_above ? gas : ambient];
    state.interface_height = upper.elevation - lower.elevation;
    result.layers.push_back(std::move(state));
  }
  return result;
}

}  // namespace leanside
