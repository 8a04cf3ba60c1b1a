// SPDX-License-Identifier: Apache-2.0
#include "report/svg/svg_site.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "base/text/markup.hpp"
#include "base/text/plain.hpp"
#include "embedded.hpp"
#include "leanside/advanced/release.hpp"
#include "leanside/report.hpp"
#include "report/svg/layout.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using html::number;

constexpr double box_width = 206.0;
constexpr double band_width = 16.0;
constexpr double line_height = 17.0;
constexpr double label_line = 15.0;
constexpr double letter_width = 6.9;  ///< of a letter of 13 px, on the average: only for room, not for drawing
constexpr std::size_t letters_in_box = 25;
constexpr std::size_t most_releases = 3;
constexpr std::size_t airways_with_names = 16;

/// What is drawn as one line: an airway, air changes or an assumed leak.
struct Way {
  Side from, to;
  double forward = 0.0, backward = 0.0;  ///< in the unit of the site
  std::string name{};
  std::string title{};
  bool assumed = false;
};

std::string flow_words(const Way& way) {
  if (!(way.forward > 0.0) && !(way.backward > 0.0)) return "none";
  std::string forward = format_number(way.forward, 2), backward = format_number(way.backward, 2);
  if (!(way.backward > 0.0)) return forward;
  if (!(way.forward > 0.0)) return backward;
  return forward == backward ? forward + " each way" : forward + ", back " + backward;
}

/// For those who point at the line: all of it.
std::string title_words(const Site& site, const Way& way) {
  const std::string a = label(site, way.from), b = label(site, way.to);
  if (!(way.forward > 0.0) && !(way.backward > 0.0)) return way.name + ": no flow between " + a + " and " + b;
  const std::string unit = " " + unit_words(site, "m3/h") + " from ";
  std::string out = way.name + ": ";
  if (way.forward > 0.0) out += format_number(way.forward, 3) + unit + a + " to " + b;
  if (way.forward > 0.0 && way.backward > 0.0) out += ", ";
  if (way.backward > 0.0) out += format_number(way.backward, 3) + unit + b + " to " + a;
  return out;
}

std::vector<Way> ways_of(const Site& site, const CaseResult& result) {
  const VolumeFlows air{site, result.case_index};
  std::vector<Way> out;
  for (std::size_t i = 0; i < site.airways.size() && i < result.flows.airways.size(); ++i) {
    const Airway& airway = site.airways[i];
    const AirwayFlow& flow = result.flows.airways[i];
    Way way{first_side(airway), second_side(airway)};
    way.forward = in_unit(site, air.volume_flow(flow.forward, way.from), "m3/h");
    way.backward = in_unit(site, air.volume_flow(flow.backward, way.to), "m3/h");
    way.name = plain_text(airway.id);
    out.push_back(std::move(way));
  }
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    if (!(site.spaces[i].air_changes > 0.0)) continue;
    Way way{SpaceIndex{i}, {}};
    way.forward = way.backward = in_unit(site, site.spaces[i].air_changes * site.spaces[i].volume, "m3/h");
    way.name = "air changes";
    out.push_back(std::move(way));
  }
  for (const AssumedLeak& leak : result.flows.leaks) {
    Way way{leak.space, leak.other};
    const Side from = leak.rate < 0.0 ? Side{leak.space} : leak.other;
    (leak.rate < 0.0 ? way.forward : way.backward) = in_unit(site, air.volume_flow(std::abs(leak.rate), from), "m3/h");
    way.name = "assumed leak";
    way.assumed = true;
    out.push_back(std::move(way));
  }
  for (Way& way : out) way.title = title_words(site, way);
  return out;
}

std::vector<std::string> lines_in_box(const Site& site, const CaseResult& result, SpaceIndex index) {
  const Space& space = site.spaces[index.value];
  std::vector<std::string> out{cut(label(site, index), letters_in_box - 2, true)};
  std::string kind{word_of(space.kind)};
  if (space.volume > 0.0) kind += ", " + format_quantity(space.volume, "m3", 3, site.conditions.units);
  out.push_back(kind);
  const SpaceResult& found = result.spaces[index.value];
  const std::string level = percent_of_limit(found.worst.lfl_fraction, site.criteria);
  out.push_back(html::capitals(word_of(found.worst.state)) + ", " + level);
  std::size_t shown = 0, more = 0;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const Release& release = site.releases[r];
    // One that this case never opens is no part of its picture.
    if (release.into != index ||
        emission(release, ReleaseIndex{r}, site.cases[result.case_index.value].events).empty()) {
      continue;
    }
    if (shown == most_releases) {
      ++more;
      continue;
    }
    ++shown;
    const std::string gas = plain_text(release.gas.name), size = plain_text(release.as_written);
    if (columns(gas) + columns(size) + 3 <= letters_in_box) {
      out.push_back(fmt::format("+ {} {}", gas, size));
    } else {
      out.push_back(cut("+ " + gas, letters_in_box, true));
      out.push_back(cut("\u00a0\u00a0" + size, letters_in_box, true));
    }
  }
  if (more > 0) out.push_back("+ " + std::to_string(more) + " more");
  return out;
}

