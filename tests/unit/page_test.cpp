// SPDX-License-Identifier: Apache-2.0
/// The parts of the page that can be judged without a browser: ticks, thinned courses, layout, escaping, SHA-256.
#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "leanside/report.hpp"
#include "report/html/html.hpp"
#include "report/svg/air_lines.hpp"
#include "report/svg/axis.hpp"
#include "report/svg/draw.hpp"
#include "report/svg/room_size.hpp"
#include "report/svg/svg_plot.hpp"
#include "report/words/page_words.hpp"

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

/// A corridor (0) with `rooms` rooms, the first of them with a cupboard (last).
std::vector<Link> corridor(std::size_t rooms) {
  std::vector<Link> links;
  for (std::size_t i = 1; i <= rooms; ++i) links.push_back({i, 0});
  links.push_back({1, rooms + 1});
  return links;
}

TEST(AirLines, RoomsOfACorridorShareOneTrunkAndNothingCrosses) {
  const AirLines lines = air_lines(26, corridor(24));
  EXPECT_EQ(lines.trunks.size(), 2u);
  EXPECT_EQ(lines.trunks.front().owner, 0u);
  EXPECT_EQ(lines.trunks.front().links.size(), 24u);
  EXPECT_EQ(crossings(lines), 0u);
  EXPECT_LE(lines.tracks, 2u);
}

TEST(AirLines, EveryBoxHasARowAndEveryLinkATrunkThatReachesIt) {
  unsigned state = 7;
  const auto draw = [&](unsigned n) { return (state = state * 1664525u + 1013904223u) / 65536u % n; };
  for (std::size_t boxes = 2; boxes < 60; boxes += 3) {
    std::vector<Link> links;
    std::set<std::pair<std::size_t, std::size_t>> pairs;
    for (std::size_t k = 0; k < 2 * boxes; ++k) {
      const std::size_t a = draw(static_cast<unsigned>(boxes)), b = draw(static_cast<unsigned>(boxes));
      if (a != b && pairs.insert({std::min(a, b), std::max(a, b)}).second) links.push_back({a, b});
    }
    const AirLines lines = air_lines(boxes, links);
    const std::set<std::size_t> rows(lines.row.begin(), lines.row.end());
    EXPECT_EQ(rows.size(), boxes);
    for (std::size_t k = 0; k < links.size(); ++k) {
      const Trunk& trunk = lines.trunks[lines.trunk_of[k]];
      for (const std::size_t box : {links[k].a, links[k].b}) {
        EXPECT_LE(trunk.first, lines.row[box]);
        EXPECT_GE(trunk.last, lines.row[box]);
      }
    }
    for (const Trunk& a : lines.trunks) {
      for (const Trunk& b : lines.trunks) {
        if (&a == &b || a.track != b.track) continue;
        EXPECT_TRUE(a.last <= b.first || b.last <= a.first) << boxes;
      }
    }
  }
}

TEST(AirLines, LinesOfOneBoxDoNotCrossOneAnother) {
  // A row of rooms, each joined to the next two: many trunks meet in each box.
  std::vector<Link> links;
  for (std::size_t i = 0; i < 8; ++i) {
    links.push_back({i, i + 1});
    links.push_back({i, i + 2});
  }
  const AirLines lines = air_lines(10, links);
  for (std::size_t box = 0; box < 10; ++box) {
    const auto& ports = lines.ports[box];
    for (std::size_t i = 0; i < ports.size(); ++i) {
      for (std::size_t j = i + 1; j < ports.size(); ++j) {
        const Trunk& upper = lines.trunks[ports[i]];
        const Trunk& lower = lines.trunks[ports[j]];
        const bool upper_goes_down = upper.last > lines.row[box], lower_goes_up = lower.first < lines.row[box];
        // The line to the farther trunk would cut the nearer one if that ran past it.
        if (upper_goes_down && lower.track > upper.track) {
          EXPECT_TRUE(upper.first < lines.row[box]) << box;
        }
        if (lower_goes_up && upper.track > lower.track) {
          EXPECT_TRUE(lower.last > lines.row[box]) << box;
        }
      }
    }
  }
}

