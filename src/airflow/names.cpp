// SPDX-License-Identifier: Apache-2.0
#include "airflow/names.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace leanside::airflow {

std::string list_names(const Site& site, std::span<const SpaceIndex> spaces) {
  constexpr std::size_t most = 5;
  std::string text;
  for (std::size_t i = 0; i < std::min(most, spaces.size()); ++i) {
    if (i > 0) text += i + 1 == spaces.size() ? " and " : ", ";
    text += "'" + site.spaces[spaces[i].value].id + "'";
  }
  if (spaces.size() > most) text += fmt::format(" and {} more", spaces.size() - most);
  return text;
}

}  // namespace leanside::airflow