std::string box(const Site& site, const CaseResult& result, SpaceIndex index, const Rect& rect,
                const std::vector<std::string>& lines) {
  const Space& space = site.spaces[index.value];
  const std::string_view state = word_of(result.spaces[index.value].worst.state);
  const double corner = space.kind == SpaceKind::vessel ? 16.0 : space.kind == SpaceKind::cabinet ? 5.0 : 0.0;
  std::string out = fmt::format("<g class=\"box st-{}\"><title>{}: {}</title>", state, html::text(label(site, index)),
                                html::text(lines[2]));
  out += fmt::format("<rect class=\"wall\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\"/>", number(rect.x),
                     number(rect.y), number(rect.width), number(rect.height), number(corner));
  out += fmt::format("<rect class=\"band\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"url(#state-{})\"/>",
                     number(rect.x + 3.0), number(rect.y + corner + 3.0), number(band_width),
                     number(rect.height - 2.0 * corner - 6.0), state);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    out += fmt::format("<text x=\"{}\" y=\"{}\"{}>{}</text>", number(rect.x + band_width + 9.0),
                       number(rect.y + line_height * (static_cast<double>(i) + 1.0) + 1.0),
                       i == 0   ? " class=\"title\""
                       : i == 2 ? " class=\"state\""
                                : "",
                       html::text(lines[i]));
  }
  return out + "</g>\n";
}

std::vector<std::string> label_lines(const Way& way, bool named) {
  constexpr std::size_t letters = 15;
  if (named) return {cut(way.name, letters, true), flow_words(way)};
  return {flow_words(way)};
}

std::string curve_of(const Way& way, const Curve& curve) {
  const bool forward = way.forward > 0.0, backward = way.backward > 0.0;
  std::string out = fmt::format("<g class=\"way{}{}\"><title>{}</title>", way.assumed ? " assumed" : "",
                                forward || backward ? "" : " still", html::text(way.title));
  out += fmt::format("<path d=\"M{} {}C{} {} {} {} {} {}\"{}{}/></g>\n", number(curve.p[0].x), number(curve.p[0].y),
                     number(curve.p[1].x), number(curve.p[1].y), number(curve.p[2].x), number(curve.p[2].y),
                     number(curve.p[3].x), number(curve.p[3].y), forward ? " marker-end=\"url(#arrow)\"" : "",
                     backward ? " marker-start=\"url(#arrow)\"" : "");
  return out;
}

/// What stands at a line: over all lines, so that none is struck through.
std::string words_at(const Way& way, const Curve& curve, const std::vector<std::string>& words) {
  std::string out;
  if (curve.stub) {
    const Point& end = way.from ? curve.p[3] : curve.p[0];
    out += fmt::format("<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">out</text>", number(end.x), number(end.y - 4.0));
  }
  if (curve.label) {
    std::size_t most = 0;
    for (const std::string& line : words) most = std::max(most, columns(line));
    const double width = letter_width * static_cast<double>(most) + 4.0;
    const double height = label_line * static_cast<double>(words.size());
    const double top = curve.label->y - 0.5 * height;
    out += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/>", number(curve.label->x - 0.5 * width),
                       number(top), number(width), number(height));
    for (std::size_t i = 0; i < words.size(); ++i) {
      out += fmt::format("<text x=\"{}\" y=\"{}\" text-anchor=\"middle\">{}</text>", number(curve.label->x),
                         number(top + label_line * static_cast<double>(i) + 11.5), html::text(words[i]));
    }
  }
  return out.empty() ? out : "<g class=\"words\"><title>" + html::text(way.title) + "</title>" + out + "</g>\n";
}

std::optional<std::size_t> position(Side side) { return side ? std::optional{side->value} : std::nullopt; }

}  // namespace

