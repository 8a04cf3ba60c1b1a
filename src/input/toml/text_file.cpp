// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <vector>

#include <fmt/format.h>

#include "leanside/site_file.hpp"

namespace leanside {
namespace {

/// "; did you mean 'store.toml'?", from the files beside the one that is missing.
std::string file_suggestion(const std::filesystem::path& path) {
  constexpr std::size_t most_looked_at = 1000;
  std::error_code status;
  const auto folder = path.has_parent_path() ? path.parent_path() : std::filesystem::path{"."};
  std::vector<std::string> names;
  for (std::filesystem::directory_iterator at{folder, status}, end;
       !status && at != end && names.size() < most_looked_at; at.increment(status)) {
    names.push_back(at->path().filename().string());
  }
  const auto nearest = nearest_name(path.filename().string(), names);
  return nearest.empty() ? std::string{} : fmt::format("; did you mean '{}'?", (path.parent_path() / nearest).string());
}

Diagnostic fault(const std::string& path, std::string message) {
  return {DiagnosticLevel::error, {path, 0, 0}, std::move(message)};
}

}  // namespace

std::variant<std::string, Diagnostic> read_text_file(const std::string& path) {
  namespace fs = std::filesystem;
  std::error_code status;
  const auto kind = fs::status(path, status).type();
  if (kind == fs::file_type::not_found || path.empty()) {
    return fault(path, path.empty() ? "no file is named" : "there is no such file" + file_suggestion(path));
  }
  if (kind == fs::file_type::directory) return fault(path, "this is a folder; name a file in it");
  const auto too_large = [&] {
    return fault(path, fmt::format("the file is larger than {} MB, which no site file is", largest_input_file >> 20));
  };
  if (kind == fs::file_type::regular) {
    const auto size = fs::file_size(path, status);
    if (!status && size > largest_input_file) return too_large();
  }
  errno = 0;
  std::ifstream stream{path, std::ios::binary};
  if (!stream) {
    return fault(path, errno == EACCES ? std::string{"you may not read this file; ask its owner, or copy it"}
                                       : fmt::format("the file cannot be opened ({})", std::strerror(errno)));
  }
  // A pipe or a device has no size beforehand: read no further than the bound.
  std::string text;
  std::vector<char> block(1u << 18);
  while (stream) {
    stream.read(block.data(), static_cast<std::streamsize>(block.size()));
    text.append(block.data(), static_cast<std::size_t>(stream.gcount()));
    if (text.size() > largest_input_file) return too_large();
  }
  if (stream.bad()) return fault(path, "the file could not be read to its end");
  return text;
}

}  // namespace leanside
