// SPDX-License-Identifier: Apache-2.0
/// The steady state of a site with layered rooms: the heights at which the interfaces stand still.
#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "airflow/solver.hpp"
#include "base/linalg/anderson.hpp"
#include "base/linalg/special.hpp"
#include "base/linalg/worse.hpp"
#include "transport/steady/steady_system.hpp"

namespace leanside {
namespace {

using transport::LayeredSite;

constexpr int most_passes = 600;
constexpr double settled = 1e-11;
/// Close enough if all passes together come no closer.
constexpr double nearly_settled = 1e-8;
/// A fraction below this share of the largest one is a trace, which need not settle as closely.
constexpr double trace = 1e-4;

/// Fractions, spaces x gases, for flows of a state; those passed in stay where the equations leave them open.
using SolveFractions =
    std::function<Result<std::vector<double>>(const SiteState& state, const FlowField& field, std::vector<double> x)>;

/// Finds flows and fractions that agree for interfaces at given heights, and from these the heights themselves.
class LayersAtRest {
 public:
  LayersAtRest(const Site& site, CaseIndex case_index, LayeredSite& layers, SolveFractions solve)
      : site_{site},
        which_{case_index},
        layers_{layers},
        solve_{std::move(solve)},
        state_{state_at(layers.site(), case_index, std::numeric_limits<double>::infinity())},
        tracers_{gas_tracers(layers.site())},
        cells_{layers.site().spaces.size()},
        x_(cells_ * tracers_.size(), 0.0) {
    for (std::size_t k = 0; k < layers.rooms(); ++k) share_.push_back(LayeredSite::thinnest);
    memory_.parts = &layers.parts();
  }

  /// Iterates flows and fractions until they agree, for the shares as they are.
  std::optional<Fault> agree() {
    const std::vector<double> start = x_;
    if (auto fault = accelerated(); !fault || fault->kind != FaultKind::unsolved) return fault;
    x_ = start;
    return damped();
  }

  /// Moves the interface of one room to where its layers neither grow nor shrink, the others where they are: the more
  /// of the room the gas fills, the less the plume brings and the more leaves. Gives by how much the share has changed.
  Result<double> settle_room(std::size_t room) {
    const double before = share_[room];
    fault_.reset();
    Bracket bracket{LayeredSite::thinnest, 1.0 - LayeredSite::thinnest, surplus_at(room, LayeredSite::thinnest), 1.0};
    const double first = bracket.at_low;
    look_for_end(room, bracket);
    if (first > 0.0 && !fault_) narrow(room, 1e-12 * first, bracket);
    if (fault_) return *fault_;
    return std::abs(share_[room] - before);
  }

