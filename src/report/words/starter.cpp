// SPDX-License-Identifier: Apache-2.0
/// Site files to begin with.
#include <array>
#include <utility>

#include "embedded.hpp"
#include "leanside/report.hpp"

namespace leanside {
namespace {

std::array<std::pair<std::string_view, std::string_view>, 9> starters() {
  return {{{"store", embedded::store},
           {"prep-room", embedded::prep_room},
           {"battery-room", embedded::battery_room},
           {"lab", embedded::lab},
           {"collecting", embedded::collecting},
           {"burner", embedded::burner},
           {"strike-back", embedded::strike_back},
           {"sealed", embedded::sealed},
           {"electrolysis", embedded::electrolysis}}};
}

}  // namespace

std::vector<std::string> starter_names() {
  std::vector<std::string> out;
  for (const auto& [name, text] : starters()) out.emplace_back(name);
  return out;
}

std::string_view starter(std::string_view name) {
  for (const auto& [known, text] : starters()) {
    if (known == name) return text;
  }
  return {};
}

}  // namespace leanside
