// SPDX-License-Identifier: Apache-2.0
#include "leanside/diagnostic.hpp"

#include <algorithm>
#include <cctype>

#include <fmt/format.h>

namespace leanside {
namespace {

std::string lower(const std::string& text) {
  std::string out = text;
  for (auto& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  return out;
}

/// Optimal string alignment distance, or anything above `most` once it is sure to be exceeded.
std::size_t distance(const std::string& a, const std::string& b, std::size_t most) {
  if ((a.size() > b.size() ? a.size() - b.size() : b.size() - a.size()) > most) return most + 1;
  std::vector<std::size_t> two_back(b.size() + 1), back(b.size() + 1), row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) back[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    auto least = row[0];
    for (std::size_t j = 1; j <= b.size(); ++j) {
      row[j] = std::min({back[j] + 1, row[j - 1] + 1, back[j - 1] + (a[i - 1] != b[j - 1])});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        row[j] = std::min(row[j], two_back[j - 2] + 1);
      least = std::min(least, row[j]);
    }
    if (least > most) return most + 1;
    two_back.swap(back);
    back.swap(row);
  }
  return back[b.size()];
}

/// How many slips of the pen a word of this length may hold.
std::size_t slips(std::size_t length) {
  if (length < 2) return 0;
  if (length < 5) return 1;
  return std::max<std::size_t>(2, length / 3);
}

}  // namespace

std::string to_text(const Diagnostic& diagnostic) {
  std::string out = diagnostic.place.file;
  if (diagnostic.place.line > 0) {
    if (out.empty())
      out = "line ";
    else
      out += ':';
    out += fmt::format("{}", diagnostic.place.line);
    if (diagnostic.place.column > 0) out += fmt::format(":{}", diagnostic.place.column);
  }
  if (!out.empty()) out += ": ";
  return out + (diagnostic.level == DiagnosticLevel::error ? "error: " : "notice: ") + diagnostic.message;
}

bool has_error(const Diagnostics& diagnostics) {
  return std::ranges::any_of(diagnostics, [](const Diagnostic& d) { return d.level == DiagnosticLevel::error; });
}

std::string nearest_name(const std::string& word, const std::vector<std::string>& candidates) {
  constexpr std::size_t longest = 80;  // of a name: more is no slip of the pen
  if (word.size() > longest) return {};
  const auto sought = lower(word);
  const std::string* nearest = nullptr;
  std::size_t least = slips(sought.size()) + 1;
  for (const auto& candidate : candidates) {
    if (candidate.size() > longest || candidate == word) continue;
    const auto d = distance(sought, lower(candidate), least - 1);
    if (d < least) {
      least = d;
      nearest = &candidate;
      if (d == 0) break;
    }
  }
  return nearest ? *nearest : std::string{};
}

}  // namespace leanside
