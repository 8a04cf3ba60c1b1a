// SPDX-License-Identifier: Apache-2.0
#include "report/svg/svg_site.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <queue>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "base/text/markup.hpp"
#include "base/text/plain.hpp"
#include "embedded.hpp"
#include "leanside/advanced/release.hpp"
#include "leanside/report.hpp"
#include "report/svg/air_lines.hpp"
#include "report/svg/draw.hpp"
#include "report/svg/room_size.hpp"
#include "report/svg/ways.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using html::number;

constexpr double glyph_right = 62.0, text_left = 70.0, box_right = 336.0, first_track = 362.0, track_step = 14.0;
constexpr double least_width = 440.0;
constexpr double largest_glyph = 50.0, smallest_glyph = 5.0;
constexpr std::size_t few = 4;          ///< spaces: the picture is that of the first side, or of a small site
constexpr std::size_t most_roomy = 12;  ///< spaces; of more each gets less room, so that a sheet of paper holds them
constexpr std::size_t letters = 33;     ///< in a line of a box
constexpr std::size_t most_releases = 3, letters_in_title = 29, most_title_lines = 2;

/// What stands in the box of a space, and where the lines of its trunks leave it.
struct Row {
  SpaceIndex space;
  std::string state;                             ///< "FLAMMABLE, 230 %"
  std::size_t titles = 1;                        ///< lines of `head` that are the name
  std::vector<std::string> head{};               ///< name, what it is, what flows to places that are not drawn
  std::vector<std::vector<std::string>> port{};  ///< words at each of AirLines::ports
  double y = 0.0, height = 0.0;
  std::vector<double> port_y = {};
};

class Picture {
 public:
  Picture(Told site, const CaseResult& result, const std::vector<SpaceIndex>& shown, const PageWords& words)
      : site_{site}, result_{result}, words_{words}, shown_{shown}, ways_{ways_of(site, result, words)} {
    for (std::size_t i = 0; i < shown.size(); ++i) place_of_[shown[i].value] = i;
    for (std::size_t w = 0; w < ways_.size(); ++w) {
      const auto a = shown_place(ways_[w].space), b = shown_place(ways_[w].other);
      if (!a || !b) continue;
      links_.push_back({*a, *b});
      way_of_link_.push_back(w);
    }
    lines_ = air_lines(shown.size(), links_);
    for (const std::size_t box : lines_.order) rows_.push_back(row_of(box));
    place_rows();
    scale_glyphs();
  }

  /// Sizes, px.
  bool dense() const { return shown_.size() > most_roomy; }
  double padding() const { return dense() ? 4.0 : 7.0; }
  double between() const { return dense() ? 4.0 : 8.0; }
  double highest_glyph() const { return dense() ? 26.0 : 36.0; }
  double least_row() const { return highest_glyph() + 2.0 * padding(); }
  double width() const {
    return std::max(least_width, first_track + track_step * static_cast<double>(lines_.tracks) + 4.0);
  }
  double height() const { return rows_.empty() ? 40.0 : rows_.back().y + rows_.back().height + 4.0; }
  std::size_t ways() const { return ways_.size(); }

  std::string drawn() const {
    std::string out;
    for (std::size_t t = 0; t < lines_.trunks.size(); ++t) out += trunk(t);
    for (const Row& row : rows_) out += box(row);
    return out;
  }

 private:
  std::optional<std::size_t> shown_place(Side side) const {
    if (!side) return {};
    const auto found = place_of_.find(side->value);
    return found == place_of_.end() ? std::nullopt : std::optional{found->second};
  }

  /// The other end of a way as seen from `space`, and what flows in and out there.
  struct Seen {
    Side other;
    double in = 0.0, out = 0.0;
  };
  static Seen seen_from(const Way& way, SpaceIndex space) {
    if (way.space == space) return {way.other, way.in, way.out};
    return {way.space, way.out, way.in};
  }

