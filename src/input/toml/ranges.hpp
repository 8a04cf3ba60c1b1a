// SPDX-License-Identifier: Apache-2.0
/// Values given as ranges, { low = "2 L/min", best = "4 L/min", high = "8 L/min" }: their places in the file, and
/// the values that replace them when the same tables are read again.
#pragma once

#include <functional>
#include <span>
#include <string>
#include <string_view>
#include <unordered_map>
#include <variant>
#include <vector>

#include "input/toml/toml_reader.hpp"
#include "leanside/site.hpp"

namespace leanside::input {

/// All ranges of a file, in the order in which they were met, by the table that each is written as.
class Ranges {
 public:
  struct Entry {
    Range range;
    Scope scope;         ///< where it stands
    bool gauge = false;  ///< a pressure counted from ambient
  };
  /// Its place in entries(); the same table met again keeps its place.
  std::size_t add(const toml::table& node, Entry entry);
  const std::size_t* find(const toml::table& node) const;
  const std::vector<Entry>& entries() const { return entries_; }

 private:
  std::vector<Entry> entries_;
  std::unordered_map<const toml::table*, std::size_t> at_;
};

/// Values that replace the ranges, SI, by index of the range.
struct Draw {
  const Ranges& ranges;
  std::span<const double> values;
};

/// Whether a table looks like a range: it has one of the keys low, best and high.
bool is_range(const toml::table& table);

using PartReader = std::function<std::variant<Quantity, QuantityFault>(const toml::node&)>;
/// The best value of a range whose parts `part` reads, noted with the file's ranges; where values are drawn, the drawn
/// one. `name` says which value of the table at hand it is.
std::variant<Quantity, QuantityFault> ranged(const TableReader& table, const toml::table& node, std::string_view name,
                                             const PartReader& part);

/// A number as a quantity without a unit.
std::variant<Quantity, QuantityFault> quantified(std::variant<double, QuantityFault> number);

/// A value in the user's words: "4 L/min"; a range: "4 L/min (range 2 L/min to 8 L/min)".
std::string as_written(const toml::node& node);

}  // namespace leanside::input
