// SPDX-License-Identifier: Apache-2.0
#include "transport/collocation.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include <fmt/format.h>

#include "leanside/quantity.hpp"

namespace leanside::transport {
namespace {

constexpr double absolute_tolerance = 1e-12;
/// Iterations of the flows within a step before it is shortened.
constexpr int most_iterations = 25;
/// Flows and fractions have settled when their last change is below this, in units of the tolerance.
constexpr double settled = 0.05;
/// What iterations settle to is not asked to be finer than this, relative: round-off must not keep them going.
constexpr double least_change = 1e-9;
/// A stock counts as spent below this share of what it was at the start of the stretch.
constexpr double spent = 1e-13;

/// Error of a step in units of the tolerance, of the cells that hold gas and of those that it only passes.
struct StepError {
  double stored = 0.0;
  double passing = 0.0;
};
constexpr StepError unsettled{std::numeric_limits<double>::infinity(), std::numeric_limits<double>::infinity()};

/// Where a flow that falls turns round, what passes through a junction changes at once: a step this short, as a share
/// of the stretch, may have that jump in it. What only passes is followed less closely than what is held, which it
/// comes from; where next to nothing flows it is noise.
constexpr double length_of_jump = 1e-3;
/// Steps tried in one stretch, a hundred times what it usually takes: a run has to end.
constexpr std::size_t most_tries = 20'000;
constexpr double passing_tolerance = 1e-5;

class Collocation {
 public:
  Collocation(const CoupledStretch& stretch, std::vector<double>& x, std::vector<double>& capacity,
              std::vector<double>& stock)
      : x_{x},
        capacity_{capacity},
        stock_{stock},
        whole_stock_{stock},
        columns_{stretch.columns},
        rows_{capacity.size()},
        moment_at_{stretch.moment_at},
        fixed_{stretch.fixed},
        relative_tolerance_{stretch.relative_tolerance} {
    for (auto& stage : stage_) stage = x;
  }

  const std::string& fault() const { return fault_; }

  /// Makes the cells without capacity follow from the others at the start of the stretch; also tells the fastest rate,
  /// 1/s.
  std::optional<double> start() {
    for (int pass = 0; pass < most_iterations; ++pass) {
      auto moment = moment_at_({stages, 0.0, 0.0, x_, capacity_});
      if (take_fault(moment)) return std::nullopt;
      const Moment& now = std::get<Moment>(moment);
      std::vector<linalg::Entry> entries;
      std::vector<double> right = x_;
      for (std::size_t i = 0; i < rows_; ++i) {
        if (capacity_[i] > 0.0) {
          entries.push_back({static_cast<int>(i), static_cast<int>(i), 1.0});
          continue;
        }
        add_algebraic_row(now, i, 0, entries);
        for (std::size_t c = 0; c < columns_; ++c)
          right[c * rows_ + i] = now.cells.dead[i] ? 0.0 : -now.source[c * rows_ + i];
      }
      linalg::SparseLu lu;
      if (!lu.factorise(linalg::compress(static_cast<int>(rows_), entries))) {
        fault_ = "the junctions could not be solved";
        return std::nullopt;
      }
      lu.solve(right, columns_);
      const double change = largest_change(right, x_);
      x_ = right;
      if (change <= 1.0) {
        double fastest = 0.0;
        for (const Draw& draw : now.draws) fastest = std::max(fastest, draw.slope / capacity_[draw.cell]);
        for (std::size_t i = 0; i < rows_; ++i) {
          if (capacity_[i] > 0.0) fastest = std::max(fastest, now.cells.through(static_cast<int>(i)) / capacity_[i]);
        }
        return fastest;
      }
    }
    fault_ = "flows and fractions of the junctions do not settle";
    return std::nullopt;
  }

