// SPDX-License-Identifier: Apache-2.0
#include "input/toml/ranges.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include <fmt/format.h>

namespace leanside::input {
namespace {

constexpr std::array<std::string_view, 3> parts = {"low", "best", "high"};
constexpr std::string_view written_as = "a range is { low = ..., best = ..., high = ... }";

/// The id of what an event changes.
std::string changed_by(const TableReader& event) {
  for (const std::string_view key : {"airway", "release", "space"}) {
    const auto* node = event.find(key);
    if (const auto* id = node ? node->as_string() : nullptr) return id->get();
  }
  return fmt::format("line {}", event.location().line);
}

std::string without_quotes(std::string text) {
  std::erase(text, '\'');
  return text;
}

}  // namespace

std::size_t Ranges::add(const toml::table& node, Entry entry) {
  const auto [at, is_new] = at_.try_emplace(&node, entries_.size());
  if (is_new) {
    const std::string name = entry.range.name;
    const auto taken = [&] {
      return std::ranges::any_of(entries_, [&](const Entry& other) { return other.range.name == entry.range.name; });
    };
    for (int k = 2; taken(); ++k) entry.range.name = fmt::format("{} ({})", name, k);
    entries_.push_back(std::move(entry));
  }
  return at->second;
}

const std::size_t* Ranges::find(const toml::table& node) const {
  const auto at = at_.find(&node);
  return at == at_.end() ? nullptr : &at->second;
}

bool is_range(const toml::table& table) {
  return std::ranges::any_of(parts, [&](std::string_view key) { return table.contains(key); });
}

std::string as_written(const toml::node& node) {
  if (const auto* text = node.as_string()) {
    const std::string& all = text->get();
    const auto begin = all.find_first_not_of(" \t"), end = all.find_last_not_of(" \t");
    return begin == std::string::npos ? std::string{} : all.substr(begin, end - begin + 1);
  }
  if (node.is_number()) return format_exact(node.value_or(0.0));
  const auto* table = node.as_table();
  if (!table || !table->contains("low") || !table->contains("best") || !table->contains("high")) return {};
  return fmt::format("{} (range {} to {})", as_written(*table->get("best")), as_written(*table->get("low")),
                     as_written(*table->get("high")));
}

std::variant<Quantity, QuantityFault> quantified(std::variant<double, QuantityFault> number) {
  if (auto* fault = std::get_if<QuantityFault>(&number)) return std::move(*fault);
  return Quantity{std::get<double>(number), Dimension::fraction, false};
}

namespace {

/// A key that is none of low, best and high.
std::optional<QuantityFault> unknown_key(const toml::table& node) {
  for (const auto& [key, value] : node) {
    if (std::ranges::find(parts, key.str()) == parts.end()) {
      const std::string nearest = nearest_name(std::string{key.str()}, {parts.begin(), parts.end()});
      return QuantityFault{fmt::format("unknown key {} in a range{}; {}", shown(key.str()),
                                       nearest.empty() ? "" : fmt::format("; did you mean {}?", shown(nearest)),
                                       written_as)};
    }
  }
  return std::nullopt;
}

/// Low, best and high.
using RangeValues = std::array<Quantity, 3>;

std::variant<RangeValues, QuantityFault> range_values(const toml::table& node, const PartReader& part) {
  RangeValues value;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const auto* found = node.get(parts[i]);
    if (!found) return QuantityFault{fmt::format("the range has no '{}'; {}", parts[i], written_as)};
    if (found->is_table()) return QuantityFault{fmt::format("{}: found a table; {}", parts[i], written_as)};
    auto read = part(*found);
    if (auto* fault = std::get_if<QuantityFault>(&read)) {
      return QuantityFault{fmt::format("{}: {}", parts[i], fault->message)};
    }
    value[i] = std::get<Quantity>(read);
  }
  return value;
}

/// The three as the file has them.
std::string text_of(const toml::table& node, std::size_t i) { return as_written(*node.get(parts[i])); }

/// Whether they are of one kind, and ascend.
std::optional<QuantityFault> fault_of(const RangeValues& value, const toml::table& node) {
  const auto texts = [&](std::size_t i) { return text_of(node, i); };
  for (const std::size_t i : {std::size_t{0}, std::size_t{2}}) {
    if (value[i].dimension != value[1].dimension) {
      return QuantityFault{fmt::format("{} is given as {} ({}) and best as {} ({}); give all three as one of them",
                                       parts[i], name_of(value[i].dimension), texts(i), name_of(value[1].dimension),
                                       texts(1))};
    }
    if (value[i].gauge != value[1].gauge) {
      return QuantityFault{
          fmt::format("{} and best are not counted from the same zero: {} and {}, one of them a "
                      "gauge pressure; give all three in one unit",
                      parts[i], texts(i), texts(1))};
    }
  }
  if (value[0].si > value[1].si) {
    return QuantityFault{
        fmt::format("low, {}, is more than best, {}; a range goes from low over best to high", texts(0), texts(1))};
  }
  if (value[1].si > value[2].si) {
    return QuantityFault{
        fmt::format("best, {}, is more than high, {}; a range goes from low over best to high", texts(1), texts(2))};
  }
  if (value[0].si == value[2].si) {
    return QuantityFault{fmt::format("low, best and high are all {}; write that value alone", texts(0))};
  }
  return std::nullopt;
}

}  // namespace

std::variant<Quantity, QuantityFault> ranged(const TableReader& table, const toml::table& node, std::string_view name,
                                             const PartReader& part) {
  Faults& faults = table.faults();
  if (const Draw* draw = faults.drawn()) {
    if (const std::size_t* at = draw->ranges.find(node)) {
      const Ranges::Entry& entry = draw->ranges.entries()[*at];
      return Quantity{draw->values[*at], entry.range.dimension, entry.gauge};
    }
  }
  if (!is_range(node)) {
    // A table with other keys altogether: told as any value that does not fit.
    auto read = part(node);
    if (auto* fault = std::get_if<QuantityFault>(&read)) fault->message += fmt::format("; {}", written_as);
    return read;
  }
  if (!faults.ranges())
    return QuantityFault{"found a range (low, best, high), which cannot stand here; give one value"};
  if (auto fault = unknown_key(node)) return std::move(*fault);
  auto read = range_values(node, part);
  if (auto* fault = std::get_if<QuantityFault>(&read)) return std::move(*fault);
  const RangeValues& value = std::get<RangeValues>(read);
  if (auto fault = fault_of(value, node)) return std::move(*fault);
  Ranges::Entry entry;
  entry.gauge = value[1].gauge;
  entry.scope = faults.scope();
  Range& range = entry.range;
  range.name = fmt::format("{}: {}", without_quotes(table.subject()), without_quotes(std::string{name}));
  if (faults.scope().part == Part::event) range.name = fmt::format("event on {}: {}", changed_by(table), name);
  range.low = value[0].si;
  range.best = value[1].si;
  range.high = value[2].si;
  range.dimension = value[1].dimension;
  range.low_text = text_of(node, 0);
  range.best_text = text_of(node, 1);
  range.high_text = text_of(node, 2);
  range.place = faults.place(location_of(node));
  faults.ranges()->add(node, std::move(entry));
  return value[1];
}

}  // namespace leanside::input
