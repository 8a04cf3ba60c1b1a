// SPDX-License-Identifier: Apache-2.0
#include "input/substances/substance_values.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace leanside::input {
namespace {

constexpr std::string_view limits_example = "[[4, 75, \"where it is from\"]]";

bool blank(std::string_view text) { return text.find_first_not_of(" \t\r\n") == std::string_view::npos; }

std::string with_unit(const ValueKey& key) { return key.unit.empty() ? std::string{} : fmt::format(" {}", key.unit); }

std::string example_of(const ValueKey& key) {
  if (key.name == limit_key.name) return std::string{limits_example};
  return fmt::format("[{}, \"where it is from\"]", key.example);
}

/// Notes that a value names no source and that none is given for all.
void refuse_without_source(const Entry& entry, const ValueKey& key, const toml::node& node) {
  entry.reader.error(location_of(node),
                     fmt::format("{}: has no source; write for example {}, or give the substance a line "
                                 "source = \"...\"",
                                 key.name, example_of(key)));
}

/// Where a value is from, and whether it was recalled.
struct Origin {
  std::string source;
  bool recalled = false;
};

/// The source in a list, at `at`, and the word "recalled" after it.
std::optional<Origin> origin_in(const Entry& entry, const ValueKey& key, const toml::array& list, std::size_t at) {
  if (list.size() <= at) {
    if (!entry.source.empty()) return Origin{entry.source, false};
    refuse_without_source(entry, key, list);
    return {};
  }
  const auto& source = *list.get(at);
  if (!source.is_string() || blank(source.as_string()->get())) {
    entry.reader.error(location_of(source), fmt::format("{}: found {} where the source belongs; write for example {}",
                                                        key.name, shown_value(source), example_of(key)));
    return {};
  }
  Origin origin{source.as_string()->get(), false};
  if (list.size() == at + 1) return origin;
  const auto& mark = *list.get(at + 1);
  origin.recalled = mark.is_string() && mark.as_string()->get() == "recalled" && list.size() == at + 2;
  if (origin.recalled) return origin;
  entry.reader.error(location_of(mark), fmt::format("{}: found {} after the source; only \"recalled\" may follow it",
                                                    key.name, shown_value(mark)));
  return {};
}

/// One limit as a fraction; "-" is one that the source does not give. False where there is a fault.
bool read_limit(const TableReader& reader, const toml::node& node, std::optional<double>& limit) {
  if (const auto* text = node.as_string(); text && text->get() == "-") return true;
  const auto percent = number_within(reader, limit_key, node);
  if (percent) limit = *percent * limit_key.factor;
  return percent.has_value();
}

std::optional<LimitPair> limit_pair(const Entry& entry, const toml::node& node) {
  const auto fault = [&](const std::string& message) {
    entry.reader.error(location_of(node), fmt::format("{}: {}", limit_key.name, message));
    return std::nullopt;
  };
  const auto* list = node.as_array();
  if (!list || list->size() < 2) {
    return fault(fmt::format("found {}; expected the lower limit, the upper limit and the source, such as {}",
                             list ? "a list that is too short" : shown_value(node), limits_example));
  }
  LimitPair pair;
  const bool lower_fine = read_limit(entry.reader, *list->get(0), pair.lower);
  const bool upper_fine = read_limit(entry.reader, *list->get(1), pair.upper);
  auto origin = origin_in(entry, limit_key, *list, 2);
  if (!lower_fine || !upper_fine || !origin) return {};
  if (!pair.lower && !pair.upper) return fault("gives neither limit; leave this source out");
  if (pair.lower && pair.upper && *pair.lower >= *pair.upper) {
    return fault(fmt::format("the lower limit, {} %, is not below the upper limit, {} %",
                             format_number(100 * *pair.lower, 6), format_number(100 * *pair.upper, 6)));
  }
  pair.source = std::move(origin->source);
  pair.recalled = origin->recalled;
  return pair;
}

/// Whether the pairs together give a range to judge by.
bool make_a_range(const Entry& entry, const std::vector<LimitPair>& pairs) {
  Substance substance;
  substance.limits = pairs;
  const auto limits = choose_limits(substance, "cautious");
  if (limits && limits->lower < limits->upper) return true;
  if (limits) {
    entry.reader.value_error(limit_key.name,
                             fmt::format("the lowest lower limit, {} %, is not below the highest upper "
                                         "limit, {} %",
                                         format_number(100 * limits->lower, 6), format_number(100 * limits->upper, 6)));
  } else if (std::ranges::any_of(pairs, [](const LimitPair& pair) { return pair.lower.has_value(); })) {
    entry.reader.value_error(limit_key.name,
                             "no source gives an upper limit; where none is known, 100 is the cautious one");
  } else {
    entry.reader.value_error(limit_key.name, "no source gives a lower limit; without one nothing can be judged");
  }
  return false;
}

/// from_k and to_k of an equation.
std::optional<std::pair<double, double>> temperatures(const TableReader& equation) {
  const bool has_from = equation.require("from_k", "180");
  const bool has_to = equation.require("to_k", "320");
  const auto from = equation.number("from_k", Sign::positive);
  const auto to = equation.number("to_k", Sign::positive);
  if (!has_from || !has_to || !from || !to) return {};
  if (*from < *to) return std::pair{*from, *to};
  equation.value_error("to_k", fmt::format("{} is not above from_k, {}", format_exact(*to), format_exact(*from)));
  return {};
}

/// A list of exactly N finite numbers.
template <std::size_t N>
std::optional<std::array<double, N>> numbers(const toml::node& node) {
  const auto* list = node.as_array();
  if (!list || list->size() != N) return {};
  std::array<double, N> out{};
  for (std::size_t i = 0; i < N; ++i) {
    const auto& item = *list->get(i);
    const auto value = item.is_number() ? item.value<double>() : std::nullopt;
    if (!value || !std::isfinite(*value)) return {};
    out[i] = *value;
  }
  return out;
}

}  // namespace

