// SPDX-License-Identifier: Apache-2.0
/// Substances and reactions as data: the tables embedded in the library, and files of substances.
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/advanced/bench.hpp"
#include "leanside/advanced/sources.hpp"
#include "leanside/diagnostic.hpp"
#include "leanside/result.hpp"
#include "leanside/substance.hpp"

namespace leanside {

/// The table embedded in the library (configs/substances.toml). Parsed once, on first use; safe from several threads.
/// Throws std::logic_error where the embedded file has a fault, which a test of the library excludes.
const SubstanceTable& built_in_substances();

/// Reads a file of substances in the format of configs/substances.toml; a mixture may also be made of built-in
/// substances. Every fault with its place, all in one run, in the order of the file; never throws, for any bytes.
Result<SubstanceTable> parse_substances(std::string_view text, const std::string& file_name);

/// The table embedded in the library (configs/reactions.toml). Read once, on first use; safe from several threads.
/// Throws as built_in_substances() does.
const std::vector<Reaction>& built_in_reactions();
const Reaction* find_reaction(std::string_view id);  ///< null where unknown

/// The table embedded in the library (configs/flames.toml), read and refused likewise.
const std::vector<FlameProperties>& built_in_flames();
const FlameProperties* find_flame(std::string_view gas);  ///< null where nothing is known of it

}  // namespace leanside
