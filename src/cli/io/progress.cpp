// SPDX-License-Identifier: Apache-2.0
#include "cli/io/progress.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <system_error>
#include <utility>

#include <fmt/format.h>
#include <unistd.h>

#include "cli/io/output.hpp"

namespace leanside::cli {

namespace {

/// "[########------------] 41 %, about 12 s to go"; empty before anything is known.
std::string bar_of(const Sweep& sweep, double passed) {
  constexpr std::size_t width = 20;
  const std::size_t total = sweep.total, done = sweep.done;
  if (total == 0) return {};
  const std::size_t full = std::min(width, width * done / total);
  std::string out =
      fmt::format(", [{}{}] {} %", std::string(full, '#'), std::string(width - full, '-'), 100 * done / total);
  if (done > 0 && done < total) {
    const double left = passed * static_cast<double>(total - done) / static_cast<double>(done);
    out += fmt::format(", about {:.0f} s to go", std::ceil(left));
  }
  return out;
}

}  // namespace

Progress::Progress(std::string doing, bool quiet) { start(std::move(doing), quiet); }
Progress::Progress(std::string doing, bool quiet, const Sweep& sweep) : sweep_{&sweep} {
  start(std::move(doing), quiet);
}

void Progress::start(std::string doing, bool quiet) {
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
    const std::string bar = sweep_ ? bar_of(*sweep_, static_cast<double>(passed.count())) : std::string{};
    write_standard_error(fmt::format("\rleanside: {}, {} s so far{} ", doing, passed.count(), bar));
    told = true;
  }
  // To the start of the line and empty it (ECMA-48: EL).
  if (told) write_standard_error("\r\x1b[K");
}

}  // namespace leanside::cli