  std::string flow_at(const Way& way, SpaceIndex space) const {
    const Seen seen = seen_from(way, space);
    std::string name = seen.other ? label(site_, *seen.other) : std::string{words_.outside};
    constexpr std::size_t longest = 22;
    std::string out = flow_words(site_, cut(name, longest, true), seen.in, seen.out, words_);
    constexpr double nearly_all = 0.99;
    if (way.assumed > nearly_all * (way.in + way.out)) return out + " " + std::string{words_.all_assumed};
    if (way.assumed > 0.0) out += " " + said(words_.of_it_assumed, flow_number(site_, way.assumed));
    return out;
  }

  void add_lines(std::vector<std::string>& to, const std::string& words, std::size_t most) const {
    for (std::string& line : svg::broken(words, letters, most)) to.push_back(std::move(line));
  }

  std::string state_of(SpaceIndex index) const {
    const SpaceResult& found = result_.spaces[index.value];
    const MixtureState state = found.worst.state;
    const bool lean = state == MixtureState::clear || state == MixtureState::note;
    // A space whose gas cannot burn is not clear where nobody can breathe; nobody is in a vessel.
    if (lean && found.oxygen_left_criteria && site_->spaces[index.value].kind != SpaceKind::vessel) {
      const double low = found.worst.lowest_oxygen;
      const double worst = low < site_->criteria.oxygen_low ? low : found.worst.highest_oxygen;
      return html::capitals(severity_word(site_, Severity::oxygen)) + ", " +
             said(words_.oxygen_value, percent_of_oxygen(site_, worst));
    }
    return html::capitals(state_word(site_, found.worst.state)) + ", " +
           percent_of_limit(site_, found.worst.lfl_fraction);
  }

  /// Places that are not drawn, of each box; the picture of the first side has no room for them.
  std::size_t most_hidden() const { return shown_.size() <= few ? 0 : 2; }

  std::vector<std::string> head_of(SpaceIndex index, std::size_t& titles) const {
    const Space& space = site_->spaces[index.value];
    std::vector<std::string> out = svg::broken(label(site_, index), letters_in_title, most_title_lines);
    titles = out.size();
    // Beside the name where there is room, else below it.
    if (columns(out.back()) + 2 + columns(state_of(index)) > letters_in_title) out.emplace_back();
    std::string what = kind_word(site_, space.kind);
    if (space.volume > 0.0)
      what += ", " + format_quantity(space.volume, space.volume < 0.1 ? "L" : "m3", 3, site_->conditions.units);
    std::size_t hidden = 0;
    std::vector<std::string> flows;
    for (const Way& way : ways_) {
      if (way.space != index && way.other != Side{index}) continue;
      const Side other = seen_from(way, index).other;
      if (shown_place(other)) continue;
      if (other && ++hidden > most_hidden()) continue;
      flows.push_back(flow_at(way, index));
    }
    if (!dense()) out.push_back(what);  // the inventory has it
    for (const std::string& flow : flows) add_lines(out, flow, 2);
    if (hidden > most_hidden()) add_lines(out, said(words_.more_ways, hidden - most_hidden()), 1);
    add_releases(index, out);
    return out;
  }

  void add_releases(SpaceIndex index, std::vector<std::string>& out) const {
    std::size_t count = 0;
    for (std::size_t r = 0; r < site_->releases.size(); ++r) {
      const Release& release = site_->releases[r];
      // One that this case never opens is no part of its picture.
      if (release.into != index ||
          emission(release, ReleaseIndex{r}, site_->cases[result_.case_index.value].events).empty()) {
        continue;
      }
      if (++count > most_releases) continue;
      add_lines(out, "+ " + spoken(release.gas.name) + " " + plain_text(release.as_written), 3);
    }
    if (count > most_releases) out.push_back("+ " + said(words_.more, count - most_releases));
  }

