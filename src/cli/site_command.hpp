// SPDX-License-Identifier: Apache-2.0
/// What commands that read one site file and write one answer share.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <variant>

#include "cli/console.hpp"
#include "leanside/hazard.hpp"
#include "leanside/site_file.hpp"

namespace leanside::cli {

/// The site, or the exit code where it has errors; what is to be said of it has then been shown.
inline std::variant<Site, int> read_site_for(const CommonOptions& options, const std::string& file) {
  const auto substances = substances_for(options);
  if (!substances) return bad_input;
  const SiteReading reading = read_site(file, *substances);
  show(reading.diagnostics, false);
  if (const Site* site = reading.usable()) {
    tell_of_ranges(site->ranges, file);
    return *site;
  }
  return bad_input;
}

inline int deliver(const std::string& text) {
  if (const Failure failure = write_standard_output(text)) {
    complain(*failure);
    return bad_input;
  }
  return nothing_found;
}

}  // namespace leanside::cli
