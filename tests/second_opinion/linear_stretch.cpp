// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/linear_stretch.hpp"

#include <algorithm>
#include <cmath>

namespace second_opinion {

Block::Block(std::vector<Eigen::Index> spaces, const Matrix& a, const Matrix& b, const Matrix& x, Real length,
             Real growth)
    : spaces_{std::move(spaces)}, length_{0}, growth_{growth} {
  const auto n = static_cast<Eigen::Index>(spaces_.size());
  a_.resize(n, n);
  b_.resize(n, b.cols());
  x_.resize(n, b.cols());
  for (Eigen::Index i = 0; i < n; ++i) {
    const Eigen::Index from = spaces_[static_cast<std::size_t>(i)];
    for (Eigen::Index j = 0; j < n; ++j) a_(i, j) = a(from, spaces_[static_cast<std::size_t>(j)]);
    b_.row(i) = b.row(from);
    x_.row(i) = x.row(from);
  }
  length_ = clock(length);
  const Real fastest = a_.cwiseAbs().rowwise().sum().maxCoeff();
  int doublings = 0;
  shortest_ = length_;
  while (shortest_ * fastest > Real(1) / 32) {
    shortest_ /= 2;
    ++doublings;
  }
  // A Taylor series over the shortest time; then the time is doubled until it covers the whole stretch.
  Matrix term = Matrix::Identity(n, n), passed = term, integral = term * shortest_;
  for (int k = 1; k <= 14; ++k) {
    term = term * a_ * (shortest_ / Real(k));
    passed += term;
    integral += term * (shortest_ / Real(k + 1));
  }
  passed_.push_back(passed);
  gained_.push_back(integral * b_);
  for (int k = 0; k < doublings; ++k) {
    gained_.push_back(passed_.back() * gained_.back() + gained_.back());
    passed_.push_back(passed_.back() * passed_.back());
  }
}

void Block::put(Real since, Matrix& x) const {
  Real rest = std::min(clock(since), length_);
  Matrix now = x_;
  for (std::size_t k = passed_.size(); k-- > 0;) {
    const Real part = std::ldexp(shortest_, static_cast<int>(k));
    if (rest < part) continue;
    rest -= part;
    now = (passed_[k] * now + gained_[k]).eval();
  }
  if (rest > 0) {
    Matrix term = (a_ * now + b_) * rest;
    for (int k = 2; k <= 14; ++k) {
      now += term;
      term = (a_ * term * (rest / Real(k))).eval();
    }
    now += term;
  }
  for (std::size_t i = 0; i < spaces_.size(); ++i) x.row(spaces_[i]) = now.row(static_cast<Eigen::Index>(i));
}

std::unique_ptr<LinearStretch> LinearStretch::make(const Site& site, const Streams& streams, const Matrix& gas,
                                                   const Vector& held, const Matrix& x, Real begin, Real end) {
  const Linear linear = linear_system(site, streams, gas, held);
  const Eigen::Index n = held.size();
  std::vector<Eigen::Index> part(static_cast<std::size_t>(n));
  for (Eigen::Index i = 0; i < n; ++i) part[static_cast<std::size_t>(i)] = i;
  for (Eigen::Index i = 0; i < n; ++i) {
    for (Eigen::Index j = 0; j < n; ++j) {
      if (streams.rate(i, j) > 0) {
        const Eigen::Index from = part[static_cast<std::size_t>(i)], to = part[static_cast<std::size_t>(j)];
        std::replace(part.begin(), part.end(), from, to);
      }
    }
  }
  auto out = std::make_unique<LinearStretch>();
  out->begin = begin;
  out->end = end;
  out->x_ = x;
  out->held_ = held;
  out->gain_ = streams.stored;
  out->out_ = linear.out;
  out->out_gas_ = linear.out_gas;
  for (Eigen::Index g = 0; g < n; ++g) {
    std::vector<Eigen::Index> spaces;
    Real most = 0, least = never;
    for (Eigen::Index i = 0; i < n; ++i) {
      if (part[static_cast<std::size_t>(i)] != g) continue;
      if (site.spaces[static_cast<std::size_t>(i)].kind == Kind::junction) {
        out->junctions_.push_back(i);
        continue;
      }
      spaces.push_back(i);
      most = std::max(most, streams.stored(i) / held(i));
      least = std::min(least, streams.stored(i) / held(i));
    }
    if (spaces.empty()) continue;
    if (most - least > most * 1e-15L) return nullptr;
    out->blocks_.emplace_back(std::move(spaces), linear.a, linear.b, x, end - begin, most);
  }
  return out;
}

Matrix LinearStretch::at(Real time) const {
  Matrix x = x_;
  for (const Block& block : blocks_) block.put(time - begin, x);
  if (junctions_.empty()) return x;
  const Matrix leaves = out_ * x + out_gas_;
  for (const Eigen::Index i : junctions_) x.row(i) = leaves.row(i);
  return x;
}

std::vector<Real> LinearStretch::knots() const {
  std::vector<Real> out{begin};
  Real least = end - begin;
  for (const Block& block : blocks_) least = std::min(least, block.shortest());
  least = std::max(least, (end - begin) * 1e-13L);
  int octaves = 0;
  while (std::ldexp(end - begin, -octaves) > least) ++octaves;
  for (; octaves > 0; --octaves) {
    for (int eighth = 0; eighth < 8; ++eighth) {
      out.push_back(begin + std::ldexp(end - begin, -octaves) * (1 + Real(eighth) / 8));
    }
  }
  out.push_back(end);
  return out;
}

}  // namespace second_opinion
