// SPDX-License-Identifier: Apache-2.0
#include "transport/linear/linear_stepper.hpp"

#include <algorithm>
#include <array>

#include "transport/linear/laguerre.hpp"
#include "transport/linear/linear_system.hpp"

namespace leanside::transport {
namespace {

constexpr std::size_t coefficients_per_column = dense_degree + 1;

/// The fractions of one row during a step as Bernstein coefficients, column after column.
void step_coefficients(const Step& step, const Columns& columns, std::size_t rows, std::size_t row,
                       std::vector<double>& coefficients) {
  const auto& weights = bernstein_weights();
  for (std::size_t c = 0; c < columns.asked; ++c) {
    std::array<double, coefficients_per_column> coefficient{};
    for (std::size_t d = 0; d <= dense_degree; ++d) {
      const double difference = step.differences[d][(columns.first + c) * rows + row];
      for (std::size_t j = 0; j <= dense_degree; ++j) coefficient[j] += weights[j][d] * difference;
    }
    std::copy(coefficient.begin(), coefficient.end(),
              coefficients.begin() + static_cast<std::ptrdiff_t>(c * coefficients_per_column));
  }
}

/// One segment of a run, part by part.
class SegmentRun {
 public:
  SegmentRun(const RunSetup& setup, const Segment& segment, std::span<const double> source, RunState& state,
             RunSignals& signals)
      : setup_{setup},
        segment_{segment},
        source_{source},
        state_{state},
        signals_{signals},
        spaces_{setup.site.spaces.size()},
        columns_{setup.columns.count()},
        reporting_{!segment.is_burst() && signals.pieces.has_observers()} {}

  bool advance_all() {
    const Parts parts = segment_.cells.connected_parts();
    std::vector<std::size_t> row_of(segment_.cells.count, no_row);
    for (std::size_t part = 0; part < parts.count; ++part) {
      const auto members = parts.of(part);
      if (!gather(members)) {
        report_emptied(members);
        continue;
      }
      if (!advance_part(members, equations_of(segment_, members, row_of))) return false;
      scatter(members);
    }
    signals_.steps.notify(count_);
    return true;
  }

 private:
  /// Fractions and sources of a part; whether there is any gas in it.
  bool gather(std::span<const std::size_t> members) {
    const std::size_t rows = members.size();
    x_.assign(rows * columns_, 0.0);
    part_source_.assign(rows * columns_, 0.0);
    bool gas = false;
    for (std::size_t c = 0; c < columns_; ++c) {
      for (std::size_t k = 0; k < rows; ++k) {
        const std::size_t at = c * rows + k;
        if (members[k] < spaces_) x_[at] = state_.x(SpaceIndex{members[k]}, c);
        part_source_[at] = source_[c * segment_.cells.count + members[k]];
        gas = gas || x_[at] != 0.0 || part_source_[at] != 0.0;
      }
    }
    return gas;
  }

  void scatter(std::span<const std::size_t> members) {
    for (std::size_t k = 0; k < members.size(); ++k) {
      if (members[k] >= spaces_) continue;
      for (std::size_t c = 0; c < columns_; ++c) state_.x(SpaceIndex{members[k]}, c) = x_[c * members.size() + k];
    }
  }

  bool advance_part(std::span<const std::size_t> members, PartEquations part) {
    const double clock_end = part.clock(segment_.duration);
    const Tolerance tolerance{part.growth > 0.0 ? 1e-12 : 1e-9, 1e-16};
    LinearSystem system{std::move(part.a), std::move(part.capacity), std::move(part_source_), {}, columns_};
    for (const std::size_t cell : members) system.outflow.push_back(segment_.cells.outflow[cell]);
    std::function<void(const Step&)> on_step;
    if (reporting_) on_step = [&](const Step& step) { report(step, members, part, clock_end); };
    return transport::advance(system, clock_end, tolerance, x_, state_.gone, on_step, count_);
  }

