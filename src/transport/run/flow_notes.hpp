// SPDX-License-Identifier: Apache-2.0
/// Observes the flows of a run: what was assumed or exceeded at any time.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "leanside/advanced/transport.hpp"

namespace leanside::transport {

class FlowNotes {
 public:
  /// Fans of the site of the run as those of the file; empty: they are the same.
  using AsInFile = std::function<std::vector<StarvedFan>(const std::vector<StarvedFan>&)>;

  explicit FlowNotes(const Site& site, AsInFile as_in_file = {})
      : as_in_file_{std::move(as_in_file)},
        leak_(site.spaces.size()),
        starved_(site.airways.size()),
        overflowing_(site.airways.size(), false),
        leaking_(site.airways.size(), false),
        off_curve_(site.airways.size(), false),
        unvented_(site.spaces.size(), false) {}

  void note(const FlowField& field);

  /// Writes them into the lists of the result.
  void write(TransientResult& result) const;

 private:
  AsInFile as_in_file_;
  std::vector<AssumedLeak> leak_;                   ///< by space, the largest so far
  std::vector<std::optional<StarvedFan>> starved_;  ///< by airway, the worst so far
  std::vector<bool> overflowing_, leaking_, off_curve_;
  std::vector<bool> unvented_;
};

}  // namespace leanside::transport
