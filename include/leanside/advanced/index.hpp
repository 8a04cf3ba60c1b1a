// SPDX-License-Identifier: Apache-2.0
/// Distinct index types, so that a space, an airway and a release cannot be mixed up.
#pragma once

#include <compare>
#include <cstddef>

namespace leanside {

/// Position in one of the lists of a Site. Two indices of different tags do not compare or convert.
template <class Tag>
struct Index {
  std::size_t value = 0;
  friend constexpr auto operator<=>(Index, Index) = default;
};

using SpaceIndex = Index<struct SpaceTag>;      ///< into Site::spaces
using AirwayIndex = Index<struct AirwayTag>;    ///< into Site::airways
using SystemIndex = Index<struct SystemTag>;    ///< into Site::systems
using ReleaseIndex = Index<struct ReleaseTag>;  ///< into Site::releases
using GasIndex = Index<struct GasTag>;          ///< into Site::gases
using CaseIndex = Index<struct CaseTag>;        ///< into Site::cases

}  // namespace leanside
