// SPDX-License-Identifier: Apache-2.0
#include "hazard/polynomial.hpp"

#include <algorithm>

#include "base/linalg/special.hpp"

namespace leanside::hazard {
namespace {

/// Halves of a polynomial by de Casteljau's construction.
void halve(const Polynomial& p, Polynomial& left, Polynomial& right) {
  Polynomial b = p;
  left[0] = b[0];
  right[dense_degree] = b[dense_degree];
  for (std::size_t n = dense_degree; n > 0; --n) {
    for (std::size_t j = 0; j < n; ++j) b[j] = 0.5 * (b[j] + b[j + 1]);
    left[dense_degree - n + 1] = b[0];
    right[n - 1] = b[n - 1];
  }
}

/// What lies before s.
Polynomial head_of(const Polynomial& p, double s) {
  Polynomial b = p, head;
  head[0] = b[0];
  for (std::size_t n = dense_degree; n > 0; --n) {
    for (std::size_t j = 0; j < n; ++j) b[j] += s * (b[j + 1] - b[j]);
    head[dense_degree - n + 1] = b[0];
  }
  return head;
}

Polynomial reversed(Polynomial p) {
  std::reverse(p.begin(), p.end());
  return p;
}

constexpr int deepest = 48;  // halvings: far below any time that matters

int sign_changes(const Polynomial& p, double level) {
  int changes = 0;
  for (std::size_t j = 1; j <= dense_degree; ++j) changes += (p[j] >= level) != (p[j - 1] >= level);
  return changes;
}

void search(const Polynomial& p, double level, double from, double to, int depth,
            const std::function<void(double, bool)>& at) {
  const int changes = sign_changes(p, level);
  if (changes == 0) return;
  if (depth == deepest) {
    const bool over_before = p[0] >= level, over_after = p[dense_degree] >= level;
    if (over_before != over_after) at(to, over_after);
    return;
  }
  if (changes == 1) {
    // One change of sign is one root (Descartes).
    const bool upwards = p[dense_degree] >= level;
    const auto excess = [&](double s) { return value_at(p, s) - level; };
    at(from + linalg::bracket_root(excess, 0.0, 1.0, deepest).second * (to - from), upwards);
    return;
  }
  Polynomial left, right;
  halve(p, left, right);
  const double middle = 0.5 * (from + to);
  search(left, level, from, middle, depth + 1, at);
  search(right, level, middle, to, depth + 1, at);
}

void climb(const Polynomial& p, double from, double to, int depth, double slack, Extremum& best) {
  const double bound = largest_coefficient(p);
  if (p[0] > best.value) best = {from, p[0]};
  if (bound <= best.value + slack || depth == deepest) {
    if (p[dense_degree] > best.value) best = {to, p[dense_degree]};
    return;
  }
  if (p[dense_degree] == bound) {
    best = {to, bound};
    return;
  }
  Polynomial left, right;
  halve(p, left, right);
  const double middle = 0.5 * (from + to);
  climb(left, from, middle, depth + 1, slack, best);
  climb(right, middle, to, depth + 1, slack, best);
}

}  // namespace

double value_at(const Polynomial& p, double s) { return bernstein_value(p, s); }
double least_coefficient(const Polynomial& p) { return *std::min_element(p.begin(), p.end()); }
double largest_coefficient(const Polynomial& p) { return *std::max_element(p.begin(), p.end()); }

void passages(const Polynomial& p, double level, const std::function<void(double s, bool upwards)>& at) {
  search(p, level, 0.0, 1.0, 0, at);
}

Polynomial part_of(const Polynomial& p, double from, double to) {
  const Polynomial head = to < 1.0 ? head_of(p, to) : p;
  return from > 0.0 ? reversed(head_of(reversed(head), 1.0 - from / to)) : head;
}

Extremum largest(const Polynomial& p) {
  Extremum best{0.0, p[0]};
  const double slack = 1e-12 * (largest_coefficient(p) - least_coefficient(p));
  climb(p, 0.0, 1.0, 0, slack, best);
  return best;
}

}  // namespace leanside::hazard
