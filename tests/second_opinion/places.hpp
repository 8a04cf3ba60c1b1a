// SPDX-License-Identifier: Apache-2.0
/// Places that openings join to groups.
#pragma once

#include <algorithm>
#include <cstddef>
#include <numeric>
#include <set>
#include <vector>

namespace second_opinion {

struct Places {
  std::vector<std::size_t> group;  ///< by place

  Places() = default;
  explicit Places(std::size_t count) : group(count) { std::iota(group.begin(), group.end(), std::size_t{0}); }

  void join(std::size_t a, std::size_t b) {
    const std::size_t from = group[a], to = group[b];
    std::replace(group.begin(), group.end(), from, to);
  }
  bool together(std::size_t a, std::size_t b) const { return group[a] == group[b]; }
  /// All groups but that of `place`.
  std::set<std::size_t> groups_without(std::size_t place) const {
    std::set<std::size_t> out(group.begin(), group.end());
    out.erase(group[place]);
    return out;
  }
  /// Of the first `count` places, those of group `g`.
  std::vector<std::size_t> members(std::size_t g, std::size_t count) const {
    std::vector<std::size_t> out;
    for (std::size_t i = 0; i < count; ++i) {
      if (group[i] == g) out.push_back(i);
    }
    return out;
  }
};

}  // namespace second_opinion
