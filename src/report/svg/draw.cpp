// SPDX-License-Identifier: Apache-2.0
#include "report/svg/draw.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/text/markup.hpp"
#include "base/text/plain.hpp"

namespace leanside::report::svg {
namespace {

using html::number;

std::string class_of(std::string_view what) { return what.empty() ? "" : fmt::format(" class=\"{}\"", what); }

}  // namespace

std::string text(double x, double y, std::string_view words, std::string_view anchor, std::string_view what) {
  return fmt::format("<text x=\"{}\" y=\"{}\" text-anchor=\"{}\"{}>{}</text>", number(x), number(y), anchor,
                     class_of(what), html::text(words));
}

std::string lines(double x, double y, const std::vector<std::string>& words, std::string_view anchor,
                  std::string_view what) {
  std::string out;
  for (const std::string& one : words) {
    out += text(x, y, one, anchor, what);
    y += line_height;
  }
  return out;
}

std::string rect(double x, double y, double width, double height, std::string_view what, double corner) {
  return fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{}{}/>", number(x), number(y), number(width),
                     number(height), corner > 0.0 ? fmt::format(" rx=\"{}\"", number(corner)) : "", class_of(what));
}

std::string path(std::string_view d, std::string_view what) {
  return fmt::format("<path d=\"{}\"{}/>", d, class_of(what));
}

std::string line(double x1, double y1, double x2, double y2, std::string_view what) {
  return path(fmt::format("M{} {}L{} {}", number(x1), number(y1), number(x2), number(y2)), what);
}

std::vector<std::string> broken(const std::string& words, std::size_t width, std::size_t most) {
  std::vector<std::string> out;
  std::size_t at = 0;
  while (at < words.size()) {
    std::string line;
    while (at < words.size()) {
      const std::size_t end = std::min(words.find(' ', at), words.size());
      const std::string longer = line + (line.empty() ? "" : " ") + words.substr(at, end - at);
      if (!line.empty() && columns(longer) > width) break;
      line = longer;
      at = std::min(end + 1, words.size());
    }
    if (out.size() + 1 == most && at < words.size()) {
      out.push_back(cut(line + " " + words.substr(at), width, true));
      return out;
    }
    out.push_back(cut(line, width, true));
  }
  return out;
}

void push_apart(std::vector<double>& places, double least, double low, double high) {
  for (std::size_t i = 0; i < places.size(); ++i) {
    places[i] = std::max(places[i], i == 0 ? low : places[i - 1] + least);
  }
  for (std::size_t i = places.size(); i-- > 0;) {
    const double limit = i + 1 == places.size() ? high : places[i + 1] - least;
    if (places[i] <= limit) break;
    places[i] = limit;
  }
}

}  // namespace leanside::report::svg
