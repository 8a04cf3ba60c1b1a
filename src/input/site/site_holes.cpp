// SPDX-License-Identifier: Apache-2.0
/// Holes, by their diameter or by what leaks.
#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "input/site/site_sources.hpp"

namespace leanside::input {
namespace {

/// A hole wider than this is more likely a slip, m.
constexpr double widest_usual_hole = 0.05;

/// What may stand in the place of a diameter.
struct UsualHole {
  std::string_view words;
  double area = 0.0;  ///< m2
  bool of_table = true;
};
/// Suggested cross-sections of leaks, IEC 60079-10-1:2015, table B.1 (from memory): small-bore connections up to 0.1
/// mm2 where the opening does not grow, 0.25 mm2 where it does, 1 mm2 where it fails; valve stems 0.25 and 2.5 mm2;
/// flanges with fibre gaskets 0.25 and 2.5 mm2. The hose is the bore of a cylinder valve, 4 mm: common practice, no
/// source.
constexpr auto usual_holes = std::to_array<UsualHole>({
    {"typical fitting", 0.1e-6},
    {"worn fitting", 0.25e-6},
    {"broken fitting", 1e-6},
    {"typical valve stem", 0.25e-6},
    {"worn valve stem", 2.5e-6},
    {"typical flange", 0.25e-6},
    {"worn flange", 2.5e-6},
    {"broken hose", 1.2566370614e-5, false},
});

double diameter_of(double area) { return std::sqrt(4.0 * area / std::numbers::pi); }

bool has_digit(std::string_view text) {
  return std::ranges::any_of(text, [](char c) { return c >= '0' && c <= '9'; });
}

/// The diameter, m; empty where the key gives none or a wrong one.
std::optional<double> read_diameter(const TableReader& table, std::string_view id, Draft& draft) {
  const auto* text = table.find("hole") ? table.find("hole")->as_string() : nullptr;
  if (text == nullptr || has_digit(text->get())) return table.quantity("hole", Dimension::length, Sign::positive);
  const auto usual = std::ranges::find(usual_holes, text->get(), &UsualHole::words);
  if (usual == usual_holes.end()) {
    std::vector<std::string> words;
    for (const UsualHole& each : usual_holes) words.emplace_back(each.words);
    table.value_error("hole",
                      fmt::format("found {}; expected a diameter such as \"1 mm\", or one of {}{}", shown(text->get()),
                                  listed(words), table.faults().did_you_mean(text->get(), words)));
    return {};
  }
  draft.usual_holes.push_back(hole_words(usual->words, id, draft.site.conditions.units));
  return diameter_of(usual->area);
}

}  // namespace

std::string hole_words(std::string_view words, std::string_view id, UnitSystem system) {
  const auto usual = std::ranges::find(usual_holes, words, &UsualHole::words);
  return fmt::format("the hole of {}, a {}, is {} across ({}: {})", shown(id), words,
                     format_quantity(diameter_of(usual->area), "mm", 2, system),
                     format_quantity(usual->area, "mm2", 3, system),
                     usual->of_table ? "IEC 60079-10-1, table of suggested openings, from memory"
                                     : "the bore of a cylinder valve, common practice, no source");
}

std::string hole_written(const TableReader& table, const Hole& hole) {
  const std::string words = written(table, "hole");
  return has_digit(words) ? words : fmt::format("{} ({})", words, table.faults().amount(hole.diameter, "mm", 2));
}

Hole usual_hole(std::string_view words) {
  Hole hole;
  hole.diameter = diameter_of(std::ranges::find(usual_holes, words, &UsualHole::words)->area);
  return hole;
}

Hole read_hole(const TableReader& table, std::string_view id, bool required, Draft& draft) {
  Hole hole;
  if (table.has("hole") || (required && table.require("hole", "\"1 mm\" (its diameter), or \"typical fitting\""))) {
    hole.diameter = read_diameter(table, id, draft).value_or(0.0);
    if (required && hole.diameter > widest_usual_hole) {
      table.value_notice("hole", fmt::format("a hole {} across is a burst pipe; is the unit right?",
                                             table.faults().amount(hole.diameter, "mm")));
    }
  }
  if (const auto discharge = table.number("discharge", Sign::positive)) {
    hole.discharge = *discharge;
    if (*discharge > 1.0) {
      table.value_error("discharge", fmt::format("found {}; it is the share, up to 1, of the flow through a perfect "
                                                 "hole: 0.6 for a sharp edge, 0.85 where little is known",
                                                 format_exact(*discharge)));
    }
  }
  return hole;
}

}  // namespace leanside::input