std::string default_source(const TableReader& reader) {
  auto source = reader.text("source");
  if (!source) return {};
  if (blank(*source)) {
    reader.value_error("source", "is empty; say where the values are from");
    return {};
  }
  return *source;
}

std::optional<std::string> source_of(const TableReader& reader, const std::string& default_source) {
  if (!reader.has("source") && !default_source.empty()) return default_source;
  if (!reader.require("source", "\"where it is from\"")) return {};
  auto source = input::default_source(reader);
  return source.empty() ? std::nullopt : std::optional{std::move(source)};
}

std::optional<double> number_within(const TableReader& reader, const ValueKey& key, const toml::node& node) {
  const auto value = node.is_number() ? node.value<double>() : std::nullopt;
  if (!value || !std::isfinite(*value)) {
    reader.error(location_of(node),
                 fmt::format("{}: found {}; expected a number{}{}, such as {}", key.name, shown_value(node),
                             key.unit.empty() ? "" : " in", with_unit(key), key.example));
    return {};
  }
  if (*value > key.above && *value <= key.at_most) return value;
  constexpr int digits = 10;
  reader.error(location_of(node), fmt::format("{}: found {}; expected more than {} and at most {}{}", key.name,
                                              format_number(*value, digits), format_number(key.above, digits),
                                              format_number(key.at_most, digits), with_unit(key)));
  return {};
}

std::optional<Sourced> sourced_value(const Entry& entry, const ValueKey& key) {
  const auto* node = entry.reader.find(key.name);
  if (!node) return {};
  const auto in_si = [&](double value) { return value * key.factor + key.offset; };
  const auto* list = node->as_array();
  if (!list) {
    const auto value = number_within(entry.reader, key, *node);
    if (value && entry.source.empty()) refuse_without_source(entry, key, *node);
    if (!value || entry.source.empty()) return {};
    return Sourced{in_si(*value), entry.source, false};
  }
  if (list->empty()) {
    entry.reader.value_error(key.name, fmt::format("the list is empty; write for example {}", example_of(key)));
    return {};
  }
  const auto value = number_within(entry.reader, key, *list->get(0));
  auto origin = origin_in(entry, key, *list, 1);
  if (!value || !origin) return {};
  return Sourced{in_si(*value), std::move(origin->source), origin->recalled};
}

std::vector<LimitPair> limit_pairs(const Entry& entry) {
  const auto* node = entry.reader.find(limit_key.name);
  if (!node) return {};
  const auto* list = node->as_array();
  if (!list || list->empty() || !list->get(0)->is_array()) {
    entry.reader.value_error(
        limit_key.name, fmt::format("expected a list that holds a list for each source, such as {}", limits_example));
    return {};
  }
  std::vector<LimitPair> pairs;
  for (const auto& item : *list) {
    if (auto pair = limit_pair(entry, item)) pairs.push_back(std::move(*pair));
  }
  const bool all_fine = pairs.size() == list->size();
  return all_fine && make_a_range(entry, pairs) ? pairs : std::vector<LimitPair>{};
}