  void report(const Step& step, std::span<const std::size_t> members, const PartEquations& part, double clock_end) {
    const auto time_of = [&](double clock) {
      return segment_.from + (clock >= clock_end ? segment_.duration : part.seconds(clock));
    };
    std::vector<double> coefficients(setup_.columns.asked * coefficients_per_column);
    DensePiece piece{{}, time_of(step.begin), time_of(step.end), part.growth, segment_.from, coefficients};
    for (std::size_t k = 0; k < members.size(); ++k) {
      if (members[k] >= spaces_) continue;
      piece.space = SpaceIndex{members[k]};
      step_coefficients(step, setup_.columns, members.size(), k, coefficients);
      signals_.pieces.notify(piece);
    }
  }

  /// A junction that held gas and now holds none is reported once more, as empty.
  void report_emptied(std::span<const std::size_t> members) {
    if (!reporting_) return;
    const std::vector<double> nothing(setup_.columns.asked * coefficients_per_column, 0.0);
    for (const std::size_t cell : members) {
      if (cell >= spaces_ || !signals_.pieces.reported(SpaceIndex{cell})) continue;
      const double end = segment_.from + segment_.duration;
      signals_.pieces.notify({SpaceIndex{cell}, segment_.from, end, 0.0, segment_.from, nothing});
    }
  }

  const RunSetup& setup_;
  const Segment& segment_;
  std::span<const double> source_;
  RunState& state_;
  RunSignals& signals_;
  std::size_t spaces_, columns_;
  bool reporting_;
  StepCount count_;
  std::vector<double> x_, part_source_;  ///< of the part at hand, column-major
};

/// Moles that a sealed space gains raise its pressure at a constant rate.
void raise_pressures(const RunSetup& setup, const Stretch& stretch, const FlowField& flows, RunState& state,
                     const RunSignals& signals) {
  for (std::size_t i = 0; i < flows.storage.size(); ++i) {
    if (flows.storage[i] <= 0.0) continue;
    const double before = state.pressure[i];
    state.pressure[i] += flows.storage[i] * (stretch.to - stretch.from) / ambient_moles(setup.site, state, i);
    const std::array<double, 2> factor{before, state.pressure[i]};
    signals.pressures.notify({SpaceIndex{i}, stretch.from, stretch.to, factor});
  }
}

}  // namespace

bool advance_segment(const RunSetup& setup, const Segment& segment, std::span<const double> source, RunState& state,
                     RunSignals& signals) {
  return SegmentRun(setup, segment, source, state, signals).advance_all();
}

std::variant<Balanced, FlowFault> LinearStepper::balance(const Stretch& stretch, const RunState&) const {
  auto flows = balance_flows(setup_.site, stretch.state);
  if (auto* fault = std::get_if<FlowFault>(&flows)) return std::move(*fault);
  return Balanced{stretch.state, std::move(std::get<FlowField>(flows))};
}

Result<double> LinearStepper::advance(const Stretch& stretch, FlowField& flows, RunState& state,
                                      RunSignals& signals) const {
  signals.flows.notify(flows);
  Segment segment{stretch.from,
                  stretch.to,
                  stretch.to - stretch.from,
                  make_cells(setup_.site, stretch.state, flows),
                  {},
                  stretch.state.release_rate};
  segment.growth.assign(segment.cells.count, 0.0);
  for (std::size_t i = 0; i < state.pressure.size(); ++i) {
    double& capacity = segment.cells.capacity[i];
    capacity *= state.pressure[i];
    if (capacity > 0.0) segment.growth[i] = flows.storage[i] / capacity;
  }
  const auto source = sources(segment.cells, setup_.site, stretch.state, setup_.columns.tracers);
  if (!advance_segment(setup_, segment, source, state, signals)) {
    return fault_at(setup_, stretch.from, "the fractions could not be computed: the time step became too small",
                    FaultKind::unsolved);
  }
  signals.segments.notify(segment);
  raise_pressures(setup_, stretch, flows, state, signals);
  return stretch.to;
}

}  // namespace leanside::transport