  /// What stands where a line leaves a box: of the owner of a trunk with several links their sum.
  std::vector<std::string> port_words(std::size_t box, std::size_t t) const {
    const Trunk& trunk = lines_.trunks[t];
    Seen sum;
    std::size_t count = 0;
    const Way* one = nullptr;
    for (const std::size_t k : trunk.links) {
      if (trunk.owner != box && links_[k].a != box && links_[k].b != box) continue;
      one = &ways_[way_of_link_[k]];
      const Seen seen = seen_from(*one, shown_[box]);
      sum.in += seen.in;
      sum.out += seen.out;
      ++count;
    }
    const std::string words = count == 1
                                  ? flow_at(*one, shown_[box])
                                  : flow_words(site_, said(words_.spaces_on_line, count), sum.in, sum.out, words_);
    return svg::broken(words, letters, 2);
  }

  Row row_of(std::size_t box) const {
    Row row{shown_[box], state_of(shown_[box])};
    row.head = head_of(row.space, row.titles);
    for (const std::size_t t : lines_.ports[box]) row.port.push_back(port_words(box, t));
    return row;
  }

  void place_rows() {
    double y = 4.0;
    for (Row& row : rows_) {
      row.y = y;
      double at = y + padding() + svg::line_height * static_cast<double>(row.head.size());
      for (const auto& words : row.port) {
        row.port_y.push_back(at + 0.5 * svg::line_height);
        at += svg::line_height * static_cast<double>(words.size());
      }
      row.height = std::max(least_row(), at + padding() - y);
      y += row.height + between();
    }
  }

  void scale_glyphs() {
    double widest = 0.0, highest = 0.0;
    for (const SpaceIndex space : shown_) {
      const auto size = room_size(site_->spaces[space.value]);
      if (!size) continue;
      widest = std::max(widest, size->width);
      highest = std::max(highest, size->height);
    }
    scale_ = widest > 0.0 ? std::min(largest_glyph / widest, highest_glyph() / highest) : 1.0;
  }

  /// The space from the side, to scale with the others, filled with the pattern of its state.
  std::string glyph(const Row& row) const {
    const auto size = room_size(site_->spaces[row.space.value]);
    if (!size) return {};
    const double w = std::max(smallest_glyph, scale_ * size->width),
                 h = std::max(smallest_glyph, scale_ * size->height);
    const double x = 0.5 * (10.0 + glyph_right - w), floor = row.y + padding() + highest_glyph();
    const std::string_view state = word_of(result_.spaces[row.space.value].worst.state);
    return fmt::format(
               "<rect class=\"fill\" x=\"{0}\" y=\"{1}\" width=\"{2}\" height=\"{3}\" fill=\"url(#state-{4})\"/>",
               number(x), number(floor - h), number(w), number(h), state) +
           svg::rect(x, floor - h, w, h, "glyph");
  }

  std::string box(const Row& row) const {
    const Space& space = site_->spaces[row.space.value];
    const double corner = space.kind == SpaceKind::vessel ? 12.0 : space.kind == SpaceKind::cabinet ? 5.0 : 0.0;
    std::string out =
        fmt::format("<g class=\"box st-{}\"><title>{}</title>", word_of(result_.spaces[row.space.value].worst.state),
                    html::text(label(site_, row.space)));
    out += svg::rect(4.0, row.y, box_right - 4.0, row.height, "wall", corner) + glyph(row);
    double y = row.y + padding() + 12.0;
    const bool below = row.head.size() > row.titles && row.head[row.titles].empty();
    const double state_line = svg::line_height * static_cast<double>(below ? row.titles : row.titles - 1);
    out += svg::text(box_right - 8.0, y + state_line, row.state, "end", "state");
    for (std::size_t i = 0; i < row.head.size(); ++i, y += svg::line_height) {
      if (!row.head[i].empty()) out += svg::text(text_left, y, row.head[i], "start", i < row.titles ? "title" : "");
    }
    for (const auto& words : row.port) {
      out += svg::lines(text_left, y, words);
      y += svg::line_height * static_cast<double>(words.size());
    }
    return out + "</g>\n";
  }

