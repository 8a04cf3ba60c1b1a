// SPDX-License-Identifier: Apache-2.0
/// Remarks on the course of a run, on standard error.
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace leanside::cli {

/// "trace", "debug", ..., "off": what log_level() takes, the most talkative first.
std::vector<std::string> log_levels();
/// From now on shows remarks of this level and above. Before the first call nothing is shown.
void set_log_level(const std::string& level);

/// A remark of the level "info", as "leanside: info: ...".
void log_info(std::string_view remark);

}  // namespace leanside::cli
