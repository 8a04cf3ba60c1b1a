// SPDX-License-Identifier: Apache-2.0
/// What the command definitions say, as plain data.
#pragma once

#include <string>
#include <vector>

#include <CLI/CLI.hpp>

namespace leanside::cli {

struct OptionWords {
  std::string long_name;             ///< "--output"; empty: a positional
  std::string short_name;            ///< "-o"; may be empty
  std::string value;                 ///< "FILE", "ID", "COUNT"; empty: a flag
  std::vector<std::string> choices;  ///< the only values that are taken; empty: any
  std::string description;
  std::string usual;  ///< the value without it; may be empty
  bool required = false;
  bool several = false;
  bool wants_file() const { return value == "FILE"; }
};

struct CommandWords {
  std::string name;
  std::string description;
  std::string footer;
  std::vector<OptionWords> positionals;
  std::vector<OptionWords> options;
};

/// All commands that the help shows, in its order.
std::vector<CommandWords> command_words(const CLI::App& app);

}  // namespace leanside::cli
