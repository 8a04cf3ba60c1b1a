// SPDX-License-Identifier: Apache-2.0
#include "cli/progress.hpp"

#include <chrono>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <unistd.h>

#include "cli/output.hpp"

namespace leanside::cli {

Progress::Progress(std::string doing, bool quiet) {
  if (quiet || ::isatty(2) != 1) return;
  try {
    teller_ = std::thread([this, words = std::move(doing)] { tell(words); });
  } catch (const std::system_error&) {
    // No thread to be had: the work goes on without a sign of life.
  }
}

Progress::~Progress() {
  if (!teller_.joinable()) return;
  {
    const std::lock_guard lock{mutex_};
    done_ = true;
  }
  changed_.notify_all();
  teller_.join();
}

std::string computing(const Site& site) {
  const std::size_t cases = site.cases.size(), spaces = site.spaces.size();
  return fmt::format("computing {} case{} of {} space{}", cases, cases == 1 ? "" : "s", spaces, spaces == 1 ? "" : "s");
}

void Progress::tell(const std::string& doing) {
  using namespace std::chrono_literals;
  const auto start = std::chrono::steady_clock::now();
  bool told = false;
  std::unique_lock lock{mutex_};
  for (auto next = start + 1s; !changed_.wait_until(lock, next, [this] { return done_; }); next += 1s) {
    const auto passed = std::chrono::duration_cast<std::chrono::seconds>(std::chrono::steady_clock::now() - start);
    write_standard_error(fmt::format("\rleanside: {}, {} s so far ", doing, passed.count()));
    told = true;
  }
  // To the start of the line and empty it (ECMA-48: EL).
  if (told) write_standard_error("\r\x1b[K");
}

}  // namespace leanside::cli