  double port_y(std::size_t box, std::size_t t) const {
    const auto& ports = lines_.ports[box];
    const auto at = static_cast<std::size_t>(std::find(ports.begin(), ports.end(), t) - ports.begin());
    return rows_[lines_.row[box]].port_y[at];
  }

  /// A trunk with the lines of its members; an arrow head at a box where air flows into it, at the trunk where it flows
  /// out of the box.
  std::string trunk(std::size_t t) const {
    const Trunk& trunk = lines_.trunks[t];
    const double x = first_track + track_step * static_cast<double>(trunk.track);
    double top = port_y(trunk.owner, t), bottom = top;
    std::string out = "<g class=\"trunk\">" + arm(trunk.owner, t, x, {});
    for (const std::size_t k : trunk.links) {
      const std::size_t member = links_[k].a == trunk.owner ? links_[k].b : links_[k].a;
      const double y = port_y(member, t);
      top = std::min(top, y);
      bottom = std::max(bottom, y);
      out += arm(member, t, x, way_of_link_[k]);
    }
    return out + svg::line(x, top, x, bottom, "stem") + "</g>\n";
  }

  std::string arm(std::size_t box, std::size_t t, double x, std::optional<std::size_t> way_index) const {
    const double y = port_y(box, t);
    std::string ends, what = "arm", title;
    if (way_index) {
      const Way& way = ways_[*way_index];
      const Seen seen = seen_from(way, shown_[box]);
      if (seen.in > 0.0) ends += " marker-start=\"url(#arrow)\"";
      if (seen.out > 0.0) ends += " marker-end=\"url(#arrow)\"";
      if (!(seen.in > 0.0) && !(seen.out > 0.0)) what += " still";
      if (way.assumed > 0.0) what += " assumed";
      title = joined(way.names) + ": " + flow_at(way, shown_[box]);
    }
    return fmt::format("<g class=\"way\">{}<path class=\"{}\" d=\"M{} {}H{}\"{}/></g>",
                       title.empty() ? "" : "<title>" + html::text(title) + "</title>", what, number(box_right + 1.0),
                       number(y), number(x), ends) +
           fmt::format("<circle class=\"dot\" cx=\"{}\" cy=\"{}\" r=\"2.4\"/>", number(x), number(y));
  }

  Told site_;
  const CaseResult& result_;
  const PageWords& words_;
  const std::vector<SpaceIndex>& shown_;
  std::vector<Way> ways_;
  std::map<std::size_t, std::size_t> place_of_;  ///< of a SpaceIndex in shown_
  std::vector<Link> links_;
  std::vector<std::size_t> way_of_link_;
  AirLines lines_;
  std::vector<Row> rows_;  ///< from the top down
  double scale_ = 1.0;     ///< px a metre, of the glyphs
};

}  // namespace

