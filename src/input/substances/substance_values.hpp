// SPDX-License-Identifier: Apache-2.0
/// Values of a table of substances, each with its source, read and checked one at a time.
#pragma once

#include <optional>
#include <string>

#include "input/substances/substance_keys.hpp"
#include "input/toml/toml_reader.hpp"
#include "leanside/substance.hpp"

namespace leanside::input {

/// One [[substance]] or [[mixture]].
struct Entry {
  const TableReader& reader;
  std::string id;      ///< as given, right or wrong; may be empty
  std::string source;  ///< of values that name none; empty where the entry gives none
};

/// The line `source` of an entry; empty where there is none.
std::string default_source(const TableReader& reader);

/// A number within the bounds of its key, in the unit of the key. Faults are noted, as by all that follow.
std::optional<double> number_within(const TableReader& reader, const ValueKey& key, const toml::node& node);

/// [number, "source"], [number, "source", "recalled"], or a number alone where the entry has a source. In SI.
std::optional<Sourced> sourced_value(const Entry& entry, const ValueKey& key);

/// limits_pct: every pair, and the widest of them a range. Empty where absent or faulty.
std::vector<LimitPair> limit_pairs(const Entry& entry);

std::optional<AntoineEquation> antoine_equation(const Entry& entry);
std::optional<WideVapourPressure> wide_vapour_pressure(const Entry& entry);
std::optional<VaporisationEquation> vaporisation_equation(const Entry& entry);
std::optional<LiquidDensityEquation> density_equation(const Entry& entry);

/// The source of a table that has its own line for it, or that of the entry.
std::optional<std::string> source_of(const TableReader& reader, const std::string& default_source);

}  // namespace leanside::input
