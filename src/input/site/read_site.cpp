// SPDX-License-Identifier: Apache-2.0
#include "leanside/site_file.hpp"

namespace leanside {

SiteReading read_site(const std::string& path, const SubstanceTable& substances) {
  const auto text = read_text_file(path);
  if (const auto* fault = std::get_if<Diagnostic>(&text)) return {std::monostate{}, {*fault}};
  return parse_site(std::get<std::string>(text), path, substances);
}

}  // namespace leanside
