// SPDX-License-Identifier: Apache-2.0
#include "report/svg/apparatus.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/text/markup.hpp"
#include "report/svg/apparatus_parts.hpp"
#include "report/svg/draw.hpp"
#include "report/svg/states.hpp"
#include "report/svg/symbols.hpp"
#include "report/words/experiments.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using html::number;

constexpr double width = 440.0, body_left = 150.0, body_right = 290.0, body_top = 70.0, most_height = 150.0;
constexpr double least_width = 26.0, least_height = 30.0, label_gap = 22.0;
constexpr std::size_t letters = 16, most_lines = 4;

/// Words beside the vessel with a line to what they are about.
struct Beside {
  double x = 0.0, y = 0.0;  ///< px, of what they are about
  std::vector<std::string> lines;
};

class View {
 public:
  View(Told site, const CaseResult& result, const Experiment& experiment, const PageWords& words)
      : site_{site},
        result_{result},
        e_{experiment},
        words_{words},
        shape_{apparatus_shape(site, experiment)},
        parts_{apparatus_parts(site, result, experiment, words)} {
    const double scale = std::min((body_right - body_left) / shape_.width, most_height / shape_.height);
    const double w = std::max(least_width, scale * shape_.width), h = std::max(least_height, scale * shape_.height);
    left_ = 0.5 * (width - w);
    right_ = 0.5 * (width + w);
    top_ = body_top;
    bottom_ = top_ + h;
    scale_y_ = h / shape_.height;
    scale_x_ = w / shape_.width;
  }

  std::string drawn() {
    std::string out = svg::text(0.5 * width, 13.0, size_words(site_, e_, words_), "middle", "note");
    out += content() + walls();
    for (const ApparatusPart& part : parts_) out += part.hole ? opening(part) : tube(part);
    const double y = 0.5 * (top_ + surface());
    beside(false, left_ + 6.0, y, gas_state_words(site_, e_, content_state(result_, e_), words_));
    if (shape_.surface > 0.0) {
      beside(false, left_ + 6.0, 0.5 * (surface() + bottom_),
             said(words_.liquid_inside, gas_volume_words(site_, site_->spaces[e_.space.value].apparatus.liquid)));
    }
    return out + labels(false, at_left_) + labels(true, at_right_);
  }
  double height() const { return end_ + 10.0; }

 private:
  double y(double metres) const { return bottom_ - scale_y_ * metres; }
  double surface() const { return y(shape_.surface); }

  bool has_hole(Facing facing) const {
    return std::any_of(parts_.begin(), parts_.end(),
                       [&](const ApparatusPart& part) { return part.hole && part.hole->facing == facing; });
  }

  void beside(bool right, double x, double at, const std::string& words) {
    (right ? at_right_ : at_left_).push_back({x, at, svg::broken(words, letters, most_lines)});
  }

