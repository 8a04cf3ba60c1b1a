// SPDX-License-Identifier: Apache-2.0
#include "report/svg/side_view.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "base/text/markup.hpp"
#include "report/svg/draw.hpp"
#include "report/svg/room_size.hpp"
#include "report/svg/side_marks.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using html::number;

constexpr double width = 440.0, beside = 130.0, ceiling = 30.0, most_height = 150.0;
constexpr double label_gap = 20.0, first_label = ceiling - 12.0, between_labels = 4.0;
constexpr std::size_t most_a_side = 3, most_things = 4;

std::string length_words(Told site, double metres) {
  return format_quantity(metres, metres < 1.0 ? "cm" : "m", 2, site->conditions.units);
}

class View {
 public:
  View(Told site, const CaseResult& result, SpaceIndex space, const RoomSize& size, std::string id,
       const PageWords& words)
      : site_{site}, result_{result}, words_{words}, space_{space}, size_{size}, id_{std::move(id)} {
    const double room = width - 2.0 * beside;
    scale_ = std::min(room / size.width, most_height / size.height);
    left_ = 0.5 * (width - scale_ * size.width);
    right_ = width - left_;
    floor_ = ceiling + std::max(scale_ * size.height, 40.0);
    share_out();
  }

  std::string drawn() {
    std::string out = svg::text(0.5 * width, 13.0, size_line(), "middle", "note");
    out += room() + things();
    for (const bool at_left : {true, false}) out += side(at_left);
    return out + scale_bar();
  }
  double height() const { return end_ + 22.0; }

 private:
  static double height_of(const WallMark& mark) { return svg::line_height * static_cast<double>(mark.words.size()); }
  double y(double metres) const { return floor_ - scale_ * metres; }

  /// Openings that let more in than out go to the left, the others to the right, as many as there is room for.
  void share_out() {
    std::size_t left = 0, right = 0;
    for (WallMark& mark : wall_marks(site_, result_, space_, size_.height, words_)) {
      const bool level = mark.kind == MarkKind::level;
      bool at_left = !level && mark.in > mark.out;
      if (!level && (at_left ? left : right) >= most_a_side) at_left = !at_left;
      if (!level && (at_left ? left : right) >= most_a_side) {
        ++left_out_;
        continue;
      }
      ++(at_left ? left : right);
      (at_left ? at_left_ : at_right_).push_back(std::move(mark));
    }
    const auto higher = [](const WallMark& a, const WallMark& b) { return a.low + a.high > b.low + b.high; };
    std::stable_sort(at_left_.begin(), at_left_.end(), higher);
    std::stable_sort(at_right_.begin(), at_right_.end(), higher);
    bottom_ = floor_ + 10.0;
    for (const auto* marks : {&at_left_, &at_right_}) {
      double needed = 0.0;
      for (const WallMark& mark : *marks) needed += height_of(mark) + between_labels;
      bottom_ = std::max(bottom_, first_label + needed);
    }
    end_ = bottom_;
  }

  std::string size_line() const {
    return said(size_.known ? words_.room_size : words_.room_size_assumed, length_words(site_, size_.width),
                length_words(site_, size_.height));
  }

  std::string fill(double from, double to, MixtureState state) const {
    return fmt::format(
        "<rect class=\"fill\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" rx=\"{}\" "
        "fill=\"url(#state-{})\"/>",
        number(left_), number(y(to)), number(right_ - left_), number(scale_ * (to - from)), number(corner()),
        word_of(state));
  }

  std::string room() const {
    const double top = y(size_.height);
    std::string out = fmt::format("<clipPath id=\"{}\"><rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"/></clipPath>",
                                  id_, number(left_), number(top), number(right_ - left_), number(floor_ - top));
    out += svg::rect(left_, top, right_ - left_, floor_ - top, "air");
    const auto layered = std::find_if(result_.layered.begin(), result_.layered.end(),
                                      [&](const LayeredRoom& room) { return room.space == space_; });
    if (layered != result_.layered.end()) {
      const double edge = std::clamp(layered->deepest_interface, 0.0, size_.height);
      out += fill(0.0, edge, layered->lower.worst.state) + fill(edge, size_.height, layered->upper.worst.state);
      out += svg::line(left_, y(edge), right_, y(edge), "edge");
    } else {
      out += fill(0.0, size_.height, result_.spaces[space_.value].worst.state);
    }
    return out + svg::rect(left_, top, right_ - left_, floor_ - top, "wall", corner());
  }

