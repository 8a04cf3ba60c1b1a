// SPDX-License-Identifier: Apache-2.0
/// Air change from the decay of a tracer gas.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/diagnostic.hpp"
#include "leanside/result.hpp"
#include "leanside/site.hpp"

namespace leanside {

/// Measured concentrations of a tracer gas, in whatever unit they were read, the background taken off.
struct TracerData {
  std::vector<SpaceIndex> spaces;
  std::vector<double> time;                ///< s from the first reading, ascending
  std::vector<std::vector<double>> value;  ///< readings x spaces; not-a-number: not read
  double background = 0.0;                 ///< in the unit of the readings; was taken off
  std::string unit;                        ///< as the file has it: "ppm"
};

/// Reads `time_s` (or `time_min`, `time_h`, or `clock` as 14:05 or 14:05:30, past midnight too) and a column a space
/// (its id) of comma-separated values; lines that start with # are comments, of which `# background = 412 ppm` counts.
/// Every fault with its place.
Result<TracerData> parse_tracer(std::string_view text, const std::string& file_name, const Site& site,
                                std::optional<double> background);

/// A value with its confidence interval.
struct Estimate {
  double value = 0.0;
  double low = 0.0, high = 0.0;
};

struct TracerFlow {
  Side from, to;
  Estimate flow;  ///< m3/s at the temperature of where it comes from
};

struct TracerSpace {
  SpaceIndex space;
  Estimate air_change;  ///< 1/s, of air from outside alone
  Estimate fresh;       ///< m3/s of air from outside
  double start = 0.0;   ///< fitted concentration at time 0 over the background
};

struct TracerFit {
  std::vector<TracerSpace> spaces;
  std::vector<TracerFlow> flows;  ///< between spaces and to and from outside; those that the data put at 0 too
  double confidence = 0.95;
  std::size_t readings = 0;
  /// Standard deviation of reading over fit: relative, or where a fixed error is given in the unit of the readings.
  double scatter = 0.0;
  std::optional<double> fixed_error;  ///< as given
  double background = 0.0;
  std::string unit;
  double duration = 0.0;              ///< s
  std::vector<std::string> cautions;  ///< what speaks against trusting the result
  std::vector<Assumption> assumptions;
};

/// The flows that explain a decay best, by least squares of the logarithms in one space (the regression of ASTM E741)
/// and of the relative deviations in several, flows not below 0 and balanced in every space. With `fixed_error`, the
/// standard deviation of every reading in its own unit, by least squares of the readings themselves. Intervals are
/// those of the fit without bounds, cut at 0; in several spaces their variance is the one that holds whatever the
/// errors depend on (HC3, J. G. MacKinnon and H. White, J. Econometrics 29 (1985) 305, from memory). Faults: fewer
/// readings than it takes, a rise where only a decay can be explained, without `fixed_error` values at or below the
/// background in one space.
Result<TracerFit> fit_tracer(const Site& site, const TracerData& data, double confidence = 0.95,
                             std::optional<double> fixed_error = {});

}  // namespace leanside
