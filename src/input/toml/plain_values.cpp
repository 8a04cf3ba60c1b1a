// SPDX-License-Identifier: Apache-2.0
/// One value of a site file: a number, a quantity or a share, but not a range.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "input/toml/toml_reader.hpp"

namespace leanside::input {
namespace {

/// More than anything in a building, in SI units. Beyond them a site is so far from 1 in one place that what it says in
/// others is lost in rounding. The bounds are ours.
double most_of(Dimension dimension) {
  switch (dimension) {
    case Dimension::per_time:
      return 1e3;
    case Dimension::temperature:
      return 3e3;
    case Dimension::volume_flow:
    case Dimension::mass_flow:
    case Dimension::velocity:
      return 1e4;
    case Dimension::length:
    case Dimension::amount_flow:
      return 1e6;
    case Dimension::volume:
    case Dimension::area:
    case Dimension::mass:
    case Dimension::pressure:
      return 1e9;
    default:
      return 1e12;
  }
}

/// Why a value cannot be meant; empty where it can.
std::string_view beyond_reason(double value, double least, double most) {
  if (std::abs(value) > most) return "too large to be real; is the unit right?";
  if (value != 0.0 && std::abs(value) < least) return "too small to be real; is the unit right?";
  return {};
}

std::string_view beyond_reason(const Quantity& value) {
  constexpr double least = 1e-20;
  return beyond_reason(value.si, least, most_of(value.dimension));
}

std::string_view beyond_reason(double number) { return beyond_reason(number, 1e-30, 1e30); }

}  // namespace

std::variant<double, QuantityFault> plain_number_of(const toml::node& node, Sign sign) {
  const auto value = node.is_number() ? node.value<double>() : std::nullopt;
  if (!value || !std::isfinite(*value)) {
    return QuantityFault{fmt::format("found {}; expected a number, without quotes", shown_value(node))};
  }
  if ((sign == Sign::positive && *value <= 0) || (sign == Sign::not_negative && *value < 0)) {
    return QuantityFault{fmt::format("found {}; it must {}", format_exact(*value),
                                     sign == Sign::positive ? "be more than 0" : "not be negative")};
  }
  if (const auto why = beyond_reason(*value); !why.empty()) {
    return QuantityFault{fmt::format("found {}, {}", format_exact(*value), why)};
  }
  return *value;
}

std::variant<Quantity, QuantityFault> plain_quantity_of(const toml::node& node, std::span<const Dimension> dimensions,
                                                        Sign sign) {
  const auto* text = node.as_string();
  if (!text) {
    std::string fit;
    for (const auto dimension : dimensions) {
      fit += fmt::format("{}{}: {}", fit.empty() ? "" : "; ", name_of(dimension), units_that_fit(dimension));
    }
    const bool number = node.is_number() && std::isfinite(node.value_or(0.0));
    const auto unit = std::ranges::find(units(), dimensions.front(), &Unit::dimension);
    const auto example = fmt::format("\"{} {}\"", number ? format_exact(node.value_or(0.0)) : "12", unit->symbol);
    return QuantityFault{fmt::format("found {}{}; write it in quotes with its unit, such as {} ({})", shown_value(node),
                                     number ? " without a unit" : "", example, fit)};
  }
  auto parsed = parse_quantity(text->get(), dimensions);
  const auto* value = std::get_if<Quantity>(&parsed);
  if (value && ((sign == Sign::positive && value->si <= 0) || (sign == Sign::not_negative && value->si < 0))) {
    return QuantityFault{fmt::format("found \"{}\"; it must {}", text->get(),
                                     sign == Sign::positive ? "be more than 0" : "not be negative")};
  }
  if (const auto why = value ? beyond_reason(*value) : std::string_view{}; !why.empty()) {
    return QuantityFault{fmt::format("found \"{}\", {}", text->get(), why)};
  }
  return parsed;
}

std::variant<double, QuantityFault> plain_fraction_of(const toml::node& node) {
  std::optional<double> value;
  if (node.is_number()) {
    value = node.value<double>();
  } else if (const auto* text = node.as_string()) {
    const auto parsed = parse_quantity(text->get(), Dimension::fraction);
    if (const auto* fault = std::get_if<QuantityFault>(&parsed)) return *fault;
    value = std::get<Quantity>(parsed).si;
  }
  if (value && *value >= 0 && *value <= 1) {
    if (const auto why = beyond_reason(*value); !why.empty()) {
      return QuantityFault{fmt::format("found {}, {}", shown_value(node), why)};
    }
    return *value;
  }
  if (node.is_number() && value && *value > 1 && *value <= 100) {
    const auto text = format_exact(*value);
    return QuantityFault{fmt::format("found the number {}, more than 1; did you mean \"{} %\"?", text, text)};
  }
  return QuantityFault{
      fmt::format("found {}; expected a share from 0 to 1, such as 0.25, \"25 %\" or \"250 ppm\"", shown_value(node))};
}

}  // namespace leanside::input
