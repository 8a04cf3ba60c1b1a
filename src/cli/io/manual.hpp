// SPDX-License-Identifier: Apache-2.0
/// The manual page and the completions of shells, made from the command definitions.
#pragma once

#include <string>

#include "cli/io/command.hpp"

namespace leanside::cli {

/// In the man macros of troff, section 1.
std::string manual_page(const Program& program);

/// For the shells of those names; each offers commands, options, choices, and files where a file is wanted.
std::string bash_completion(const Program& program);
std::string zsh_completion(const Program& program);
std::string fish_completion(const Program& program);

}  // namespace leanside::cli
