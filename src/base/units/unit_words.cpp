// SPDX-License-Identifier: Apache-2.0
#include "base/units/unit_words.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <vector>

#include <fmt/format.h>

#include "leanside/diagnostic.hpp"

namespace leanside {
namespace {

struct Spelling {
  std::string_view word;
  std::string_view symbol;
};

constexpr auto signs = std::to_array<Spelling>({
    {"\u00B3", "3"},     // superscript three
    {"\u00B2", "2"},     // superscript two
    {"\u00B0", "deg"},   // degree sign
    {"\u2103", "degC"},  // degree Celsius in one sign
    {"\u2109", "degF"},
    {"\u00B5", "u"},  // micro sign
    {"\u03BC", "u"},  // Greek mu
});

// Lower case, without spaces, full stops or plural s.
constexpr auto spellings = std::to_array<Spelling>({
    {"percent", "%"},
    {"pct", "%"},
    {"vol%", "%"},
    {"%vol", "%"},
    {"m^3", "m3"},
    {"cubicmetre", "m3"},
    {"cubicmeter", "m3"},
    {"cbm", "m3"},
    {"cum", "m3"},
    {"l", "L"},
    {"litre", "L"},
    {"liter", "L"},
    {"ltr", "L"},
    {"millilitre", "mL"},
    {"milliliter", "mL"},
    {"cc", "mL"},
    {"ccm", "mL"},
    {"cm^3", "cm3"},
    {"dm^3", "dm3"},
    {"ft^3", "ft3"},
    {"cuft", "ft3"},
    {"cubicfeet", "ft3"},
    {"cubicfoot", "ft3"},
    {"cf", "ft3"},
    {"gallon", "gal"},
    {"m^2", "m2"},
    {"sqm", "m2"},
    {"squaremetre", "m2"},
    {"squaremeter", "m2"},
    {"ft^2", "ft2"},
    {"sqft", "ft2"},
    {"squarefeet", "ft2"},
    {"squarefoot", "ft2"},
    {"metre", "m"},
    {"meter", "m"},
    {"centimetre", "cm"},
    {"centimeter", "cm"},
    {"millimetre", "mm"},
    {"millimeter", "mm"},
    {"inch", "in"},
    {"\"", "in"},
    {"feet", "ft"},
    {"foot", "ft"},
    {"sec", "s"},
    {"second", "s"},
    {"minute", "min"},
    {"hour", "h"},
    {"hr", "h"},
    {"day", "d"},
    {"gram", "g"},
    {"gramme", "g"},
    {"gm", "g"},
    {"kilogram", "kg"},
    {"kilo", "kg"},
    {"pound", "lb"},
    {"lbs", "lb"},
    {"mole", "mol"},
    {"pascal", "Pa"},
    {"bara", "bar"},
    {"bar(a)", "bar"},
    {"bar(g)", "barg"},
    {"psia", "psi"},
    {"torr", "mmHg"},
    {"mmwc", "mmH2O"},
    {"mmws", "mmH2O"},
    {"cmwc", "cmH2O"},
    {"inwc", "inH2O"},
    {"inwg", "inH2O"},
    {"\"h2o", "inH2O"},
    {"inchwater", "inH2O"},
    {"inchesofwater", "inH2O"},
    {"c", "degC"},
    {"degc", "degC"},
    {"degreec", "degC"},
    {"degreesc", "degC"},
    {"celsiu", "degC"},
    {"degreescelsiu", "degC"},
    {"f", "degF"},
    {"degf", "degF"},
    {"fahrenheit", "degF"},
    {"degreesfahrenheit", "degF"},
    {"kelvin", "K"},
    {"lpm", "L/min"},
    {"lp", "L/s"},
    {"cmh", "m3/h"},
    {"ach", "/h"},
    {"airchange/h", "/h"},
    {"airchanges/h", "/h"},
    {"1/h", "/h"},
    {"h-1", "/h"},
    {"h^-1", "/h"},
    {"amperehour", "Ah"},
    {"watt", "W"},
    {"ampere", "A"},
    {"amp", "A"},
});

std::string squeezed(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == ' ' || c == '.' || c == '\t') continue;
    out += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
  }
  if (out == "percent") return out;
  for (std::size_t at = out.find("per"); at != std::string::npos; at = out.find("per")) out.replace(at, 3, 1, '/');
  return out;
}

std::string symbol_of_word(std::string word) {
  const auto known = [](std::string_view text) {
    const auto at = std::ranges::find(spellings, text, &Spelling::word);
    return at == spellings.end() ? std::string_view{} : at->symbol;
  };
  if (const auto symbol = known(word); !symbol.empty()) return std::string{symbol};
  if (word.size() > 1 && word.back() == 's') {
    word.pop_back();
    if (const auto symbol = known(word); !symbol.empty()) return std::string{symbol};
  }
  return word;
}

}  // namespace

std::string in_plain_letters(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const auto sign = std::ranges::find_if(signs, [&](const Spelling& s) { return text.starts_with(s.word); });
    if (sign == signs.end()) {
      out += text.front();
      text.remove_prefix(1);
    } else {
      out += sign->symbol;
      text.remove_prefix(sign->word.size());
    }
  }
  return out;
}

std::string_view unit_meant(std::string_view text, std::span<const Dimension> allowed) {
  const auto word = squeezed(text);
  std::vector<std::string> guesses{symbol_of_word(word)};
  if (const auto slash = word.find('/'); slash != std::string::npos) {
    const auto over = symbol_of_word(word.substr(0, slash)), under = symbol_of_word(word.substr(slash + 1));
    guesses.push_back(symbol_of_word(fmt::format("{}/{}", over, under)));
  }
  std::vector<std::string> fitting, all;
  for (const auto& unit : units()) {
    all.emplace_back(unit.symbol);
    if (std::ranges::find(allowed, unit.dimension) != allowed.end()) fitting.emplace_back(unit.symbol);
  }
  for (const auto& guess : guesses) {
    if (const auto* unit = find_unit(guess)) return unit->symbol;
  }
  for (const auto* candidates : {&fitting, &all}) {
    for (const auto& guess : guesses) {
      if (const auto nearest = nearest_name(guess, *candidates); !nearest.empty()) return find_unit(nearest)->symbol;
    }
  }
  return {};
}

}  // namespace leanside
