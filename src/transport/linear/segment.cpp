// SPDX-License-Identifier: Apache-2.0
#include "transport/linear/segment.hpp"

#include <algorithm>
#include <cmath>

namespace leanside::transport {

double PartEquations::clock(double seconds) const {
  return growth > 0.0 ? std::log1p(growth * seconds) / growth : seconds;
}

double PartEquations::seconds(double clock) const { return growth > 0.0 ? std::expm1(growth * clock) / growth : clock; }

PartEquations equations_of(const Segment& segment, std::span<const std::size_t> members,
                           std::vector<std::size_t>& row_of) {
  PartEquations part;
  part.capacity.reserve(members.size());
  for (std::size_t row = 0; row < members.size(); ++row) {
    const std::size_t cell = members[row];
    row_of[cell] = row;
    part.capacity.push_back(segment.cells.capacity[cell]);
    part.growth = std::max(part.growth, segment.growth[cell]);
  }
  part.a = operator_of(segment.cells, members, row_of);
  for (const std::size_t cell : members) row_of[cell] = no_row;
  return part;
}

}  // namespace leanside::transport
