// SPDX-License-Identifier: Apache-2.0
#include "transport/coupled/collocation.hpp"

#include <gtest/gtest.h>

namespace leanside::transport {
namespace {

/// One closed cell of 1 mol that gains 1e-6 mol/s of a gas.
Moment filling_cell() {
  Moment moment;
  moment.cells.spaces = moment.cells.count = 1;
  moment.cells.stream_start = {0, 0};
  moment.cells.capacity = {1.0};
  moment.cells.inflow = moment.cells.fresh = moment.cells.outflow = moment.cells.release = {0.0};
  moment.cells.dead = {false};
  moment.cells.space_of = {0};
  moment.source = {1e-6};
  moment.storage = {0.0};
  return moment;
}

std::variant<double, std::string> advance(double longest_step, std::vector<double>& x) {
  const MomentAt moment_at = [](const StagePoint&) { return filling_cell(); };
  CoupledStretch stretch{1, 3600.0, moment_at, true, 1e-7, {}, {}};
  stretch.longest_step = [=](double) { return longest_step; };
  std::vector<double> capacity{1.0}, stock, gone{0.0};
  StepCount count;
  return advance_coupled(stretch, x, capacity, stock, gone, count);
}

TEST(Collocation, GivesUpAfterTooManySteps) {
  std::vector<double> x{0.0};
  const auto reached = advance(1.0, x);
  ASSERT_TRUE(std::holds_alternative<double>(reached));
  EXPECT_NEAR(x[0], 3.6e-3, 1e-9);
  x = {0.0};
  const auto given_up = advance(1e-3, x);
  ASSERT_TRUE(std::holds_alternative<std::string>(given_up));
  EXPECT_NE(std::get<std::string>(given_up).find("20000 steps led to 20 s of 1 h"), std::string::npos)
      << std::get<std::string>(given_up);
}

}  // namespace
}  // namespace leanside::transport
