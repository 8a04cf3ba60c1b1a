// SPDX-License-Identifier: Apache-2.0
/// Usual ranges for a file that gives none.
#include <charconv>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

/// How far a value of some key may be off. Common practice, no source: balancing leaves 10 to 20 % of a flow, and what
/// nobody has measured is known to a factor of two.
struct Usual {
  std::string_view table, key;
  double low, high;
};
constexpr Usual usual[] = {{"airway", "flow", 0.8, 1.2},       {"airway", "leakage_area", 0.5, 2.0},
                           {"space", "air_changes", 0.5, 2.0}, {"release", "rate", 0.5, 2.0},
                           {"release", "each", 0.5, 2.0},      {"release", "amount", 0.5, 2.0},
                           {"release", "hole", 0.7, 1.4}};

/// "4 L/min" times 0.5: "2 L/min". Empty where the text does not begin with a number over 0.
std::string times(std::string_view text, double factor) {
  while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
  double value = 0.0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (status != std::errc{} || !(value > 0.0)) return {};
  constexpr int digits = 12;
  return format_number(value * factor, digits) + std::string{text.substr(static_cast<std::size_t>(end - text.data()))};
}

bool widen(toml::table& row, const Usual& by) {
  const auto* node = row.get(by.key);
  const auto* text = node ? node->as_string() : nullptr;
  if (!text) return false;
  const std::string best = text->get(), low = times(best, by.low), high = times(best, by.high);
  if (low.empty()) return false;
  row.insert_or_assign(by.key, toml::table{{"low", low}, {"best", best}, {"high", high}});
  return true;
}

}  // namespace

bool add_usual_ranges(toml::table& root) {
  bool any = false;
  for (const Usual& by : usual) {
    auto* list = root.get(by.table) ? root.get(by.table)->as_array() : nullptr;
    if (!list) continue;
    for (auto& item : *list) {
      if (auto* row = item.as_table()) any = widen(*row, by) || any;
    }
  }
  return any;
}

Assumption assumption_of_usual_ranges() {
  return stated(
      "no value of the file is a range, so usual ones are taken (common practice, no source): flows of fans and "
      "exchanges 20 % either way; air changes, leakage areas, rates and amounts of releases from half to twice; holes "
      "from 0.7 to 1.4 times as wide");
}

}  // namespace leanside::input
