// SPDX-License-Identifier: Apache-2.0
#include "transport/linear/origins.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "base/parallel/pieces.hpp"
#include "transport/linear/linear_system.hpp"

namespace leanside::transport {

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
    const Parts parts = segment.cells.connected_parts();
    std::vector<std::size_t> row_of(segment.cells.count, no_row);
    row_in_part_.assign(n_, no_row);
    for (std::size_t part = 0; part < parts.count; ++part) {
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
  bool asked_about(std::span<const std::size_t> members) const {
    for (const std::size_t cell : members) {
      for (std::size_t q = 0; cell < n_ && q < columns_; ++q) {
        if (weight_[q * n_ + cell] != 0.0) return true;
      }
    }
    return false;
  }

  bool part_through(const Segment& segment, std::span<const std::size_t> members, const PartEquations& equations,
                    double clock) {
    const std::size_t rows = members.size();
    LinearSystem system{
        linalg::transpose(equations.a), equations.capacity, {}, std::vector<double>(rows, 0.0), columns_};
    std::vector<double> p(rows * columns_, 0.0), integral(rows * columns_, 0.0);
    for (std::size_t k = 0; k < rows; ++k) {
      for (std::size_t q = 0; members[k] < n_ && q < columns_; ++q) p[q * rows + k] = weight_[q * n_ + members[k]];
    }
    if (!start_from_weights(system, p, integral)) return false;
    double largest = 0.0;
    for (const double value : p) largest = std::max(largest, std::abs(value));
    system.source.assign(rows * columns_, 0.0);
    std::vector<double> gone(columns_, 0.0);
    StepCount count;
    if (!advance(system, clock, {1e-9, 1e-14 * largest}, p, gone, {}, count, integral)) return false;

    for (std::size_t k = 0; k < rows; ++k) {
      if (members[k] >= n_) continue;
      row_in_part_[members[k]] = k;
      for (std::size_t q = 0; q < columns_; ++q) {
        weight_[q * n_ + members[k]] = equations.capacity[k] * p[q * rows + k];
      }
    }
    for (std::size_t r = 0; r < segment.release_rate.size(); ++r) {
      const std::size_t row = row_in_part_[site_.releases[r].into.value];
      if (row == no_row) continue;
      for (std::size_t q = 0; q < columns_; ++q) {
        brought_[q][r] += segment.release_rate[r] * integral[q * rows + row];
      }
    }
    for (const std::size_t cell : members) {
      if (cell < n_) row_in_part_[cell] = no_row;
    }
    return true;
  }

  /// From w, the weights of x, to p with M p = w. A row without capacity follows from the others at any instant. So a
  /// question about it is a question about them and about what is released into such rows just then; that counts like
  /// an integral.
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
  std::vector<std::size_t> row_in_part_;  ///< by space; scratch of part_through
};

Fault stopped(const Site& site) {
  return {"the causes in '" + site.title + "' could not be computed: the time step became too small"};
}

/// Answers to questions about one instant, before or after the events of that instant.
Result<std::vector<std::vector<double>>> answers(const Site& site, std::span<const Segment> segments,
                                                 std::span<const SpaceIndex> spaces, double time, bool after) {
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

Result<std::vector<Origins>> origins(const Site& site, std::span<const Segment> segments,
                                     std::span<const Question> questions) {
  std::map<double, std::vector<std::size_t>> by_time;
  for (std::size_t q = 0; q < questions.size(); ++q) by_time[questions[q].time].push_back(q);
  // No job depends on another one, so the number of threads changes no digit of an answer.
  struct Job {
    double time = 0.0;
    std::span<const std::size_t> questions;
    bool after = false;
  };
  std::vector<Job> jobs;
  for (const auto& [time, case_index] : by_time) {
    const double at = time;
    const bool breakpoint =
        std::any_of(segments.begin(), segments.end(), [&](const Segment& s) { return s.from == at; });
    constexpr std::size_t block = 4;  // the factors are applied to so many columns at once
    for (std::size_t first = 0; first < case_index.size(); first += block) {
      const std::span<const std::size_t> some{case_index.data() + first, std::min(block, case_index.size() - first)};
      jobs.push_back({at, some, false});
      if (breakpoint) jobs.push_back({at, some, true});
    }
  }
  std::vector<Origins> result(questions.size());
  std::vector<std::optional<Fault>> faults(jobs.size());
  constexpr std::size_t small = 1000;  // below this a thread costs more than it saves
  parallel::for_each_piece(jobs.size(), site.spaces.size() < small ? 1 : 0, [&](std::size_t j) {
    const Job& job = jobs[j];
    std::vector<SpaceIndex> spaces;
    for (const std::size_t q : job.questions) spaces.push_back(questions[q].space);
    auto found = answers(site, segments, spaces, job.time, job.after);
    if (auto* fault = std::get_if<Fault>(&found)) {
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
