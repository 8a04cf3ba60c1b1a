// SPDX-License-Identifier: Apache-2.0
#include "support/paths.hpp"

namespace leanside::testing {

std::filesystem::path source_path(const std::string& path) { return std::filesystem::path{LEANSIDE_SOURCE_DIR} / path; }

std::filesystem::path program_path() { return LEANSIDE_PROGRAM; }

}  // namespace leanside::testing
