// SPDX-License-Identifier: Apache-2.0
/// The parts of the page that can be judged without a browser: ticks, thinned courses, layout, escaping, SHA-256.
#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "leanside/report.hpp"
#include "report/html/html.hpp"
#include "report/svg/axis.hpp"
#include "report/svg/layout.hpp"
#include "report/svg/svg_plot.hpp"

namespace leanside::report {
namespace {

std::string labels(const Ticks& ticks) {
  std::string out;
  for (const Tick& tick : ticks.ticks) out += (out.empty() ? "" : " ") + tick.label;
  return out + (ticks.unit.empty() ? "" : " " + ticks.unit);
}

TEST(Axis, TimesAreThoseOfAClock) {
  EXPECT_EQ(labels(time_ticks(90.0, 6)), "0 15 30 45 60 75 90 s");
  EXPECT_EQ(labels(time_ticks(3600.0, 6)), "0 10 20 30 40 50 60 min");
  EXPECT_EQ(labels(time_ticks(8 * 3600.0, 6)), "0 2 4 6 8 h");
  EXPECT_EQ(labels(time_ticks(15 * 3600.0, 6)), "0 3 6 9 12 15 h");
  EXPECT_EQ(labels(time_ticks(10 * 86400.0, 6)), "0 2 4 6 8 10 days");
}

TEST(Axis, TicksAreFewRoundAndInside) {
  for (double length = 0.01; length < 4e8; length *= 1.37) {
    const Ticks ticks = time_ticks(length, 6);
    EXPECT_GE(ticks.ticks.size(), 2u) << length;
    EXPECT_LE(ticks.ticks.size(), 7u) << length;
    EXPECT_LE(ticks.ticks.back().value, length * (1.0 + 1e-8)) << length;
    const Ticks values = round_ticks(0.0, length, 6);
    EXPECT_GE(values.ticks.size(), 3u) << length;
    EXPECT_LE(values.ticks.size(), 7u) << length;
  }
  EXPECT_EQ(labels(round_ticks(0.0, 108.0, 6)), "0 20 40 60 80 100");
  EXPECT_EQ(labels(round_ticks(17.0, 25.0, 6)), "18 20 22 24");
}

TEST(Course, ThinnedStaysWithinItsTolerance) {
  std::vector<PlotPoint> points;
  for (int i = 0; i <= 1000; ++i) {
    const double t = i / 1000.0;
    points.push_back({t, std::sin(9.0 * t) * std::exp(-t) + (i == 500 ? 0.7 : 0.0)});
  }
  const auto few = thinned(points, 1.0, 1.0, 1e-3);
  EXPECT_LT(few.size(), 120u);
  for (const PlotPoint& point : points) EXPECT_NEAR(value_at(few, point.time), point.value, 0.02) << point.time;
  EXPECT_DOUBLE_EQ(value_at(few, points[500].time), points[500].value);  // the spike is kept
  EXPECT_EQ(few.front().time, 0.0);
  EXPECT_EQ(few.back().time, 1.0);
}

TEST(Course, ValuesLieBetweenThePoints) {
  const std::vector<PlotPoint> points{{0.0, 1.0}, {2.0, 5.0}, {2.0, 9.0}, {4.0, 1.0}};
  EXPECT_DOUBLE_EQ(value_at(points, -1.0), 1.0);
  EXPECT_DOUBLE_EQ(value_at(points, 1.0), 3.0);
  EXPECT_DOUBLE_EQ(value_at(points, 3.0), 5.0);
  EXPECT_DOUBLE_EQ(value_at(points, 9.0), 1.0);
}

bool apart(const Rect& a, const Rect& b) {
  return a.x + a.width <= b.x || b.x + b.width <= a.x || a.y + a.height <= b.y || b.y + b.height <= a.y;
}

Rect label_of(const LayoutLine& line, const Curve& curve) {
  return {curve.label->x - 0.5 * line.label_width, curve.label->y - 0.5 * line.label_height, line.label_width,
          line.label_height};
}

TEST(Layout, NothingCoversAnything) {
  // A corridor with rooms, a cupboard in a room, a vessel apart; 23 boxes in all.
  std::vector<double> heights(23, 60.0);
  std::vector<LayoutLine> lines{{0, {}, 60.0, 30.0}, {{}, 0, 60.0, 30.0}};
  for (std::size_t i = 1; i < 22; ++i) lines.push_back({i, (i - 1) / 3, 60.0, 15.0});
  lines.push_back({5, 6, 60.0, 15.0});
  lines.push_back({4, 6, 60.0, 15.0});
  const Layout layout = laid_out(heights, 200.0, lines, 4);
  ASSERT_EQ(layout.boxes.size(), heights.size());
  ASSERT_EQ(layout.curves.size(), lines.size());
  ASSERT_TRUE(layout.outside);
  std::vector<Rect> all = layout.boxes;
  all.push_back(*layout.outside);
  std::size_t labels = 0;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (!layout.curves[i].label) continue;
    all.push_back(label_of(lines[i], layout.curves[i]));
    ++labels;
  }
  EXPECT_GE(labels, lines.size() - 4);
  for (std::size_t i = 0; i < all.size(); ++i) {
    EXPECT_GE(all[i].x, 0.0);
    EXPECT_GE(all[i].y, 0.0);
    EXPECT_LE(all[i].x + all[i].width, layout.width);
    EXPECT_LE(all[i].y + all[i].height, layout.height);
    for (std::size_t j = 0; j < i; ++j) EXPECT_TRUE(apart(all[i], all[j])) << i << " " << j;
  }
  // Rows as far as they are from outside.
  EXPECT_LT(layout.boxes[0].y, layout.boxes[1].y);
  EXPECT_LT(layout.boxes[1].y, layout.boxes[4].y);
  EXPECT_LT(layout.boxes[21].y, layout.boxes[22].y);  // what nothing joins comes last
}

TEST(Layout, LinesEndAtTheirBoxes) {
  const std::vector<LayoutLine> lines{{0, {}, 10.0, 10.0}, {1, 0, 10.0, 10.0}, {2, 0, 10.0, 10.0}, {1, 2, 10.0, 10.0}};
  const Layout layout = laid_out({50.0, 50.0, 50.0}, 100.0, lines, 5);
  const auto on_edge = [](const Point& p, const Rect& box) {
    const bool x = std::abs(p.x - box.x) < 1e-9 || std::abs(p.x - box.x - box.width) < 1e-9;
    const bool y = std::abs(p.y - box.y) < 1e-9 || std::abs(p.y - box.y - box.height) < 1e-9;
    return (x && p.y > box.y && p.y < box.y + box.height) || (y && p.x > box.x && p.x < box.x + box.width);
  };
  for (std::size_t i = 0; i < lines.size(); ++i) {
    EXPECT_TRUE(on_edge(layout.curves[i].p[0], layout.boxes[*lines[i].from])) << i;
    EXPECT_TRUE(on_edge(layout.curves[i].p[3], lines[i].to ? layout.boxes[*lines[i].to] : *layout.outside)) << i;
  }
}

TEST(Layout, ThousandBoxesArePlaced) {
  std::vector<double> heights(1000, 60.0);
  std::vector<LayoutLine> lines;
  for (std::size_t i = 50; i < 1000; ++i) lines.push_back({i, i % 50, 50.0, 15.0});
  for (std::size_t i = 0; i < 50; ++i) lines.push_back({i, {}, 50.0, 15.0});
  const Layout layout = laid_out(heights, 200.0, lines, 10);
  std::set<std::pair<double, double>> corners;
  for (const Rect& box : layout.boxes) corners.insert({box.x, box.y});
  EXPECT_EQ(corners.size(), heights.size());
}

TEST(Html, TextStaysText) {
  EXPECT_EQ(html::text("<b>&\"'\x01\xe2\x80\xae"), "&lt;b&gt;&amp;&quot;&#39;  ");
  EXPECT_EQ(html::text("\xff"), "?");
  EXPECT_EQ(html::sentence("<x"), "&lt;x");
  EXPECT_EQ(html::sentence("gas"), "Gas");
  EXPECT_EQ(html::number(-0.04), "0");
  EXPECT_EQ(html::number(12.25), "12.3");
  EXPECT_EQ(html::number(std::nan("")), "0");
}

// FIPS 180-4 and its examples of SHA-256 (NIST, Cryptographic Standards and Guidelines, example values).
TEST(Sha256, AgreesWithThePublishedExamples) {
  EXPECT_EQ(sha256(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256(std::string(1000000, 'a')), "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

}  // namespace
}  // namespace leanside::report