  /// Rooms have sharp corners, cabinets rounded ones, vessels more so.
  double corner() const {
    const SpaceKind kind = site_->spaces[space_.value].kind;
    return kind == SpaceKind::vessel ? 10.0 : kind == SpaceKind::cabinet ? 4.0 : 0.0;
  }

  /// Symbols in the room, each with a line down to its words below the floor.
  std::string things() {
    std::vector<Thing> all = things_in(site_, result_, space_);
    const std::size_t more = all.size() > most_things ? all.size() - (most_things - 1) : 0;
    if (more > 0) all.resize(most_things - 1);
    const std::size_t slots = all.size() + (more > 0 ? 1 : 0);
    if (slots == 0) return {};
    const bool flames =
        std::any_of(all.begin(), all.end(), [](const Thing& one) { return one.symbol == svg::Symbol::flame; });
    const double slot = width / static_cast<double>(slots), label_top = bottom_ + (flames ? 38.0 : 28.0);
    const auto columns = static_cast<std::size_t>(slot / svg::letter) - 1;
    std::string out;
    std::size_t lines = 1;
    for (std::size_t i = 0; i < all.size(); ++i) {
      const double share = (static_cast<double>(i) + 0.5) / static_cast<double>(slots);
      const double x = left_ + share * (right_ - left_), middle = share * width;
      const auto words = svg::broken(all[i].words, columns, 6);
      lines = std::max(lines, words.size());
      out += svg::lines(middle, label_top, words, "middle");
      if (all[i].symbol == svg::Symbol::flame) {
        // Where an ignition source is, the file does not say: in the room it would seem near the gas, or away from it.
        out += svg::symbol(all[i].symbol, middle, label_top - 14.0);
        continue;
      }
      const double foot = std::min(floor_, y(std::clamp(all[i].height.value_or(0.0), 0.0, size_.height)) + 8.0);
      out += zone(all[i], x, foot) + symbol_of_thing(all[i], x, all[i].height ? foot : floor_);
      // Straight down past the words beside the walls.
      out += svg::path(fmt::format("M{} {}V{}L{} {}", number(x), number(floor_ + 2.0), number(bottom_ + 4.0),
                                   number(middle), number(label_top - 13.0)),
                       "lead");
    }
    if (more > 0) out += svg::text(width - 0.5 * slot, label_top, said(words_.more, more), "middle");
    end_ = label_top + svg::line_height * static_cast<double>(lines) - 8.0;
    return out;
  }

  std::string zone(const Thing& thing, double x, double foot) const {
    constexpr double least = 3.0;  // px, below which a circle says nothing
    std::string out;
    for (const auto& [reach, what] : {std::pair{thing.reach, "reach"}, std::pair{thing.keep_out, "keep-out"}}) {
      if (scale_ * reach < least) continue;
      out += fmt::format("<circle class=\"{}\" cx=\"{}\" cy=\"{}\" r=\"{}\" clip-path=\"url(#{})\"/>", what, number(x),
                         number(foot - 8.0), number(scale_ * reach), id_);
    }
    return out;
  }

