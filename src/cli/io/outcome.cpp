// SPDX-License-Identifier: Apache-2.0
#include "cli/io/outcome.hpp"

#include <fmt/format.h>

#include "leanside/result.hpp"

namespace leanside::cli {

Error Error::usage(std::string message) { return in_file(std::string{}, std::move(message)); }

Error Error::in_file(const std::string& file, std::string message) {
  Diagnostic diagnostic;
  diagnostic.place.file = file;
  diagnostic.message = std::move(message);
  return {{std::move(diagnostic)}, bad_input};
}

Error Error::of(const Fault& fault, const std::string& file) {
  if (!fault.diagnostics.empty()) {
    Diagnostics located = fault.diagnostics;
    for (Diagnostic& d : located) {
      if (d.place.file.empty()) d.place.file = file;
    }
    return in_file(std::move(located));
  }
  if (fault.is_bad_input()) return in_file(file, fault.message);
  const bool stopped = fault.kind == FaultKind::stopped;
  Error error = in_file(file, stopped ? fault.message + "; there is no answer, and nothing was written"
                                      : "the computation failed, so there is no answer: " + fault.message);
  error.code = stopped ? interrupted : failed_to_compute;
  return error;
}

}  // namespace leanside::cli
