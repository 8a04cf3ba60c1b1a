// SPDX-License-Identifier: Apache-2.0
#include "cli/io/console.hpp"

#include <algorithm>
#include <cstdlib>
#include <utility>

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "cli/io/output.hpp"
#include "leanside/units.hpp"

namespace leanside::cli {
namespace {

std::string_view environment(const char* name) {
  const char* value = std::getenv(name);
  return value == nullptr ? std::string_view{} : std::string_view{value};
}

/// In the order of POSIX: the first variable that is set decides.
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

/// The width of the terminal, or what COLUMNS says; lines longer than 120 columns are hard to read.
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

void add_common_options(Command& command, CommonOptions& options, const Accepts& accepts) {
  const auto& formats = accepts.formats;
  options.command = command.name;
  command.add_option("-o,--output", options.output, "Write the answer to this file, not to standard output")
      ->type_name("FILE");
  command.add_flag("--quiet", options.quiet, "Write only the answer and errors");
  if (formats.size() > 1) {
    command.add_option("--format", options.format, "Format of the answer")->one_of(formats)->capture_default_str();
  }
  if (std::find(formats.begin(), formats.end(), "text") != formats.end()) {
    command.add_flag("--ascii", options.ascii, "Use only ASCII letters in the text");
  }
  if (accepts.units) {
    command.add_option("--units", options.units, "Units of the text: si (m3/h, m, degC) or us (cfm, ft, degF)")
        ->one_of({"si", "us"});
  }
  if (accepts.substances) {
    command.add_option("--substances", options.substances, "File of substances to add to the built-in table")
        ->type_name("FILE");
  }
}

std::string exit_codes(std::string_view zero_and_one) {
  return fmt::format(
      "Exit codes: {}, 2 wrong input or usage,\n3 the computation failed. With 2 and 3 there is no answer.",
      zero_and_one);
}

void show(const Diagnostics& diagnostics, bool quiet) {
  std::string text;
  for (Diagnostic diagnostic : diagnostics) {
    if (quiet && diagnostic.level != DiagnosticLevel::error) continue;
    if (diagnostic.place.file.empty() && diagnostic.level == DiagnosticLevel::error) diagnostic.place.file = "leanside";
    text += plain_text(to_text(diagnostic)) + "\n";
  }
  write_standard_error(text);
}

ExitCode report_error(const Error& error) {
  show(error.diagnostics, false);
  return error.code;
}

void note_ranges(const Site& site, const CommonOptions& options) {
  if (site.ranges.empty() || options.quiet) return;
  Diagnostic notice;
  notice.level = DiagnosticLevel::notice;
  notice.place.file = site.file;
  notice.message = assumption_sentence(site, assumption_of_best_values(site.ranges));
  show({notice}, false);
}

TextStyle style_for(const CommonOptions& options) {
  const bool terminal = !options.output && ::isatty(1) == 1;
  TextStyle style;
  style.width = text_width(terminal);
  style.colour = terminal && environment("NO_COLOR").empty() && environment("TERM") != "dumb";
  style.unicode = !options.ascii && locale_is_utf8();
  if (options.units == "us") style.units = UnitSystem::us;
  return style;
}

ExitCode exit_code(const Assessment& assessment) { return exit_code(calls_for_action(assessment)); }

Error unknown_id(const std::vector<std::string>& known, const std::string& id, const std::string& what,
                 const std::string& option) {
  constexpr std::size_t most_named = 20;
  const std::size_t named = std::min(known.size(), most_named);
  std::string message = option.empty() ? "" : option + ": ";
  message += fmt::format("there is no {} '{}'", what, id);
  const std::string near = nearest_name(id, known);
  if (!near.empty()) message += fmt::format("; did you mean '{}'?", near);
  if (known.empty()) return Error::usage(message + fmt::format("{} The file has none", near.empty() ? "." : ""));
  message += fmt::format("{} The {}s are: {}{}", near.empty() ? "." : "", what,
                         fmt::join(known.begin(), known.begin() + static_cast<std::ptrdiff_t>(named), ", "),
                         known.size() > named ? ", ..." : "");
  return Error::usage(std::move(message));
}

Outcome<CaseIndex> case_named(const Site& site, const std::string& id) {
  const auto place = find_id(site.cases, id, "case", "--case");
  if (!place) return place.error();
  return CaseIndex{*place};
}

std::string in_quotes(std::string_view text) {
  std::string out = "'";
  for (const char c : text) out += c == '\'' ? std::string{"'\\''"} : std::string(1, c);
  return out + "'";
}

Outcome<double> fraction_option(const std::string& name, const std::string& text) {
  // A bare number is a fraction here as it is in a site file.
  const auto read = parse_quantity(text, Dimension::fraction);
  if (const auto* quantity = std::get_if<Quantity>(&read);
      quantity != nullptr && quantity->si >= 0.0 && quantity->si <= 1.0) {
    return quantity->si;
  }
  const auto number = parse_quantity(text + " %", Dimension::fraction);
  if (const auto* percent = std::get_if<Quantity>(&number)) {
    const double value = 100.0 * percent->si;
    if (value >= 0.0 && value <= 1.0) return value;
  }
  return Error::usage(
      fmt::format("{}: found '{}'; expected a share from 0 to 100 %, such as \"2 %\" or 0.02", name, text));
}

}  // namespace leanside::cli
