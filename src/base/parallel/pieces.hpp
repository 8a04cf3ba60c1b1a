// SPDX-License-Identifier: Apache-2.0
/// Work that falls into independent pieces, on several threads.
#pragma once

#include <algorithm>
#include <atomic>
#include <cstddef>
#include <exception>
#include <mutex>
#include <vector>

#ifndef LEANSIDE_ONE_THREAD
#include <system_error>
#include <thread>
#endif

namespace leanside::parallel {

#ifdef LEANSIDE_ONE_THREAD  // a platform without threads: nothing to guard against

struct Guard {
  void lock() {}
  void unlock() {}
};

/// As below, one piece after the other.
template <class Make, class Work>
void for_each_piece(std::size_t count, unsigned, const std::atomic<bool>* stop, const Make& make, const Work& work) {
  auto mine = make();
  for (std::size_t i = 0; i < count && (stop == nullptr || !*stop); ++i) work(mine, i);
}

#else

/// Keeps what several threads write to: lock it with std::lock_guard.
using Guard = std::mutex;

/// Calls `work(mine, i)` for i = 0 .. count-1, each at most once and begun in this order, on `threads` threads (0: as
/// many as the machine has); `mine` is what `make()` made for the thread. Nothing more is begun once `stop` is true.
/// Which thread takes which piece is open, so that results must go to places of their own. The first exception is
/// thrown again. Where the machine gives fewer threads, those do all of it.
template <class Make, class Work>
void for_each_piece(std::size_t count, unsigned threads, const std::atomic<bool>* stop, const Make& make,
                    const Work& work) {
  if (threads == 0) threads = std::max(1u, std::thread::hardware_concurrency());
  threads = static_cast<unsigned>(std::min<std::size_t>(threads, count));
  std::atomic<std::size_t> next{0};
  std::exception_ptr failure;
  std::mutex guard;
  const auto loop = [&] {
    try {
      auto mine = make();
      for (std::size_t i = next++; i < count && (stop == nullptr || !*stop); i = next++) work(mine, i);
    } catch (...) {
      const std::lock_guard lock{guard};
      if (!failure) failure = std::current_exception();
      next = count;
    }
  };
  {
    std::vector<std::jthread> pool;
    try {
      for (unsigned t = 1; t < threads; ++t) pool.emplace_back(loop);
    } catch (const std::system_error&) {
      // No more threads to be had: those that there are do all of it.
    }
    loop();
  }
  if (failure) std::rethrow_exception(failure);
}

#endif

/// The same where no thread needs anything of its own.
template <class Work>
void for_each_piece(std::size_t count, unsigned threads, const Work& work) {
  for_each_piece(
      count, threads, nullptr, [] { return 0; }, [&](int, std::size_t i) { work(i); });
}

}  // namespace leanside::parallel
