// SPDX-License-Identifier: Apache-2.0
// Air change from a tracer gas. Each check names its source.
#include "published/run.hpp"

namespace {

using leanside::SpaceIndex;
using namespace published;

TEST(TracerDecay, OfAHouseRoomMatchesThePublishedExample) {
  cite(
      "Air change of a house room from a tracer gas",
      "M. Jayjock, A Simple Tracer Gas Technique to Measure Ventilation (22 July 2013), Jayjock Associates: a house "
      "room of 20 m3, readings of 16, 12.5, 9.7, 7.9 and 4.1 ppm at 0, 0.5, 1.0, 1.4 and 2.8 h. The author uses the "
      "half-life of 1.4 h and finds 9.9 m3/h; a straight line through all logarithms gives 9.735 m3/h, and the two end "
      "points, the average air change of ASTM E741, give 9.73 m3/h. The readings have two figures; tolerance 3 %.");
  const auto site = read("title = \"house room\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"20 m3\"\n");
  const auto data = leanside::parse_tracer(
      "# background = 0 ppm\ntime_h,room\n0,16\n0.5,12.5\n1.0,9.7\n1.4,7.9\n2.8,4.1\n", "readings.csv", site, {});
  ASSERT_TRUE(std::holds_alternative<leanside::TracerData>(data));
  const auto outcome = leanside::fit_tracer(site, std::get<leanside::TracerData>(data));
  ASSERT_TRUE(std::holds_alternative<leanside::TracerFit>(outcome));
  const auto& fit = std::get<leanside::TracerFit>(outcome);
  expect_within(fit.spaces.at(0).fresh.value * 3600.0, 9.9, 3.0, "airflow, m3/h, compared with the half-life");
  expect_within(fit.spaces.at(0).fresh.value * 3600.0, 9.735, 0.05,
                "airflow, m3/h, compared with the straight line through the logarithms");
  EXPECT_LT(fit.spaces[0].fresh.low * 3600.0, 9.735);
  EXPECT_GT(fit.spaces[0].fresh.high * 3600.0, 9.735);
}

TEST(TracerDecay, OfANearAndAFarFieldRecoversTheirFlows) {
  cite("Flows of two zones from a tracer gas",
       "Two spaces, near and far field: M. Nicas, AIHA Journal 57 (1996) 542 (from memory). With volumes of 1 and 99 "
       "m3, 5 m3/min between them and 3 m3/min of fresh air into the far field, the rates of decay are the eigenvalues "
       "-0.029998 and -5.050810 per minute of that pair of equations. The fit recovers the flows from readings made "
       "with them.");
  const auto site = read(
      "title = \"two fields\"\n[[space]]\nid = \"near\"\nkind = \"room\"\nvolume = \"1 m3\"\n"
      "[[space]]\nid = \"far\"\nkind = \"room\"\nvolume = \"99 m3\"\n");
  const double fast = -5.050810, slow = -0.029998;
  // Near field: C_N' = 5 (C_F - C_N); an eigenvector is (1, 1 + lambda/5). All tracer starts near.
  const double a = 1.0 + slow / 5.0, b = 1.0 + fast / 5.0;
  const double share_slow = -b / (a - b), share_fast = a / (a - b);
  std::string table = "# background = 0\ntime_min,near,far\n";
  for (const double t : {0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.7, 1.0, 1.5, 2.0, 5.0, 10.0, 20.0, 30.0, 40.0}) {
    const double s = 1000.0 * share_slow * std::exp(slow * t), f = 1000.0 * share_fast * std::exp(fast * t);
    table += leanside::format_exact(t) + "," + leanside::format_exact(s + f) + "," +
             leanside::format_exact(std::max(0.0, a * s + b * f)) + "\n";
  }
  const auto data = leanside::parse_tracer(table, "readings.csv", site, {});
  ASSERT_TRUE(std::holds_alternative<leanside::TracerData>(data));
  const auto outcome = leanside::fit_tracer(site, std::get<leanside::TracerData>(data));
  ASSERT_TRUE(std::holds_alternative<leanside::TracerFit>(outcome));
  double between = 0.0, fresh = 0.0;
  for (const auto& flow : std::get<leanside::TracerFit>(outcome).flows) {
    if (flow.from == SpaceIndex{1} && flow.to == SpaceIndex{0}) between = 60.0 * flow.flow.value;
    if (!flow.from && flow.to == SpaceIndex{1}) fresh = 60.0 * flow.flow.value;
  }
  expect_within(between, 5.0, 0.2, "flow between the zones, m3/min");
  expect_within(fresh, 3.0, 0.2, "fresh air, m3/min");
}

TEST(TracerDecay, IntervalUsesStudentsT) {
  cite("Confidence interval of an air change",
       "Tables of Student's t, 95 %, two-sided (from memory): 12.706 with one degree of freedom, 4.303 with two, 2.228 "
       "with ten, as ASTM E741 uses them for the slope of the logarithms. Compared here: half the interval over the "
       "standard error of that slope, for readings with a known scatter. Three decimals.");
  const auto site = read("title = \"room\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"20 m3\"\n");
  for (const auto& [readings, t] : {std::pair{3, 12.706}, {4, 4.303}, {12, 2.228}}) {
    std::string table = "# background = 0 ppm\ntime_h,room\n";
    std::vector<double> x, y;
    for (int k = 0; k < readings; ++k) {
      x.push_back(0.1 * k);
      y.push_back(std::log(1000.0) - 0.5 * x.back() + (k % 2 == 0 ? 1e-4 : -1e-4));
      table += leanside::format_exact(x.back()) + "," + leanside::format_exact(std::exp(y.back())) + "\n";
    }
    double mean_x = 0.0, mean_y = 0.0, xx = 0.0, xy = 0.0, left = 0.0;
    for (std::size_t k = 0; k < x.size(); ++k) {
      mean_x += x[k] / readings;
      mean_y += y[k] / readings;
    }
    for (std::size_t k = 0; k < x.size(); ++k) {
      xx += (x[k] - mean_x) * (x[k] - mean_x);
      xy += (x[k] - mean_x) * (y[k] - mean_y);
    }
    for (std::size_t k = 0; k < x.size(); ++k) {
      const double off = y[k] - mean_y - xy / xx * (x[k] - mean_x);
      left += off * off;
    }
    const double standard_error = std::sqrt(left / (readings - 2) / xx);  // 1/h
    const auto data = leanside::parse_tracer(table, "readings.csv", site, {});
    ASSERT_TRUE(std::holds_alternative<leanside::TracerData>(data));
    const auto outcome = leanside::fit_tracer(site, std::get<leanside::TracerData>(data));
    ASSERT_TRUE(std::holds_alternative<leanside::TracerFit>(outcome));
    const auto& change = std::get<leanside::TracerFit>(outcome).spaces.at(0).air_change;
    expect_near(0.5 * (change.high - change.low) * 3600.0 / standard_error, t, 0.001)
        << "Student's t of " << readings << " readings";
  }
}

}  // namespace
