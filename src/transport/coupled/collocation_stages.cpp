// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <numeric>

#include "base/linalg/worse.hpp"
#include "transport/coupled/collocation_step.hpp"

namespace leanside::transport {

bool Collocation::move_pairs(double h) {
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
      change_ = linalg::worse(change_, std::abs(held_[s][pair.grows] - was) / allowed);
      next[s][pair.grows] = now;
      next[s][pair.shrinks] = both - now;
    }
  }
  at_ = std::move(next);
  return std::isfinite(change_);
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

void Collocation::add_algebraic_row(const Moment& moment, std::size_t i, int shift,
                                    std::vector<linalg::Entry>& entries) const {
  const int row = static_cast<int>(i) + shift;
  if (moment.cells.dead[i]) {
    entries.push_back({row, row, 1.0});
    return;
  }
  entries.push_back({row, row, -moment.cells.through(static_cast<int>(i))});
  for (const Stream& s : moment.cells.into(static_cast<int>(i))) entries.push_back({row, s.from + shift, s.rate});
}

bool Collocation::solve_stages(double h, bool corrected) {
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
      for (std::size_t c = 0; c < columns_; ++c) right[c * length + s * rows_ + i] += capacity_[i] * x_[c * rows_ + i];
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
    change_ = linalg::worse(change_, largest_change(now, stage_[s]));
    stage_[s] = std::move(now);
  }
  find_held(h);
  return true;
}

bool Collocation::solve_all(const std::vector<linalg::Entry>& entries, std::vector<double>& right) const {
  linalg::SparseLu lu;
  if (!lu.factorise(linalg::compress(static_cast<int>(stages * rows_), entries))) return false;
  lu.solve(right, columns_);
  std::vector<std::size_t> all(columns_);
  std::iota(all.begin(), all.end(), std::size_t{0});
  refine_passing(lu, right, all);
  return true;
}

void Collocation::refine_passing(linalg::SparseLu& lu, std::vector<double>& solution,
                                 std::span<const std::size_t> which) const {
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

bool Collocation::solve_drawn(double h, bool corrected, const std::vector<linalg::Entry>& entries,
                              std::vector<double>& right) {
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
          with_draws.push_back(
              {static_cast<int>(s * rows_ + i), static_cast<int>(j * rows_ + i), weight * draw.slope * (1.0 - before)});
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

}  // namespace leanside::transport