  std::string symbol_of_thing(const Thing& thing, double x, double foot) const {
    if (!thing.space) return svg::symbol(thing.symbol, x, foot);
    const auto size = room_size(site_->spaces[thing.space->value]);
    const double w = size ? scale_ * size->width : 0.0, h = size ? scale_ * size->height : 0.0;
    constexpr double least = 14.0;  // px: what is smaller is shown by a symbol
    if (w < least || h < least || h > floor_ - ceiling) return svg::symbol(thing.symbol, x, foot);
    const MixtureState state = result_.spaces[thing.space->value].worst.state;
    return svg::rect(x - 0.5 * w, foot - h, w, h, "air") +
           fmt::format("<rect class=\"fill\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"url(#state-{})\"/>",
                       number(x - 0.5 * w), number(foot - h), number(w), number(h), word_of(state)) +
           svg::rect(x - 0.5 * w, foot - h, w, h, "wall", thing.symbol == svg::Symbol::vessel ? 6.0 : 2.0);
  }

  std::string opening(const WallMark& mark, double x) const {
    if (mark.kind == MarkKind::level) return {};
    const double top = y(mark.high), low = y(mark.low), middle = 0.5 * (top + low);
    const std::string guess = mark.known ? "" : " guess";
    if (mark.kind == MarkKind::fan) {
      return fmt::format(
          "<circle class=\"fan{0}\" cx=\"{1}\" cy=\"{2}\" r=\"8\"/><path class=\"blade\" d=\"M{3} {4}l10 "
          "10m0 -10l-10 10\"/>",
          guess, number(x), number(middle), number(x - 5.0), number(middle - 5.0));
    }
    const double tall = std::max(8.0, low - top);
    return svg::rect(x - 3.0, middle - 0.5 * tall, 6.0, tall, "hole" + guess);
  }

  /// Arrows through the opening: in below out, as warm and light gas leaves high up.
  std::string arrows(const WallMark& mark, double x, bool at_left) const {
    const double middle = 0.5 * (y(mark.high) + y(mark.low));
    const double apart =
        mark.in > 0.0 && mark.out > 0.0 ? std::clamp(0.25 * (y(mark.low) - y(mark.high)), 3.0, 20.0) : 0.0;
    const double inside = at_left ? x + 16.0 : x - 16.0, outside = at_left ? x - 14.0 : x + 14.0;
    const auto arrow = [&](double from, double to, double at) {
      return fmt::format("<path class=\"flow\" d=\"M{} {}H{}\" marker-end=\"url(#arrow)\"/>", number(from), number(at),
                         number(to));
    };
    std::string out;
    if (mark.in > 0.0) out += arrow(outside, inside, middle + apart);
    if (mark.out > 0.0) out += arrow(inside, outside, middle - apart);
    return out;
  }

  std::string side(bool at_left) const {
    const auto& marks = at_left ? at_left_ : at_right_;
    const double x = at_left ? left_ : right_;
    // Less what the labels above take, so that they only have to keep their distance.
    std::vector<double> tops;
    double above = 0.0;
    for (const WallMark& mark : marks) {
      tops.push_back(0.5 * (y(mark.high) + y(mark.low)) - 0.5 * height_of(mark) - above);
      above += height_of(mark);
    }
    svg::push_apart(tops, between_labels, first_label, bottom_ - above);
    above = 0.0;
    for (std::size_t i = 0; i < marks.size(); ++i) {
      tops[i] += above;
      above += height_of(marks[i]);
    }
    std::string out;
    const double text_x = at_left ? beside - label_gap : width - beside + label_gap;
    for (std::size_t i = 0; i < marks.size(); ++i) {
      const WallMark& mark = marks[i];
      const double middle = 0.5 * (y(mark.high) + y(mark.low));
      const double label_y = tops[i] + 0.5 * height_of(mark);
      const bool still = !(mark.in > 0.0) && !(mark.out > 0.0);
      const double away = mark.kind == MarkKind::level ? 0.0 : !still ? 15.0 : mark.kind == MarkKind::fan ? 9.0 : 4.0;
      const double edge = at_left ? x - away : x + away;
      out += svg::line(edge, middle, at_left ? text_x + 3.0 : text_x - 3.0, label_y, "lead");
      out += opening(mark, x) + arrows(mark, x, at_left);
      out += svg::lines(text_x, tops[i] + 12.0, mark.words, at_left ? "end" : "start");
    }
    return out;
  }

  std::string scale_bar() const {
    constexpr std::array<double, 8> lengths{0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0};
    double length = lengths.front();
    for (const double one : lengths) {
      if (scale_ * one <= 60.0) length = one;
    }
    const double at = end_ + 14.0, end = 6.0 + scale_ * length;
    std::string out = svg::path(fmt::format("M6 {0}v6h{1}v-6", number(at - 3.0), number(scale_ * length)), "bar") +
                      svg::text(end + 6.0, at + 4.0, length_words(site_, length), "start", "note");
    if (left_out_ > 0) out += svg::text(width - 4.0, at + 4.0, said(words_.more_openings, left_out_), "end", "note");
    return out;
  }

  Told site_;
  const CaseResult& result_;
  const PageWords& words_;
  SpaceIndex space_;
  RoomSize size_;
  std::string id_;
  std::vector<WallMark> at_left_, at_right_;
  std::size_t left_out_ = 0;
  double scale_ = 1.0, left_ = 0.0, right_ = 0.0, floor_ = 0.0;
  double bottom_ = 0.0, end_ = 0.0;  ///< of the words beside the walls, of those below the floor
};

}  // namespace

std::string svg_side_view(Told site, const CaseResult& result, SpaceIndex space, const std::string& id,
                          const PageWords& words) {
  const auto size = room_size(site->spaces[space.value]);
  if (!size) return {};
  View view{site, result, space, *size, id, words};
  const std::string inside = view.drawn();
  const std::string name = said(words.side_view_name, label(site, space), case_heading(site, result.case_index));
  return fmt::format("<svg class=\"side\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">\n{}</svg>\n",
                     number(width), number(view.height()), html::text(name), inside);
}

}  // namespace leanside::report
