// SPDX-License-Identifier: Apache-2.0
#include "leanside/study/tracer.hpp"

#include <cmath>
#include <limits>
#include <random>
#include <string>
#include <variant>

#include <Eigen/Dense>
#include <gtest/gtest.h>
#include <unsupported/Eigen/MatrixFunctions>

#include "base/linalg/special.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "support/build_site.hpp"

namespace leanside {
namespace {

using testing::SiteBuilder;

// Source: any table of Student's t, two-sided 95 % and 99 % (from memory).
TEST(Tracer, StudentsQuantilesAreThoseOfTheTable) {
  EXPECT_NEAR(linalg::student_quantile(0.975, 1.0), 12.706, 5e-4);
  EXPECT_NEAR(linalg::student_quantile(0.975, 2.0), 4.303, 5e-4);
  EXPECT_NEAR(linalg::student_quantile(0.975, 3.0), 3.182, 5e-4);
  EXPECT_NEAR(linalg::student_quantile(0.975, 10.0), 2.228, 5e-4);
  EXPECT_NEAR(linalg::student_quantile(0.975, 30.0), 2.042, 5e-4);
  EXPECT_NEAR(linalg::student_quantile(0.995, 5.0), 4.032, 5e-4);
  EXPECT_NEAR(linalg::student_quantile(0.975, 1e6), 1.960, 5e-4);
}

/// Spaces of these volumes, m3.
Site rooms(const std::vector<double>& volumes) {
  SiteBuilder b;
  for (std::size_t i = 0; i < volumes.size(); ++i) b.space("room-" + std::to_string(i), volumes[i]);
  return b.site;
}

/// Readings of C0 exp(-n t), each off by a normal deviate of `noise` of itself.
TracerData decay(double rate, double noise, std::uint64_t seed, std::size_t readings = 12, double step = 300.0) {
  std::mt19937_64 dice{seed};
  std::normal_distribution<double> draw{0.0, 1.0};
  TracerData data;
  data.spaces = {SpaceIndex{0}};
  for (std::size_t k = 0; k < readings; ++k) {
    const double t = step * static_cast<double>(k);
    data.time.push_back(t);
    data.value.push_back({800.0 * std::exp(-rate * t) * std::exp(noise * draw(dice))});
  }
  return data;
}

TracerFit fitted(const Site& site, const TracerData& data, double confidence = 0.95) {
  auto outcome = fit_tracer(site, data, confidence);
  const auto* faults = std::get_if<Fault>(&outcome);
  EXPECT_EQ(faults, nullptr) << (faults != nullptr ? faults->diagnostics.front().message : "");
  return faults == nullptr ? std::get<TracerFit>(std::move(outcome)) : TracerFit{};
}

std::string refused(const Site& site, const TracerData& data) {
  const auto outcome = fit_tracer(site, data);
  const auto* faults = std::get_if<Fault>(&outcome);
  return faults == nullptr ? "" : faults->diagnostics.front().message;
}

TEST(Tracer, FitsAnExactDecayExactly) {
  const double rate = 1.3 / 3600.0;
  const TracerFit fit = fitted(rooms({50.0}), decay(rate, 0.0, 1));
  ASSERT_EQ(fit.spaces.size(), 1u);
  EXPECT_NEAR(fit.spaces[0].air_change.value, rate, 1e-12);
  EXPECT_NEAR(fit.spaces[0].fresh.value, 50.0 * rate, 1e-10);
  EXPECT_NEAR(fit.spaces[0].start, 800.0, 1e-8);
  EXPECT_TRUE(fit.cautions.empty());
}

TEST(Tracer, IntervalsHaveTheirCoverage) {
  const double rate = 1.5 / 3600.0;
  int held = 0;
  constexpr int tries = 400;
  for (int k = 0; k < tries; ++k) {
    const TracerFit fit = fitted(rooms({50.0}), decay(rate, 0.03, static_cast<std::uint64_t>(k) + 1), 0.9);
    held += fit.spaces[0].air_change.low <= rate && rate <= fit.spaces[0].air_change.high;
  }
  // 90 %, three standard deviations of the count about it.
  EXPECT_GT(held, 342);
  EXPECT_LT(held, 378);
}

/// Readings of spaces with these flows, m3/s, from[i][j] from i to j, the last index outside; the tracer starts in
/// space 0.
TracerData measured(const std::vector<double>& volumes, const std::vector<std::vector<double>>& flow, double noise,
                    std::uint64_t seed) {
  const auto m = static_cast<Eigen::Index>(volumes.size());
  Eigen::MatrixXd a = Eigen::MatrixXd::Zero(m, m);
  for (Eigen::Index i = 0; i < m; ++i) {
    for (Eigen::Index j = 0; j <= m; ++j) {
      const double in = flow[static_cast<std::size_t>(j)][static_cast<std::size_t>(i)];
      if (j == i) continue;
      a(i, i) -= in / volumes[static_cast<std::size_t>(i)];
      if (j < m) a(i, j) += in / volumes[static_cast<std::size_t>(i)];
    }
  }
  std::mt19937_64 dice{seed};
  std::normal_distribution<double> draw{0.0, 1.0};
  TracerData data;
  Eigen::VectorXd start = Eigen::VectorXd::Zero(m);
  start(0) = 1000.0;
  for (Eigen::Index i = 0; i < m; ++i) data.spaces.push_back(SpaceIndex{static_cast<std::size_t>(i)});
  for (int k = 0; k < 40; ++k) {
    const double t = 180.0 * k;
    const Eigen::VectorXd c = (a * t).exp() * start;
    data.time.push_back(t);
    std::vector<double> row;
    for (Eigen::Index i = 0; i < m; ++i) row.push_back(std::max(0.0, c(i) * (1.0 + noise * draw(dice))));
    data.value.push_back(row);
  }
  return data;
}

double flow_of(const TracerFit& fit, const Side& from, const Side& to, bool* holds = nullptr, double truth = 0.0) {
  for (const TracerFlow& f : fit.flows) {
    if (f.from != from || f.to != to) continue;
    if (holds != nullptr) *holds = f.flow.low <= truth && truth <= f.flow.high;
    return f.flow.value;
  }
  return 0.0;
}

// Two rooms: 60 and 40 m3; 0.02 m3/s from the first to the second, 0.01 back; 0.015 in and 0.005 out of the first.
const std::vector<double> two_volumes = {60.0, 40.0};
const std::vector<std::vector<double>> two_flows = {{0.0, 0.02, 0.005}, {0.01, 0.0, 0.02}, {0.015, 0.01, 0.0}};

TEST(Tracer, FlowsOfTwoSpacesAreFoundFromExactReadings) {
  const Site site = rooms(two_volumes);
  const TracerFit fit = fitted(site, measured(two_volumes, two_flows, 0.0, 1));
  EXPECT_NEAR(flow_of(fit, SpaceIndex{0}, SpaceIndex{1}), 0.02, 1e-6);
  EXPECT_NEAR(flow_of(fit, SpaceIndex{1}, SpaceIndex{0}), 0.01, 1e-6);
  EXPECT_NEAR(flow_of(fit, std::nullopt, SpaceIndex{0}), 0.015, 1e-6);
  EXPECT_NEAR(flow_of(fit, std::nullopt, SpaceIndex{1}), 0.01, 1e-6);
  EXPECT_NEAR(flow_of(fit, SpaceIndex{0}, std::nullopt), 0.005, 1e-6);
  EXPECT_NEAR(flow_of(fit, SpaceIndex{1}, std::nullopt), 0.02, 1e-6);
}

TEST(Tracer, FlowsOfTwoSpacesAreWithinTheirIntervals) {
  const Site site = rooms(two_volumes);
  int held = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const TracerFit fit = fitted(site, measured(two_volumes, two_flows, 0.02, seed), 0.95);
    bool holds = false;
    EXPECT_NEAR(flow_of(fit, SpaceIndex{0}, SpaceIndex{1}, &holds, 0.02), 0.02, 0.003);
    held += holds;
  }
  EXPECT_GE(held, 16);
}

/// How many of `tries` decays have an interval that holds the truth.
constexpr int tries = 400;
constexpr int least_held = 360, most_held = 396;  // 90 to 99 %

TEST(Tracer, IntervalsOfOneSpaceHoldAtEveryNoise) {
  const double rate = 1.5 / 3600.0;
  for (const double noise : {0.005, 0.02, 0.05}) {
    int held = 0;
    for (int k = 0; k < tries; ++k) {
      const TracerFit fit = fitted(rooms({50.0}), decay(rate, noise, static_cast<std::uint64_t>(k) + 1));
      held += fit.spaces[0].air_change.low <= rate && rate <= fit.spaces[0].air_change.high;
    }
    EXPECT_GE(held, least_held) << noise;
    EXPECT_LE(held, most_held) << noise;
  }
}

TEST(Tracer, IntervalsOfOneSpaceHoldForAFixedError) {
  const double rate = 1.5 / 3600.0, error = 15.0;
  int held = 0;
  for (int k = 0; k < tries; ++k) {
    std::mt19937_64 dice{static_cast<std::uint64_t>(k) + 1};
    std::normal_distribution<double> draw{0.0, error};
    TracerData data = decay(rate, 0.0, 1, 20, 300.0);
    for (auto& row : data.value) row[0] += draw(dice);
    auto outcome = fit_tracer(rooms({50.0}), data, 0.95, error);
    ASSERT_TRUE(std::holds_alternative<TracerFit>(outcome));
    const auto& fit = std::get<TracerFit>(outcome);
    held += fit.spaces[0].air_change.low <= rate && rate <= fit.spaces[0].air_change.high;
  }
  EXPECT_GE(held, least_held);
  EXPECT_LE(held, most_held);
}

/// Of every flow between two spaces and outside, how many intervals hold the truth.
void expect_coverage(const std::vector<std::vector<double>>& flows, double noise, double fixed) {
  const Site site = rooms(two_volumes);
  const Side places[] = {SpaceIndex{0}, SpaceIndex{1}, std::nullopt};
  int held[3][3] = {};
  for (int k = 0; k < tries; ++k) {
    TracerData data = measured(two_volumes, flows, noise, static_cast<std::uint64_t>(k) + 1);
    std::mt19937_64 dice{static_cast<std::uint64_t>(k) + 77};
    std::normal_distribution<double> draw{0.0, 1.0};
    for (auto& row : data.value) {
      for (double& value : row) value += fixed * draw(dice);
    }
    const auto outcome = fit_tracer(site, data, 0.95, fixed > 0.0 ? std::optional{fixed} : std::nullopt);
    ASSERT_TRUE(std::holds_alternative<TracerFit>(outcome)) << std::get<Fault>(outcome).message;
    for (std::size_t i = 0; i < 3; ++i) {
      for (std::size_t j = 0; j < 3; ++j) {
        bool holds = false;
        flow_of(std::get<TracerFit>(outcome), places[i], places[j], &holds, flows[i][j]);
        held[i][j] += holds;
      }
    }
  }
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t j = 0; j < 3; ++j) {
      if (i == j) continue;
      EXPECT_GE(held[i][j], least_held) << "from " << i << " to " << j << ", noise " << noise << ", fixed " << fixed;
      // An interval is cut at 0, where the truth may lie: it then holds one side for certain.
      const int most = flows[i][j] > 0.0 ? most_held : tries;
      EXPECT_LE(held[i][j], most) << "from " << i << " to " << j << ", noise " << noise << ", fixed " << fixed;
    }
  }
}

