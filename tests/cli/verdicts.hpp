// SPDX-License-Identifier: Apache-2.0
/// A site, checked by the program as text and as JSON.
#pragma once

#include <algorithm>
#include <string>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "cli/run_program.hpp"

namespace leanside::cli_test {

using nlohmann::json;

class CheckedSites : public InFolder {
 protected:
  struct Answer {
    int code = -1;
    std::string text;
    json data;
    /// The first lines, which are all that a user in a hurry reads.
    std::string first_lines() const {
      std::string out;
      const auto lines = lines_of(text);
      for (std::size_t i = 0; i < std::min<std::size_t>(14, lines.size()); ++i) out += lines[i] + "\n";
      return out;
    }
    /// The text with its lines joined.
    std::string flowing() const {
      std::string out;
      for (const std::string& line : lines_of(text)) {
        const std::size_t from = line.find_first_not_of(' ');
        if (from != std::string::npos) out += (out.empty() ? "" : " ") + line.substr(from);
      }
      return out;
    }
    json first(const std::string& severity) const {
      for (const json& warning : data.at("warnings")) {
        if (warning.at("severity") == severity) return warning;
      }
      return nullptr;
    }
    bool leaves_open(const std::string& kind) const {
      for (const json& open : data.at("not_judged")) {
        if (open.at("kind") == kind) return true;
      }
      return false;
    }
  };

  Answer checked(const std::string& site) {
    const std::string file = path("site.toml");
    write_file(file, site);
    const Outcome text = run({"check", file, "--full"}), data = run({"check", file, "--format", "json"});
    EXPECT_LE(text.code, 1) << text.err;
    EXPECT_EQ(text.code, data.code);
    Answer answer{text.code, text.out, answer_in(data.out)};
    EXPECT_EQ(answer.data.at("calls_for_action").get<bool>(), text.code == 1);
    return answer;
  }
};

}  // namespace leanside::cli_test
