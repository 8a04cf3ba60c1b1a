// SPDX-License-Identifier: Apache-2.0
/// The only file that includes CLI11, which takes some seconds to compile.
#include "cli/io/command_line.hpp"

#include <algorithm>
#include <charconv>
#include <limits>
#include <map>
#include <sstream>
#include <type_traits>

#include <CLI/CLI.hpp>
#include <fmt/format.h>

#include "leanside/report.hpp"

namespace leanside::cli {
namespace {

std::string version_text() { return fmt::format("leanside {}", version()); }

CLI::Option& add_to(CLI::App& app, const Option& option) {
  const std::string names = option.is_positional()      ? option.value
                            : option.short_name.empty() ? option.long_name
                                                        : option.short_name + "," + option.long_name;
  return *std::visit(
      [&](auto* target) {
        if constexpr (std::is_same_v<decltype(target), bool*>) {
          return app.add_flag(names, *target, option.description);
        } else {
          return app.add_option(names, *target, option.description);
        }
      },
      option.target);
}

/// What is wrong with a text that has to be a number of these bounds; empty: nothing. Unlike the conversion of CLI11 it
/// refuses "nan" and does not turn numbers that are too large into the largest one.
template <class Number>
std::string number_fault(const std::string& text, Number least, Number most, const char* what, bool names_bounds) {
  Number value{};
  const char* const end = text.data() + text.size();
  const auto [stop, status] = std::from_chars(text.data(), end, value);
  if (status == std::errc{} && stop == end && value >= least && value <= most) return {};
  if (!names_bounds) return fmt::format("found '{}'; expected {}", text, what);
  return fmt::format("found '{}'; expected {} from {} to {}", text, what, least, most);
}

/// The bounds of an option as numbers of the type of its target. The error does not name the largest double, which
/// helps nobody.
template <class Number>
void limit_number(CLI::Option& parsed, const Option& option, const char* what) {
  Number least = std::numeric_limits<Number>::lowest(), most = std::numeric_limits<Number>::max();
  if (option.bounds) {
    least = static_cast<Number>(option.bounds->first);
    most = static_cast<Number>(option.bounds->second);
  }
  const bool names_bounds = option.bounds || std::is_integral_v<Number>;
  parsed.check([=](const std::string& text) { return number_fault(text, least, most, what, names_bounds); });
}

/// What is wrong with a text that has to be one of `choices`; empty: nothing.
std::string choice_fault(const std::string& text, const std::vector<std::string>& choices) {
  if (std::find(choices.begin(), choices.end(), text) != choices.end()) return {};
  return fmt::format("found '{}'; expected one of {}", text, fmt::join(choices, ", "));
}

void limit(CLI::Option& parsed, const Option& option) {
  if (!option.choices.empty()) {
    parsed.check(CLI::Validator{[choices = option.choices](std::string& text) { return choice_fault(text, choices); },
                                "{" + fmt::format("{}", fmt::join(option.choices, ",")) + "}"});
  }
  std::visit(
      [&](auto* target) {
        using T = std::remove_pointer_t<decltype(target)>;
        if constexpr (std::is_same_v<T, double> || std::is_same_v<T, std::optional<double>>) {
          limit_number<double>(parsed, option, "a number");
        } else if constexpr (std::is_same_v<T, std::size_t> || std::is_same_v<T, unsigned>) {
          limit_number<T>(parsed, option, "a whole number");
        }
      },
      option.target);
}

void fill(CLI::App& app, const Command& command) {
  std::map<const Option*, CLI::Option*> parsed;
  for (const Option& option : command.options) parsed[&option] = &add_to(app, option);
  for (const Option& option : command.options) {
    CLI::Option& here = *parsed.at(&option);
    here.required(option.is_required);
    limit(here, option);
    if (!option.is_flag()) here.type_name(option.is_positional() ? "" : option.value);
    here.default_str(option.usual);
    for (const Option* other : option.excluded) here.excludes(parsed.at(other));
    for (const Option* other : option.needed) here.needs(parsed.at(other));
  }
  app.set_version_flag("--version", version_text(), "Show the version and leave");
  app.footer(command.closing);
  if (command.hidden) app.group("");
}

const Command* command_named(const Program& program, const CLI::App& app) {
  const auto asked = app.get_subcommands();
  if (asked.empty()) return nullptr;
  for (const Command& command : program.commands()) {
    if (command.name == asked.front()->get_name()) return &command;
  }
  return nullptr;
}

std::string did_you_mean(const std::string& word, const std::vector<std::string>& known) {
  const std::string near = nearest_name(word, known);
  return near.empty() ? std::string{} : fmt::format("; did you mean '{}'?", near);
}

/// Where no command was recognised.
std::string command_fault(const Program& program, const std::vector<std::string>& words) {
  std::vector<std::string> known;
  for (const Command& command : program.shown()) known.push_back(command.name);
  for (const std::string& word : words) {
    if (word.starts_with('-')) continue;
    return fmt::format("there is no command '{}'{}", word, did_you_mean(word, known));
  }
  return words.empty() ? "no command is given" : fmt::format("no command is given beside '{}'", words.front());
}

/// Where a command was given a word that it has no place for.
std::string extra_fault(const Command& command, const std::string& word) {
  if (!word.starts_with('-')) return fmt::format("{} takes no further word, but there is '{}'", command.name, word);
  std::vector<std::string> known;
  for (const Option& option : command.named_options()) known.push_back(option.long_name);
  return fmt::format("{} has no option '{}'{}", command.name, word, did_you_mean(word, known));
}

/// Help and version are texts to show; anything else is bad usage.
Outcome<Request> answer(const Program& program, const CLI::App& app, const CLI::ParseError& outcome,
                        const std::vector<std::string>& words) {
  std::ostringstream out, err;
  if (app.exit(outcome, out, err) == 0) return Request{out.str()};
  const Command* const command = command_named(program, app);
  const std::vector<std::string> extra = app.remaining(true);
  std::string message = outcome.what();
  if (command == nullptr) {
    message = command_fault(program, words);
  } else if (static_cast<CLI::ExitCodes>(outcome.get_exit_code()) == CLI::ExitCodes::ExtrasError && !extra.empty()) {
    message = extra_fault(*command, extra.front());
  }
  const bool ends_a_sentence = message.ends_with('?');
  return Error::usage(fmt::format("{}{} `leanside{} --help` shows what you can ask", message,
                                  ends_a_sentence ? "" : ";", command == nullptr ? "" : " " + command->name));
}

/// Replaces each name that the help does not show by the one that it does.
void resolve_aliases(const Program& program, std::vector<std::string>& words) {
  for (const Command& command : program.commands()) {
    for (const Option& option : command.options) {
      if (!option.other_name.empty()) std::replace(words.begin(), words.end(), option.other_name, option.long_name);
    }
  }
}

}  // namespace

Outcome<Request> parse_command_line(const Program& program, std::vector<std::string> words) {
  CLI::App app{Program::description, "leanside"};
  app.set_help_flag("-h,--help", "Show this help and leave");
  app.set_version_flag("--version", version_text(), "Show the version and leave");
  app.require_subcommand(1);
  app.footer("A screening aid: every answer ends with what it cannot replace.");
  for (const Command& command : program.commands())
    fill(*app.add_subcommand(command.name, command.description), command);
  resolve_aliases(program, words);
  try {
    app.parse(std::vector<std::string>{words.rbegin(), words.rend()});
  } catch (const CLI::ParseError& outcome) {
    return answer(program, app, outcome, words);
  }
  return Request{command_named(program, app)};
}

}  // namespace leanside::cli
