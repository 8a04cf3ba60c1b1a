// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>

#include "hazard/judge.hpp"
#include "transport/linear/origins.hpp"
#include "transport/transient/segments.hpp"

namespace leanside::hazard {
namespace {

/// One warning's question: how much of its measure, at its worst instant, each column brought.
struct Request {
  std::size_t warning = 0;
  SpaceIndex space;
  double time = 0.0;
  std::vector<double> weight_of_gas;
  std::vector<double> brought;  ///< by column
  double total = -1.0;
};

class Causes {
 public:
  Causes(const Site& site, const CaseResult& result, const MixtureModels& models, SteadySystem& system,
         std::vector<Warning>& warnings)
      : site_{site}, result_{result}, system_{system}, warnings_{warnings}, columns_{cause_tracers(site)} {
    for (std::size_t w = 0; w < warnings.size(); ++w) {
      if (warnings[w].severity == Severity::pressure) {
        blame_pressure(warnings[w]);
        continue;
      }
      if (warnings[w].source) {
        Cause cause;
        cause.release = warnings[w].source->release;
        cause.share = 1.0;
        warnings[w].causes = {cause};
        continue;
      }
      Request request;
      request.warning = w;
      request.space = warnings[w].space;
      request.weight_of_gas = measure_of(warnings[w], models.of(request.space));
      request.brought.assign(columns_.tracers.size(), 0.0);
      request.time = worst_time(warnings[w]);
      (warnings[w].worst_is_steady ? steady_ : in_time_).push_back(std::move(request));
    }
  }

  std::optional<Fault> run() {
    if (columns_.tracers.size() == 1) {
      for (auto* requests : {&steady_, &in_time_}) {
        for (Request& request : *requests) request.brought[0] = 1.0;
      }
    } else {
      for (Request& request : steady_) {
        request.brought = system_.origins(request.space);
        weigh(request, request.brought);
      }
      if (auto fault = solve_in_time()) return fault;
    }
    for (auto* requests : {&steady_, &in_time_}) {
      for (const Request& request : *requests) fill(request);
    }
    return std::nullopt;
  }

 private:
  double worst_time(const Warning& warning) const {
    const SpaceResult& space = result_.spaces[warning.space.value];
    if (subject_of(warning) == Subject::oxygen) return space.worst_oxygen_time;
    for (const Exposure& exposure : space.exposures) {
      if (warning.toxic && exposure.gas == warning.toxic->gas) return exposure.worst_time;
    }
    return space.peak.time;
  }

  /// Measure that one mole of column c stands for.
  double weight(const Request& request, std::size_t column) const {
    const auto& shares = column < site_.releases.size()
                             ? site_.releases[column].gas.shares
                             : site_.spaces[columns_.initial_of[column - site_.releases.size()].value].initial;
    double sum = 0.0;
    for (const GasShare& share : shares) sum += share.fraction * request.weight_of_gas[share.gas.value];
    return sum;
  }

  void weigh(const Request& request, std::vector<double>& brought) const {
    for (std::size_t c = 0; c < brought.size(); ++c) brought[c] *= weight(request, c);
  }

  /// Backwards from each question, or forwards with every column, whichever has less to carry. Backwards needs flows
  /// that do not follow the gas.
  std::optional<Fault> solve_in_time() {
    if (in_time_.empty()) return std::nullopt;
    if (in_time_.size() <= columns_.tracers.size()) {
      double horizon = 0.0;
      for (const Request& request : in_time_) horizon = std::max(horizon, request.time);
      auto kept = transport::segments_of(site_, result_.case_index, beyond(horizon));
      if (const auto* fault = std::get_if<Fault>(&kept)) return *fault;
      if (const auto& segments = std::get<0>(kept)) return solve_backwards(*segments);
    }
    // Columns in blocks, so that memory stays within bounds however many releases there are.
    constexpr std::size_t block = 16;
    for (std::size_t first = 0; first < columns_.tracers.size(); first += block) {
      const std::size_t count = std::min(block, columns_.tracers.size() - first);
      if (auto fault = solve_block(first, std::span(columns_.tracers).subspan(first, count))) return fault;
    }
    return std::nullopt;
  }

  /// A little further than a time, so that what happens at the very instant (a vessel bursts) has happened.
  double beyond(double time) const { return std::min(site_.criteria.horizon, time + 1e-6 * site_.criteria.horizon); }

