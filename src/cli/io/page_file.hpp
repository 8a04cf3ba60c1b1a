// SPDX-License-Identifier: Apache-2.0
/// The offline page, where the program was built with it.
#pragma once

#include <optional>
#include <string_view>

namespace leanside::cli {

/// The HTML file; empty where the CMake option LEANSIDE_PAGE was off.
std::optional<std::string_view> page_file();

}  // namespace leanside::cli
