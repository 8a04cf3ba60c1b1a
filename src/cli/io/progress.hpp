// SPDX-License-Identifier: Apache-2.0
/// A sign of life on a terminal while something takes longer than a second.
#pragma once

#include <condition_variable>
#include <mutex>
#include <string>
#include <thread>

#include "leanside/site.hpp"
#include "leanside/study/sweep.hpp"

namespace leanside::cli {

/// From the first second on tells once a second, on standard error, for how long `doing` has been going on; takes the
/// line back when it ends. Nothing at all where standard error is no terminal, or where `quiet`.
class Progress {
 public:
  Progress(std::string doing, bool quiet);
  /// With a bar: how much of the sweep is done, and about how long the rest takes. `sweep` must outlive this.
  Progress(std::string doing, bool quiet, const Sweep& sweep);
  Progress(const Progress&) = delete;
  Progress& operator=(const Progress&) = delete;
  ~Progress();

 private:
  void start(std::string doing, bool quiet);
  void tell(const std::string& doing);

  const Sweep* sweep_ = nullptr;
  std::mutex mutex_;
  std::condition_variable changed_;
  bool done_ = false;
  std::thread teller_;
};

/// "computing 4 cases of 5 spaces".
std::string computing(const Site& site);

}  // namespace leanside::cli