TEST(Tracer, IntervalsOfTwoSpacesHoldAtEveryNoise) {
  for (const double noise : {0.005, 0.02, 0.05}) expect_coverage(two_flows, noise, 0.0);
}

TEST(Tracer, IntervalsOfTwoSpacesHoldForAFixedError) { expect_coverage(two_flows, 0.0, 15.0); }

TEST(Tracer, IntervalsOfFlowsAtZeroHold) {
  // Nothing comes back from the second room, and none goes out of the first.
  expect_coverage({{0.0, 0.02, 0.0}, {0.0, 0.0, 0.03}, {0.02, 0.01, 0.0}}, 0.02, 0.0);
}

TEST(Tracer, ReadsClockTimesPastMidnight) {
  const Site site = rooms({50.0});
  const auto read = parse_tracer("# background = 0\nclock,room-0\n23:50,900\n23:55:30,800\n00:01,700\n00:10,600\n",
                                 "readings.csv", site, {});
  ASSERT_TRUE(std::holds_alternative<TracerData>(read)) << std::get<Fault>(read).message;
  EXPECT_EQ(std::get<TracerData>(read).time, (std::vector<double>{0.0, 330.0, 660.0, 1200.0}));
  for (const std::string wrong : {"24:00", "12", "12:60", "1:2:3:4", "noon", "12:-1"}) {
    const auto bad = parse_tracer("# background = 0\nclock,room-0\n" + wrong + ",900\n", "readings.csv", site, {});
    EXPECT_TRUE(std::holds_alternative<Fault>(bad)) << wrong;
  }
}

