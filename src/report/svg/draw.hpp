// SPDX-License-Identifier: Apache-2.0
/// Pieces of SVG. Texts of users are escaped here.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace leanside::report::svg {

/// Width of a letter of the pictures (13 px) on the average, px: to keep room, not to draw.
inline constexpr double letter = 7.6;
/// From one line of text to the next, px.
inline constexpr double line_height = 16.0;

/// A line of text that starts, ends or has its middle ("start", "end", "middle") at x, on the base line y.
std::string text(double x, double y, std::string_view words, std::string_view anchor = "start",
                 std::string_view what = "");
/// Lines of text below one another.
std::string lines(double x, double y, const std::vector<std::string>& words, std::string_view anchor = "start",
                  std::string_view what = "");
std::string rect(double x, double y, double width, double height, std::string_view what, double corner = 0.0);
std::string path(std::string_view d, std::string_view what);
/// A straight line.
std::string line(double x1, double y1, double x2, double y2, std::string_view what);

/// `words` in lines of at most `width` columns, at most `most` of them; what is left over is cut off with a mark.
std::vector<std::string> broken(const std::string& words, std::size_t width, std::size_t most);

/// Pushes places along an axis apart, in their order, until each is at least `least` behind the one before it and all
/// lie between `low` and `high` where they fit; moves each as little as that takes.
void push_apart(std::vector<double>& places, double least, double low, double high);

}  // namespace leanside::report::svg
