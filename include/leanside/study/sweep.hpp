// SPDX-License-Identifier: Apache-2.0
/// Long sweeps of many runs: progress, stopping, and shares of the work.
#pragma once

#include <atomic>
#include <cstddef>

namespace leanside {

/// How far a sweep has come, and a way to stop it; may be read and set while it runs, also from a signal handler.
struct Sweep {
  std::atomic<std::size_t> done{0}, total{0};  ///< runs
  std::atomic<bool> stop{false};
};

/// A share of a sweep: part `index` of `count`, counted from 1.
struct Shard {
  std::size_t index = 1, count = 1;
};

}  // namespace leanside