  /// One step from `begin` of length h; the error is infinite where the flows did not settle.
  std::optional<StepError> try_step(double begin, double h) {
    for (auto& stage : stage_) stage = x_;
    for (auto& held : held_) held = capacity_;
    moving_ = false;
    for (int pass = 0; pass < most_iterations; ++pass) {
      if (!evaluate(begin, h)) return std::nullopt;
      if (pass == 0 && !moments_[0].moving.empty()) {
        moving_ = true;
        at_ = held_;
      }
      if (!solve_stages(h, true)) return unsettled;
      if (moving_ && !move_pairs(h)) return unsettled;
      if (fixed_) return error();
      if (change_ <= settled) {
        // Once more with the outflow as it was found, so that what is drawn and what leaves add up exactly.
        if (moments_[0].draws.empty()) return error();
        if (!evaluate(begin, h)) return std::nullopt;
        return solve_stages(h, false) ? error() : unsettled;
      }
      if (!std::isfinite(change_)) break;
    }
    return unsettled;
  }

  /// Stock of draw d at stage s of the step tried last, mol.
  double stock_at(std::size_t d, std::size_t s, double h) const {
    double left = stock_[d];
    for (std::size_t j = 0; j < stages; ++j) left -= h * radau().a[s][j] * rate_[d][j];
    return left;
  }

  /// Where in the step tried last the first stock is spent, as a share of it; empty: none is.
  std::optional<std::pair<std::size_t, double>> first_spent(double h) const {
    std::optional<std::pair<std::size_t, double>> first;
    for (std::size_t d = 0; d < rate_.size(); ++d) {
      if (!(stock_at(d, stages - 1, h) < 0.0)) continue;
      std::array<double, dense_degree + 1> left{};
      for (std::size_t k = 0; k <= dense_degree; ++k) {
        left[k] = radau().bernstein[k][0] * stock_[d];
        for (std::size_t s = 0; s < stages; ++s) left[k] += radau().bernstein[k][s + 1] * stock_at(d, s, h);
      }
      double low = 0.0, high = 1.0;
      for (int k = 0; k < 60; ++k) {
        const double middle = 0.5 * (low + high);
        (bernstein_value(left, middle) > 0.0 ? low : high) = middle;
      }
      if (!first || high < first->second) first.emplace(d, high);
    }
    return first;
  }

  /// Shortens a step that passes the end of stock d, `share` of it being the first guess, until it ends right there.
  /// Its length; not a number where that could not be done.
  double step_to_end(double begin, double h, std::size_t d, double share) {
    double length = share * h;
    for (int pass = 0; pass < most_iterations; ++pass) {
      const auto error = try_step(begin, length);
      if (!error || !(error->stored <= 1.0)) break;
      const double left = stock_at(d, stages - 1, length);
      if (std::abs(left) <= spent * whole_stock_[d]) return length;
      length = std::clamp(length + left / rate_[d][stages - 1], 0.5 * length, h);
    }
    return std::numeric_limits<double>::quiet_NaN();
  }

  void accept(double h, std::span<double> gone) {
    for (std::size_t d = 0; d < rate_.size(); ++d) {
      stock_[d] = stock_at(d, stages - 1, h);
      if (stock_[d] <= spent * whole_stock_[d]) stock_[d] = 0.0;
    }
    for (std::size_t j = 0; j < stages; ++j) {
      const double weight = h * radau().a[stages - 1][j];
      for (std::size_t c = 0; c < columns_; ++c) {
        for (std::size_t i = 0; i < rows_; ++i) {
          gone[c] += weight * moments_[j].cells.outflow[i] * stage_[j][c * rows_ + i];
        }
      }
    }
    find_held(h);
    held_before_ = capacity_;
    capacity_ = held_[stages - 1];
    before_ = x_;
    x_ = stage_[stages - 1];
  }

  bool any_spent() const { return std::find(stock_.begin(), stock_.end(), 0.0) != stock_.end(); }

  CollocationStep step(double begin, double end) const {
    CollocationStep result{begin, end, {}, {}, false};
    result.values[0] = before_;
    result.held[0] = held_before_;
    for (std::size_t j = 0; j < stages; ++j) {
      result.values[j + 1] = stage_[j];
      result.held[j + 1] = held_[j];
    }
    return result;
  }

 private:
  /// What the cells hold at each stage, by the last moments.
  void find_held(double h) {
    for (std::size_t s = 0; s < stages; ++s) {
      held_[s] = capacity_;
      for (std::size_t j = 0; j < stages; ++j) {
        for (std::size_t i = 0; i < rows_; ++i) held_[s][i] += h * radau().a[s][j] * moments_[j].storage[i];
      }
    }
  }

