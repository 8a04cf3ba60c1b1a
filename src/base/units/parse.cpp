// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "base/text/utf8.hpp"
#include "base/units/unit_words.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace {

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::string_view without_spaces(std::string_view text) {
  // A non-breaking or a thin space comes with text pasted from a document.
  constexpr std::string_view spaces[] = {" ", "\t", "\u00A0", "\u2009", "\u202F"};
  for (bool again = true; again;) {
    again = false;
    for (const auto space : spaces) {
      if (text.starts_with(space)) text.remove_prefix(space.size()), again = true;
      if (text.ends_with(space)) text.remove_suffix(space.size()), again = true;
    }
  }
  return text;
}

std::string quoted(std::string_view text) {
  std::string out = "\"";
  constexpr std::size_t longest = 60;
  for (const char c : utf8::prefix(text, longest)) {
    const auto byte = static_cast<unsigned char>(c);
    out += byte < 0x20 || byte == 0x7F ? '?' : c;
  }
  return out + (text.size() > longest ? "...\"" : "\"");
}

std::string with_article(std::string_view noun) {
  return fmt::format("{} {}", std::string_view{"aeiou"}.find(noun.front()) == std::string_view::npos ? "a" : "an",
                     noun);
}

/// The units of a dimension; of several dimensions only the first few each, or nobody reads to the end.
std::string fitting_units(Dimension dimension, bool all) {
  auto text = units_that_fit(dimension);
  std::size_t end = 0;
  for (int shown = 0; !all && shown < 4 && end != std::string::npos; ++shown) end = text.find(',', end + 1);
  if (!all && end != std::string::npos) text = text.substr(0, end) + ", ...";
  return text;
}

std::string expectation(std::span<const Dimension> allowed) {
  if (allowed.empty()) return "expected a number and its unit, such as \"150 m3/h\"";
  std::vector<std::string> kinds;
  for (const Dimension dimension : allowed) {
    kinds.push_back(dimension == Dimension::fraction ? "a share: 0.25, \"25 %\" or \"250 ppm\""
                                                     : fmt::format("{} ({})", with_article(name_of(dimension)),
                                                                   fitting_units(dimension, allowed.size() == 1)));
  }
  return "expected " + listed(kinds, " or ");
}

QuantityFault fault(std::string_view text, std::string_view what, std::span<const Dimension> allowed) {
  return {fmt::format("found {}{}; {}", quoted(text), what, expectation(allowed))};
}

/// "8 ft 2 in": two quantities; the fault offers their sum in the first unit where that can be meant. Empty where
/// `text` is none.
std::optional<QuantityFault> two_quantities(std::string_view text, std::string_view unit,
                                            std::span<const Dimension> allowed) {
  constexpr std::size_t longest = 40;  // nobody means more, and each further quantity is a call deeper
  if (unit.size() > longest) return std::nullopt;
  for (std::size_t at = unit.find(' '); at != std::string_view::npos; at = unit.find(' ', at + 1)) {
    if (at + 1 >= unit.size() || !is_digit(unit[at + 1])) continue;
    const auto head = text.substr(0, static_cast<std::size_t>(unit.data() - text.data()) + at);
    const auto first = parse_quantity(head), second = parse_quantity(unit.substr(at + 1));
    const auto* a = std::get_if<Quantity>(&first);
    const auto* b = std::get_if<Quantity>(&second);
    const auto* of_first = find_unit(without_spaces(unit.substr(0, at)));
    if (!a || !b || !of_first || b->dimension == Dimension::per_time) return std::nullopt;  // "5 m 3/h" is m3/h
    const bool adds_up =
        a->dimension == b->dimension && a->dimension != Dimension::temperature && !a->gauge && !b->gauge;
    const bool fits = allowed.empty() || std::ranges::find(allowed, a->dimension) != allowed.end();
    if (!adds_up || !fits) return fault(text, ", which is two quantities", allowed);
    return QuantityFault{fmt::format("found {}, which is two quantities; expected one number with one unit: \"{}\"",
                                     quoted(text), format_quantity(a->si + b->si, of_first->symbol, 4))};
  }
  return std::nullopt;
}

