// SPDX-License-Identifier: Apache-2.0
#include "base/linalg/anderson.hpp"

#include <Eigen/QR>

namespace leanside::linalg {

std::vector<double> Anderson::next(std::span<const double> x, std::span<const double> g,
                                   std::span<const double> scale) {
  std::vector<double> change(x.size());
  for (std::size_t k = 0; k < x.size(); ++k) change[k] = (g[k] - x[k]) / scale[k];
  points_.emplace_back(g.begin(), g.end());
  changes_.push_back(std::move(change));
  if (points_.size() > depth_ + 1) {
    points_.pop_front();
    changes_.pop_front();
  }
  std::vector<double> result = points_.back();
  const std::size_t earlier = points_.size() - 1;
  if (earlier == 0) return result;
  const auto rows = static_cast<Eigen::Index>(x.size()), columns = static_cast<Eigen::Index>(earlier);
  Eigen::MatrixXd differences(rows, columns);
  const auto column_of = [&](const std::vector<double>& v) {
    return Eigen::Map<const Eigen::VectorXd>(v.data(), rows);
  };
  for (std::size_t j = 0; j < earlier; ++j) {
    differences.col(static_cast<Eigen::Index>(j)) = column_of(changes_[j + 1]) - column_of(changes_[j]);
  }
  if (!differences.allFinite()) return result;
  Eigen::ColPivHouseholderQR<Eigen::MatrixXd> qr(differences);
  qr.setThreshold(1e-10);
  const Eigen::VectorXd weight = qr.solve(column_of(changes_.back()));
  if (!weight.allFinite()) return result;
  for (std::size_t j = 0; j < earlier; ++j) {
    const double w = weight[static_cast<Eigen::Index>(j)];
    for (std::size_t k = 0; k < result.size(); ++k) result[k] -= w * (points_[j + 1][k] - points_[j][k]);
  }
  return result;
}

}  // namespace leanside::linalg
