// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "base/parallel/pieces.hpp"
#include "transport/linear/segment.hpp"

namespace leanside::transport {

double PartEquations::clock(double seconds) const {
  return growth > 0.0 ? std::log1p(growth * seconds) / growth : seconds;
}

double PartEquations::seconds(double clock) const { return growth > 0.0 ? std::expm1(growth * clock) / growth : clock; }

PartEquations equations_of(const Segment& segment, std::span<const int> members, std::vector<int>& row_of) {
  PartEquations part;
  part.capacity.reserve(members.size());
  for (std::size_t k = 0; k < members.size(); ++k) {
    const auto cell = static_cast<std::size_t>(members[k]);
    row_of[cell] = static_cast<int>(k);
    part.capacity.push_back(segment.cells.capacity[cell]);
    part.growth = std::max(part.growth, segment.growth[cell]);
  }
  part.a = operator_of(segment.cells, members, row_of);
  for (const int cell : members) row_of[static_cast<std::size_t>(cell)] = -1;
  return part;
}

namespace {

/// Questions about one instant, carried back to the start together.
class Backwards {
 public:
  Backwards(const Site& site, std::span<const SpaceIndex> spaces)
      : site_{site}, initial_of_{cause_tracers(site).initial_of}, columns_{spaces.size()}, n_{site.spaces.size()} {
    weight_.assign(n_ * columns_, 0.0);
    for (std::size_t q = 0; q < columns_; ++q) weight_[q * n_ + spaces[q].value] = 1.0;
    brought_.assign(columns_, std::vector<double>(site.releases.size() + initial_of_.size(), 0.0));
  }

  /// Carries the questions from `seconds` into a segment back to its start.
  bool through(const Segment& segment, double seconds) {
    const auto parts = network::connected_parts(segment.cells.count, segment.cells.edges());
    std::vector<int> row_of(static_cast<std::size_t>(segment.cells.count), -1);
    row_in_part_.assign(n_, -1);
    for (int part = 0; part < parts.count; ++part) {
      const auto members = parts.of(part);
      if (!asked_about(members)) continue;
      const PartEquations equations = equations_of(segment, members, row_of);
      if (!part_through(segment, members, equations, equations.clock(seconds))) return false;
    }
    return true;
  }

  std::vector<std::vector<double>> at_the_start() {
    const std::size_t releases = site_.releases.size();
    for (std::size_t q = 0; q < columns_; ++q) {
      for (std::size_t k = 0; k < initial_of_.size(); ++k) {
        brought_[q][releases + k] = weight_[q * n_ + initial_of_[k].value];
      }
    }
    return std::move(brought_);
  }

 private:
  bool asked_about(std::span<const int> members) const {
    for (const int cell : members) {
      const auto i = static_cast<std::size_t>(cell);
      for (std::size_t q = 0; i < n_ && q < columns_; ++q) {
        if (weight_[q * n_ + i] != 0.0) return true;
      }
    }
    return false;
  }

  bool part_through(const Segment& segment, std::span<const int> members, const PartEquations& equations,
                    double clock) {
    const std::size_t rows = members.size();
    LinearSystem system{
        linalg::transpose(equations.a), equations.capacity, {}, std::vector<double>(rows, 0.0), columns_};
    std::vector<double> p(rows * columns_, 0.0), integral(rows * columns_, 0.0);
    const auto space_of = [&](std::size_t k) { return static_cast<std::size_t>(members[k]); };
    for (std::size_t k = 0; k < rows; ++k) {
      for (std::size_t q = 0; space_of(k) < n_ && q < columns_; ++q) {
        p[q * rows + k] = weight_[q * n_ + space_of(k)];
      }
    }
    if (!start_from_weights(system, p, integral)) return false;
    double largest = 0.0;
    for (const double value : p) largest = std::max(largest, std::abs(value));
    system.source.assign(rows * columns_, 0.0);
    std::vector<double> gone(columns_, 0.0);
    StepCount count;
    if (!advance(system, clock, {1e-9, 1e-14 * largest}, p, gone, {}, count, integral)) return false;

    for (std::size_t k = 0; k < rows; ++k) {
      if (space_of(k) >= n_) continue;
      row_in_part_[space_of(k)] = static_cast<int>(k);
      for (std::size_t q = 0; q < columns_; ++q) {
        weight_[q * n_ + space_of(k)] = equations.capacity[k] * p[q * rows + k];
      }
    }
    for (std::size_t r = 0; r < segment.release_rate.size(); ++r) {
      const int row = row_in_part_[site_.releases[r].into.value];
      if (row < 0) continue;
      for (std::size_t q = 0; q < columns_; ++q) {
        brought_[q][r] += segment.release_rate[r] * integral[q * rows + static_cast<std::size_t>(row)];
      }
    }
    for (const int cell : members) {
      if (static_cast<std::size_t>(cell) < n_) row_in_part_[static_cast<std::size_t>(cell)] = -1;
    }
    return true;
  }

