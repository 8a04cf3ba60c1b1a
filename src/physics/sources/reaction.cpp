// SPDX-License-Identifier: Apache-2.0
/// Stoichiometry.
#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>

#include "leanside/advanced/sources.hpp"

namespace leanside {

ReactionYield yield_of(const Reaction& reaction, std::span<const double> amount) {
  assert(amount.size() == reaction.reagents.size());
  ReactionYield result;
  double turns = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < amount.size(); ++i) {
    const double possible = amount[i] / reaction.reagents[i].count;
    if (possible < turns) {
      turns = possible;
      result.limiting = i;
    }
  }
  assert(std::isfinite(turns));
  result.gas = turns * reaction.gas_count;
  for (std::size_t i = 0; i < amount.size(); ++i) {
    result.left.push_back(i == result.limiting ? 0.0 : amount[i] - turns * reaction.reagents[i].count);
  }
  return result;
}

}  // namespace leanside