std::string svg_definitions() {
  // Each state has a pattern of its own, from empty to full: none, dots, one way of hatching, two ways, upright bars,
  // level bars.
  return "<defs>\n"
         "<marker id=\"arrow\" viewBox=\"0 0 10 10\" refX=\"9\" refY=\"5\" markerWidth=\"9\" markerHeight=\"9\" "
         "markerUnits=\"userSpaceOnUse\" orient=\"auto-start-reverse\"><path d=\"M1 1L9 5L1 9\"/></marker>\n"
         "<pattern id=\"state-clear\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"/>\n"
         "<pattern id=\"state-note\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"><circle cx=\"4\" "
         "cy=\"4\" r=\"1.6\"/></pattern>\n"
         "<pattern id=\"state-margin\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"><path "
         "d=\"M-2 2l4 -4M0 8l8 -8M6 10l4 -4\"/></pattern>\n"
         "<pattern id=\"state-flammable\" width=\"8\" height=\"8\" patternUnits=\"userSpaceOnUse\"><path "
         "class=\"thick\" d=\"M-2 2l4 -4M0 8l8 -8M6 10l4 -4M-2 6l4 4M0 0l8 8M6 -2l4 4\"/></pattern>\n"
         "<pattern id=\"state-rich\" width=\"6\" height=\"8\" patternUnits=\"userSpaceOnUse\"><path class=\"thick\" "
         "d=\"M3 0v8\"/></pattern>\n"
         "<pattern id=\"state-inerted\" width=\"8\" height=\"6\" patternUnits=\"userSpaceOnUse\"><path class=\"thick\" "
         "d=\"M0 3h8\"/></pattern>\n"
         "<pattern id=\"liquid\" width=\"14\" height=\"10\" patternUnits=\"userSpaceOnUse\"><path "
         "d=\"M1 5q2.5 -3 5 0t5 0\"/></pattern>\n"
         "</defs>\n";
}

std::vector<SpaceIndex> all_spaces(Told site) {
  std::vector<SpaceIndex> out;
  for (std::size_t i = 0; i < site->spaces.size(); ++i) out.push_back(SpaceIndex{i});
  return out;
}

std::vector<SpaceIndex> neighbourhood(Told site, const CaseResult& result, SpaceIndex centre, std::size_t most) {
  std::vector<std::vector<std::pair<double, std::size_t>>> next(site->spaces.size());
  for (const Way& way : ways_of(site, result, page_words({}))) {
    if (!way.other || !(way.in + way.out > 0.0)) continue;
    next[way.space.value].emplace_back(way.in + way.out, way.other->value);
    next[way.other->value].emplace_back(way.in + way.out, way.space.value);
  }
  std::vector<bool> taken(site->spaces.size(), false);
  std::vector<SpaceIndex> out;
  std::queue<std::size_t> open;
  const auto take = [&](std::size_t space) {
    if (taken[space] || out.size() == most) return;
    taken[space] = true;
    out.push_back(SpaceIndex{space});
    open.push(space);
  };
  take(centre.value);
  while (!open.empty()) {
    auto& there = next[open.front()];
    open.pop();
    // Where not all fit, those that most air goes to.
    std::stable_sort(there.begin(), there.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    for (const auto& [flow, space] : there) take(space);
  }
  std::sort(out.begin(), out.end());
  return out;
}

std::string svg_site(Told site, const CaseResult& result, const std::vector<SpaceIndex>& shown, bool alone,
                     const PageWords& words) {
  const Picture picture{site, result, shown, words};
  const std::string name = said(words.picture_name, case_heading(site, result.case_index),
                                site.count(shown.size(), Phrase::one_space, Phrase::spaces));
  std::string out = fmt::format(
      "<svg class=\"site\" viewBox=\"0 0 {0} {1}\" {4}role=\"img\" aria-label=\"{2}\"{3}>\n", number(picture.width()),
      number(picture.height()), html::text(name), alone ? " xmlns=\"http://www.w3.org/2000/svg\" lang=\"en\"" : "",
      alone ? fmt::format("width=\"{}\" height=\"{}\" ", number(picture.width()), number(picture.height())) : "");
  if (alone) {
    out += "<title>" + html::text(site->title + ", " + case_heading(site, result.case_index)) + "</title>\n<style>" +
           std::string{embedded::picture} + "</style>\n" + svg_definitions();
    out += svg::rect(0.0, 0.0, picture.width(), picture.height(), "sheet");
  }
  return out + picture.drawn() + "</svg>\n";
}

}  // namespace leanside::report

namespace leanside {

std::string site_picture(const Site& site, const CaseResult& result) {
  using namespace report;
  return svg_site(site, result, all_spaces(site), true, page_words({}));
}

}  // namespace leanside
