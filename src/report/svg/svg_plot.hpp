// SPDX-License-Identifier: Apache-2.0
/// A course in time as inline SVG: levels, events, values on hover and focus. Knows nothing of gases.
#pragma once

#include <functional>
#include <string>
#include <vector>

namespace leanside::report {

struct PlotPoint {
  double time = 0.0;   ///< s
  double value = 0.0;  ///< as plotted
};

/// A shaded band from one value to another with a word at its right end.
struct PlotBand {
  double low = 0.0, high = 0.0;
  std::string word;
};

/// A horizontal line with a word at its right end.
struct PlotLevel {
  double value = 0.0;
  std::string word;
};

/// A vertical line with a letter on top.
struct PlotEvent {
  double time = 0.0;  ///< s
  std::string letter;
  std::string words;
};

/// A point that matters: shown as a dot that can be reached by keyboard.
struct PlotKey {
  PlotPoint at;
  std::string words;
};

struct Plot {
  std::string title;              ///< what it shows, for those who do not see it too
  std::string value_axis;         ///< "% of the lower limit"
  std::string time_axis;          ///< "time after the start"; the unit is added
  std::vector<PlotPoint> points;  ///< ascending in time, at least one
  std::vector<PlotLevel> levels;
  std::vector<PlotBand> bands;
  std::vector<PlotEvent> events;
  std::vector<PlotKey> keys;
  double end = 1.0;              ///< s, of the time axis
  double low = 0.0, high = 1.0;  ///< of the value axis
  /// Where the scale changes: below it takes half of the height, all above it the other half. Not above `low`: nowhere.
  double split = 0.0;
  std::function<std::string(double)> value_words;  ///< a value as it is shown
  std::string remark = {};                         ///< on how it was made, a sentence for below it
};

/// Value at `time`, between points on the straight line through them.
double value_at(const std::vector<PlotPoint>& points, double time);

/// Fewest of the points whose line stays within `tolerance` of all of them, in units of `scale_time` and `scale_value`
/// (Ramer 1972, Douglas and Peucker 1973).
std::vector<PlotPoint> thinned(const std::vector<PlotPoint>& points, double scale_time, double scale_value,
                               double tolerance);

/// The whole <svg>. User texts in it are escaped here.
std::string svg_plot(const Plot& plot);

}  // namespace leanside::report
