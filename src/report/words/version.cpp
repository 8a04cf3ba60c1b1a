// SPDX-License-Identifier: Apache-2.0
#include "leanside/report.hpp"
#include "report/words/phrases.hpp"

namespace leanside {

std::string_view version() { return LEANSIDE_VERSION; }

std::string_view caution() {
  const report::Phrases english = report::language_of("en").phrases;
  return english[static_cast<std::size_t>(report::Phrase::caution)];
}

}  // namespace leanside
