// SPDX-License-Identifier: Apache-2.0
/// Observes the pressures of sealed spaces.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "transport/run/signals.hpp"

namespace leanside::transport {

class PressureTraces {
 public:
  explicit PressureTraces(const Site& site);

  void note(const PressureRise& rise);

  /// Of the spaces that ever held more than ambient pressure; `pressure`: moles over moles at ambient pressure at the
  /// end of the run, by space.
  std::vector<PressureTrace> traces(std::span<const double> pressure) const;

 private:
  std::vector<PressureTrace> traces_;         ///< by space
  std::vector<std::optional<double>> rated_;  ///< of ambient pressure, by space
};

}  // namespace leanside::transport
