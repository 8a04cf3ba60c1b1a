// SPDX-License-Identifier: Apache-2.0
/// Ctrl-C, or being asked to end, during a long sweep: it stops between two runs and says how far it had come.
#pragma once

#include <string>

#include "leanside/study.hpp"

namespace leanside::cli {

/// While it lives, the first Ctrl-C (SIGINT) or SIGTERM asks the sweep to stop in place of ending the program; a second
/// one ends it. One at
/// a time: a signal knows nothing but what is global.
class Interruptible {
 public:
  explicit Interruptible(Sweep& sweep);
  Interruptible(const Interruptible&) = delete;
  Interruptible& operator=(const Interruptible&) = delete;
  ~Interruptible();
};

/// Tells that `file` has no answer because it was stopped, and how far it had come; returns the exit code.
int told(const Stopped& stopped, const std::string& file);

}  // namespace leanside::cli