  std::optional<Fault> solve_backwards(std::span<const transport::Segment> segments) {
    std::vector<transport::Question> questions;
    for (const Request& request : in_time_) questions.push_back({request.space, request.time});
    auto found = transport::origins(site_, segments, questions);
    if (const auto* fault = std::get_if<Fault>(&found)) return *fault;
    auto& origins = std::get<std::vector<transport::Origins>>(found);
    for (std::size_t q = 0; q < in_time_.size(); ++q) {
      Request& request = in_time_[q];
      for (std::vector<double>* brought : {&origins[q].before, &origins[q].after}) {
        if (brought->empty()) continue;
        weigh(request, *brought);
        double total = 0.0;
        for (const double b : *brought) total += b;
        if (total <= request.total) continue;
        request.total = total;
        request.brought = *brought;
      }
    }
    return std::nullopt;
  }

  std::optional<Fault> solve_block(std::size_t first, std::span<const Tracer> tracers) {
    std::multimap<std::size_t, Request*> by_space;
    double horizon = 0.0;
    for (Request& request : in_time_) {
      by_space.emplace(request.space.value, &request);
      request.total = -1.0;
      horizon = std::max(horizon, request.time);
    }
    const auto observe = [&](const DensePiece& piece) {
      for (auto [it, end] = by_space.equal_range(piece.space.value); it != end; ++it) {
        Request& request = *it->second;
        if (request.time < piece.begin || request.time > piece.end) continue;
        take(request, piece, first, tracers.size());
      }
    };
    auto solved = solve_transient(site_, result_.case_index, tracers, beyond(horizon), observe);
    if (const auto* fault = std::get_if<Fault>(&solved)) return *fault;
    return std::nullopt;
  }

  /// Where two pieces meet at a jump, the one with more of the measure is the worst instant.
  void take(Request& request, const DensePiece& piece, std::size_t first, std::size_t count) const {
    const double s = piece.position_at(request.time);
    std::vector<double> brought(count);
    double total = 0.0;
    for (std::size_t c = 0; c < count; ++c) {
      const auto coefficients = piece.coefficients.subspan(c * (dense_degree + 1), dense_degree + 1);
      brought[c] = weight(request, first + c) * bernstein_value(coefficients, s);
      total += brought[c];
    }
    if (total <= request.total) return;
    request.total = total;
    std::copy(brought.begin(), brought.end(), request.brought.begin() + static_cast<std::ptrdiff_t>(first));
  }

  Cause cause_of(std::size_t column) const {
    Cause cause;
    if (column < site_.releases.size()) {
      cause.release = ReleaseIndex{column};
    } else {
      cause.initial_of = columns_.initial_of[column - site_.releases.size()];
    }
    return cause;
  }

  void set_shares(Warning& warning, const std::vector<double>& brought) const {
    double total = 0.0;
    for (const double b : brought) total += b;
    if (!(total > 0.0)) return;
    constexpr double negligible = 1e-12;
    for (std::size_t c = 0; c < brought.size(); ++c) {
      if (std::abs(brought[c]) <= negligible * total) continue;
      Cause cause = cause_of(c);
      cause.share = brought[c] / total;
      warning.causes.push_back(cause);
    }
    std::stable_sort(warning.causes.begin(), warning.causes.end(),
                     [](const Cause& a, const Cause& b) { return a.share > b.share; });
  }

  void fill(const Request& request) { set_shares(warnings_[request.warning], request.brought); }

  /// Pressure comes from what was released into the closed vessels that are joined, by amount.
  void blame_pressure(Warning& warning) const {
    std::vector<bool> joined(site_.spaces.size(), false);
    joined[warning.space.value] = true;
    for (bool more = true; more;) {
      more = false;
      for (const Airway& airway : site_.airways) {
        const Side a = first_side(airway), b = second_side(airway);
        if (!a || !b || std::holds_alternative<Fan>(airway.kind) || joined[a->value] == joined[b->value]) continue;
        // A junction holds nothing, and no pressure of its own.
        const auto holds = [&](const Side& side) { return site_.spaces[side->value].kind != SpaceKind::junction; };
        if (holds(a) && holds(b) &&
            result_.spaces[a->value].pressure_110.has_value() != result_.spaces[b->value].pressure_110.has_value())
          continue;
        joined[a->value] = joined[b->value] = more = true;
      }
    }
    std::vector<double> brought(columns_.tracers.size(), 0.0);
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      if (joined[site_.releases[r].into.value]) brought[r] = result_.releases[r].amount;
    }
    set_shares(warning, brought);
  }

  const Site& site_;
  const CaseResult& result_;
  SteadySystem& system_;
  std::vector<Warning>& warnings_;
  CauseTracers columns_;
  std::vector<Request> steady_, in_time_;
};

}  // namespace

std::optional<Fault> find_causes(const Site& site, const CaseResult& result, const MixtureModels& models,
                                 SteadySystem& system, std::vector<Warning>& warnings) {
  if (warnings.empty()) return std::nullopt;
  return Causes(site, result, models, system, warnings).run();
}

}  // namespace leanside::hazard
