// SPDX-License-Identifier: Apache-2.0
#include "report/svg/layout.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <numeric>
#include <queue>
#include <tuple>

namespace leanside::report {
namespace {

constexpr double edge = 14.0;  ///< around everything
constexpr double between_boxes = 122.0;
constexpr double between_rows = 62.0;  ///< and more where many lines go
constexpr double bar_height = 30.0;
constexpr double stub_length = 64.0;  ///< room for a label of two lines

using Rows = std::vector<std::vector<std::size_t>>;
using Neighbours = std::vector<std::vector<std::size_t>>;

Neighbours neighbours_of(std::size_t boxes, const std::vector<LayoutLine>& lines) {
  Neighbours out(boxes);
  for (const LayoutLine& line : lines) {
    if (!line.from || !line.to) continue;
    out[*line.from].push_back(*line.to);
    out[*line.to].push_back(*line.from);
  }
  return out;
}

/// Boxes by their distance from outside.
Rows rows_by_distance(std::size_t boxes, const std::vector<LayoutLine>& lines, const Neighbours& neighbours) {
  constexpr std::size_t unknown = static_cast<std::size_t>(-1);
  std::vector<std::size_t> distance(boxes, unknown);
  std::queue<std::size_t> open;
  const auto reach = [&](std::size_t box, std::size_t d) {
    if (distance[box] != unknown) return;
    distance[box] = d;
    open.push(box);
  };
  std::size_t farthest = 0;
  const auto spread = [&] {
    while (!open.empty()) {
      const std::size_t box = open.front();
      open.pop();
      farthest = std::max(farthest, distance[box] + 1);
      for (const std::size_t next : neighbours[box]) reach(next, distance[box] + 1);
    }
  };
  for (const LayoutLine& line : lines) {
    if (!line.from) reach(*line.to, 0);
    if (!line.to) reach(*line.from, 0);
  }
  spread();
  const std::size_t apart = farthest;
  for (std::size_t box = 0; box < boxes; ++box) {
    reach(box, apart);
    spread();
  }
  Rows rows(farthest);
  for (std::size_t box = 0; box < boxes; ++box) rows[distance[box]].push_back(box);
  return rows;
}

void sort_rows(Rows& rows, const Neighbours& neighbours) {
  std::size_t boxes = 0;
  for (const auto& row : rows) boxes += row.size();
  std::vector<double> place(boxes, 0.0);
  const auto number = [&](const std::vector<std::size_t>& row) {
    for (std::size_t i = 0; i < row.size(); ++i) {
      place[row[i]] = (static_cast<double>(i) + 0.5) / static_cast<double>(row.size());
    }
  };
  for (const auto& row : rows) number(row);
  constexpr int sweeps = 4;
  for (int sweep = 0; sweep < sweeps; ++sweep) {
    for (std::size_t r = 0; r < rows.size(); ++r) {
      auto& row = rows[sweep % 2 == 0 ? r : rows.size() - 1 - r];
      std::vector<std::pair<double, std::size_t>> keyed;
      for (const std::size_t box : row) {
        double sum = place[box];
        for (const std::size_t next : neighbours[box]) sum += place[next];
        keyed.emplace_back(sum / static_cast<double>(neighbours[box].size() + 1), box);
      }
      std::stable_sort(keyed.begin(), keyed.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
      for (std::size_t i = 0; i < row.size(); ++i) row[i] = keyed[i].second;
      number(row);
    }
  }
}

Rows broken(const Rows& rows, std::size_t per_row) {
  Rows out;
  for (const auto& row : rows) {
    const std::size_t parts = (row.size() + per_row - 1) / per_row;
    for (std::size_t k = 0; k < parts; ++k) {
      const auto at = [&](std::size_t i) { return row.begin() + static_cast<std::ptrdiff_t>(i * row.size() / parts); };
      out.emplace_back(at(k), at(k + 1));
    }
  }
  return out;
}

enum class Face { top, bottom, left, right };

/// One end of a line at a box.
struct Port {
  std::size_t line = 0;
  bool is_from = true;
  double towards = 0.0;  ///< where the other end is, along the face
};

class Sheet {
 public:
  Sheet(const std::vector<double>& heights, double width, const std::vector<LayoutLine>& lines, const Rows& rows)
      : lines_{lines}, row_of_(heights.size()), column_of_(heights.size()) {
    place_boxes(heights, width, rows);
    place_lines();
    place_labels();
  }
  Layout take() { return std::move(out_); }

 private:
  void place_boxes(const std::vector<double>& heights, double width, const Rows& rows) {
    const bool any_outside =
        std::any_of(lines_.begin(), lines_.end(), [](const LayoutLine& l) { return !l.from || !l.to; });
    std::size_t longest = 1;
    for (std::size_t r = 0; r < rows.size(); ++r) {
      longest = std::max(longest, rows[r].size());
      for (std::size_t c = 0; c < rows[r].size(); ++c) {
        row_of_[rows[r][c]] = r;
        column_of_[rows[r][c]] = c;
      }
    }
    // Lines that start or end in a row pass the space below it or above it.
    std::vector<double> space(rows.size() + 1, between_rows);
    for (const LayoutLine& line : lines_) {
      const std::size_t a = line.from ? row_of_[*line.from] + 1 : 0, b = line.to ? row_of_[*line.to] + 1 : 0;
      space[std::min(rows.size(), std::min(a, b))] += 9.0;
      const std::size_t inner = std::max(a, b);
      if (std::min(a, b) == 0 && inner > 1) space[inner - 1] = std::max(space[inner - 1], stub_length + between_rows);
    }
    out_.width = 2.0 * edge + static_cast<double>(longest) * width + static_cast<double>(longest - 1) * between_boxes;
    out_.boxes.resize(heights.size());
    double y = edge;
    if (any_outside) {
      out_.outside = Rect{edge, edge, out_.width - 2.0 * edge, bar_height};
      y += bar_height + std::min(space[0], 2.5 * between_rows);
    }
    for (std::size_t r = 0; r < rows.size(); ++r) {
      const auto n = static_cast<double>(rows[r].size());
      double x = 0.5 * (out_.width - n * width - (n - 1.0) * between_boxes);
      double tallest = 0.0;
      for (const std::size_t box : rows[r]) {
        out_.boxes[box] = {x, y, width, heights[box]};
        x += width + between_boxes;
        tallest = std::max(tallest, heights[box]);
      }
      y += tallest + (r + 1 < rows.size() ? std::min(space[r + 1], 3.5 * between_rows) : edge);
    }
    // Lines within the last row may hang below it.
    out_.height = y + (space.back() > between_rows ? between_rows : 0.0);
  }

  Face face_towards(std::size_t box, const std::optional<std::size_t>& other) const {
    if (!other || row_of_[*other] < row_of_[box]) return Face::top;
    if (row_of_[*other] > row_of_[box]) return Face::bottom;
    if (column_of_[*other] == column_of_[box] + 1) return Face::right;
    return column_of_[box] == column_of_[*other] + 1 ? Face::left : Face::bottom;
  }

  double middle(const std::optional<std::size_t>& box, std::size_t otherwise) const {
    const Rect& rect = out_.boxes[box.value_or(otherwise)];
    return rect.x + 0.5 * rect.width;
  }

  void place_lines() {
    std::map<std::pair<std::size_t, Face>, std::vector<Port>> ports;
    out_.curves.resize(lines_.size());
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      const LayoutLine& line = lines_[i];
      if (line.from)
        ports[{*line.from, face_towards(*line.from, line.to)}].push_back({i, true, middle(line.to, *line.from)});
      if (line.to)
        ports[{*line.to, face_towards(*line.to, line.from)}].push_back({i, false, middle(line.from, *line.to)});
    }
    for (auto& [where, list] : ports) {
      const auto [box, face] = where;
      std::stable_sort(list.begin(), list.end(), [](const Port& a, const Port& b) { return a.towards < b.towards; });
      for (std::size_t k = 0; k < list.size(); ++k) {
        set_end(list[k], out_.boxes[box], face,
                (static_cast<double>(k) + 1.0) / (static_cast<double>(list.size()) + 1.0));
      }
    }
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      if (!lines_[i].from) meet_outside(out_.curves[i], *lines_[i].to, true);
      if (!lines_[i].to) meet_outside(out_.curves[i], *lines_[i].from, false);
    }
  }

