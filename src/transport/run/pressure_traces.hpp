// SPDX-License-Identifier: Apache-2.0
/// Observes the pressures of sealed spaces.
#pragma once

#include <span>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "transport/run/signals.hpp"

namespace leanside::transport {

class PressureTraces {
 public:
  explicit PressureTraces(std::size_t spaces) : traces_(spaces) {}

  void note(const PressureRise& rise);

  /// Of the spaces that ever held more than ambient pressure; `pressure`: moles over moles at ambient pressure at the
  /// end of the run, by space.
  std::vector<PressureTrace> traces(std::span<const double> pressure) const;

 private:
  std::vector<PressureTrace> traces_;  ///< by space
};

}  // namespace leanside::transport
