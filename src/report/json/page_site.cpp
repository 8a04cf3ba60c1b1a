// SPDX-License-Identifier: Apache-2.0
#include <filesystem>

#include "leanside/report.hpp"
#include "report/json/json.hpp"

namespace leanside {

std::string page_with_site(std::string_view page, const std::string& file, std::string_view text) {
  constexpr std::string_view block = "<script type=\"application/json\" id=\"site\">";
  const auto at = page.find(block);
  if (at == std::string_view::npos) return std::string{page};
  const std::string json =
      report::dumped({{"file", std::filesystem::path{file}.filename().string()}, {"text", std::string{text}}});
  std::string contained;  // "<" would let a site file end the element in which it stands
  for (const char c : json) {
    if (c == '<')
      contained += "\\u003c";
    else
      contained += c;
  }
  const auto after = at + block.size();
  return std::string{page.substr(0, after)}.append(contained).append(page.substr(after));
}

}  // namespace leanside