TEST(AirLines, ThousandBoxesArePlaced) {
  std::vector<Link> links;
  for (std::size_t i = 50; i < 1000; ++i) links.push_back({i, i % 50});
  const AirLines lines = air_lines(1000, links);
  EXPECT_EQ(lines.trunks.size(), 50u);
  EXPECT_EQ(std::set<std::size_t>(lines.order.begin(), lines.order.end()).size(), 1000u);
}

TEST(Draw, PlacesArePushedApartAsLittleAsItTakes) {
  std::vector<double> places{0.0, 1.0, 50.0, 51.0, 99.0};
  svg::push_apart(places, 10.0, 0.0, 100.0);
  EXPECT_EQ(places, (std::vector<double>{0.0, 10.0, 50.0, 60.0, 99.0}));
  places = {95.0, 96.0, 97.0};
  svg::push_apart(places, 10.0, 0.0, 100.0);
  EXPECT_EQ(places, (std::vector<double>{80.0, 90.0, 100.0}));
}

TEST(Draw, TextIsBrokenAtBlanksAndCutAtTheEnd) {
  EXPECT_EQ(svg::broken("one two three", 8, 3), (std::vector<std::string>{"one two", "three"}));
  EXPECT_EQ(svg::broken("one two three four", 8, 2).size(), 2u);
  EXPECT_NE(svg::broken("one two three four", 8, 2).back().find("\u2026"), std::string::npos);
  EXPECT_TRUE(svg::broken("", 8, 2).empty());
}

TEST(Draw, RoomsAreAsLargeAsTheFileSays) {
  Space room;
  room.volume = 30.0;
  room.floor_area = 12.0;
  room.height = 2.5;
  EXPECT_DOUBLE_EQ(room_size(room)->width, std::sqrt(12.0));
  EXPECT_TRUE(room_size(room)->known);
  room.floor_area = room.height = std::nullopt;
  EXPECT_DOUBLE_EQ(room_size(room)->height, 2.5);  // as rooms are, and the picture says so
  EXPECT_FALSE(room_size(room)->known);
  room.kind = SpaceKind::vessel;
  EXPECT_DOUBLE_EQ(room_size(room)->width, room_size(room)->height);  // a cube
  room.kind = SpaceKind::junction;
  room.volume = 0.0;
  EXPECT_FALSE(room_size(room));
}

TEST(PageWords, ValuesStandInTheirPlaces) {
  EXPECT_EQ(said("{} of {}", std::string{"a"}, std::size_t{3}), "a of 3");
  EXPECT_EQ(said("{}, {}", std::string{"{}"}), "{}, {}");
  EXPECT_EQ(said("none"), "none");
}

/// All words of a language: PageWords holds nothing else.
std::vector<std::string_view> all_words(const PageWords& words) {
  static_assert(sizeof(PageWords) % sizeof(std::string_view) == 0);
  const auto* first = reinterpret_cast<const std::string_view*>(&words);
  return {first, first + sizeof(PageWords) / sizeof(std::string_view)};
}

TEST(PageWords, NoLanguageLacksAWordOrAValue) {
  const auto english = all_words(page_words("en"));
  const auto places = [](std::string_view word) {
    std::size_t n = 0;
    for (std::size_t at = word.find("{}"); at != word.npos; at = word.find("{}", at + 2)) ++n;
    return n;
  };
  for (const std::string& language : languages()) {
    const auto words = all_words(page_words(language));
    for (std::size_t i = 0; i < words.size(); ++i) {
      EXPECT_FALSE(words[i].empty()) << language << ": the word after \"" << (i > 0 ? words[i - 1] : "") << '"';
      EXPECT_EQ(places(words[i]), places(english[i])) << language << ": " << words[i];
    }
  }
  EXPECT_EQ(page_words("no such language").language, "en");
}

// RFC 4648, section 10.
TEST(Html, Base64AgreesWithThePublishedExamples) {
  EXPECT_EQ(html::base64(""), "");
  EXPECT_EQ(html::base64("66"), "Zg==");
  EXPECT_EQ(html::base64("666f"), "Zm8=");
  EXPECT_EQ(html::base64("666f6f"), "Zm9v");
  EXPECT_EQ(html::base64("666f6f626172"), "Zm9vYmFy");
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
