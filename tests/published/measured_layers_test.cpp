// SPDX-License-Identifier: Apache-2.0
// Layered rooms compared with measurement: helium released in a quarter-scale garage with small vents.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "leanside/advanced/plumes.hpp"
#include "published/run.hpp"
#include "support/paths.hpp"

namespace {

using namespace published;
using namespace leanside;
using leanside::testing::SiteBuilder;

constexpr int sensors = 7;
constexpr double height = 0.75, floor_area = 2.25;  // m, m2
/// The gas came late by 20 to 30 s: found from the helium in the box in the first minutes of the tests of one hour.
constexpr double late = 30.0;

struct Garage {
  std::string id;
  double passes_4_percent = 0.0;                  ///< s
  std::vector<double> times;                      ///< s
  std::vector<std::array<double, sensors>> read;  ///< vol %, from the lowest sensor up
  double release() const { return std::stod(id); }
  std::string place() const { return id.substr(id.find('_') + 1, 2); }
  std::string vents() const { return id.substr(id.size() - 3); }
};

std::vector<Garage> garages() {
  std::ifstream file(leanside::testing::source_path("tests/published/measured/helium_garage.csv"));
  std::vector<Garage> out;
  for (std::string line; std::getline(file, line);) {
    if (line.starts_with("#")) continue;
    std::istringstream in(line);
    std::vector<std::string> words;
    for (std::string word; std::getline(in, word, ',');) words.push_back(word);
    if (words[0] == "test") {
      out.push_back({words[1], std::stod(words[2]), {}, {}});
      continue;
    }
    out.back().times.push_back(std::stod(words[0]));
    std::array<double, sensors> reading{};
    for (std::size_t k = 0; k < sensors; ++k) reading[k] = std::stod(words[k + 1]);
    out.back().read.push_back(reading);
  }
  return out;
}

Site site_of(const Garage& garage) {
  SiteBuilder build;
  build.site.conditions.temperature = build.site.conditions.outside_temperature = 294.15;
  Gas helium;
  helium.substance = named("helium");
  const auto gas = build.gas(helium);
  const auto room = build.space("garage", floor_area * height);
  Space& space = build.site.spaces[room.value];
  space.floor_area = floor_area;
  space.height = height;
  space.stratification = Stratification::layered;
  const double side = garage.vents() == "SSV" ? 0.024 : garage.vents() == "SLV" ? 0.0305 : 0.0215;
  const auto vent = [&](double sill) {
    build.airway(fmt::format("vent at {} m", sill), Doorway{room, std::nullopt, side, side, sill, 1.0, 0.69});
  };
  if (garage.vents() == "ULV") {
    vent(0.025);
    vent(height - 0.025 - side);
  } else {
    vent(0.5 * (height - side));
  }
  const double rate = 14.95 / 60000.0 * 3600.0 / garage.release();
  const auto release = build.release("tube", room, gas, SteadyRelease{build.molar(rate), garage.release()});
  build.site.releases[release.value].height = garage.place() == "UC" ? 0.54 : 0.207;
  return build.site;
}

/// vol % at a sensor.
double at_sensor(const LayerState& state, int sensor) {
  const double share = 1.0 - state.interface_height / height, gas = state.upper[0], below = state.lower[0];
  const double bend = far_end_bend(share, gas, below, gas);
  return 100.0 * fraction_at(gas, below, state.far_end[0], bend, share, (sensor + 1.0) / (sensors + 1.0));
}

/// The room at each of `times`, s, ascending, and at every half minute of the first half hour for `each`.
struct Course {
  std::map<double, LayerState> states;
  double balance_error = 0.0;
};
Course course_of(const Site& site, std::vector<double> times) {
  for (double t = 5.0; t < 1800.0; t += 5.0) times.push_back(t);
  std::sort(times.begin(), times.end());
  Course course;
  std::size_t next = 0;
  const auto see = [&](const LayerPiece& piece) {
    for (; next < times.size() && times[next] <= piece.lower.end + 1e-9; ++next) {
      const double s = piece.lower.position_at(times[next]);
      const auto value = [&](const DensePiece& of) { return bernstein_value(of.coefficients, s); };
      LayerState state{piece.lower.space,
                       true,
                       bernstein_value(piece.interface_height, s),
                       {value(piece.lower)},
                       {value(piece.upper)},
                       {value(piece.far_end)}};
      course.states[times[next]] = state;
    }
  };
  auto result = solve_transient(site, CaseIndex{0}, gas_tracers(site), times.back(), {}, see);
  if (const auto* fault = std::get_if<Fault>(&result)) {
    ADD_FAILURE() << fault->message;
  } else {
    course.balance_error = std::get<TransientResult>(result).balance[0].relative_error();
  }
  return course;
}

/// Measured and computed vol % of a reading.
struct Pair {
  double measured, computed;
};

/// What is compared of one test.
struct Found {
  double rms = 0.0;               ///< vol %
  Pair highest{}, after{};        ///< vol %, the highest of all readings; of those an hour or more after the release
  double passes_4_percent = 0.0;  ///< s after the release began
  std::vector<Pair> all;
};

Found compare(const Garage& garage) {
  std::vector<double> times;
  for (const double t : garage.times) times.push_back(t - late);
  const Course course = course_of(site_of(garage), times);
  Found found;
  EXPECT_LT(course.balance_error, 1e-9) << garage.id;
  for (std::size_t k = 0; k < times.size(); ++k) {
    const bool after = garage.times[k] >= garage.release() + 3600.0 && found.after.measured == 0.0;
    for (int sensor = 0; sensor < sensors; ++sensor) {
      const Pair pair{garage.read[k][static_cast<std::size_t>(sensor)], at_sensor(course.states.at(times[k]), sensor)};
      found.all.push_back(pair);
      found.rms += (pair.computed - pair.measured) * (pair.computed - pair.measured);
      found.highest.measured = std::max(found.highest.measured, pair.measured);
      found.highest.computed = std::max(found.highest.computed, pair.computed);
    }
    if (!after) continue;
    for (int sensor = 0; sensor < sensors; ++sensor) {
      const Pair& pair = found.all[found.all.size() - sensors + static_cast<std::size_t>(sensor)];
      found.after.measured = std::max(found.after.measured, pair.measured);
      found.after.computed = std::max(found.after.computed, pair.computed);
    }
  }
  found.rms = std::sqrt(found.rms / static_cast<double>(found.all.size()));
  for (const auto& [time, state] : course.states) {
    if (at_sensor(state, sensors - 1) < 4.0) continue;
    found.passes_4_percent = time;
    break;
  }
  return found;
}

/// Every reading as a dot, measured to the right and computed upwards.
std::string plot(const std::vector<Pair>& pairs) {
  constexpr double most = 60.0, size = 480.0, left = 60.0, top = 20.0;
  const auto x = [&](double v) { return left + v / most * size; };
  const auto y = [&](double v) { return top + size - v / most * size; };
  std::string out =
      "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 560 560\" font-family=\"sans-serif\" font-size=\"14\">\n"
      "<title>Helium in a quarter-scale garage: measured and computed</title>\n"
      "<rect width=\"560\" height=\"560\" fill=\"white\"/>\n";
  const auto line = [&](double x1, double y1, double x2, double y2, const char* colour) {
    out +=
        fmt::format("<path d=\"M{:.0f} {:.0f}L{:.0f} {:.0f}\" stroke=\"{}\"/>\n", x(x1), y(y1), x(x2), y(y2), colour);
  };
  for (int v = 0; v <= 60; v += 10) {
    line(v, 0, v, most, "#ddd");
    line(0, v, most, v, "#ddd");
    out += fmt::format("<text x=\"{:.0f}\" y=\"{:.0f}\" text-anchor=\"middle\">{}</text>\n", x(v), y(0) + 20, v);
    out += fmt::format("<text x=\"{:.0f}\" y=\"{:.0f}\" text-anchor=\"end\">{}</text>\n", left - 8, y(v) + 5, v);
  }
  line(0, 0, most, most, "#000");
  out +=
      "<text x=\"300\" y=\"550\" text-anchor=\"middle\">measured, vol %</text>\n"
      "<text transform=\"translate(18 260) rotate(-90)\" text-anchor=\"middle\">computed, vol %</text>\n"
      "<g fill=\"#1f5f9f\" fill-opacity=\"0.5\">\n";
  for (const Pair& pair : pairs) {
    out += fmt::format("<circle cx=\"{:.0f}\" cy=\"{:.0f}\" r=\"2\"/>\n", x(std::max(0.0, pair.measured)),
                       y(pair.computed));
  }
  return out + "</g>\n</svg>\n";
}

void compare_or_write(const std::string& text) {
  if (const char* const path = std::getenv("LEANSIDE_LAYER_PLOT")) {
    std::ofstream(path) << text;
    return;
  }
  std::ifstream file(leanside::testing::source_path("docs/layers-measured.svg"));
  const std::string kept{std::istreambuf_iterator<char>{file}, {}};
  EXPECT_EQ(kept == text, true) << "docs/layers-measured.svg is out of date; update it as docs/validation.md";
}

TEST(MeasuredLayers, AgreeWithHeliumInAGarage) {
  cite(
      "Helium in a quarter-scale garage",
      "W. M. Pitts, J. C. Yang, K. Prasad and M. G. Fernandez, NISTIR 7694 (2010), records of the NIST fire "
      "experimental database: 1.5 m x 1.5 m x 0.75 m, one or two small vents, helium for one hour (14.95 L/min) or "
      "four "
      "(3.74 L/min); vents, rates and heights from memory, checked against the records. Seven sensors in a column. The "
      "names are those of the tests: place of the tube and vents. Computed times start 30 s after time 0 of the "
      "record, "
      "because the gas came late by 20 to 30 s. 4 vol % is passed at the uppermost sensor. "
      "Tolerance of fractions and of times 30 %, an hour after the release 35 %: the rate is known to 8 %, the areas "
      "of the vents to 5 %, heights to 2 cm in steep gradients. Errors are listed at the top of this page.");
  double rms = 0.0;
  std::size_t tests = 0, missed = 0;
  std::vector<Pair> all;
  for (const Garage& garage : garages()) {
    const Found found = compare(garage);
    expect_within(found.highest.computed, found.highest.measured, 30.0) << garage.id << ": highest reading, vol %";
    EXPECT_GT(found.highest.computed, 0.9 * found.highest.measured) << garage.id;
    expect_within(found.passes_4_percent, garage.passes_4_percent - late, 30.0) << garage.id << ": passes 4 vol %, s";
    EXPECT_LT(found.passes_4_percent, 1.15 * (garage.passes_4_percent - late)) << garage.id;
    if (found.after.measured > 0.0) {
      expect_within(found.after.computed, found.after.measured, 35.0)
          << garage.id << ": highest reading an hour after the release, vol %";
    }
    rms += found.rms;
    ++tests;
    all.insert(all.end(), found.all.begin(), found.all.end());
  }
  ASSERT_EQ(tests, 12u);
  missed = static_cast<std::size_t>(
      std::count_if(all.begin(), all.end(), [](const Pair& p) { return p.measured >= 4.0 && p.computed < 4.0; }));
  rms /= static_cast<double>(tests);
  fmt::print("rms {:.3f} vol %, {} of {} readings of 4 vol % or more computed as less\n", rms, missed, all.size());
  EXPECT_LT(rms, 2.0);
  EXPECT_LT(static_cast<double>(missed), 0.01 * static_cast<double>(all.size()));
  compare_or_write(plot(all));
}

}  // namespace