std::optional<AntoineEquation> antoine_equation(const Entry& entry) {
  const auto* table = entry.reader.subtable("antoine");
  if (!table) return {};
  const TableReader equation{*table, "antoine equation", entry.id, entry.reader.faults()};
  refuse_unknown_keys(equation, antoine_keys);
  const bool has_a = equation.require("a", "6.1");
  const bool has_b = equation.require("b", "1050");
  const bool has_c = equation.require("c", "-40");
  const auto a = equation.number("a");
  const auto b = equation.number("b", Sign::positive);
  const auto c = equation.number("c");
  const auto range = temperatures(equation);
  auto source = source_of(equation, entry.source);
  if (!has_a || !has_b || !has_c || !a || !b || !c || !range || !source) return {};
  if (range->first + *c <= 0) {
    equation.value_error("c", "from_k + c must be more than 0 for the equation to mean anything; check both");
    return {};
  }
  return AntoineEquation{*a, *b, *c, range->first, range->second, std::move(*source)};
}

std::optional<WideVapourPressure> wide_vapour_pressure(const Entry& entry) {
  const auto* table = entry.reader.subtable("vapour_pressure");
  if (!table) return {};
  const TableReader equation{*table, "vapour pressure equation", entry.id, entry.reader.faults()};
  refuse_unknown_keys(equation, wide_keys);
  constexpr std::string_view example = "[66.3, -4363, -7.05, 9.45e-6, 2]";
  const bool has_c = equation.require("c", example);
  const auto range = temperatures(equation);
  auto source = source_of(equation, entry.source);
  if (!has_c) return {};
  const auto c = numbers<5>(*equation.find("c"));
  if (!c) equation.value_error("c", fmt::format("expected a list of five numbers, c1 to c5, such as {}", example));
  if (!c || !range || !source) return {};
  return WideVapourPressure{(*c)[0], (*c)[1],      (*c)[2],       (*c)[3],
                            (*c)[4], range->first, range->second, std::move(*source)};
}

std::optional<VaporisationEquation> vaporisation_equation(const Entry& entry) {
  const auto* table = entry.reader.subtable("vaporisation");
  if (!table) return {};
  const TableReader equation{*table, "vaporisation equation", entry.id, entry.reader.faults()};
  refuse_unknown_keys(equation, vaporisation_keys);
  constexpr std::string_view example = "[29209, 0.78, -0.77, 0.39, 0]";
  const bool has_c = equation.require("c", example), has_critical = equation.require("critical_k", "369.8");
  const auto critical = equation.number("critical_k", Sign::positive);
  const auto range = temperatures(equation);
  auto source = source_of(equation, entry.source);
  if (!has_c || !has_critical) return {};
  const auto c = numbers<5>(*equation.find("c"));
  if (!c) equation.value_error("c", fmt::format("expected a list of five numbers, c1 to c5, such as {}", example));
  if (!c || !critical || !range || !source) return {};
  if (range->second > *critical) {
    equation.value_error(
        "to_k", fmt::format("{} is above critical_k, {}", format_exact(range->second), format_exact(*critical)));
    return {};
  }
  return VaporisationEquation{(*c)[0],   (*c)[1],      (*c)[2],       (*c)[3],           (*c)[4],
                              *critical, range->first, range->second, std::move(*source)};
}

std::optional<LiquidDensityEquation> density_equation(const Entry& entry) {
  const auto* table = entry.reader.subtable("saturated_density");
  if (!table) return {};
  const TableReader equation{*table, "density equation", entry.id, entry.reader.faults()};
  refuse_unknown_keys(equation, wide_keys);
  constexpr std::string_view example = "[1376, 0.275, 369.8, 0.294]";
  const bool has_c = equation.require("c", example);
  const auto range = temperatures(equation);
  auto source = source_of(equation, entry.source);
  if (!has_c) return {};
  const auto c = numbers<4>(*equation.find("c"));
  if (!c) equation.value_error("c", fmt::format("expected a list of four numbers, c1 to c4, such as {}", example));
  if (!c || !range || !source) return {};
  if (!((*c)[0] > 0.0 && (*c)[1] > 0.0) || range->second > (*c)[2]) {
    equation.value_error("c",
                         "c1 and c2 must be more than 0, and to_k no more than c3, for the equation to mean anything");
    return {};
  }
  return LiquidDensityEquation{(*c)[0], (*c)[1], (*c)[2], (*c)[3], range->first, range->second, std::move(*source)};
}

}  // namespace leanside::input
