// SPDX-License-Identifier: Apache-2.0
/// The words of the command line to the options of a command.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "cli/io/command.hpp"

namespace leanside::cli {

/// What the user asked for: a command, whose options now have their values, or a text to show (help, version).
using Request = std::variant<const Command*, std::string>;

/// Reads the words behind the name of the program into the targets of the options. An error names the nearest known
/// word and where the help is.
Outcome<Request> parse_command_line(const Program& program, std::vector<std::string> words);

}  // namespace leanside::cli
