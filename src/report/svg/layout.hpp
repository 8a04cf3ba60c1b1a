// SPDX-License-Identifier: Apache-2.0
/// Places boxes and the lines between them on a sheet, row by row as far as they are from outside. Pure geometry.
///
///  1. The row of a box is its distance from outside, counted in lines; boxes that nothing joins to outside come last.
///  2. Within a row, boxes go where the mean of their neighbours is (barycentre rule, Sugiyama et al. 1981), four
///     sweeps. Rows that are too long are broken.
///  3. Lines leave a box on the side that faces the other box, spread evenly in the order of where they lead.
///  4. A label stands on its line at the first of a few places where it covers neither a box nor another label; where
///     there is none it is left out.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace leanside::report {

struct Point {
  double x = 0.0, y = 0.0;
};
struct Rect {
  double x = 0.0, y = 0.0, width = 0.0, height = 0.0;  ///< x, y: the upper left corner
};

struct LayoutLine {
  std::optional<std::size_t> from, to;  ///< boxes; empty: outside. Not both empty, nor the same
  double label_width = 0.0, label_height = 0.0;
};

/// A cubic curve (Bezier) from p[0] to p[3].
struct Curve {
  Point p[4];
  std::optional<Point> label;  ///< the middle of the label
  bool stub = false;           ///< ends at a word "outside" of its own: the box is not in the first row
};

struct Layout {
  double width = 0.0, height = 0.0;
  std::vector<Rect> boxes;
  std::optional<Rect> outside;  ///< the bar above the first row; empty where nothing leads there
  std::vector<Curve> curves;    ///< one a line
};

/// `heights` of the boxes, all `width` wide; at most `per_row` beside one another.
Layout laid_out(const std::vector<double>& heights, double width, const std::vector<LayoutLine>& lines,
                std::size_t per_row);

}  // namespace leanside::report
