// SPDX-License-Identifier: Apache-2.0
/// Observes what releases give.
#pragma once

#include <vector>

#include "leanside/advanced/transport.hpp"
#include "transport/run/release_schedule.hpp"
#include "transport/run/signals.hpp"

namespace leanside::transport {

class ReleaseTraces {
 public:
  /// Releases of constant rate are known beforehand: what they give until `horizon` s.
  ReleaseTraces(const Site& site, const ReleaseSchedule& schedule, double horizon);

  void note(const ReleaseGiven& given);

  const std::vector<ReleaseTrace>& traces() const { return traces_; }  ///< by release

 private:
  std::vector<ReleaseTrace> traces_;
};

}  // namespace leanside::transport
