// SPDX-License-Identifier: Apache-2.0
#include "cli/console.hpp"

#include <algorithm>
#include <cstdlib>
#include <utility>

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "leanside/site_file.hpp"

namespace leanside::cli {
namespace {

std::string_view environment(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? std::string_view{} : std::string_view{value};
}

/// POSIX order: the first that is set decides.
bool locale_is_utf8() {
  for (const char* name : {"LC_ALL", "LC_CTYPE", "LANG"}) {
    std::string value{environment(name)};
    if (value.empty()) continue;
    std::transform(value.begin(), value.end(), value.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
    return value.find("utf-8") != std::string::npos || value.find("utf8") != std::string::npos;
  }
  return false;
}

/// Of the terminal, or as COLUMNS says; lines longer than 120 columns are hard to read.
std::size_t text_width(bool terminal) {
  constexpr std::size_t usual = 100, least = 40, most = 120;
  std::size_t width = usual;
  winsize size{};
  if (terminal && ::ioctl(1, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
    width = size.ws_col;
  } else if (const std::string_view columns = environment("COLUMNS"); !columns.empty()) {
    const long given = std::strtol(std::string{columns}.c_str(), nullptr, 10);
    if (given > 0) width = static_cast<std::size_t>(given);
  }
  return std::clamp(width, least, most);
}

}  // namespace

void add_common_options(CLI::App& command, CommonOptions& options, const std::vector<std::string>& formats) {
  command.add_option("--format", options.format, "How the answer is written")
      ->check(CLI::IsMember(formats))
      ->capture_default_str();
  command.add_option("--substances", options.substances, "File of substances that adds to the built-in ones")
      ->type_name("FILE");
  command.add_flag("--ascii", options.ascii, "Use plain ASCII letters only");
  command.set_version_flag("--version", fmt::format("leanside {}", version()), "Show the version and leave");
}

void complain(std::string_view message) {
  write_standard_error(fmt::format("leanside: error: {}\n", plain_text(message)));
}

void show(const Diagnostics& diagnostics, bool errors_only) {
  std::string text;
  for (const Diagnostic& diagnostic : diagnostics) {
    if (errors_only && diagnostic.gravity != Gravity::error) continue;
    text += plain_text(to_text(diagnostic)) + "\n";
  }
  write_standard_error(text);
}

void tell_of_ranges(const std::vector<Range>& ranges, const std::string& file) {
  if (ranges.empty()) return;
  Diagnostic notice;
  notice.gravity = Gravity::notice;
  notice.place.file = file;
  notice.message = assumption_of_best_values(ranges);
  show({notice}, false);
}

std::optional<SubstanceTable> substances_for(const CommonOptions& options) {
  if (!options.substances) return built_in_substances();
  const auto text = read_text_file(*options.substances);
  if (const auto* fault = std::get_if<Diagnostic>(&text)) {
    show({*fault}, true);
    return {};
  }
  const auto read = parse_substances(std::get<std::string>(text), *options.substances);
  if (const auto* faults = std::get_if<Diagnostics>(&read)) {
    show(*faults, true);
    return {};
  }
  return merged(built_in_substances(), std::get<SubstanceTable>(read));
}

TextStyle style_for(const CommonOptions& options, bool to_standard_output) {
  const bool terminal = to_standard_output && ::isatty(1) == 1;
  TextStyle style;
  style.width = text_width(terminal);
  style.colour = terminal && environment("NO_COLOR").empty() && environment("TERM") != "dumb";
  style.unicode = !options.ascii && locale_is_utf8();
  return style;
}

}  // namespace leanside::cli
