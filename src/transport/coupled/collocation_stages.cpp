// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "base/linalg/worse.hpp"
#include "transport/coupled/collocation_step.hpp"

namespace leanside::transport {
namespace {

/// A polynomial is continued over so many times the length of the step that it is from, at the most.
constexpr double farthest_guess = 2.0;

/// Weights of the values at the start and at the stages of a step, by which their polynomial is at `t` of that step.
std::array<double, stages + 1> lagrange(double t) {
  std::array<double, stages + 1> node{}, weight{};
  for (std::size_t s = 0; s < stages; ++s) node[s + 1] = radau().c[s];
  for (std::size_t k = 0; k <= stages; ++k) {
    weight[k] = 1.0;
    for (std::size_t m = 0; m <= stages; ++m) {
      if (m != k) weight[k] *= (t - node[m]) / (node[k] - node[m]);
    }
  }
  return weight;
}

/// Values of `start` and `stage` by these weights.
std::vector<double> weighed(const std::array<double, stages + 1>& weight, const std::vector<double>& start,
                            const std::array<std::vector<double>, stages>& stage) {
  std::vector<double> out(start.size());
  for (std::size_t i = 0; i < out.size(); ++i) {
    out[i] = weight[0] * start[i];
    for (std::size_t s = 0; s < stages; ++s) out[i] += weight[s + 1] * stage[s][i];
  }
  return out;
}

}  // namespace

void Collocation::guess_stages(double h) {
  for (auto& stage : stage_) stage = x_;
  for (auto& held : held_) held = capacity_;
  if (!(last_length_ > 0.0) || h > farthest_guess * last_length_) return;
  std::array<std::vector<double>, stages> x, held;
  for (std::size_t s = 0; s < stages; ++s) {
    const auto weight = lagrange(1.0 + radau().c[s] * h / last_length_);
    x[s] = weighed(weight, before_, last_x_);
    held[s] = weighed(weight, held_before_, last_held_);
    for (std::size_t i = 0; i < rows_; ++i) {
      if (capacity_[i] > 0.0 && !(held[s][i] > 0.5 * capacity_[i])) return;
    }
    for (double& value : x[s]) value = std::max(value, 0.0);
  }
  stage_ = std::move(x);
  held_ = std::move(held);
}

bool Collocation::move_pairs(double h) {
  const auto& r = radau();
  auto next = held_;
  for (std::size_t p = 0; p < moments_[0].moving.size(); ++p) {
    const MovingPair& pair = moments_[0].moving[p];
    std::vector<linalg::Entry> entries;
    std::vector<double> change(stages);
    for (std::size_t s = 0; s < stages; ++s) {
      change[s] = held_[s][pair.grows] - at_[s][pair.grows];
      for (std::size_t j = 0; j < stages; ++j) {
        const double unit = s == j ? 1.0 : 0.0;
        entries.push_back({s, j, unit - h * r.a[s][j] * slopes_[p].slope});
      }
    }
    if (!pair_factors_.factorise(stages, entries)) continue;
    pair_factors_.factors().solve(change, 1);
    for (std::size_t s = 0; s < stages; ++s) {
      const double both = held_[s][pair.grows] + held_[s][pair.shrinks];
      const double was = at_[s][pair.grows];
      // At most half of the way to where one of the two is empty.
      const double now = std::clamp(was + change[s], 0.5 * was, was + 0.5 * (both - was));
      const double allowed = std::max(relative_tolerance_, least_change) * std::min(now, both - now);
      change_ = linalg::worse(change_, std::abs(held_[s][pair.grows] - was) / allowed);
      next[s][pair.grows] = now;
      next[s][pair.shrinks] = both - now;
    }
  }
  at_ = std::move(next);
  return std::isfinite(change_);
}

void Collocation::accelerate(const std::array<std::vector<double>, stages>& at,
                             const std::array<std::vector<double>, stages>& held) {
  const double relative = std::max(relative_tolerance_, least_change);
  std::vector<double> from, to, scale;
  const auto pairs = moving_ ? std::span<const MovingPair>{moments_[0].moving} : std::span<const MovingPair>{};
  for (std::size_t s = 0; s < stages; ++s) {
    from.insert(from.end(), at[s].begin(), at[s].end());
    to.insert(to.end(), stage_[s].begin(), stage_[s].end());
    for (const double x : stage_[s]) scale.push_back(relative * std::abs(x) + absolute_tolerance);
    for (const MovingPair& pair : pairs) {
      from.push_back(held[s][pair.grows]);
      to.push_back(at_[s][pair.grows]);
      scale.push_back(relative * std::min(at_[s][pair.grows], at_[s][pair.shrinks]));
    }
  }
  const std::vector<double> next = anderson_.next(from, to, scale);
  std::size_t k = 0;
  for (std::size_t s = 0; s < stages; ++s) {
    for (double& x : stage_[s]) x = next[k++];
    for (const MovingPair& pair : pairs) {
      const double was = held[s][pair.grows], both = was + held[s][pair.shrinks];
      at_[s][pair.grows] = std::clamp(next[k++], 0.5 * was, was + 0.5 * (both - was));
      at_[s][pair.shrinks] = both - at_[s][pair.grows];
    }
  }
}

double Collocation::largest_change(const std::vector<double>& a, const std::vector<double>& b) const {
  double worst = 0.0;
  for (std::size_t k = 0; k < a.size(); ++k) {
    const double relative = std::max(relative_tolerance_, least_change);
    const double allowed = relative * std::max(std::abs(a[k]), std::abs(b[k])) + absolute_tolerance;
    worst = linalg::worse(worst, std::abs(a[k] - b[k]) / allowed);
  }
  return worst;
}

void Collocation::add_algebraic_row(const Moment& moment, std::size_t i, std::size_t shift,
                                    std::vector<linalg::Entry>& entries) {
  const std::size_t row = i + shift;
  if (moment.cells.dead[i]) {
    entries.push_back({row, row, 1.0});
    return;
  }
  entries.push_back({row, row, -moment.cells.through(i)});
  for (const Stream& s : moment.cells.into(i)) entries.push_back({row, s.from + shift, s.rate});
}

std::vector<linalg::Entry> Collocation::stage_equations(double h, std::vector<double>& right) {
  const auto& r = radau();
  std::vector<linalg::Entry> entries;
  entries.reserve(entries_before_);
  const std::size_t length = stages * rows_;
  right.assign(length * columns_, 0.0);
  for (std::size_t i = 0; i < rows_; ++i) {
    for (std::size_t s = 0; s < stages; ++s) {
      const std::size_t row = s * rows_ + i;
      if (capacity_[i] <= 0.0) {
        const Moment& moment = moments_[s];
        add_algebraic_row(moment, i, s * rows_, entries);
        for (std::size_t c = 0; c < columns_; ++c) {
          right[c * length + row] = moment.cells.dead[i] ? 0.0 : -moment.source[c * rows_ + i];
        }
        continue;
      }
      // Moles: N_s X_s - h sum_j a_sj (streams in less streams out + released)_j = N x at the start.
      double held = capacity_[i];
      for (std::size_t j = 0; j < stages; ++j) {
        const Moment& moment = moments_[j];
        const double weight = h * r.a[s][j];
        held += weight * moment.storage[i];
        const double out = moment.cells.through(i) - moment.storage[i];
        entries.push_back({row, j * rows_ + i, weight * out});
        for (const Stream& stream : moment.cells.into(i)) {
          entries.push_back({row, j * rows_ + stream.from, -weight * stream.rate});
        }
        for (std::size_t c = 0; c < columns_; ++c) right[c * length + row] += weight * moment.source[c * rows_ + i];
      }
      entries.push_back({row, row, held});
      for (std::size_t c = 0; c < columns_; ++c) right[c * length + row] += capacity_[i] * x_[c * rows_ + i];
    }
  }
  entries_before_ = entries.size();
  return entries;
}

bool Collocation::solve_stages(double h, bool corrected) {
  std::vector<double> right;
  const std::vector<linalg::Entry> entries = stage_equations(h, right);
  const bool solved = moments_[0].draws.empty() ? solve_all(entries, right) : solve_drawn(h, corrected, entries, right);
  if (!solved) return false;
  const std::size_t length = stages * rows_;
  change_ = 0.0;
  for (std::size_t s = 0; s < stages; ++s) {
    std::vector<double> now(rows_ * columns_);
    for (std::size_t c = 0; c < columns_; ++c) {
      for (std::size_t i = 0; i < rows_; ++i) now[c * rows_ + i] = right[c * length + s * rows_ + i];
    }
    change_ = linalg::worse(change_, largest_change(now, stage_[s]));
    stage_[s] = std::move(now);
  }
  find_held(h);
  return true;
}

bool Collocation::solve_all(const std::vector<linalg::Entry>& entries, std::vector<double>& right) {
  linalg::RepeatedLu& lu = factors_.back();
  if (!lu.factorise(stages * rows_, entries)) return false;
  lu.factors().solve(right, columns_);
  std::vector<std::size_t> all(columns_);
  std::iota(all.begin(), all.end(), std::size_t{0});
  refine_passing(lu.factors(), right, all);
  return true;
}

void Collocation::refine_passing(const linalg::SparseLu& lu, std::span<double> solution,
                                 std::span<const std::size_t> case_index) const {
  const std::size_t length = stages * rows_;
  if (std::none_of(capacity_.begin(), capacity_.end(), [](double held) { return held <= 0.0; })) return;
  std::vector<double> amiss(case_index.size() * length, 0.0);
  for (std::size_t k = 0; k < case_index.size(); ++k) {
    for (std::size_t s = 0; s < stages; ++s) {
      const Moment& moment = moments_[s];
      const double* x = solution.data() + k * length + s * rows_;
      for (std::size_t i = 0; i < rows_; ++i) {
        if (capacity_[i] > 0.0 || moment.cells.dead[i]) continue;
        double gain =
            moment.source[case_index[k] * rows_ + i] - (moment.cells.fresh[i] + moment.cells.release[i]) * x[i];
        for (const Stream& stream : moment.cells.into(i)) {
          gain += stream.rate * (x[stream.from] - x[i]);
        }
        amiss[k * length + s * rows_ + i] = -gain;
      }
    }
  }
  lu.solve(amiss, case_index.size());
  for (std::size_t k = 0; k < amiss.size(); ++k) solution[k] += amiss[k];
}

bool Collocation::solve_drawn(double h, bool corrected, const std::vector<linalg::Entry>& entries,
                              std::vector<double>& right) {
  constexpr int most_rounds = 50;
  constexpr double round_off = 1e-15;
  const std::size_t length = stages * rows_;
  const std::vector<Draw>& draws = moments_[0].draws;
  std::vector<bool> drawn(columns_, false);
  rate_.assign(draws.size(), {});
  for (std::size_t d = 0; d < draws.size(); ++d) {
    drawn[draws[d].column] = true;
    for (std::size_t j = 0; j < stages; ++j) {
      const Draw& draw = moments_[j].draws[d];
      rate_[d][j] = draw.full - draw.slope * stage_[j][draw.column * rows_ + draw.cell];
    }
  }
  // Pools of mixtures may each bring the gas that another one is judged by. What a column gets has to be what its draws
  // lose, or gas is made or lost, so that in the end the columns are solved in turn until their rates stay.
  const bool circular = std::any_of(draws.begin(), draws.end(), [&](const Draw& draw) {
    return std::any_of(draw.shares.begin(), draw.shares.end(), [&](const auto& share) { return drawn[share.first]; });
  });
  const std::vector<double> given = right;
  for (int round = 0; round < (corrected || !circular ? 1 : most_rounds); ++round) {
    const auto before = rate_;
    right = given;
    for (std::size_t c = 0; c < columns_; ++c) {
      if (drawn[c] && !solve_drawn_column(c, h, corrected, entries, std::span{right}.subspan(c * length, length)))
        return false;
    }
    double off = 0.0;
    for (std::size_t d = 0; d < draws.size(); ++d) {
      for (std::size_t j = 0; j < stages; ++j) {
        off = std::max(off, std::abs(rate_[d][j] - before[d][j]) - round_off * std::abs(draws[d].full));
      }
    }
    if (off <= 0.0) break;
  }
  std::vector<std::size_t> others;
  for (std::size_t c = 0; c < columns_; ++c) {
    if (!drawn[c]) others.push_back(c);
  }
  return others.empty() || solve_other_columns(others, h, entries, right);
}

bool Collocation::solve_drawn_column(std::size_t column, double h, bool corrected, std::vector<linalg::Entry> entries,
                                     std::span<double> right) {
  const auto& r = radau();
  const std::size_t count = moments_[0].draws.size();
  for (std::size_t d = 0; d < count; ++d) {
    if (moments_[0].draws[d].column != column) continue;
    const std::size_t i = moments_[0].draws[d].cell;
    for (std::size_t s = 0; s < stages; ++s) {
      for (std::size_t j = 0; j < stages; ++j) {
        const Draw& draw = moments_[j].draws[d];
        const double weight = h * r.a[s][j];
        const double before = corrected ? stage_[j][column * rows_ + i] : 0.0;
        entries.push_back({s * rows_ + i, j * rows_ + i, weight * draw.slope * (draw.own - before)});
        right[s * rows_ + i] += weight * (draw.own * draw.full - draw.slope * before * before);
      }
    }
  }
  add_from_other_draws(column, h, right);
  linalg::RepeatedLu& lu = factors_[column];
  if (!lu.factorise(stages * rows_, entries)) return false;
  lu.factors().solve(right, 1);
  refine_passing(lu.factors(), right, std::span{&column, 1});
  for (std::size_t d = 0; d < count; ++d) {
    if (moments_[0].draws[d].column != column) continue;
    for (std::size_t j = 0; j < stages; ++j) {
      const Draw& draw = moments_[j].draws[d];
      rate_[d][j] = draw.full - draw.slope * right[j * rows_ + draw.cell];
    }
  }
  return true;
}

/// What draws that are judged by another column bring to this one, at the rates found last.
void Collocation::add_from_other_draws(std::size_t column, double h, std::span<double> right) const {
  const auto& r = radau();
  for (std::size_t d = 0; d < moments_[0].draws.size(); ++d) {
    const Draw& draw = moments_[0].draws[d];
    const auto share =
        std::find_if(draw.shares.begin(), draw.shares.end(), [&](const auto& s) { return s.first == column; });
    if (share == draw.shares.end()) continue;
    for (std::size_t j = 0; j < stages; ++j) {
      for (std::size_t s = 0; s < stages; ++s) {
        right[s * rows_ + draw.cell] += h * r.a[s][j] * share->second * rate_[d][j];
      }
    }
  }
}

bool Collocation::solve_other_columns(std::span<const std::size_t> others, double h,
                                      const std::vector<linalg::Entry>& entries, std::vector<double>& right) {
  const auto& r = radau();
  const std::size_t length = stages * rows_;
  for (std::size_t d = 0; d < rate_.size(); ++d) {
    const Draw& draw = moments_[0].draws[d];
    for (const auto& [column, share] : draw.shares) {
      if (std::find(others.begin(), others.end(), column) == others.end()) continue;
      for (std::size_t s = 0; s < stages; ++s) {
        for (std::size_t j = 0; j < stages; ++j) {
          right[column * length + s * rows_ + draw.cell] += h * r.a[s][j] * share * rate_[d][j];
        }
      }
    }
  }
  std::vector<double> solution(others.size() * length);
  for (std::size_t k = 0; k < others.size(); ++k) {
    std::copy_n(&right[others[k] * length], length, &solution[k * length]);
  }
  linalg::RepeatedLu& lu = factors_.back();
  if (!lu.factorise(length, entries)) return false;
  lu.factors().solve(solution, others.size());
  refine_passing(lu.factors(), solution, others);
  for (std::size_t k = 0; k < others.size(); ++k) {
    std::copy_n(&solution[k * length], length, &right[others[k] * length]);
  }
  return true;
}

}  // namespace leanside::transport