  std::optional<Fault> settle() {
    constexpr int most_rounds = 100;
    constexpr double still = 1e-10;
    for (int round = 0; round < most_rounds; ++round) {
      double change = 0.0;
      for (std::size_t k = 0; k < layers_.rooms(); ++k) {
        const auto moved = settle_room(k);
        if (const auto* fault = std::get_if<Fault>(&moved)) return *fault;
        change = std::max(change, std::get<double>(moved));
      }
      if (layers_.rooms() < 2 || change <= still) return std::nullopt;
    }
    return steady_fault(site_, which_, "the layers of the rooms do not come to rest together", FaultKind::unsolved);
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
  LayeredSite::FarEndOf far_end(std::size_t room) const {
    return layers_.far_end(room, state_, x_, cells_, share_[room]);
  }
  const SiteState& state() const { return state_; }
  const FlowField& field() const { return field_; }

 private:
  /// Shares of a room between which its interface rests, and what its layer of gas gains at each, mol/s.
  struct Bracket {
    double low, high, at_low, at_high;
  };

  /// The fractions that follow from the flows at x_; gives how far the two are apart, in units of what counts.
  Result<double> look(std::vector<double>& found) {
    SiteState shaped = state_;
    layers_.shape(shaped, x_, cells_, held());
    density_ = transport::densities(layers_.site(), shaped, x_, cells_);
    auto flows = airflow::balance(layers_.site(), shaped, density_, memory_);
    if (const auto* fault = std::get_if<FlowFault>(&flows)) {
      return steady_fault(site_, which_, fault->message, fault->kind);
    }
    field_ = std::move(std::get<FlowField>(flows));
    // Nothing crosses an interface that would move: what a layer then holds follows from what comes in, by (4).
    layers_.move_interfaces(field_);
    std::fill(field_.storage.begin(), field_.storage.end(), 0.0);
    auto solved = solve_(shaped, field_, x_);
    if (const auto* fault = std::get_if<Fault>(&solved)) return *fault;
    found = std::move(std::get<std::vector<double>>(solved));
    double largest = 0.0, change = 0.0;
    for (const double value : found) largest = std::max(largest, std::abs(value));
    scale_.clear();
    for (const double value : found) scale_.push_back(std::abs(value) + trace * largest + 1e-9);
    for (std::size_t k = 0; k < x_.size(); ++k) {
      change = linalg::worse(change, std::abs(found[k] - x_[k]) / scale_[k]);
    }
    return change;
  }

  Fault unsettled() const {
    return steady_fault(site_, which_, "flows and fractions do not settle on one answer", FaultKind::unsolved);
  }

  /// Each point from the iterations before it: fast, but it may go astray.
  std::optional<Fault> accelerated() {
    constexpr int most = 60;
    linalg::Anderson anderson(8);
    std::vector<double> found;
    for (int pass = 0; pass < most; ++pass) {
      const auto change = look(found);
      if (const auto* fault = std::get_if<Fault>(&change)) return *fault;
      if (std::get<double>(change) <= settled) {
        x_ = found;
        return std::nullopt;
      }
      if (!std::isfinite(std::get<double>(change))) break;
      x_ = anderson.next(x_, found, scale_);
      for (double& x : x_) x = std::clamp(x, 0.0, 1.0);
    }
    return unsettled();
  }

  /// Each point a part of the way: otherwise gas that drives its own outflow would oscillate about the answer.
  std::optional<Fault> damped() {
    double part_of_the_way = 0.7, most_of_the_way = 0.9, previous = std::numeric_limits<double>::infinity();
    std::vector<double> found;
    for (int pass = 0; pass < most_passes; ++pass) {
      const auto looked = look(found);
      if (const auto* fault = std::get_if<Fault>(&looked)) return *fault;
      const double change = std::get<double>(looked);
      if (change <= settled) {
        x_ = found;
        return std::nullopt;
      }
      if (change > previous) {
        most_of_the_way = std::max(0.05, 0.8 * most_of_the_way);
        part_of_the_way *= 0.6;
      }
      part_of_the_way = std::clamp(1.1 * part_of_the_way, 0.02, most_of_the_way);
      previous = change;
      for (std::size_t k = 0; k < x_.size(); ++k) x_[k] += part_of_the_way * (found[k] - x_[k]);
    }
    if (previous <= nearly_settled) return std::nullopt;
    return unsettled();
  }

  double surplus_at(std::size_t room, double share) {
    share_[room] = share;
    if (!fault_) fault_ = agree();
    return fault_ ? 0.0 : layers_.surplus(field_, room);
  }

  /// From a thin layer on to the first thickness at which it no longer grows: where it comes to rest by itself. A room
  /// full of gas may be at rest as well, but nothing brings it there.
  void look_for_end(std::size_t room, Bracket& bracket) {
    constexpr int looks = 40;
    // If the plume no longer reaches the layer and every opening is within it, nothing moves at any thickness.
    const double nothing = 1e-12 * bracket.at_low;
    for (int k = 1; k <= looks && bracket.at_low > 0.0 && bracket.at_high > nothing && !fault_; ++k) {
      const double next = LayeredSite::thinnest + (1.0 - 2.0 * LayeredSite::thinnest) * k / looks;
      const double there = surplus_at(room, next);
      if (there > nothing && k < looks) {
        bracket.low = next;
        bracket.at_low = there;
      } else {
        bracket.high = next;
        bracket.at_high = there;
        return;
      }
    }
  }

  /// Finds within the bracket where the gain ends. A gain up to `nothing` counts as none.
  void narrow(std::size_t room, double nothing, const Bracket& bracket) {
    if (bracket.at_high > nothing || fault_) return;
    constexpr int bits = 43;  // 1e-13
    const auto gain = [&](double share) { return surplus_at(room, share) - nothing; };
    const double rest = linalg::bracket_root(gain, bracket.low, bracket.high, bits).second;
    if (share_[room] != rest) surplus_at(room, rest);
  }

  const Site& site_;
  CaseIndex which_;
  LayeredSite& layers_;
  SolveFractions solve_;
  SiteState state_;
  std::vector<Tracer> tracers_;
  std::size_t cells_;
  std::vector<double> x_;      ///< spaces x gases, column-major
  std::vector<double> share_;  ///< of the layer of gas, by layered room
  std::vector<double> scale_;  ///< what counts as a change of x_
  std::vector<double> density_;
  FlowField field_;
  airflow::Memory memory_;
  std::optional<Fault> fault_;  ///< of the room that settles
};

}  // namespace

Result<SteadySystem> SteadySystem::build_layered(const Site& site, CaseIndex case_index) {
  auto plan = transport::plan_layers(site, case_index);
  while (!plan.rooms.empty()) {
    const auto layers = std::make_shared<LayeredSite>(site, plan);
    const auto tracers = gas_tracers(layers->site());
    const SolveFractions solve = [&](const SiteState& state, const FlowField& field,
                                     std::vector<double> x) -> Result<std::vector<double>> {
      SteadySystem system(layers->site(), state, field);
      auto solved = system.solve(tracers);
      if (const auto* fault = std::get_if<Fault>(&solved)) return *fault;
      const auto& found = std::get<SteadyFractions>(solved);
      const std::size_t cells = found.fractions.spaces();
      for (std::size_t c = 0; c < found.fractions.columns(); ++c) {
        for (std::size_t i = 0; i < cells; ++i) {
          // A cell that nothing comes into has no value of its own and keeps the one it has.
          if (found.reached[i]) x[c * cells + i] = found.fractions(SpaceIndex{i}, c);
        }
      }
      return x;
    };
    LayersAtRest rest(site, case_index, *layers, solve);
    if (auto fault = rest.settle()) return *fault;
    const auto rooms = plan.rooms;
    for (std::size_t k = 0; k < rooms.size(); ++k) {
      if (auto why = layers->may_break() ? rest.broken(k) : std::nullopt) plan.mix(rooms[k].space, std::move(*why));
    }
    if (plan.rooms.size() < rooms.size()) continue;
    SteadySystem system(layers->site(), rest.state(), rest.field());
    system.layers_ = layers;
    for (std::size_t k = 0; k < layers->rooms(); ++k) system.far_end_.push_back(rest.far_end(k));
    system.mixed_ = std::move(plan.mixed);
    return system;
  }
  // All of them are mixed.
  Site mixed = site;
  for (Space& space : mixed.spaces) space.stratification = Stratification::mixed;
  auto system = build(mixed, case_index);
  if (auto* solved = std::get_if<SteadySystem>(&system)) {
    solved->site_ = &site;
    solved->mixed_ = std::move(plan.mixed);
  }
  return system;
}

const LayeredSite::FarEndOf* SteadySystem::far_end_of(SpaceIndex space) const {
  for (std::size_t k = 0; k < far_end_.size(); ++k) {
    if (layers_->ambient_cell(k) == space.value) return &far_end_[k];
  }
  return nullptr;
}

Result<SteadyFractions> SteadySystem::solve(std::span<const Tracer> tracers) {
  auto solved = solve_cells(tracers);
  if (layers_ == nullptr || std::holds_alternative<Fault>(solved)) return solved;
  return collapsed(std::move(std::get<SteadyFractions>(solved)), tracers);
}

Result<SteadySystem::CellsAtRest> SteadySystem::cells_at_rest() {
  auto solved = solve_cells(gas_tracers(*site_));
  if (auto* fault = std::get_if<Fault>(&solved)) return std::move(*fault);
  CellsAtRest out{*site_, std::move(std::get<SteadyFractions>(solved)), {}};
  for (std::size_t k = 0; k < layers_->rooms(); ++k) {
    out.rooms.push_back(
        {SpaceIndex{layers_->ambient_cell(k)}, SpaceIndex{layers_->gas_cell(k)}, layers_->gas_above(k), far_end_[k]});
  }
  return out;
}

SteadyFractions SteadySystem::collapsed(SteadyFractions whole, std::span<const Tracer> tracers) const {
  const std::size_t n = whole.fractions.spaces() - layers_->rooms(), columns = whole.fractions.columns();
  SteadyFractions result{layers_->collapsed(whole.flows), FractionField(n, columns), {}, {}};
  result.mixed = whole.mixed;
  // A layer of gas at its thinnest that nothing passes through is none: the rest of the room represents it. A layer
  // that a plume feeds is one, however thin.
  std::vector<std::size_t> shown;
  for (std::size_t i = 0; i < n; ++i) shown.push_back(cell_of(SpaceIndex{i}));
  for (std::size_t k = 0; k < layers_->rooms(); ++k) {
    const std::size_t ambient = layers_->ambient_cell(k), gas = layers_->gas_cell(k);
    constexpr double no_layer = 1.001 * LayeredSite::thinnest;
    if (!whole.reached[gas] &&
        layers_->site().spaces[gas].volume <= no_layer * layers_->written().spaces[ambient].volume) {
      shown[ambient] = ambient;
    }
  }
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t cell = shown[i];
    result.reached.push_back(whole.reached[cell]);
    result.reason.push_back(whole.reason[cell]);
    for (std::size_t c = 0; c < columns; ++c) {
      result.fractions(SpaceIndex{i}, c) = whole.fractions(SpaceIndex{cell}, c);
    }
  }
  for (std::size_t k = 0; k < layers_->rooms(); ++k) {
    const SpaceIndex room{layers_->ambient_cell(k)};
    LayerState state = layers_->layer_state(k, whole.fractions, shown[room.value]);
    if (shown[room.value] != room.value) {
      for (std::size_t c = 0; c < columns; ++c) state.far_end[c] = far_end_[k].of(tracers[c], state.far_end[c]);
    }
    for (std::size_t c = 0; c < columns; ++c) result.fractions(room, c) = state.far_end[c];
    result.layers.push_back(std::move(state));
  }
  return result;
}

}  // namespace leanside
