// SPDX-License-Identifier: Apache-2.0
#include "leanside/report.hpp"
#include "report/json/json.hpp"

namespace leanside {

std::string json_document(std::string_view command, std::span<const std::string> files, std::string_view answer) {
  using report::dumped;
  using report::Json;
  while (answer.ends_with('\n')) answer.remove_suffix(1);
  std::string out;
  out.reserve(answer.size() + 1000);
  out += "{\n\"program\": \"leanside\",\n\"version\": " + dumped(version());
  out += ",\n\"command\": " + dumped(command);
  out += ",\n\"files\": " + dumped(Json(std::vector<std::string>(files.begin(), files.end())));
  out += ",\n\"units\": \"SI\"";
  out += ",\n\"caution\": " + dumped(caution()) + ",\n\"answer\": ";
  return out.append(answer) + "\n}\n";
}

}  // namespace leanside
