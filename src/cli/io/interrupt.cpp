// SPDX-License-Identifier: Apache-2.0
#include "cli/io/interrupt.hpp"

#include <signal.h>

namespace leanside::cli {
namespace {

constexpr int asks_to_stop[] = {SIGINT, SIGTERM};

std::atomic<Sweep*> running{nullptr};
static_assert(std::atomic<Sweep*>::is_always_lock_free && std::atomic<bool>::is_always_lock_free,
              "what a signal handler may touch");

extern "C" void stop_the_sweep(int) {
  if (Sweep* const sweep = running) sweep->stop = true;
}

}  // namespace

Interruptible::Interruptible(Sweep& sweep) {
  running = &sweep;
  struct sigaction action = {};
  action.sa_handler = stop_the_sweep;
  // Once only: the second Ctrl-C ends the program at once.
  action.sa_flags = SA_RESTART | static_cast<int>(SA_RESETHAND);
  for (const int signal : asks_to_stop) {
    // A shell that started this in the background had it ignore the signal: that stays so.
    struct sigaction before = {};
    ::sigaction(signal, nullptr, &before);
    if (before.sa_handler != SIG_IGN) ::sigaction(signal, &action, nullptr);
  }
}

Interruptible::~Interruptible() {
  for (const int signal : asks_to_stop) {
    struct sigaction now = {};
    ::sigaction(signal, nullptr, &now);
    if (now.sa_handler == stop_the_sweep) static_cast<void>(::signal(signal, SIG_DFL));
  }
  running = nullptr;
}

}  // namespace leanside::cli
