// SPDX-License-Identifier: Apache-2.0
/// Numbers as people read them.
#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// `value` rounded to `digits` significant figures.
double rounded(double value, int digits) {
  std::array<char, 64> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific,
                                 std::max(0, digits - 1));
  double out = value;
  std::from_chars(text.data(), end.ptr, out);
  return out;
}

/// How many of the marks `value` has reached.
std::ptrdiff_t reached(double value, std::span<const double> marks) {
  return std::count_if(marks.begin(), marks.end(), [&](double mark) { return value >= mark; });
}

bool is_one_of(double value, std::span<const double> marks) {
  return std::any_of(marks.begin(), marks.end(), [&](double mark) { return std::abs(value - mark) < 1e-12; });
}

}  // namespace

std::string percent(double fraction, int digits, std::span<const double> marks, const Language& language) {
  const auto text = [&](Phrase phrase) { return language.phrases[static_cast<std::size_t>(phrase)]; };
  if (!std::isfinite(fraction)) return std::string{text(Phrase::not_known)};
  const double value = 100.0 * fraction;
  if (value > 0.0 && value < 0.01) return "<0.01 %";
  constexpr int most_digits = 7;
  for (int d = digits; d <= most_digits; ++d) {
    const double shown = rounded(value, d);
    if (reached(shown / 100.0, marks) != reached(fraction, marks)) continue;
    // "passes 25 % and reaches 25 %" tells nobody anything: one more figure where it helps.
    if (d == digits && is_one_of(shown / 100.0, marks) && rounded(value, d + 1) != shown) continue;
    return format_number(shown, d) + " %";
  }
  // Nearer to a mark than seven figures show: say on which side it is.
  const double nearest = *std::min_element(
      marks.begin(), marks.end(), [&](double a, double b) { return std::abs(a - fraction) < std::abs(b - fraction); });
  std::string out = format_number(100.0 * nearest, digits) + " %";
  return fraction < nearest ? filled_in(text(Phrase::just_under), {{"percent", out}}) : out;
}

std::string percent_of_limit(Told site, double lfl_fraction) {
  const Criteria& criteria = site->criteria;
  const std::array<double, 3> marks{criteria.note_at, criteria.warn_at, 1.0};
  return percent(lfl_fraction, lfl_fraction >= 1.0 ? 3 : 2, marks, site.language());
}

std::string limit_words(Told site, double lfl_fraction) {
  constexpr double many = 10.0;
  return lfl_fraction > many ? site.tell(Phrase::level_times, {{"times", format_number(lfl_fraction, 2)}})
                             : site.tell(Phrase::level, {{"percent", percent_of_limit(site, lfl_fraction)}});
}

std::string percent_of_oxygen(Told site, double oxygen) {
  const std::array<double, 2> marks{site->criteria.oxygen_low, site->criteria.oxygen_high};
  return percent(oxygen, 3, marks, site.language());
}

double rounded_up(double value) {
  if (!(value > 0.0) || !std::isfinite(value)) return value;
  const double near = rounded(value, 2);
  if (near >= value) return near;
  const double step = std::pow(10.0, std::floor(std::log10(value)) - 1.0);
  return rounded(near + step, 2);
}

double in_unit(Told site, double si, std::string_view symbol) {
  const std::string_view shown = counterpart(symbol, site->conditions.units);
  const auto all = units();
  const auto unit = std::find_if(all.begin(), all.end(), [&](const Unit& one) { return one.symbol == shown; });
  return (si - unit->offset) / unit->factor;
}

std::string unit_words(Told site, std::string_view symbol) {
  const std::string_view shown = counterpart(symbol, site->conditions.units);
  return std::string{site->conditions.units == UnitSystem::us ? shown_unit(shown) : shown};
}

namespace {

std::string rounded_up_words(Told site, double si, std::string_view symbol) {
  return format_number(rounded_up(in_unit(site, si, symbol)), 2) + " " + unit_words(site, symbol);
}

}  // namespace

std::string area_words(Told site, double area) {
  constexpr double large = 0.1;  // m2; below it people think in square centimetres
  return rounded_up_words(site, area, area < large ? "cm2" : "m2");
}

std::string reach_words(Told site, double length) {
  constexpr double small = 0.1;  // m
  if (length >= small) return rounded_up_words(site, length, "m");
  if (site->conditions.units == UnitSystem::us) return rounded_up_words(site, length, "mm");
  return format_number(rounded_up(100.0 * length), 2) + " cm";
}

std::string cubic_words(Told site, double volume, double small, int digits) {
  return format_quantity(volume, volume < small ? "L" : "m3", digits, site->conditions.units);
}

std::string hourly(Told site, double flow, bool up) {
  if (up) return rounded_up_words(site, flow, "m3/h");
  return format_quantity(flow, "m3/h", 3, site->conditions.units);
}

double air_changes_an_hour(const Space& space, double flow) {
  return space.volume > 0.0 ? rounded_up(3600.0 * flow / space.volume) : 0.0;
}

}  // namespace leanside::report