/// "5 slpm": a flow counted at a temperature and pressure that the unit does not say. It is an amount.
std::optional<QuantityFault> standard_flow(std::string_view text, std::string_view unit) {
  struct Counted {
    std::string_view word, meaning, equivalent;
  };
  // P V/(R T) of one litre, cubic metre or cubic foot. At which temperature a "standard" one is counted differs (common
  // practice, no source).
  constexpr Counted known[] = {
      {"nml/min", "normal millilitres, counted at 0 degC and 101.325 kPa", "1 nmL/min is 0.04462 mmol/min"},
      {"slm", "standard litres, often counted at 0 degC", "1 slm is then 0.04462 mol/min"},
      {"slpm", "standard litres, often counted at 0 degC", "1 slpm is then 0.04462 mol/min"},
      {"sccm", "standard millilitres, often counted at 0 degC", "1 sccm is then 0.04462 mmol/min"},
  };
  std::string word;
  for (const char c : unit) {
    if (c != ' ' && c != '.') word += static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
  }
  for (const Counted& one : known) {
    if (one.word != word) continue;
    return QuantityFault{
        fmt::format("found {}: these are {}, whatever the site. Write them as an amount ({}), or as a "
                    "volume flow at the temperature and pressure of the site",
                    quoted(text), one.meaning, one.equivalent)};
  }
  return std::nullopt;
}

/// `text` is a number and `unit`, which is no unit of ours.
QuantityFault unknown_unit(std::string_view text, std::string_view unit, std::span<const Dimension> allowed) {
  if (auto two = two_quantities(text, unit, allowed)) return *two;
  if (auto counted = standard_flow(text, unit)) return *counted;
  if (unit.size() > 1 && (unit[0] == ',' || unit[0] == '_' || unit[0] == '\'') && is_digit(unit[1])) {
    return fault(text, ", with a mark inside the number (write 0.5 with a point, and 1500 without any mark)", allowed);
  }
  if (is_digit(unit[0]) && !unit.starts_with("1/")) {
    return fault(text, ", with a space inside the number or two numbers", allowed);
  }
  const auto meant = unit_meant(unit, allowed);
  if (meant.empty()) return fault(text, fmt::format(", whose unit {} is not known", quoted(unit)), allowed);
  const auto number = without_spaces(text.substr(0, static_cast<std::size_t>(unit.data() - text.data())));
  const auto offer = fmt::format("whose unit is not known; did you mean \"{} {}\"?", number, meant);
  const bool fits = allowed.empty() || std::ranges::find(allowed, find_unit(meant)->dimension) != allowed.end();
  if (fits) return {fmt::format("found {}, {}", quoted(text), offer)};
  return {fmt::format("found {}, {} But {} is {}; {}", quoted(text), offer, meant,
                      with_article(name_of(find_unit(meant)->dimension)), expectation(allowed))};
}

}  // namespace

std::variant<Quantity, QuantityFault> parse_quantity(std::string_view text, std::span<const Dimension> allowed) {
  const auto trimmed = without_spaces(text);
  auto rest = trimmed;
  bool negative = false;
  for (const std::string_view minus : {"-", "\u2212"}) {
    if (rest.starts_with(minus)) {
      negative = true;
      rest.remove_prefix(minus.size());
      break;
    }
  }
  if (!negative && rest.starts_with('+')) rest.remove_prefix(1);
  // from_chars would also take "inf" and "nan".
  if (rest.empty()) return fault(text, ", which is empty", allowed);
  if (!is_digit(rest.front()) && !(rest.front() == '.' && rest.size() > 1 && is_digit(rest[1]))) {
    return fault(text, ", which does not begin with a number", allowed);
  }
  double number = 0.0;
  const auto [end, status] = std::from_chars(rest.data(), rest.data() + rest.size(), number);
  if (status == std::errc::result_out_of_range) return fault(text, ", a number out of all range", allowed);
  rest = without_spaces(rest.substr(static_cast<std::size_t>(end - rest.data())));
  if (rest.empty()) return fault(text, " without a unit", allowed);
  const auto* unit = find_unit(rest);
  if (!unit) unit = find_unit(in_plain_letters(rest));
  if (!unit) return unknown_unit(text, rest, allowed);
  if (!allowed.empty() && std::ranges::find(allowed, unit->dimension) == allowed.end()) {
    return fault(text, fmt::format(", {}", with_article(name_of(unit->dimension))), allowed);
  }
  const double si = (negative ? -number : number) * unit->factor + unit->offset;
  if (!std::isfinite(si)) return fault(text, ", a number out of all range", allowed);
  if (unit->dimension == Dimension::temperature && si < 0) return fault(text, ", colder than absolute zero", allowed);
  return Quantity{si, unit->dimension, unit->gauge};
}

std::variant<Quantity, QuantityFault> parse_quantity(std::string_view text) {
  return parse_quantity(text, std::span<const Dimension>{});
}

std::variant<Quantity, QuantityFault> parse_quantity(std::string_view text, Dimension allowed) {
  return parse_quantity(text, std::span{&allowed, 1});
}

}  // namespace leanside