  /// The moments of all stages for the values found last.
  bool evaluate(double begin, double h) {
    for (std::size_t j = 0; j < stages; ++j) {
      auto moment = moment_at_({j, begin, h, stage_[j], moving_ ? at_[j] : held_[j]});
      if (take_fault(moment)) return false;
      moments_[j] = std::move(std::get<Moment>(moment));
    }
    return true;
  }

  /// Newton's step for what moving pairs hold at the stages: V_s - h sum_j a_sj (f_j + f'_j (V_j - V_j before)) = V at
  /// the start. The amounts themselves follow from the flows; this only tells where to look next.
  bool move_pairs(double h) {
    const auto& r = radau();
    const auto n = static_cast<int>(stages);
    auto next = held_;
    for (std::size_t p = 0; p < moments_[0].moving.size(); ++p) {
      const MovingPair& pair = moments_[0].moving[p];
      std::vector<linalg::Entry> entries;
      std::vector<double> change(stages);
      for (std::size_t s = 0; s < stages; ++s) {
        change[s] = held_[s][pair.grows] - at_[s][pair.grows];
        for (std::size_t j = 0; j < stages; ++j) {
          const double unit = s == j ? 1.0 : 0.0;
          entries.push_back(
              {static_cast<int>(s), static_cast<int>(j), unit - h * r.a[s][j] * moments_[j].moving[p].slope});
        }
      }
      linalg::SparseLu lu;
      if (!lu.factorise(linalg::compress(n, entries))) continue;
      lu.solve(change, 1);
      for (std::size_t s = 0; s < stages; ++s) {
        const double both = held_[s][pair.grows] + held_[s][pair.shrinks];
        const double was = at_[s][pair.grows];
        // Not more than half of the way to where one of them is nothing.
        const double now = std::clamp(was + change[s], 0.5 * was, was + 0.5 * (both - was));
        const double allowed = std::max(relative_tolerance_, least_change) * std::min(now, both - now);
        change_ = std::max(change_, std::abs(held_[s][pair.grows] - was) / allowed);
        next[s][pair.grows] = now;
        next[s][pair.shrinks] = both - now;
      }
    }
    at_ = std::move(next);
    return std::isfinite(change_);
  }

  bool take_fault(const std::variant<Moment, std::string>& moment) {
    const auto* message = std::get_if<std::string>(&moment);
    if (message != nullptr) fault_ = *message;
    return message != nullptr;
  }

  double largest_change(const std::vector<double>& a, const std::vector<double>& b) const {
    double worst = 0.0;
    for (std::size_t k = 0; k < a.size(); ++k) {
      const double relative = std::max(relative_tolerance_, least_change);
      const double allowed = relative * std::max(std::abs(a[k]), std::abs(b[k])) + absolute_tolerance;
      worst = std::max(worst, std::abs(a[k] - b[k]) / allowed);
    }
    return worst;
  }

  /// What streams in less what streams out, for cell i of a moment, its columns moved by `shift`.
  void add_algebraic_row(const Moment& moment, std::size_t i, int shift, std::vector<linalg::Entry>& entries) const {
    const int row = static_cast<int>(i) + shift;
    if (moment.cells.dead[i]) {
      entries.push_back({row, row, 1.0});
      return;
    }
    entries.push_back({row, row, -moment.cells.through(static_cast<int>(i))});
    for (const Stream& s : moment.cells.into(static_cast<int>(i))) entries.push_back({row, s.from + shift, s.rate});
  }

