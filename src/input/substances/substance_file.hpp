// SPDX-License-Identifier: Apache-2.0
/// The reader of a table of substances (configs/substances.toml), for parse_substances and for the built-in table.
#pragma once

#include <string>
#include <string_view>
#include <variant>

#include "leanside/diagnostic.hpp"
#include "leanside/substance.hpp"
#include "leanside/substance_file.hpp"

namespace leanside::input {

/// Reads a table. Mixtures may be made of its own substances and of those of `base` (null: none). What is returned
/// holds only what the text itself gives.
Result<SubstanceTable> parse_substance_table(std::string_view text, const std::string& file_name,
                                             const SubstanceTable* base);

}  // namespace leanside::input
