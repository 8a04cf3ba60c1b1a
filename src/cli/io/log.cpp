// SPDX-License-Identifier: Apache-2.0
/// The only file that includes spdlog, which takes some seconds to compile.
#include "cli/io/log.hpp"

#include <memory>

#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

namespace leanside::cli {
namespace {

spdlog::logger& logger() {
  static spdlog::logger out = [] {
    spdlog::logger made{"leanside", std::make_shared<spdlog::sinks::stderr_sink_mt>()};
    made.set_pattern("leanside: %l: %v");
    made.set_level(spdlog::level::off);
    return made;
  }();
  return out;
}

}  // namespace

std::vector<std::string> log_levels() { return {"trace", "debug", "info", "warn", "error", "off"}; }

void set_log_level(const std::string& level) { logger().set_level(spdlog::level::from_str(level)); }

void log_info(std::string_view remark) { logger().info("{}", remark); }

}  // namespace leanside::cli
