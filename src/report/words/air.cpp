// SPDX-License-Identifier: Apache-2.0
#include "report/words/words.hpp"

namespace leanside::report {

std::string case_heading(const Site& site, CaseIndex which) {
  return which.value == 0 ? "normal case" : "case \"" + label(site, which) + "\"";
}

}  // namespace leanside::report
