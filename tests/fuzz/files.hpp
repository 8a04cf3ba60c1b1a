// SPDX-License-Identifier: Apache-2.0
/// Reads the source files on which the targets are run.
#pragma once

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "support/paths.hpp"

namespace leanside::fuzz {

inline std::string bytes_of(const std::filesystem::path& file) {
  std::ostringstream text;
  text << std::ifstream{file, std::ios::binary}.rdbuf();
  return text.str();
}

/// The files of a source folder, sorted by name; empty if the folder does not exist.
inline std::vector<std::filesystem::path> files_of(const std::string& folder) {
  const auto path = leanside::testing::source_path(folder);
  std::vector<std::filesystem::path> files;
  if (!std::filesystem::exists(path)) return files;
  for (const auto& entry : std::filesystem::directory_iterator{path}) {
    if (entry.is_regular_file()) files.push_back(entry.path());
  }
  std::sort(files.begin(), files.end());
  return files;
}

}  // namespace leanside::fuzz
