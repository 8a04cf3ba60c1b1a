// SPDX-License-Identifier: Apache-2.0
/// What our own code takes for granted does not hold.
#pragma once

#include <string>

namespace leanside {

/// Throws std::logic_error with `reason`; on a platform without exceptions it ends the program.
[[noreturn]] void stop_with(const std::string& reason);

}  // namespace leanside
