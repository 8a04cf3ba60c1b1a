// SPDX-License-Identifier: Apache-2.0
#include "cli/io/result.hpp"

#include <fmt/format.h>

#include "leanside/advanced/transport.hpp"
#include "leanside/study/sweep.hpp"

namespace leanside::cli {

Error Error::usage(std::string message) { return in_file(std::string{}, std::move(message)); }

Error Error::in_file(const std::string& file, std::string message) {
  Diagnostic diagnostic;
  diagnostic.place.file = file;
  diagnostic.message = std::move(message);
  return {{std::move(diagnostic)}, bad_input};
}

Error Error::unsolved(const SolveFault& fault, const std::string& file) {
  if (fault.bad_input) return in_file(file, fault.message);
  Error error = in_file(file, "the computation failed, so there is no answer: " + fault.message);
  error.code = failed_to_compute;
  return error;
}

Error Error::stopped(const Stopped& stopped, const std::string& file) {
  Error error = in_file(file, fmt::format("stopped after {} of {} runs; there is no answer, and nothing was written",
                                          stopped.done, stopped.total));
  error.code = interrupted;
  return error;
}

}  // namespace leanside::cli