  /// The end of a curve on a face, `share` of the way along it, and the point that it leaves towards.
  void set_end(const Port& port, const Rect& box, Face face, double share) {
    Curve& curve = out_.curves[port.line];
    Point& end = curve.p[port.is_from ? 0 : 3];
    Point& towards = curve.p[port.is_from ? 1 : 2];
    constexpr double pull = 42.0;
    const bool upright = face == Face::top || face == Face::bottom;
    end.x = upright ? box.x + share * box.width : face == Face::left ? box.x : box.x + box.width;
    end.y = upright ? (face == Face::top ? box.y : box.y + box.height) : box.y + share * box.height;
    towards = end;
    if (face == Face::top) towards.y -= pull;
    if (face == Face::bottom) towards.y += pull;
    if (face == Face::left) towards.x -= 0.4 * between_boxes;
    if (face == Face::right) towards.x += 0.4 * between_boxes;
  }

  /// Straight up to the bar from the first row; a short line of its own from the others.
  void meet_outside(Curve& curve, std::size_t box, bool at_from) {
    Point& there = curve.p[at_from ? 0 : 3];
    const Point here = curve.p[at_from ? 3 : 0];
    curve.stub = row_of_[box] > 0;
    there = {here.x, curve.stub ? here.y - stub_length : out_.outside->y + out_.outside->height};
    curve.p[1] = {here.x, curve.p[0].y + (curve.p[3].y - curve.p[0].y) / 3.0};
    curve.p[2] = {here.x, curve.p[0].y + (curve.p[3].y - curve.p[0].y) * 2.0 / 3.0};
  }