  /// Solves the stages for the moments found last. With `corrected`, what a draw falls by when its gas rises displaces
  /// less as well (a step of Newton's method); without, the outflows are those of the moments.
  bool solve_stages(double h, bool corrected) {
    const auto& r = radau();
    const auto n = static_cast<int>(rows_);
    std::vector<linalg::Entry> entries;
    std::vector<double> right(stages * rows_ * columns_, 0.0);
    const std::size_t length = stages * rows_;
    for (std::size_t i = 0; i < rows_; ++i) {
      for (std::size_t s = 0; s < stages; ++s) {
        const int row = static_cast<int>(i) + static_cast<int>(s) * n;
        if (capacity_[i] <= 0.0) {
          const Moment& moment = moments_[s];
          add_algebraic_row(moment, i, static_cast<int>(s) * n, entries);
          for (std::size_t c = 0; c < columns_; ++c) {
            right[c * length + s * rows_ + i] = moment.cells.dead[i] ? 0.0 : -moment.source[c * rows_ + i];
          }
          continue;
        }
        // Moles: N_s X_s - h sum_j a_sj (streams in less streams out + released)_j = N x at the start.
        double held = capacity_[i];
        for (std::size_t j = 0; j < stages; ++j) {
          const Moment& moment = moments_[j];
          const double weight = h * r.a[s][j];
          const int shift = static_cast<int>(j) * n;
          held += weight * moment.storage[i];
          const double out = moment.cells.through(static_cast<int>(i)) - moment.storage[i];
          entries.push_back({row, static_cast<int>(i) + shift, weight * out});
          for (const Stream& stream : moment.cells.into(static_cast<int>(i))) {
            entries.push_back({row, stream.from + shift, -weight * stream.rate});
          }
          for (std::size_t c = 0; c < columns_; ++c) {
            right[c * length + s * rows_ + i] += weight * moment.source[c * rows_ + i];
          }
        }
        entries.push_back({row, row, held});
        for (std::size_t c = 0; c < columns_; ++c)
          right[c * length + s * rows_ + i] += capacity_[i] * x_[c * rows_ + i];
      }
    }
    if (!(moments_[0].draws.empty() ? solve_all(entries, right) : solve_drawn(h, corrected, entries, right)))
      return false;
    change_ = 0.0;
    for (std::size_t s = 0; s < stages; ++s) {
      std::vector<double> now(rows_ * columns_);
      for (std::size_t c = 0; c < columns_; ++c) {
        for (std::size_t i = 0; i < rows_; ++i) now[c * rows_ + i] = right[c * length + s * rows_ + i];
      }
      change_ = std::max(change_, largest_change(now, stage_[s]));
      stage_[s] = std::move(now);
    }
    find_held(h);
    return true;
  }

  bool solve_all(const std::vector<linalg::Entry>& entries, std::vector<double>& right) const {
    linalg::SparseLu lu;
    if (!lu.factorise(linalg::compress(static_cast<int>(stages * rows_), entries))) return false;
    lu.solve(right, columns_);
    std::vector<std::size_t> all(columns_);
    std::iota(all.begin(), all.end(), std::size_t{0});
    refine_passing(lu, right, all);
    return true;
  }

  /// Where air goes round through cells without capacity far more than it is replaced, a solution is off by as much
  /// more than round-off. What is amiss there, taken from differences of fractions, tells the rest. `solution`: the
  /// columns `which`, of all stages.
  void refine_passing(linalg::SparseLu& lu, std::vector<double>& solution, std::span<const std::size_t> which) const {
    const std::size_t length = stages * rows_;
    if (std::none_of(capacity_.begin(), capacity_.end(), [](double held) { return held <= 0.0; })) return;
    std::vector<double> amiss(which.size() * length, 0.0);
    for (std::size_t k = 0; k < which.size(); ++k) {
      for (std::size_t s = 0; s < stages; ++s) {
        const Moment& moment = moments_[s];
        const double* x = solution.data() + k * length + s * rows_;
        for (std::size_t i = 0; i < rows_; ++i) {
          if (capacity_[i] > 0.0 || moment.cells.dead[i]) continue;
          double gain = moment.source[which[k] * rows_ + i] - (moment.cells.fresh[i] + moment.cells.release[i]) * x[i];
          for (const Stream& stream : moment.cells.into(static_cast<int>(i))) {
            gain += stream.rate * (x[stream.from] - x[i]);
          }
          amiss[k * length + s * rows_ + i] = -gain;
        }
      }
    }
    lu.solve(amiss, which.size());
    for (std::size_t k = 0; k < amiss.size(); ++k) solution[k] += amiss[k];
  }

