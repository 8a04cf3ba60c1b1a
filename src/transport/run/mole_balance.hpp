// SPDX-License-Identifier: Apache-2.0
/// Moles of every column at the two ends of a run.
#pragma once

#include <span>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "transport/run/setup.hpp"
#include "transport/run/state.hpp"

namespace leanside::transport {

class MoleBalance {
 public:
  MoleBalance(const RunSetup& setup, const RunState& start);

  /// The balance of the columns asked for, at the end of the run; `releases`: what each release gave.
  std::vector<ColumnBalance> close(const RunState& end, std::span<const ReleaseTrace> releases) const;

 private:
  const RunSetup& setup_;
  std::vector<double> initial_;  ///< mol by column
};

}  // namespace leanside::transport
