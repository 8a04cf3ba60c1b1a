// SPDX-License-Identifier: Apache-2.0
/// Work that falls into independent pieces, on several threads.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <mutex>
#include <thread>
#include <vector>

namespace leanside::study {

/// Calls `work(i)` for i = 0 .. count-1, each once, on `threads` threads (0: as many as the machine has). Which thread
/// takes which piece is open, so that results must go to places of their own. The first exception is thrown again.
template <class Work>
void for_each_piece(std::size_t count, unsigned threads, const Work& work) {
  if (threads == 0) threads = std::max(1u, std::thread::hardware_concurrency());
  threads = static_cast<unsigned>(std::min<std::size_t>(threads, count));
  if (threads <= 1) {
    for (std::size_t i = 0; i < count; ++i) work(i);
    return;
  }
  std::atomic<std::size_t> next{0};
  std::exception_ptr failure;
  std::mutex guard;
  const auto loop = [&] {
    try {
      for (std::size_t i = next++; i < count; i = next++) work(i);
    } catch (...) {
      const std::lock_guard lock{guard};
      if (!failure) failure = std::current_exception();
      next = count;
    }
  };
  {
    std::vector<std::jthread> pool;
    for (unsigned t = 1; t < threads; ++t) pool.emplace_back(loop);
    loop();
  }
  if (failure) std::rethrow_exception(failure);
}

}  // namespace leanside::study
