// SPDX-License-Identifier: Apache-2.0
#include "cli/manual.hpp"

#include <fmt/format.h>

#include "cli/console.hpp"
#include "cli/definitions.hpp"

namespace leanside::cli {
namespace {

/// Text as troff shows it: nothing in it is obeyed.
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

std::string synopsis(const CommandWords& command) {
  std::string out = ".B leanside " + roff(command.name) + "\n.RI [ option ...]";
  for (const OptionWords& word : command.positionals) {
    out += word.required ? " \" \" " + roff(word.value) : " \" [\" " + roff(word.value) + " ]";
    if (word.several) out += " ...";
  }
  return out + "\n.br\n";
}

std::string entry(const OptionWords& option) {
  std::string names;
  if (!option.short_name.empty()) names += "\\fB" + roff(option.short_name) + "\\fR, ";
  names += option.long_name.empty() ? "\\fI" + roff(option.value) + "\\fR" : "\\fB" + roff(option.long_name) + "\\fR";
  if (!option.long_name.empty() && !option.value.empty()) names += " \\fI" + roff(option.value) + "\\fR";
  std::string out = ".TP\n" + names + "\n" + roff(option.description) + ".";
  if (!option.choices.empty()) {
    out += "\nOne of";
    for (std::size_t i = 0; i < option.choices.size(); ++i) out += (i > 0 ? ", " : " ") + roff(option.choices[i]);
    out += ".";
  }
  if (!option.usual.empty()) out += "\nIf left out: " + roff(option.usual) + ".";
  return out + "\n";
}

std::string command_section(const CommandWords& command) {
  std::string out = ".SS leanside " + roff(command.name) + "\n" + roff(command.description) + "\n";
  for (const OptionWords& word : command.positionals) out += entry(word);
  for (const OptionWords& word : command.options) out += entry(word);
  if (!command.footer.empty()) out += ".PP\n" + roff(command.footer) + "\n";
  return out;
}

}  // namespace

std::string manual_page(const CLI::App& app) {
  const auto commands = command_words(app);
  std::string out = fmt::format(".TH LEANSIDE 1 \"\" \"leanside {}\" \"User commands\"\n", version());
  out += ".SH NAME\nleanside \\- where a flammable mixture can form, and what would keep it away\n.SH SYNOPSIS\n";
  for (const CommandWords& command : commands) out += synopsis(command);
  out += ".SH DESCRIPTION\n" + roff(app.get_description()) +
         "\nA site file, plain text in TOML, describes rooms, cabinets and vessels, the air that moves between them, "
         "where "
         "gas gets in and what may go wrong. The answer is a list of warnings, the worst first, that says what to do.\n"
         ".PP\n" +
         roff(caution()) + "\n.SH COMMANDS\n";
  for (const CommandWords& command : commands) out += command_section(command);
  out +=
      ".SH EXIT STATUS\n"
      ".TP\n0\nNothing is at or over a margin. That does not say that the place is safe.\n"
      ".TP\n1\nAt least one warning.\n"
      ".TP\n2\nThe input or the command was wrong, or the result could not be written.\n"
      ".TP\n3\nThe computation failed, or memory ran out.\n"
      ".SH ENVIRONMENT\n"
      ".TP\nNO_COLOR\nWhere it is set and not empty, there are no colours.\n"
      ".TP\nCOLUMNS\nHow wide the text is where standard output is no terminal.\n"
      ".TP\nLC_ALL, LC_CTYPE, LANG\nLetters beyond ASCII are written where the first that is set names UTF\\-8.\n"
      ".SH EXAMPLES\n"
      ".TP\nleanside new \\-\\-like store \\-o store.toml\nA site file to begin with.\n"
      ".TP\nleanside check store.toml\nWhat can happen there.\n"
      ".TP\nleanside report store.toml \\-o store.html\nA page to print and hand over.\n";
  return out;
}

}  // namespace leanside::cli
