// SPDX-License-Identifier: Apache-2.0
#include "cli/io/manual.hpp"

#include <fmt/format.h>

#include "cli/io/console.hpp"

namespace leanside::cli {
namespace {

/// Text that troff shows and does not obey.
std::string roff(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if ((c == '.' || c == '\'') && (out.empty() || out.back() == '\n')) out += "\\&";
    if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else {
      out += c;
    }
  }
  return out;
}

std::string synopsis(const Command& command) {
  std::string out = ".B leanside " + roff(command.name) + "\n.RI [ option ...]";
  for (const Option& word : command.positionals()) {
    out += word.is_required ? " \" \" " + roff(word.value) : " \" [\" " + roff(word.value) + " ]";
    if (word.takes_several()) out += " ...";
  }
  return out + "\n.br\n";
}

std::string entry(const Option& option) {
  std::string names;
  if (!option.short_name.empty()) names += "\\fB" + roff(option.short_name) + "\\fR, ";
  names += option.long_name.empty() ? "\\fI" + roff(option.value) + "\\fR" : "\\fB" + roff(option.long_name) + "\\fR";
  if (!option.long_name.empty() && !option.value.empty()) names += " \\fI" + roff(option.value) + "\\fR";
  std::string out = ".TP\n" + names + "\n" + roff(option.description) + ".";
  if (!option.choices.empty()) {
    out += "\nOne of " + roff(fmt::format("{}", fmt::join(option.choices, ", "))) + ".";
  }
  if (!option.usual.empty()) out += "\nIf left out: " + roff(option.usual) + ".";
  return out + "\n";
}

std::string command_section(const Command& command) {
  std::string out = ".SS leanside " + roff(command.name) + "\n" + roff(command.description) + "\n";
  for (const Option& word : command.positionals()) out += entry(word);
  for (const Option& option : command.named_options()) out += entry(option);
  if (!command.closing.empty()) out += ".PP\n" + roff(command.closing) + "\n";
  return out;
}

}  // namespace

std::string manual_page(const Program& program) {
  std::string out = fmt::format(".TH LEANSIDE 1 \"\" \"leanside {}\" \"User commands\"\n", version());
  out += ".SH NAME\nleanside \\- where a flammable mixture can form, and what would keep it away\n.SH SYNOPSIS\n";
  for (const Command& command : program.shown()) out += synopsis(command);
  out += ".SH DESCRIPTION\n" + roff(Program::description) +
         "\nA site file in TOML describes rooms, cabinets and vessels, the air that moves between them, where gas is "
         "released and what can go wrong. The answer is a list of warnings, the worst first, that says what to do.\n"
         ".PP\n" +
         roff(caution()) + "\n.SH COMMANDS\n";
  for (const Command& command : program.shown()) out += command_section(command);
  out +=
      ".SH EXIT STATUS\n"
      ".TP\n0\nNothing is at or over a margin. This does not prove that the place is safe.\n"
      ".TP\n1\nAt least one warning.\n"
      ".TP\n2\nThe input or the command was wrong, or the answer could not be written.\n"
      ".TP\n3\nThe computation failed, or memory ran out.\n"
      ".SH ENVIRONMENT\n"
      ".TP\nNO_COLOR\nIf it is set and not empty, the text has no colours.\n"
      ".TP\nCOLUMNS\nThe width of the text if standard output is not a terminal.\n"
      ".TP\nLC_ALL, LC_CTYPE, LANG\nThe text has letters beyond ASCII only if the first of these that is set names "
      "UTF\\-8.\n"
      ".SH EXAMPLES\n"
      ".TP\nleanside new \\-\\-like store \\-o store.toml\nWrite a site file to start from.\n"
      ".TP\nleanside check store.toml\nShow what can happen there.\n"
      ".TP\nleanside report store.toml \\-o store.html\nWrite a page to print and hand over.\n";
  return out;
}

}  // namespace leanside::cli
