// SPDX-License-Identifier: Apache-2.0
/// The events of a run. Whatever observes a run (peaks, crossings, series, pressures, releases) subscribes to them; the
/// steppers do not know the observers.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "leanside/advanced/transport.hpp"

namespace leanside::transport {

struct Segment;
struct StepCount;

/// One kind of event and its observers.
template <class Event>
class Signal {
 public:
  using Observer = std::function<void(const Event&)>;

  /// An empty observer is ignored.
  void subscribe(Observer observer) {
    if (observer) observers_.push_back(std::move(observer));
  }
  /// Whether anyone has subscribed.
  bool has_observers() const { return !observers_.empty(); }
  /// Calls every observer, in the order in which they subscribed.
  void notify(const Event& event) const {
    for (const Observer& observer : observers_) observer(event);
  }

 private:
  std::vector<Observer> observers_;
};

/// The pressure of a sealed space from `begin` to `end`, s. `factor` is its moles over its moles at ambient pressure,
/// as Bernstein coefficients over that time; one coefficient alone is a jump at begin = end.
struct PressureRise {
  SpaceIndex space;
  double begin = 0.0, end = 0.0;
  std::span<const double> factor;
};

/// What a release whose rate varies gave during a stretch.
struct ReleaseGiven {
  ReleaseIndex release;
  double amount = 0.0;        ///< mol
  std::optional<double> dry;  ///< s, when its stock ran out; empty: it has not
};

/// The pieces of a run. It remembers which spaces had pieces: a space that loses its gas has to be reported once more,
/// as empty.
class PieceSignal {
 public:
  explicit PieceSignal(std::size_t spaces) : reported_(spaces, false) {}

  void subscribe(PieceObserver observer) { signal_.subscribe(std::move(observer)); }
  bool has_observers() const { return signal_.has_observers(); }
  bool reported(SpaceIndex space) const { return reported_[space.value]; }
  void notify(const DensePiece& piece) {
    reported_[piece.space.value] = true;
    signal_.notify(piece);
  }

 private:
  Signal<DensePiece> signal_;
  std::vector<bool> reported_;
};

struct RunSignals {
  explicit RunSignals(std::size_t spaces) : pieces(spaces) {}

  PieceSignal pieces;              ///< of the columns asked for; see PieceObserver
  Signal<LayerPiece> layers;       ///< see LayerObserver
  Signal<FlowField> flows;         ///< every field that an accepted step was computed with
  Signal<PressureRise> pressures;  ///< of spaces that gain
  Signal<ReleaseGiven> releases;   ///< of releases whose rate varies
  Signal<Segment> segments;        ///< stretches and bursts with constant coefficients
  Signal<StepCount> steps;         ///< what a stretch or a burst cost
};

}  // namespace leanside::transport
