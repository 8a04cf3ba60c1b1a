// SPDX-License-Identifier: Apache-2.0
/// Where the tests find the source tree and the program. Compiled into one file, so that no other test depends on the
/// place of the checkout.
#pragma once

#include <filesystem>
#include <string>

namespace leanside::testing {

/// A path of the source tree: "examples", "tests/cli/bad"; empty: the tree itself.
std::filesystem::path source_path(const std::string& path);

/// The program under test.
std::filesystem::path program_path();

}  // namespace leanside::testing