std::string svg_definitions() {
  // Each state has a pattern of its own, from empty to full: none, dots, one way of hatching, two ways, upright bars,
  // level bars.
  return "<defs>\n"
         "<marker id=\"arrow\" viewBox=\"0 0 10 10\" refX=\"9\" refY=\"5\" markerWidth=\"8\" markerHeight=\"8\" "
         "orient=\"auto-start-reverse\"><path d=\"M1 1L9 5L1 9\"/></marker>\n"
         "<pattern id=\"state-clear\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"/>\n"
         "<pattern id=\"state-note\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"><circle cx=\"4\" "
         "cy=\"4\" "
         "r=\"1.6\"/></pattern>\n"
         "<pattern id=\"state-margin\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"><path "
         "d=\"M-2 2l4 -4M0 8l8 -8M6 10l4 -4\"/></pattern>\n"
         "<pattern id=\"state-flammable\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"><path "
         "class=\"thick\" "
         "d=\"M-2 2l4 -4M0 8l8 -8M6 10l4 -4M-2 6l4 4M0 0l8 8M6 -2l4 4\"/></pattern>\n"
         "<pattern id=\"state-rich\" width=\"6\" height=\"8\" patternUnits=\"userSpaceOnUse\"><path class=\"thick\" "
         "d=\"M3 0v8\"/></pattern>\n"
         "<pattern id=\"state-inerted\" width=\"8\" height=\"6\" patternUnits=\"userSpaceOnUse\"><path class=\"thick\" "
         "d=\"M0 3h8\"/></pattern>\n"
         "</defs>\n";
}

std::string picture_key(const Site& site) {
  return "Each box is a space with its worst state of this case and how far that is to its lower flammable limit; the "
         "strip at its left has no pattern while it is clear, then dots (note), lines (margin), crossed lines "
         "(flammable), upright bars (rich) or level bars (inerted). Numbers on the lines are air flows at the start "
         "in " +
         unit_words(site, "m3/h") +
         ", arrows show which way; broken lines carry nothing, dotted ones are assumed leaks. A line that begins with "
         "+ is gas that gets in.";
}

std::string svg_site(const Site& site, const CaseResult& result, bool alone) {
  const std::vector<Way> ways = ways_of(site, result);
  const bool named = ways.size() <= airways_with_names;
  std::vector<double> heights;
  std::vector<std::vector<std::string>> texts;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    texts.push_back(lines_in_box(site, result, SpaceIndex{i}));
    heights.push_back(line_height * static_cast<double>(texts.back().size()) + 12.0);
  }
  std::vector<LayoutLine> lines;
  std::vector<std::vector<std::string>> labels;
  for (const Way& way : ways) {
    labels.push_back(label_lines(way, named));
    std::size_t most = 0;
    for (const std::string& line : labels.back()) most = std::max(most, columns(line));
    lines.push_back({position(way.from), position(way.to), letter_width * static_cast<double>(most) + 4.0,
                     label_line * static_cast<double>(labels.back().size())});
  }
  constexpr std::size_t few = 40;
  const Layout layout = laid_out(heights, box_width, lines, site.spaces.size() <= few ? 4 : 10);
  const std::string name = "The site in the " + case_heading(site, result.case_index) + ": " +
                           count_of(site.spaces.size(), "space") + ", " + count_of(ways.size(), "way") + " for air";
  std::string out = fmt::format(
      "<svg class=\"site{4}\" viewBox=\"0 0 {0} {1}\" width=\"{0}\" height=\"{1}\" role=\"img\" "
      "aria-label=\"{2}\"{3}>\n",
      number(layout.width), number(layout.height), html::text(name),
      alone ? " xmlns=\"http://www.w3.org/2000/svg\" lang=\"en\"" : "", named ? "" : " many");
  if (alone) {
    out += "<title>" + html::text(site.title + ", " + case_heading(site, result.case_index)) + "</title>\n<style>" +
           std::string{embedded::picture} + "</style>\n" + svg_definitions();
    out += fmt::format("<rect class=\"sheet\" width=\"{}\" height=\"{}\"/>\n", number(layout.width),
                       number(layout.height));
  }
  if (layout.outside) {
    const Rect& bar = *layout.outside;
    out += fmt::format(
        "<g class=\"outside\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/><text x=\"{}\" y=\"{}\">"
        "outside</text></g>\n",
        number(bar.x), number(bar.y), number(bar.width), number(bar.height), number(bar.x + 10.0),
        number(bar.y + 20.0));
  }
  for (std::size_t i = 0; i < ways.size(); ++i) out += curve_of(ways[i], layout.curves[i]);
  for (std::size_t i = 0; i < ways.size(); ++i) out += words_at(ways[i], layout.curves[i], labels[i]);
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    out += box(site, result, SpaceIndex{i}, layout.boxes[i], texts[i]);
  }
  return out + "</svg>\n";
}

}  // namespace leanside::report

namespace leanside {

std::string site_picture(const Site& site, const CaseResult& result) { return report::svg_site(site, result, true); }

}  // namespace leanside