TEST(Tracer, ThreeSpacesInARow) {
  const std::vector<double> volumes = {30.0, 50.0, 40.0};
  const std::vector<std::vector<double>> flow = {
      {0.0, 0.02, 0.0, 0.0}, {0.0, 0.0, 0.03, 0.0}, {0.0, 0.0, 0.0, 0.03}, {0.02, 0.01, 0.0, 0.0}};
  const TracerFit fit = fitted(rooms(volumes), measured(volumes, flow, 0.0, 1));
  EXPECT_NEAR(flow_of(fit, SpaceIndex{0}, SpaceIndex{1}), 0.02, 2e-4);
  EXPECT_NEAR(flow_of(fit, SpaceIndex{1}, SpaceIndex{2}), 0.03, 2e-4);
  EXPECT_NEAR(flow_of(fit, SpaceIndex{2}, SpaceIndex{1}), 0.0, 2e-4);
  EXPECT_NEAR(flow_of(fit, std::nullopt, SpaceIndex{1}), 0.01, 2e-4);
}

TEST(Tracer, WrittenSiteFileHasTheFlows) {
  const Site site = rooms(two_volumes);
  const TracerFit fit = fitted(site, measured(two_volumes, two_flows, 0.0, 1));
  const SiteReading reading = parse_site(tracer_site_file(site, fit), "measured.toml", built_in_substances());
  ASSERT_NE(reading.usable(), nullptr) << to_text(reading.diagnostics.front());
  const Site& again = *reading.usable();
  EXPECT_EQ(again.spaces.size(), 2u);
  EXPECT_EQ(again.airways.size(), fit.flows.size());
  EXPECT_EQ(std::get<Fan>(again.airways[0].kind).flow, fit.flows[0].flow.value);
  const auto flows = balance_flows(again, state_at(again, CaseIndex{0}, 0.0));
  ASSERT_TRUE(std::holds_alternative<FlowField>(flows));
  for (const AssumedLeak& leak : std::get<FlowField>(flows).leaks) EXPECT_NEAR(leak.rate, 0.0, 1e-6);
}