  static Point at(const Curve& curve, double t) {
    const double s = 1.0 - t;
    const double w[4] = {s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t};
    Point out;
    for (int k = 0; k < 4; ++k) {
      out.x += w[k] * curve.p[k].x;
      out.y += w[k] * curve.p[k].y;
    }
    return out;
  }

  void place_labels() {
    constexpr std::array<double, 11> places{0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.12, 0.88};
    std::vector<Rect> taken = out_.boxes;
    if (out_.outside) taken.push_back(*out_.outside);
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      if (!out_.curves[i].stub) continue;
      const Point& end = lines_[i].from ? out_.curves[i].p[3] : out_.curves[i].p[0];
      taken.push_back({end.x - 14.0, end.y - 18.0, 28.0, 17.0});  // the word at its end
    }
    for (std::size_t i = 0; i < lines_.size(); ++i) {
      for (const double t : places) {
        const Point middle = at(out_.curves[i], t);
        const Rect rect{middle.x - 0.5 * lines_[i].label_width, middle.y - 0.5 * lines_[i].label_height,
                        lines_[i].label_width, lines_[i].label_height};
        const bool inside = rect.x >= 0.0 && rect.x + rect.width <= out_.width;
        if (!inside || std::any_of(taken.begin(), taken.end(), [&](const Rect& other) { return touch(rect, other); })) {
          continue;
        }
        out_.curves[i].label = middle;
        taken.push_back(rect);
        break;
      }
    }
  }

  static bool touch(const Rect& a, const Rect& b) {
    constexpr double apart = 2.0;
    return a.x < b.x + b.width + apart && b.x < a.x + a.width + apart && a.y < b.y + b.height + apart &&
           b.y < a.y + a.height + apart;
  }

  const std::vector<LayoutLine>& lines_;
  std::vector<std::size_t> row_of_, column_of_;
  Layout out_;
};

}  // namespace

Layout laid_out(const std::vector<double>& heights, double width, const std::vector<LayoutLine>& lines,
                std::size_t per_row) {
  const Neighbours neighbours = neighbours_of(heights.size(), lines);
  Rows rows = rows_by_distance(heights.size(), lines, neighbours);
  sort_rows(rows, neighbours);
  return Sheet{heights, width, lines, broken(rows, per_row)}.take();
}

}  // namespace leanside::report
