// SPDX-License-Identifier: Apache-2.0
#include "report/svg/svg_plot.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/text/markup.hpp"
#include "base/text/plain.hpp"
#include "leanside/units.hpp"
#include "report/svg/axis.hpp"
#include "report/svg/draw.hpp"

namespace leanside::report {
namespace {

using html::number;

// One unit is one pixel of a screen where the plot is shown at its own size.
constexpr double width = 440.0, height = 250.0;
constexpr double left = 50.0, right = 86.0, top = 34.0, bottom = 42.0;
constexpr double inner_width = width - left - right, inner_height = height - top - bottom;
constexpr double least_distance = 15.0;  ///< between lines of text

class Frame {
 public:
  explicit Frame(const Plot& plot) : plot_{plot} {}
  double x(double time) const { return left + inner_width * std::clamp(time / plot_.end, 0.0, 1.0); }
  double y(double value) const { return top + inner_height * (1.0 - share(value)); }
  bool is_split() const { return plot_.split > plot_.low; }

 private:
  double share(double value) const {
    const double v = std::clamp(value, plot_.low, plot_.high);
    if (!is_split()) return (v - plot_.low) / (plot_.high - plot_.low);
    if (v <= plot_.split) return 0.5 * (v - plot_.low) / (plot_.split - plot_.low);
    return 0.5 + 0.5 * (v - plot_.split) / (plot_.high - plot_.split);
  }
  const Plot& plot_;
};

std::string svg_text(double x, double y, std::string_view words, std::string_view anchor, std::string_view what = "") {
  return fmt::format("<text x=\"{}\" y=\"{}\" text-anchor=\"{}\"{}>{}</text>", number(x), number(y), anchor,
                     what.empty() ? "" : fmt::format(" class=\"{}\"", what), html::text(words));
}

std::string line(double x1, double y1, double x2, double y2, std::string_view what) {
  return fmt::format("<path class=\"{}\" d=\"M{} {}L{} {}\"/>", what, number(x1), number(y1), number(x2), number(y2));
}

std::string value_axis(const Plot& plot, const Frame& frame) {
  std::vector<Tick> ticks;
  if (frame.is_split()) {
    ticks = round_ticks(plot.low, plot.split, 4).ticks;
    for (const Tick& tick : round_ticks(plot.split, plot.high, 4).ticks) {
      if (tick.value > plot.split * (1.0 + 1e-9)) ticks.push_back(tick);
    }
  } else {
    ticks = round_ticks(plot.low, plot.high, 6).ticks;
  }
  std::string out;
  double last = height;
  for (const Tick& tick : ticks) {
    const double y = frame.y(tick.value);
    if (last - y < least_distance) continue;
    last = y;
    out += line(left - 4.0, y, left, y, "axis") + svg_text(left - 7.0, y + 5.0, tick.label, "end");
  }
  out += svg_text(2.0, 13.0, plot.value_axis, "start", "name");
  if (frame.is_split()) {
    const double y = frame.y(plot.split);
    out += fmt::format("<path class=\"axis\" d=\"M{0} {1}l10 -6M{0} {2}l10 -6\"/>", number(left - 5.0), number(y + 1.0),
                       number(y + 5.0));
  }
  return out;
}

std::string time_axis(const Plot& plot, const Frame& frame) {
  const Ticks ticks = time_ticks(plot.end, 6);
  const double y = height - bottom;
  std::string out;
  for (const Tick& tick : ticks.ticks) {
    const double x = frame.x(tick.value);
    out += line(x, y, x, y + 4.0, "axis") + svg_text(x, y + 19.0, tick.label, "middle");
  }
  return out + svg_text(left + 0.5 * inner_width, height - 6.0, plot.time_axis + ", " + ticks.unit, "middle", "name");
}

/// A word beside the plot, with a line from where it belongs.
struct SideWord {
  double y = 0.0;  ///< px
  std::string word;
};

/// Bands, those of no height left out.
std::string bands(const Plot& plot, const Frame& frame, std::vector<SideWord>& words) {
  std::string out;
  for (const PlotBand& band : plot.bands) {
    const double low = frame.y(band.low), high = frame.y(band.high);
    if (low - high < 1.0) continue;
    out += fmt::format("<rect class=\"band\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>", number(left),
                       number(high), number(inner_width), number(low - high));
    if (low - high > 0.5 * least_distance) words.push_back({0.5 * (low + high), band.word});
  }
  return out;
}

/// Lines of the levels, then all words beside the plot, pushed apart where they would touch.
std::string levels(const Plot& plot, const Frame& frame, std::vector<SideWord> words) {
  std::string out;
  for (const PlotLevel& level : plot.levels) {
    if (level.value < plot.low || level.value > plot.high) continue;
    const double y = frame.y(level.value);
    out += line(left, y, width - right, y, "level");
    words.push_back({y, level.word});
  }
  std::stable_sort(words.begin(), words.end(), [](const SideWord& a, const SideWord& b) { return a.y < b.y; });
  std::vector<double> places;
  for (const SideWord& word : words) places.push_back(word.y);
  svg::push_apart(places, least_distance, top + 2.0, height - bottom);
  for (std::size_t i = 0; i < words.size(); ++i) {
    out += line(width - right, words[i].y, width - right + 6.0, places[i], "lead") +
           svg_text(width - right + 8.0, places[i] + 5.0, words[i].word, "start");
  }
  return out;
}

std::string events(const Plot& plot, const Frame& frame) {
  std::string out;
  double last = -height;
  for (const PlotEvent& event : plot.events) {
    if (event.time > plot.end * (1.0 + 1e-9)) continue;
    const double x = frame.x(event.time);
    out += "<g>" + fmt::format("<title>{}</title>", html::text(event.letter + ": " + event.words));
    out += line(x, top - 4.0, x, height - bottom, "event");
    // Letters that would touch are left to the list beside the plot.
    if (x - last >= 12.0) {
      out += svg_text(x, top - 7.0, event.letter, "middle", "letter");
      last = x;
    }
    out += "</g>";
  }
  return out;
}

std::string course(const Plot& plot, const Frame& frame) {
  std::vector<PlotPoint> drawn;
  for (const PlotPoint& point : plot.points) drawn.push_back({frame.x(point.time), frame.y(point.value)});
  std::string path;
  for (const PlotPoint& point : thinned(drawn, 1.0, 1.0, 0.2)) {
    path += (path.empty() ? "M" : "L") + number(point.time) + " " + number(point.value);
  }
  return "<path class=\"course\" d=\"" + path + "\"/>";
}

/// Invisible strips that tell the value under the pointer.
std::string strips(const Plot& plot, const Frame& frame) {
  constexpr int count = 24;
  std::string out;
  for (int i = 0; i < count; ++i) {
    const double time = plot.end * (i + 0.5) / count;
    const double value = value_at(plot.points, time);
    const double x = left + inner_width * i / count;
    out += fmt::format("<g class=\"strip\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>", number(x),
                       number(top), number(inner_width / count), number(inner_height));
    out += fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"3.5\"/>", number(frame.x(time)), number(frame.y(value)));
    out += svg_text(width - right, 13.0, format_duration(time) + ": " + plot.value_words(value), "end") + "</g>";
  }
  return out;
}

std::string keys(const Plot& plot, const Frame& frame) {
  std::string out;
  for (const PlotKey& key : plot.keys) {
    if (key.at.time > plot.end * (1.0 + 1e-9)) continue;
    const std::string words = format_duration(key.at.time) + ": " + key.words;
    const std::string safe = html::text(words);
    out += fmt::format(
        "<g class=\"key\" tabindex=\"0\" role=\"img\" aria-label=\"{}\"><circle cx=\"{}\" cy=\"{}\" "
        "r=\"4.5\"/>",
        safe, number(frame.x(key.at.time)), number(frame.y(key.at.value)));
    out += svg_text(width - right, 13.0, cut(words, 44, true), "end") + "</g>";
  }
  return out;
}

}  // namespace

