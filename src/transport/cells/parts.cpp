// SPDX-License-Identifier: Apache-2.0
#include "transport/cells/parts.hpp"

#include <algorithm>

namespace leanside::transport {
namespace {

Parts counted_in_sizes(network::Parts found) {
  const auto as_size = [](int value) { return static_cast<std::size_t>(value); };
  Parts parts;
  parts.count = as_size(found.count);
  parts.part_of.resize(found.part_of.size());
  parts.members.resize(found.members.size());
  std::transform(found.part_of.begin(), found.part_of.end(), parts.part_of.begin(), as_size);
  std::transform(found.members.begin(), found.members.end(), parts.members.begin(), as_size);
  parts.start = std::move(found.start);
  return parts;
}

}  // namespace

Parts connected_parts(std::size_t count, std::span<const network::Edge> edges) {
  return counted_in_sizes(network::connected_parts(static_cast<int>(count), edges));
}

Parts strong_parts(std::size_t count, std::span<const network::Edge> edges) {
  return counted_in_sizes(network::strong_parts(static_cast<int>(count), edges));
}

}  // namespace leanside::transport