TEST(Tracer, ReportsBadData) {
  const Site site = rooms({50.0});
  TracerData short_one = decay(1e-3, 0.0, 1, 2);
  EXPECT_NE(refused(site, short_one).find("2 readings"), std::string::npos);
  TracerData rising = decay(-1e-4, 0.0, 1);
  EXPECT_NE(refused(site, rising).find("rises"), std::string::npos) << refused(site, rising);
  TracerData flat = decay(0.0, 0.0, 1);
  EXPECT_NE(refused(site, flat).find("does not fall"), std::string::npos) << refused(site, flat);
  TracerData gone = decay(1e-3, 0.0, 1);
  gone.value.back()[0] = -0.5;
  EXPECT_NE(refused(site, gone).find("background"), std::string::npos);
  const TracerFit slow = fitted(site, decay(1e-5, 0.0, 1));
  ASSERT_FALSE(slow.cautions.empty());
  EXPECT_NE(slow.cautions[0].find("halved"), std::string::npos);
}

TEST(Tracer, WarnsOfAWrongBackground) {
  TracerData data = decay(2.0 / 3600.0, 0.001, 1, 30, 240.0);
  for (auto& row : data.value) row[0] += 60.0;
  const TracerFit fit = fitted(rooms({50.0}), data);
  ASSERT_FALSE(fit.cautions.empty());
  EXPECT_NE(fit.cautions.back().find("bend"), std::string::npos);
}

