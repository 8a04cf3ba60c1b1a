// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <charconv>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include "base/text/stop.hpp"
#include "base/units/unit_words.hpp"
#include "leanside/units.hpp"

namespace leanside {

std::string format_number(double value, int digits) {
  if (std::isnan(value)) return "not a number";
  if (std::isinf(value)) return value > 0 ? "infinite" : "-infinite";
  if (value == 0) return "0";
  digits = std::clamp(digits, 1, 17);
  char buffer[40];
  const auto written =
      std::to_chars(buffer, buffer + sizeof buffer, std::abs(value), std::chars_format::scientific, digits - 1);
  const std::string_view text{buffer, written.ptr};
  const auto mark = text.find('e');
  int exponent = 0;
  const auto* first = text.data() + mark + 1;
  std::from_chars(*first == '+' ? first + 1 : first, written.ptr, exponent);
  std::string figures{text.substr(0, mark)};
  std::erase(figures, '.');
  while (figures.size() > 1 && figures.back() == '0') figures.pop_back();

  const std::string_view sign = value < 0 ? "-" : "";
  const auto count = static_cast<int>(figures.size());
  const std::string_view all{figures};
  if (exponent < -5 || exponent > 9) {
    return fmt::format("{}{}{}{}e{}", sign, all.substr(0, 1), count > 1 ? "." : "", all.substr(1), exponent);
  }
  if (exponent < 0) return fmt::format("{}0.{:0>{}}{}", sign, "", -exponent - 1, all);
  if (exponent + 1 >= count) return fmt::format("{}{:0<{}}", sign, all, exponent + 1);
  const auto whole = static_cast<std::size_t>(exponent) + 1;
  return fmt::format("{}{}.{}", sign, all.substr(0, whole), all.substr(whole));
}

std::string format_exact(double value) {
  char buffer[40];
  return {buffer, std::to_chars(buffer, buffer + sizeof buffer, value).ptr};
}

std::string format_quantity(double si, std::string_view symbol, int digits) {
  const auto* unit = find_unit(symbol);
  if (!unit) stop_with("there is no unit '" + std::string{symbol} + "'");  // a slip in our own code
  return fmt::format("{} {}", format_number((si - unit->offset) / unit->factor, digits), symbol);
}

std::string_view counterpart(std::string_view symbol, UnitSystem units) {
  struct Pair {
    std::string_view si, us;
  };
  constexpr Pair pairs[] = {{"m3/h", "cfm"},     {"L/min", "ft3/h"}, {"mL/min", "ft3/h"}, {"m3", "ft3"},
                            {"L", "ft3"},        {"m", "ft"},        {"m2", "ft2"},       {"cm2", "in2"},
                            {"mm", "in"},        {"degC", "degF"},   {"Pa", "inH2O"},     {"kPa", "psi"},
                            {"mbar", "psi"},     {"bar", "psi"},     {"m/s", "ft/min"},   {"kg", "lb"},
                            {"g/min", "lb/min"}, {"cm", "in"},       {"mm2", "in2"},      {"g", "lb"}};
  const auto* const found = std::ranges::find(pairs, symbol, &Pair::si);
  return units == UnitSystem::us && found != std::end(pairs) ? found->us : symbol;
}

std::string_view shown_unit(std::string_view symbol) { return symbol == "inH2O" ? "in. w.c." : symbol; }

std::string format_quantity(double si, std::string_view symbol, int digits, UnitSystem units) {
  const auto* unit = find_unit(counterpart(symbol, units));
  if (!unit) stop_with("there is no unit '" + std::string{symbol} + "'");  // a slip in our own code
  return fmt::format("{} {}", format_number((si - unit->offset) / unit->factor, digits),
                     units == UnitSystem::us ? shown_unit(unit->symbol) : unit->symbol);
}

std::string format_duration(double seconds) {
  if (std::isnan(seconds)) return "not a number";
  if (seconds < 0) return fmt::format("-{}", format_duration(-seconds));
  if (std::isinf(seconds)) return "for ever";
  constexpr double minute = 60, hour = 3600, day = 86400;
  if (seconds < 9.95) return format_number(seconds, 2) + " s";
  if (std::round(seconds) < minute) return fmt::format("{:.0f} s", seconds);
  const auto pair = [](double whole, std::string_view large, double part, std::string_view small) {
    return part == 0 ? fmt::format("{:.0f} {}", whole, large)
                     : fmt::format("{:.0f} {} {:.0f} {}", whole, large, part, small);
  };
  if (const double all = std::round(seconds); all < hour) {
    return pair(std::floor(all / minute), "min", std::fmod(all, minute), "s");
  }
  if (const double all = std::round(seconds / minute); all < 2 * day / minute) {
    return pair(std::floor(all / 60), "h", std::fmod(all, 60), "min");
  }
  const double days = seconds / day;
  return format_number(days, days < 100 ? 2 + (days >= 10) : 3) + " days";
}

}  // namespace leanside