double value_at(const std::vector<PlotPoint>& points, double time) {
  const auto after = std::lower_bound(points.begin(), points.end(), time,
                                      [](const PlotPoint& point, double t) { return point.time < t; });
  if (after == points.end()) return points.back().value;
  if (after == points.begin()) return points.front().value;
  const PlotPoint& before = *(after - 1);
  const double share = after->time > before.time ? (time - before.time) / (after->time - before.time) : 1.0;
  return before.value + share * (after->value - before.value);
}

std::vector<PlotPoint> thinned(const std::vector<PlotPoint>& points, double scale_time, double scale_value,
                               double tolerance) {
  if (points.size() < 3) return points;
  std::vector<bool> kept(points.size(), false);
  kept.front() = kept.back() = true;
  std::vector<std::pair<std::size_t, std::size_t>> open{{0, points.size() - 1}};
  while (!open.empty()) {
    const auto [first, last] = open.back();
    open.pop_back();
    const double dt = (points[last].time - points[first].time) / scale_time;
    const double dv = (points[last].value - points[first].value) / scale_value;
    const double length = std::hypot(dt, dv);
    double worst = tolerance;
    std::size_t where = 0;
    for (std::size_t i = first + 1; i < last; ++i) {
      const double t = (points[i].time - points[first].time) / scale_time;
      const double v = (points[i].value - points[first].value) / scale_value;
      const double distance = length > 0.0 ? std::abs(t * dv - v * dt) / length : std::hypot(t, v);
      if (distance > worst) {
        worst = distance;
        where = i;
      }
    }
    if (where == 0) continue;
    kept[where] = true;
    open.emplace_back(first, where);
    open.emplace_back(where, last);
  }
  std::vector<PlotPoint> out;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (kept[i]) out.push_back(points[i]);
  }
  return out;
}

std::string svg_plot(const Plot& plot) {
  const Frame frame{plot};
  std::string out = fmt::format("<svg class=\"plot\" viewBox=\"0 0 {} {}\" role=\"group\" aria-label=\"{}\">\n",
                                number(width), number(height), html::text(plot.title));
  out += fmt::format("<rect class=\"field\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>\n", number(left),
                     number(top), number(inner_width), number(inner_height));
  std::vector<SideWord> words;
  out += bands(plot, frame, words) + "\n";
  out += levels(plot, frame, std::move(words)) + "\n" + events(plot, frame) + "\n" + value_axis(plot, frame) +
         time_axis(plot, frame);
  out += "\n" + course(plot, frame) + "\n" + strips(plot, frame) + "\n" + keys(plot, frame);
  return out + "</svg>\n";
}

}  // namespace leanside::report
