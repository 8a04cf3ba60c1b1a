// SPDX-License-Identifier: Apache-2.0
/// Ctrl-C or SIGTERM during a long sweep: the sweep stops between two runs, and the user learns how far it came.
#pragma once

#include "leanside/study/sweep.hpp"

namespace leanside::cli {

/// While it lives, the first Ctrl-C (SIGINT) or SIGTERM asks the sweep to stop instead of ending the program; the
/// second one ends it. Only one can live at a time, because a signal handler sees only what is global.
class Interruptible {
 public:
  explicit Interruptible(Sweep& sweep);
  Interruptible(const Interruptible&) = delete;
  Interruptible& operator=(const Interruptible&) = delete;
  ~Interruptible();
};

}  // namespace leanside::cli
