// SPDX-License-Identifier: Apache-2.0
/// balance = "fit": flows of a balancing report that do not add up.
#include <algorithm>
#include <cmath>
#include <random>
#include <string>

#include <gtest/gtest.h>

#include "leanside/site_file.hpp"

namespace leanside {
namespace {

SiteReading reading_of(const std::string& text) { return parse_site(text, "site.toml", built_in_substances()); }

std::string room(const std::string& id) {
  return "[[space]]\nid = \"" + id + "\"\nkind = \"room\"\nvolume = \"50 m3\"\n";
}
std::string fan(const std::string& id, const std::string& from, const std::string& to, double flow) {
  return "[[airway]]\nid = \"" + id + "\"\nkind = \"fan\"\nfrom = \"" + from + "\"\nto = \"" + to + "\"\nflow = \"" +
         std::to_string(flow) + " m3/h\"\n";
}
std::string head(const std::string& within) {
  return "title = \"Report\"\n[conditions]\nbalance = \"fit\"\nbalance_within = \"" + within + "\"\n";
}

double flow(const Site& site, std::size_t i) { return 3600.0 * std::get<Fan>(site.airways[i].kind).flow; }

TEST(FittedFlows, ShareTheDifferenceByTheSquaresOfTheFlows) {
  const auto reading =
      reading_of(head("10 %") + room("a") + fan("in", "outside", "a", 100.0) + fan("out", "a", "outside", 110.0));
  ASSERT_NE(reading.usable(), nullptr);
  const Site& site = *reading.usable();
  // Least ((x-100)/100)^2 + ((x-110)/110)^2.
  const double x = (1.0 / 100.0 + 1.0 / 110.0) / (1.0 / 1e4 + 1.0 / 12100.0);
  EXPECT_NEAR(flow(site, 0), x, 1e-6);
  EXPECT_NEAR(flow(site, 1), x, 1e-6);
  const auto listed = std::count_if(site.assumptions.begin(), site.assumptions.end(),
                                    [](const Assumption& a) { return a.kind == AssumptionKind::fitted_flow; });
  EXPECT_EQ(listed, 2) << "each change is listed";
}

TEST(FittedFlows, BeyondTheToleranceAreRefusedOneByOne) {
  const auto reading =
      reading_of(head("2 %") + room("a") + fan("in", "outside", "a", 100.0) + fan("out", "a", "outside", 110.0));
  EXPECT_EQ(reading.usable(), nullptr);
  const auto errors = std::count_if(reading.diagnostics.begin(), reading.diagnostics.end(),
                                    [](const Diagnostic& d) { return d.level == DiagnosticLevel::error; });
  EXPECT_EQ(errors, 2);
}

TEST(FittedFlows, LeaveRoomsWithAnOpeningOutsideAlone) {
  const auto reading =
      reading_of(head("1 %") + room("a") + fan("in", "outside", "a", 100.0) + fan("out", "a", "outside", 150.0) +
                 "[[airway]]\nid = \"grille\"\nkind = \"opening\"\nbetween = [\"a\", \"outside\"]\n");
  ASSERT_NE(reading.usable(), nullptr);
  EXPECT_NEAR(flow(*reading.usable(), 0), 100.0, 1e-9);
}

/// Any chain of rooms with flows that were measured a few per cent wrong.
TEST(FittedFlows, BalanceEveryRoomAndNoOtherChangeIsSmaller) {
  std::mt19937 random{7};
  std::uniform_real_distribution<double> amount{50.0, 900.0}, error{-0.03, 0.03};
  for (int trial = 0; trial < 50; ++trial) {
    std::string text = head("30 %");
    const int rooms = 2 + trial % 6;
    std::string airways;
    std::vector<double> given;
    const auto add = [&](const std::string& from, const std::string& to, double true_flow) {
      given.push_back(true_flow * (1.0 + error(random)));
      airways += fan("f" + std::to_string(given.size()), from, to, given.back());
    };
    for (int r = 0; r < rooms; ++r) {
      text += room("r" + std::to_string(r));
      const double through = amount(random);
      add("outside", "r" + std::to_string(r), through);
      const double on = r + 1 < rooms ? 0.2 * through : 0.0;
      if (on > 0.0) add("r" + std::to_string(r), "r" + std::to_string(r + 1), on);
      if (on > 0.0) add("r" + std::to_string(r + 1), "outside", on);
      add("r" + std::to_string(r), "outside", through - on);
    }
    const auto reading = reading_of(text + airways);
    ASSERT_NE(reading.usable(), nullptr) << text << airways;
    const Site& site = *reading.usable();
    std::vector<double> net(site.spaces.size(), 0.0);
    double size = 0.0, towards = 0.0;
    for (std::size_t i = 0; i < site.airways.size(); ++i) {
      const auto& one = std::get<Fan>(site.airways[i].kind);
      const double q = 3600.0 * one.flow, written = std::stod(std::to_string(given[i]));
      if (one.from) net[one.from->value] -= q;
      if (one.to) net[one.to->value] += q;
      size += q;
      // At the least the change, weighed, is at right angles to every set of flows that balances, the result itself
      // too.
      towards += (q - written) / (written * written) * q;
    }
    for (const double n : net) EXPECT_NEAR(n, 0.0, 1e-7 * size) << trial;
    EXPECT_NEAR(towards, 0.0, 1e-7) << trial;
  }
}

}  // namespace
}  // namespace leanside
