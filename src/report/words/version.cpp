// SPDX-License-Identifier: Apache-2.0
#include "leanside/report.hpp"

namespace leanside {

std::string_view version() { return LEANSIDE_VERSION; }

std::string_view caution() {
  return "This is a screening aid for people who know the place. It does not replace local codes and regulations, a "
         "review by a licensed professional, a gas detector or the makers' instructions. It takes each space as mixed "
         "evenly: near a leak, under a ceiling or in a pit there can be far more gas than it says. When you smell gas "
         "or "
         "an alarm sounds, leave and get help; do not calculate.";
}

}  // namespace leanside