  std::string filled(double from, double to, std::string_view pattern) const {
    return fmt::format("<rect class=\"fill\" x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"url(#{})\"/>",
                       number(left_), number(from), number(right_ - left_), number(to - from), pattern);
  }

  std::string content() const {
    std::string out = svg::rect(left_, top_, right_ - left_, bottom_ - top_, "air");
    out += filled(top_, surface(), pattern_of(content_state(result_, e_)));
    if (shape_.surface > 0.0) {
      out += filled(surface(), bottom_, "liquid") + svg::line(left_, surface(), right_, surface(), "edge");
    }
    return out;
  }

  std::string walls() const {
    const std::string l = number(left_), r = number(right_), t = number(top_), b = number(bottom_);
    if (shape_.open_up) return svg::path(fmt::format("M{0} {2}V{3}H{1}V{2}", l, r, t, b), "wall");
    if (shape_.open_down) return svg::path(fmt::format("M{0} {3}V{2}H{1}V{3}", l, r, t, b), "wall");
    std::string out = svg::rect(left_, top_, right_ - left_, bottom_ - top_, "wall");
    if (!shape_.stoppered) return out;
    // A stopper over the middle of the top.
    const double middle = 0.5 * (left_ + right_), half = std::min(13.0, 0.4 * (right_ - left_));
    return out + svg::path(fmt::format("M{} {}h{}l3 -14h{}z", number(middle - half), number(top_ + 5.0),
                                       number(2.0 * half), number(-2.0 * half - 6.0)),
                           "stopper");
  }

  /// A gap in the wall, its arrows and its flame.
  std::string opening(const ApparatusPart& part) {
    const VesselOpening& hole = *part.hole;
    const double middle = 0.5 * (left_ + right_), half = std::max(4.0, 0.5 * scale_x_ * hole.diameter);
    const bool side = hole.facing == Facing::sideways, up = hole.facing == Facing::up;
    const double at = side ? y(hole.height) : up ? top_ : bottom_;
    std::string out;
    if (side) {
      out += svg::rect(right_ - 3.0, at - half, 6.0, 2.0 * half, "gap");
    } else if (!(up ? shape_.open_up : shape_.open_down)) {
      out += svg::rect(middle - half, at - 3.0, 2.0 * half, 6.0, "gap");
    }
    const double outwards = up ? -1.0 : 1.0, apart = part.gas_out && part.air_in ? std::min(half, 8.0) : 0.0;
    const auto arrow = [&](double shift, double from, double to) {
      const std::string d =
          side ? fmt::format("M{} {}H{}", number(right_ + from), number(at + shift), number(right_ + to))
               : fmt::format("M{} {}V{}", number(middle + shift), number(at + outwards * from),
                             number(at + outwards * to));
      return fmt::format("<path class=\"flow\" d=\"{}\" marker-end=\"url(#arrow)\"/>", d);
    };
    if (part.gas_out) out += arrow(-apart, -10.0, 14.0);
    if (part.air_in) out += arrow(apart, 14.0, -10.0);
    if (hole.flame) {
      const double x = side ? right_ + 25.0 : middle, foot = side ? at + 8.0 : up ? top_ - 16.0 : bottom_ + 38.0;
      out += svg::symbol(svg::Symbol::flame, x, foot);
    }
    beside(true, side ? right_ + (hole.flame ? 34.0 : 16.0) : middle + std::max(half, 10.0),
           side ? at : at + 8.0 * outwards, part.words);
    return out;
  }

  /// Through the stopper or the top: in from the left, out to the right. Several lie above one another.
  std::string tube(const ApparatusPart& part) {
    const bool in = part.tube == TubeEnd::from_vessel;
    const std::size_t number_of = in ? tubes_in_++ : tubes_out_++;
    // Beside an opening in the top, else through its middle.
    const double aside = has_hole(Facing::up) ? 0.28 * (right_ - left_) : 5.0;
    const double inside = 0.5 * (left_ + right_) + (in ? -aside : aside);
    const double level = top_ - 20.0 - 10.0 * static_cast<double>(std::min<std::size_t>(number_of, 2));
    const double end = in ? left_ - 14.0 : right_ + 14.0;
    const double low = std::min(top_ + 14.0, surface() - 3.0);
    const std::string d = fmt::format("M{} {}V{}H{}", number(inside), number(low), number(level), number(end));
    std::string out = svg::path(d, "tube") + svg::path(d, "bore");
    const double from = in ? end : end - 12.0, to = in ? end + 14.0 : end + 2.0;
    out += fmt::format("<path class=\"flow\" d=\"M{} {}H{}\" marker-end=\"url(#arrow)\"/>", number(from), number(level),
                       number(to));
    beside(!in, in ? end - 2.0 : end + 4.0, level, part.words);
    return out;
  }

  std::string labels(bool right, std::vector<Beside>& all) {
    std::stable_sort(all.begin(), all.end(), [](const Beside& a, const Beside& b) { return a.y < b.y; });
    // From the top down each below the one before it; where they reach too low the picture grows.
    const double x = right ? body_right + label_gap : body_left - label_gap;
    double next = 34.0;
    std::string out;
    for (const Beside& one : all) {
      const double tall = svg::line_height * static_cast<double>(one.lines.size());
      const double top = std::max(next, one.y - 0.5 * tall);
      out += svg::line(one.x, one.y, right ? x - 3.0 : x + 3.0, top + 0.5 * tall, "lead");
      out += svg::lines(x, top + 12.0, one.lines, right ? "start" : "end");
      next = top + tall + 6.0;
    }
    const bool below = has_hole(Facing::down);
    end_ = std::max({end_, next, bottom_ + (below ? 42.0 : 6.0)});
    return out;
  }

  Told site_;
  const CaseResult& result_;
  const Experiment& e_;
  const PageWords& words_;
  ApparatusShape shape_;
  std::vector<ApparatusPart> parts_;
  std::vector<Beside> at_left_, at_right_;
  std::size_t tubes_in_ = 0, tubes_out_ = 0;
  double left_ = 0.0, right_ = 0.0, top_ = 0.0, bottom_ = 0.0, scale_x_ = 1.0, scale_y_ = 1.0, end_ = 0.0;
};

}  // namespace

std::string apparatus_words(Told site, const CaseResult& result, const Experiment& experiment, const PageWords& words) {
  std::vector<std::string> parts{size_words(site, experiment, words)};
  const double liquid = site->spaces[experiment.space.value].apparatus.liquid;
  if (liquid > 0.0) parts.push_back(said(words.liquid_inside, gas_volume_words(site, liquid)));
  for (const ApparatusPart& part : apparatus_parts(site, result, experiment, words)) parts.push_back(part.words);
  parts.push_back(gas_state_words(site, experiment, content_state(result, experiment), words));
  std::string out;
  for (const std::string& part : parts) out += (out.empty() ? "" : "; ") + part;
  return out;
}

std::string svg_apparatus(Told site, const CaseResult& result, const Experiment& experiment, const PageWords& words) {
  View view{site, result, experiment, words};
  const std::string inside = view.drawn();
  const std::string name =
      said(words.apparatus_name, label(site, experiment.space), apparatus_words(site, result, experiment, words));
  return fmt::format("<svg class=\"side\" viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">\n{}</svg>\n",
                     number(width), number(view.height()), html::text(name), inside);
}

}  // namespace leanside::report