  /// The columns that draws follow come first, each with its own matrix; what they then draw goes to the others.
  bool solve_drawn(double h, bool corrected, const std::vector<linalg::Entry>& entries, std::vector<double>& right) {
    const auto& r = radau();
    const std::size_t length = stages * rows_;
    const std::size_t count = moments_[0].draws.size();
    rate_.assign(count, {});
    std::vector<bool> done(columns_, false);
    for (std::size_t first = 0; first < count; ++first) {
      const std::size_t column = moments_[0].draws[first].column;
      if (done[column]) continue;
      done[column] = true;
      std::vector<linalg::Entry> with_draws = entries;
      const auto begin = right.begin() + static_cast<std::ptrdiff_t>(column * length);
      std::vector<double> b(begin, begin + static_cast<std::ptrdiff_t>(length));
      for (std::size_t d = first; d < count; ++d) {
        if (moments_[0].draws[d].column != column) continue;
        const std::size_t i = moments_[0].draws[d].cell;
        for (std::size_t s = 0; s < stages; ++s) {
          for (std::size_t j = 0; j < stages; ++j) {
            const Draw& draw = moments_[j].draws[d];
            const double weight = h * r.a[s][j];
            const double before = corrected ? stage_[j][column * rows_ + i] : 0.0;
            with_draws.push_back({static_cast<int>(s * rows_ + i), static_cast<int>(j * rows_ + i),
                                  weight * draw.slope * (1.0 - before)});
            b[s * rows_ + i] += weight * (draw.full - draw.slope * before * before);
          }
        }
      }
      linalg::SparseLu lu;
      if (!lu.factorise(linalg::compress(static_cast<int>(length), with_draws))) return false;
      lu.solve(b, 1);
      refine_passing(lu, b, std::span{&column, 1});
      std::copy(b.begin(), b.end(), begin);
      for (std::size_t d = first; d < count; ++d) {
        if (moments_[0].draws[d].column != column) continue;
        for (std::size_t j = 0; j < stages; ++j) {
          const Draw& draw = moments_[j].draws[d];
          rate_[d][j] = draw.full - draw.slope * b[j * rows_ + draw.cell];
        }
      }
    }
    std::vector<double> others;
    std::vector<std::size_t> which;
    for (std::size_t c = 0; c < columns_; ++c) {
      if (!done[c]) which.push_back(c);
    }
    if (which.empty()) return true;
    for (const std::size_t c : which) {
      const auto begin = right.begin() + static_cast<std::ptrdiff_t>(c * length);
      others.insert(others.end(), begin, begin + static_cast<std::ptrdiff_t>(length));
    }
    for (std::size_t d = 0; d < count; ++d) {
      const Draw& draw = moments_[0].draws[d];
      for (const auto& [column, share] : draw.shares) {
        const auto at = std::find(which.begin(), which.end(), column);
        if (at == which.end()) continue;
        double* b = others.data() + static_cast<std::size_t>(at - which.begin()) * length;
        for (std::size_t s = 0; s < stages; ++s) {
          for (std::size_t j = 0; j < stages; ++j) b[s * rows_ + draw.cell] += h * r.a[s][j] * share * rate_[d][j];
        }
      }
    }
    linalg::SparseLu lu;
    if (!lu.factorise(linalg::compress(static_cast<int>(length), entries))) return false;
    lu.solve(others, which.size());
    refine_passing(lu, others, which);
    for (std::size_t k = 0; k < which.size(); ++k) {
      std::copy_n(others.begin() + static_cast<std::ptrdiff_t>(k * length), length,
                  right.begin() + static_cast<std::ptrdiff_t>(which[k] * length));
    }
    return true;
  }

