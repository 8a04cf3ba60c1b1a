// SPDX-License-Identifier: Apache-2.0
// What each release brought, found backwards in time, against every release followed forwards.
#include "transport/linear/origins.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

#include <gtest/gtest.h>

#include "leanside/advanced/transport.hpp"
#include "support/build_site.hpp"
#include "support/reference_sites.hpp"
#include "transport/steady/steady_system.hpp"
#include "transport/transient/segments.hpp"

namespace {

using leanside::CaseIndex;
using leanside::DensePiece;
using leanside::Site;
using leanside::SpaceIndex;
namespace transport = leanside::transport;

/// All columns in one space at one time, forwards: before and after where the pieces do not join.
std::vector<std::vector<double>> forwards(const Site& site, CaseIndex case_index, const transport::Question& question) {
  const auto tracers = leanside::cause_tracers(site).tracers;
  std::vector<std::vector<double>> found;
  const auto observe = [&](const DensePiece& piece) {
    if (piece.space != question.space || question.time < piece.begin || question.time > piece.end) return;
    std::vector<double> values;
    for (std::size_t c = 0; c < tracers.size(); ++c) {
      const auto row = piece.coefficients.subspan(c * (leanside::dense_degree + 1), leanside::dense_degree + 1);
      values.push_back(leanside::bernstein_value(row, piece.position_at(question.time)));
    }
    found.push_back(std::move(values));
  };
  const auto solved = leanside::solve_transient(site, case_index, tracers, site.criteria.horizon, observe);
  EXPECT_TRUE(std::holds_alternative<leanside::TransientResult>(solved));
  return found;
}

void expect_same(const std::vector<double>& expected, const std::vector<double>& found) {
  ASSERT_EQ(expected.size(), found.size());
  const double largest = *std::max_element(expected.begin(), expected.end());
  for (std::size_t c = 0; c < expected.size(); ++c) {
    EXPECT_NEAR(expected[c], found[c], 1e-6 * expected[c] + 1e-8 * largest + 1e-16) << "column " << c;
  }
}

void check(const Site& site, CaseIndex case_index, std::span<const transport::Question> questions) {
  auto kept = transport::segments_of(site, case_index, site.criteria.horizon);
  ASSERT_TRUE(std::get_if<0>(&kept));
  ASSERT_TRUE(std::get<0>(kept).has_value());
  auto answered = transport::origins(site, *std::get<0>(kept), questions);
  ASSERT_TRUE(std::get_if<0>(&answered));
  for (std::size_t q = 0; q < questions.size(); ++q) {
    SCOPED_TRACE("space " + std::to_string(questions[q].space.value) + " at " + std::to_string(questions[q].time));
    const auto& origins = std::get<0>(answered)[q];
    const auto expected = forwards(site, case_index, questions[q]);
    if (expected.empty()) {  // no gas ever gets there
      for (const double value : origins.before) EXPECT_EQ(value, 0.0);
      continue;
    }
    if (questions[q].time > 0.0) expect_same(expected.front(), origins.before);
    if (!origins.after.empty()) expect_same(expected.back(), origins.after);
  }
}

TEST(Origins, BackwardsAgreesWithForwardsOnSitesOfEveryKind) {
  for (std::uint64_t seed = 400; seed < 440; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const Site site = reference::random_site(seed, {});
    for (std::size_t c = 0; c < site.cases.size(); ++c) {
      std::vector<transport::Question> questions;
      for (std::size_t i = 0; i < site.spaces.size(); ++i) {
        questions.push_back({SpaceIndex{i}, site.criteria.horizon * (i % 2 == 0 ? 1.0 : 0.37)});
      }
      check(site, CaseIndex{c}, questions);
      if (HasFailure()) return;
    }
  }
}

TEST(Origins, AnswersBothSidesOfABreakpoint) {
  for (std::uint64_t seed = 440; seed < 460; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const Site site = reference::random_site(seed, {});
    for (std::size_t c = 0; c < site.cases.size(); ++c) {
      std::vector<transport::Question> questions;
      for (const auto& event : site.cases[c].events) {
        if (event.at >= site.criteria.horizon) continue;
        for (std::size_t i = 0; i < site.spaces.size(); ++i) questions.push_back({SpaceIndex{i}, event.at});
      }
      check(site, CaseIndex{c}, questions);
      if (HasFailure()) return;
    }
  }
}

TEST(Origins, FollowWhatSpacesStartWithWhereNothingIsReleased) {
  leanside::testing::SiteBuilder b;
  const auto methane = b.methane(), hydrogen = b.hydrogen();
  const auto lab = b.space("lab", 50.0), store = b.space("store", 20.0);
  b.fan("supply", std::nullopt, lab, 0.02);
  b.fan("transfer", lab, store, 0.02);
  b.fan("extract", store, std::nullopt, 0.02);
  b.site.spaces[lab.value].initial = {{methane, 0.03}};
  b.site.spaces[store.value].initial = {{hydrogen, 0.01}};
  b.site.criteria.horizon = 3600.0;
  const std::vector<transport::Question> questions{{lab, 600.0}, {store, 600.0}, {store, 3600.0}};
  check(b.site, CaseIndex{0}, questions);
  // One space fed with clean air: exp(-t/T) of what it held is still there.
  auto kept = transport::segments_of(b.site, CaseIndex{0}, 3600.0);
  auto answered = transport::origins(b.site, *std::get<0>(kept), questions);
  EXPECT_NEAR(std::get<0>(answered)[0].before[0], std::exp(-600.0 * 0.02 / 50.0), 1e-7);
}

TEST(Origins, SteadyStateMatchesAllColumns) {
  for (std::uint64_t seed = 460; seed < 500; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    const Site site = reference::random_site(seed, {});
    const auto tracers = leanside::cause_tracers(site).tracers;
    for (std::size_t c = 0; c < site.cases.size(); ++c) {
      auto built = leanside::SteadySystem::build(site, CaseIndex{c});
      ASSERT_TRUE(std::get_if<0>(&built));
      auto& system = std::get<0>(built);
      const auto solved = system.solve(tracers);
      ASSERT_TRUE(std::get_if<0>(&solved));
      const auto& steady = std::get<0>(solved);
      for (std::size_t i = 0; i < site.spaces.size(); ++i) {
        if (!steady.reached[i]) continue;
        const auto row = steady.fractions.of(SpaceIndex{i});
        expect_same({row.begin(), row.end()}, system.origins(SpaceIndex{i}));
      }
      if (HasFailure()) return;
    }
  }
}

}  // namespace
