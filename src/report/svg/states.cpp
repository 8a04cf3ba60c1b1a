// SPDX-License-Identifier: Apache-2.0
#include "report/svg/states.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/text/markup.hpp"
#include "base/text/plain.hpp"
#include "report/svg/axis.hpp"
#include "report/svg/draw.hpp"

namespace leanside::report {
namespace {

using html::number;

constexpr double width = 440.0, left = 12.0, right = 424.0, top = 8.0;
constexpr double row_name = 18.0, row_band = 26.0, row_gap = 8.0;

class Drawing {
 public:
  Drawing(const StateChart& chart, const PageWords& words) : chart_{chart}, words_{words} {}

  std::string drawn() {
    std::string out;
    double y = top;
    for (const StateRow& row : chart_.rows) {
      out += svg::text(left, y + 13.0, row.name) + band(row, y + row_name);
      y += row_name + row_band + row_gap;
    }
    const double axis = y;
    out += time_axis(axis);
    y = axis + 40.0;
    if (chart_.window) {
      out += window(axis, y);
      y += 22.0;
    }
    return out + legend(y + 4.0);
  }
  double height() const { return height_; }

 private:
  double x(double time) const { return left + (right - left) * std::clamp(time / chart_.end, 0.0, 1.0); }

  std::string band(const StateRow& row, double y) const {
    std::string out = svg::rect(left, y, right - left, row_band, "air");
    for (const StateSpan& span : row.spans) {
      const double from = x(span.begin), to = x(span.end);
      // What is too short to be seen is drawn as a line.
      const double wide = std::max(to - from, span.state == FlameState::may_strike ? 2.0 : 0.0);
      if (!(wide > 0.0)) continue;
      out += fmt::format("<rect class=\"span\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"url(#{})\"/>",
                         number(std::min(from, right - wide)), number(y), number(wide), number(row_band),
                         pattern_of(span.state));
    }
    // Where one follows another at once, the edge is drawn heavily.
    for (std::size_t i = 1; i < row.spans.size(); ++i) {
      out += svg::line(x(row.spans[i].begin), y - 3.0, x(row.spans[i].begin), y + row_band + 3.0, "bar");
    }
    if (shows_end_of_gas()) {
      out += svg::line(x(*chart_.gas_ends), y - 3.0, x(*chart_.gas_ends), y + row_band + 3.0, "event");
    }
    return out + svg::rect(left, y, right - left, row_band, "wall");
  }

  bool shows_end_of_gas() const { return chart_.gas_ends && *chart_.gas_ends<chart_.end&& * chart_.gas_ends> 0.0; }

  std::string time_axis(double y) const {
    const Ticks ticks = time_ticks(chart_.end, 6);
    std::string out = svg::line(left, y, right, y, "bar");
    for (const Tick& tick : ticks.ticks) {
      const double at = x(tick.value);
      const bool first = at<left + 6.0, last = at> right - 10.0;
      out += svg::line(at, y, at, y + 4.0, "bar") + svg::text(first  ? left
                                                              : last ? right
                                                                     : at,
                                                              y + 18.0, tick.label,
                                                              first  ? "start"
                                                              : last ? "end"
                                                                     : "middle");
    }
    return out + svg::text(0.5 * (left + right), y + 33.0, std::string{words_.time_after_start} + ", " + ticks.unit,
                           "middle", "note");
  }

  /// A bracket over the axis, with its words below the axis.
  std::string window(double axis, double y) const {
    const double from = x(chart_.window->begin), to = std::max(from + 3.0, x(chart_.window->end));
    std::string out = svg::rect(std::min(from, right - 3.0), axis - 3.0, to - from, 6.0, "window");
    out += svg::path(fmt::format("M{0} {1}v-6M{2} {1}v-6", number(from), number(axis - 1.0), number(to)), "bar");
    const double half = 0.5 * svg::letter * static_cast<double>(columns(chart_.window_words));
    const double middle =
        std::clamp(0.5 * (from + to), std::min(left + half, 0.5 * width), std::max(right - half, 0.5 * width));
    return out + svg::text(middle, y + 10.0, chart_.window_words, "middle", "state");
  }

  /// The patterns with their words, those alone that the bands have, and the dashed line.
  std::string legend(double y) {
    std::string out;
    double at = left;
    height_ = y + 18.0;
    const auto item = [&](const std::string& sign, std::string_view what) {
      const double wide = 28.0 + svg::letter * static_cast<double>(columns(what));
      if (at > left && at + wide > right + 8.0) {
        at = left;
        height_ += 20.0;
      }
      out += fmt::format("<g transform=\"translate({} {})\">{}</g>", number(at), number(height_ - 16.0), sign) +
             svg::text(at + 26.0, height_ - 4.0, what);
      at += wide + 12.0;
    };
    for (const FlameState state : {FlameState::steady, FlameState::may_strike, FlameState::out}) {
      const bool there = std::any_of(chart_.rows.begin(), chart_.rows.end(), [&](const StateRow& row) {
        return std::any_of(row.spans.begin(), row.spans.end(),
                           [&](const StateSpan& span) { return span.state == state; });
      });
      if (!there) continue;
      item(fmt::format("<rect class=\"span\" width=\"20\" height=\"14\" fill=\"url(#{})\"/><rect class=\"wall\" "
                       "width=\"20\" height=\"14\"/>",
                       pattern_of(state)),
           words_of(state, words_));
    }
    if (shows_end_of_gas()) item("<path class=\"event\" d=\"M10 0v14\"/>", words_.gas_ends);
    return out;
  }

  const StateChart& chart_;
  const PageWords& words_;
  double height_ = 0.0;
};

}  // namespace

std::string_view pattern_of(FlameState state) {
  switch (state) {
    case FlameState::steady:
      return "state-rich";
    case FlameState::may_strike:
      return "state-flammable";
    case FlameState::out:
      break;
  }
  return "state-clear";
}

std::string_view words_of(FlameState state, const PageWords& words) {
  switch (state) {
    case FlameState::steady:
      return words.too_rich;
    case FlameState::may_strike:
      return words.can_burn_inside;
    case FlameState::out:
      break;
  }
  return words.too_lean;
}

std::string svg_states(const StateChart& chart, const PageWords& words) {
  Drawing drawing{chart, words};
  const std::string inside = drawing.drawn();
  return fmt::format("<svg class=\"states\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">\n{}</svg>\n",
                     number(width), number(drawing.height()), html::text(chart.title), inside);
}

}  // namespace leanside::report