  /// From w, the weights of x, to p with M p = w. A row without capacity is told by the others at any instant: what is
  /// asked of it is asked of them, and of what is released into such rows just then, which counts like an integral.
  static bool start_from_weights(LinearSystem& system, std::vector<double>& p, std::vector<double>& integral) {
    const std::size_t rows = system.capacity.size();
    const auto stores = [&](std::size_t k) { return system.capacity[k % rows] > 0.0; };
    system.source.assign(p.size(), 0.0);
    bool any = false;
    for (std::size_t k = 0; k < p.size(); ++k) {
      if (stores(k)) continue;
      system.source[k] = p[k];
      any = any || p[k] != 0.0;
    }
    if (any) {
      // z with A_JJ' z = -w_J: then w_J'x_J = z'(A_JD x_D + b_J).
      std::vector<double> z(p.size(), 0.0);
      if (!make_consistent(system, z)) return false;
      for (std::size_t q = 0; q < system.columns; ++q) {
        const std::span<double> column{p.data() + q * rows, rows};
        linalg::multiply_add(system.a, 1.0, std::span<const double>{z.data() + q * rows, rows}, column);
      }
      for (std::size_t k = 0; k < p.size(); ++k) {
        if (!stores(k)) integral[k] += z[k];
      }
    }
    for (std::size_t k = 0; k < p.size(); ++k) p[k] = stores(k) ? p[k] / system.capacity[k % rows] : 0.0;
    return true;
  }

  const Site& site_;
  std::vector<SpaceIndex> initial_of_;
  std::size_t columns_, n_;
  std::vector<double> weight_;  ///< of x, spaces x questions, column-major
  std::vector<std::vector<double>> brought_;
  std::vector<int> row_in_part_;
};

SolveFault stopped(const Site& site) {
  return {"the causes in '" + site.title + "' could not be computed: the step became too small", false};
}

/// Answers to questions about one instant, as things stand before (or after) what happens just then.
std::variant<std::vector<std::vector<double>>, SolveFault> answers(const Site& site, std::span<const Segment> segments,
                                                                   std::span<const SpaceIndex> spaces, double time,
                                                                   bool after) {
  Backwards backwards(site, spaces);
  for (std::size_t k = segments.size(); k-- > 0;) {
    const Segment& segment = segments[k];
    if (after ? segment.from > time : segment.from >= time) continue;
    const double seconds = segment.is_burst() ? segment.duration : std::min(segment.duration, time - segment.from);
    if (!backwards.through(segment, seconds)) return stopped(site);
  }
  return backwards.at_the_start();
}

}  // namespace

std::variant<std::vector<Origins>, SolveFault> origins(const Site& site, std::span<const Segment> segments,
                                                       std::span<const Question> questions) {
  std::map<double, std::vector<std::size_t>> by_time;
  for (std::size_t q = 0; q < questions.size(); ++q) by_time[questions[q].time].push_back(q);
  // Every job stands by itself, so that the threads change no digit of an answer.
  struct Job {
    double time = 0.0;
    std::span<const std::size_t> questions;
    bool after = false;
  };
  std::vector<Job> jobs;
  for (const auto& [time, which] : by_time) {
    const double at = time;
    const bool cut = std::any_of(segments.begin(), segments.end(), [&](const Segment& s) { return s.from == at; });
    constexpr std::size_t block = 4;  // as many as the factors are applied to at once
    for (std::size_t first = 0; first < which.size(); first += block) {
      const std::span<const std::size_t> some{which.data() + first, std::min(block, which.size() - first)};
      jobs.push_back({at, some, false});
      if (cut) jobs.push_back({at, some, true});
    }
  }
  std::vector<Origins> result(questions.size());
  std::vector<std::optional<SolveFault>> faults(jobs.size());
  constexpr std::size_t small = 1000;  // what a small site takes is less than a thread does
  parallel::for_each_piece(jobs.size(), site.spaces.size() < small ? 1 : 0, [&](std::size_t j) {
    const Job& job = jobs[j];
    std::vector<SpaceIndex> spaces;
    for (const std::size_t q : job.questions) spaces.push_back(questions[q].space);
    auto found = answers(site, segments, spaces, job.time, job.after);
    if (auto* fault = std::get_if<SolveFault>(&found)) {
      faults[j] = std::move(*fault);
      return;
    }
    auto& brought = std::get<std::vector<std::vector<double>>>(found);
    for (std::size_t k = 0; k < job.questions.size(); ++k) {
      Origins& origins = result[job.questions[k]];
      (job.after ? origins.after : origins.before) = std::move(brought[k]);
    }
  });
  for (auto& fault : faults) {
    if (fault) return std::move(*fault);
  }
  return result;
}

}  // namespace leanside::transport