std::string first_fault(const std::string& text, std::optional<double> background = 0.0) {
  const auto outcome = parse_tracer(text, "data.csv", rooms({50.0, 20.0}), background);
  const auto* faults = std::get_if<Fault>(&outcome);
  return faults == nullptr ? "" : to_text(faults->diagnostics.front());
}

TEST(Tracer, ReadingsAreReadWithTheirBackground) {
  const auto outcome = parse_tracer("# background = 400 ppm\ntime_min, room-1 ,room-0\n\n10,900,\n20.5,650,1000\n",
                                    "d.csv", rooms({50.0, 20.0}), std::nullopt);
  ASSERT_TRUE(std::holds_alternative<TracerData>(outcome));
  const auto& data = std::get<TracerData>(outcome);
  EXPECT_EQ(data.spaces, (std::vector<SpaceIndex>{SpaceIndex{1}, SpaceIndex{0}}));
  EXPECT_EQ(data.unit, "ppm");
  ASSERT_EQ(data.time.size(), 2u);
  EXPECT_EQ(data.time[0], 0.0);
  EXPECT_EQ(data.time[1], 630.0);
  EXPECT_EQ(data.value[0][0], 500.0);
  EXPECT_TRUE(std::isnan(data.value[0][1]));
  EXPECT_EQ(data.value[1][1], 600.0);
}

TEST(Tracer, ReportsEveryFaultWithItsLine) {
  const std::vector<std::pair<std::string, std::string>> cases = {
      {"time,room-0\n0,1\n", "data.csv:1: error: the first column is 'time'"},
      {"time_s,rom-0\n0,1\n", "did you mean 'room-0'?"},
      {"time_s;room-0\n0;1\n", "parted by ';'"},
      {"time_s,room-0,room-0\n", "twice"},
      {"time_s,room-0\n0,1\n0,2\n", "data.csv:3"},
      {"time_s,room-0\n0,1\n40000000,2\n", "data.csv:3: error: time: found '40000000', more than a year on"},
      {"time_min,room-0\n1e95,1\n", "data.csv:2: error: time: found '1e95', more than a year on"},
      {"time_s,room-0\n0,1\n1e-9,2\n", "data.csv:3: error: time: found '1e-9', less than a thousandth of a second"},
      {"time_s,room-0\n0,1,5\n", "point"},
      {"time_s,room-0\n0,x\n", "found 'x'"},
      {"time_s,room-0\n0,-4\n", "not negative"},
      {"time_s,room-0\n0,nan\n", "found 'nan'"},
      {"time_s\n", "no column"},
      {"", "no header"},
      {std::string("time_s\0", 7), "bytes of zero"},
      {"# background = much\ntime_s,room-0\n", "found 'much'"}};
  for (const auto& [text, part] : cases) {
    EXPECT_NE(first_fault(text).find(part), std::string::npos) << text << first_fault(text);
  }
  EXPECT_NE(first_fault("time_s,room-0\n0,5\n", std::nullopt).find("background is not given"), std::string::npos);
}

TEST(Tracer, LimitsTheNumberOfFaults) {
  const std::string table = "# background = 0 ppm\ntime_s" + std::string(200, ',') + "\n0,1\n";
  const auto outcome = parse_tracer(table, "many.csv", rooms({50.0, 20.0}), {});
  const auto* faults = std::get_if<Fault>(&outcome);
  ASSERT_NE(faults, nullptr);
  EXPECT_EQ(faults->diagnostics.size(), 20U);
}

TEST(Tracer, TextGivesIntervalsAndTheCaution) {
  const Site site = rooms(two_volumes);
  const std::string text = tracer_text(site, fitted(site, measured(two_volumes, two_flows, 0.01, 3)), TextStyle{});
  EXPECT_NE(text.find("95 % interval"), std::string::npos) << text;
  EXPECT_NE(text.find("Flows between"), std::string::npos);
  EXPECT_GT(text.rfind("Caution"), text.find("Assumptions"));
}

}  // namespace
}  // namespace leanside
