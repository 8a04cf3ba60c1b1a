// SPDX-License-Identifier: Apache-2.0
// Questions about graphs, and the sparse linear algebra behind the solvers.
#include "base/graph/graph.hpp"

#include <random>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "base/linalg/sparse.hpp"

namespace leanside {
namespace {

TEST(Graph, ConnectedPartsIgnoreDirection) {
  const std::vector<network::Edge> edges{{0, 1}, {2, 1}, {3, 4}};
  const auto parts = network::connected_parts(6, edges);
  EXPECT_EQ(parts.count, 3);
  EXPECT_EQ(parts.part_of[0], parts.part_of[2]);
  EXPECT_NE(parts.part_of[0], parts.part_of[3]);
  EXPECT_EQ(parts.of(parts.part_of[5]).size(), 1u);
}

TEST(Graph, StrongPartsComeDownstreamAfterUpstream) {
  std::mt19937 random(3);
  for (int trial = 0; trial < 100; ++trial) {
    const int n = 1 + static_cast<int>(random() % 20);
    std::vector<network::Edge> edges;
    for (int k = 0; k < 2 * n; ++k) {
      edges.push_back({static_cast<int>(random() % static_cast<unsigned>(n)),
                       static_cast<int>(random() % static_cast<unsigned>(n))});
    }
    const auto parts = network::strong_parts(n, edges);
    for (const auto& e : edges) {
      EXPECT_LE(parts.part_of[static_cast<std::size_t>(e.from)], parts.part_of[static_cast<std::size_t>(e.to)]);
    }
    // Two vertices are in one part where each is reachable from the other.
    for (int a = 0; a < n; ++a) {
      const int source[] = {a};
      const auto from_a = network::reachable(n, edges, source);
      for (int b = 0; b < n; ++b) {
        const int other[] = {b};
        const auto from_b = network::reachable(n, edges, other);
        const bool both = from_a[static_cast<std::size_t>(b)] && from_b[static_cast<std::size_t>(a)];
        EXPECT_EQ(parts.part_of[static_cast<std::size_t>(a)] == parts.part_of[static_cast<std::size_t>(b)], both);
      }
    }
  }
}

TEST(Graph, AnEmptyGraphHasNoParts) {
  EXPECT_EQ(network::connected_parts(0, {}).count, 0);
  EXPECT_EQ(network::strong_parts(0, {}).count, 0);
  EXPECT_TRUE(network::reachable(0, {}, {}).empty());
}

TEST(SparseLu, AgreesWithADenseSolution) {
  std::mt19937 random(5);
  const int n = 40;
  std::vector<linalg::Entry> entries;
  Eigen::MatrixXd dense = Eigen::MatrixXd::Zero(n, n);
  const auto add = [&](int i, int j, double v) {
    entries.push_back({static_cast<std::size_t>(i), static_cast<std::size_t>(j), v});
    dense(i, j) += v;
  };
  for (int k = 0; k < 200; ++k) add(static_cast<int>(random() % n), static_cast<int>(random() % n), 0.01);
  for (int i = 0; i < n; ++i) add(i, i, 3.0 + i);
  linalg::SparseMatrix matrix = linalg::compress(n, entries);
  linalg::SparseLu lu;
  for (const double shift : {0.0, 10.0}) {  // the second time with the pattern known
    for (int i = 0; i < n; ++i) matrix.value[matrix.diagonal[static_cast<std::size_t>(i)]] += shift;
    const Eigen::MatrixXd shifted = dense + shift * Eigen::MatrixXd::Identity(n, n);
    ASSERT_TRUE(lu.factorise(matrix));
    Eigen::MatrixXd b = Eigen::MatrixXd::Random(n, 2);
    Eigen::MatrixXd x = b, y = b;
    lu.solve({x.data(), static_cast<std::size_t>(x.size())}, 2);
    lu.solve_transposed({y.data(), static_cast<std::size_t>(y.size())}, 2);
    EXPECT_LT((shifted * x - b).norm(), 1e-12);
    EXPECT_LT((shifted.transpose() * y - b).norm(), 1e-12);
    Eigen::VectorXd product = Eigen::VectorXd::Zero(n);
    linalg::multiply_add(matrix, 2.0, {x.data(), static_cast<std::size_t>(n)},
                         {product.data(), static_cast<std::size_t>(n)});
    EXPECT_LT((product - 2.0 * b.col(0)).norm(), 1e-11);
  }
}

TEST(SparseLu, SingularMatrixIsRefused) {
  const std::vector<linalg::Entry> entries{{0, 0, 1.0}, {0, 1, -1.0}, {1, 0, -1.0}, {1, 1, 1.0}};
  linalg::SparseLu lu;
  EXPECT_FALSE(lu.factorise(linalg::compress(2, entries)));
}

TEST(Potentials, LadderOfConductances) {
  // ground - 0 - 1: one unit into 1 flows through both links.
  const std::vector<linalg::Conductance> links{{0, linalg::Conductance::ground}, {1, 0}};
  const std::vector<double> injection{0.0, 1.0};
  const auto p = linalg::potentials(2, links, injection);
  EXPECT_NEAR(p[0], 1.0, 1e-15);
  EXPECT_NEAR(p[1], 2.0, 1e-15);
}

}  // namespace
}  // namespace leanside