  /// The highest term of the polynomial over the step stands for what was cut off: smooth solutions come down fast.
  StepError error() const {
    const auto& w = radau().highest;
    constexpr double cut_off_share = 0.1;
    StepError worst;
    for (std::size_t c = 0; c < columns_; ++c) {
      for (std::size_t i = 0; i < rows_; ++i) {
        const std::size_t k = c * rows_ + i;
        double term = w[0] * x_[k];
        for (std::size_t s = 0; s < stages; ++s) term += w[s + 1] * stage_[s][k];
        const double relative =
            capacity_[i] > 0.0 ? relative_tolerance_ : std::max(relative_tolerance_, passing_tolerance);
        const double allowed =
            relative * std::max(std::abs(x_[k]), std::abs(stage_[stages - 1][k])) + absolute_tolerance;
        const double found = cut_off_share * std::abs(term) / allowed;
        double& kind = capacity_[i] > 0.0 ? worst.stored : worst.passing;
        if (!(found <= kind)) kind = found;
      }
    }
    for (const MovingPair& pair : moments_[0].moving) {
      double term = w[0] * capacity_[pair.grows];
      for (std::size_t s = 0; s < stages; ++s) term += w[s + 1] * held_[s][pair.grows];
      const auto least = [&](const std::vector<double>& held) {
        return std::min(held[pair.grows], held[pair.shrinks]);
      };
      const double found =
          cut_off_share * std::abs(term) / (relative_tolerance_ * std::max(least(capacity_), least(held_[stages - 1])));
      if (!(found <= worst.stored)) worst.stored = found;
    }
    return worst;
  }

  std::vector<double>& x_;
  std::vector<double>& capacity_;
  std::vector<double>& stock_;
  std::vector<double> whole_stock_;
  std::size_t columns_, rows_;
  const MomentAt& moment_at_;
  bool fixed_;
  double relative_tolerance_;
  std::array<std::vector<double>, stages> stage_;
  std::array<Moment, stages> moments_;
  std::array<std::vector<double>, stages> held_;
  bool moving_ = false;                         ///< whether there are moving pairs
  std::array<std::vector<double>, stages> at_;  ///< what cells hold at the stages as far as Newton's method knows
  std::vector<double> before_, held_before_;
  std::vector<std::array<double, stages>> rate_;  ///< mol/s, of each draw at the stages
  double change_ = 0.0;
  std::string fault_;
};

}  // namespace

std::variant<double, std::string> advance_coupled(const CoupledStretch& stretch, std::vector<double>& x,
                                                  std::vector<double>& capacity, std::vector<double>& stock,
                                                  std::span<double> gone, StepCount& count) {
  const double duration = stretch.duration;
  if (duration <= 0.0) return duration;
  Collocation collocation(stretch, x, capacity, stock);
  const auto fastest = collocation.start();
  if (!fastest) return collocation.fault();
  double h = *fastest * duration > 0.1 ? 0.1 / *fastest : duration;
  double done = 0.0;
  for (std::size_t tries = 0; done < duration; ++tries) {
    if (tries == most_tries) {
      return fmt::format("flows and fractions keep changing too quickly to be followed: {} steps led to {} of {}",
                         most_tries, format_duration(done), format_duration(duration));
    }
    if (stretch.longest_step) h = std::min(h, stretch.longest_step(done));
    const bool last = done + 1.01 * h >= duration;
    double step = last ? duration - done : h;
    const auto error = collocation.try_step(done, step);
    ++count.factorisations;
    if (!error) return collocation.fault();
    const bool jump = step <= length_of_jump * duration;
    const double worst = jump ? error->stored : std::max(error->stored, error->passing);
    const double factor = worst > 0.0 ? 0.9 * std::pow(worst, -1.0 / static_cast<double>(stages)) : 4.0;
    if (!(worst <= 1.0)) {
      ++count.rejected;
      h = step * (std::isfinite(worst) ? std::clamp(factor, 0.1, 0.5) : 0.25);
      if (!(done + h > done) || h < 1e-12 * duration) return "flows and fractions do not settle within a step";
      continue;
    }
    const auto ending = collocation.first_spent(step);
    if (ending) {
      step = collocation.step_to_end(done, step, ending->first, ending->second);
      if (!std::isfinite(step)) return "the end of a stock could not be found";
    }
    collocation.accept(step, gone);
    ++count.steps;
    const double end = last && !ending ? duration : done + step;
    if (stretch.observe) {
      CollocationStep observed = collocation.step(done, end);
      observed.jump = error->passing > 1.0;
      stretch.observe(observed);
    }
    done = end;
    if (collocation.any_spent()) return done;
    h = step * std::clamp(factor, 0.3, 4.0);
  }
  return duration;
}

}  // namespace leanside::transport
