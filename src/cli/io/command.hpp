// SPDX-License-Identifier: Apache-2.0
/// What each command takes, as plain data. The parser (command_line.cpp), the manual page and the completions of shells
/// are all made from it, and no other file needs the library that parses.
#pragma once

#include <cstddef>
#include <deque>
#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "cli/io/outcome.hpp"

namespace leanside::cli {

/// Where the value of an option goes; a bool is a flag.
using Target = std::variant<bool*, std::string*, std::optional<std::string>*, std::vector<std::string>*, double*,
                            std::optional<double>*, std::size_t*, unsigned*>;

/// An option, a flag or a positional argument. The setters return the option itself, so that they can be chained.
class Option {
 public:
  /// `names`: "-o,--output", "--quiet", or "FILE" for a positional.
  Option(const std::string& names, Target target, std::string description);

  Option* required();
  /// What stands for the value in the help: "FILE", "ID".
  Option* type_name(std::string word);
  /// The only values that are taken.
  Option* one_of(std::vector<std::string> words);
  /// The least and the most that a number may be.
  Option* between(double least, double most);
  /// What it cannot be given with, or only with, of the same command; each call adds one.
  Option* excludes(const Option* other);
  Option* needs(const Option* other);
  /// Another name that is understood and that the help does not show.
  Option* alias(std::string name);
  /// The help names the value that holds without the option: what the target has now.
  Option* capture_default_str();

  bool is_positional() const { return long_name.empty(); }
  bool is_flag() const { return std::holds_alternative<bool*>(target); }
  bool takes_several() const { return std::holds_alternative<std::vector<std::string>*>(target); }
  bool wants_file() const { return value == "FILE"; }

  std::string long_name;   ///< "--output"; empty: a positional
  std::string short_name;  ///< "-o"; may be empty
  std::string other_name;  ///< understood and not shown; may be empty
  std::string value;       ///< "FILE", "ID", "COUNT"; empty: a flag
  std::string description;
  std::vector<std::string> choices;  ///< the only values that are taken; empty: any
  std::string usual;                 ///< the value without it; may be empty
  std::optional<std::pair<double, double>> bounds;
  bool is_required = false;
  std::vector<const Option*> excluded, needed;
  Target target;
};

class Command {
 public:
  Command(std::string name, std::string description) : name{std::move(name)}, description{std::move(description)} {}

  template <class T>
  Option* add_option(const std::string& names, T& target, std::string description) {
    return &options.emplace_back(names, &target, std::move(description));
  }
  Option* add_flag(const std::string& names, bool& target, std::string description) {
    return add_option(names, target, std::move(description));
  }
  /// What the help says at its end.
  void footer(std::string text) { closing = std::move(text); }
  /// Leaves the command out of the help.
  void hide() { hidden = true; }

  std::vector<Option> positionals() const;
  /// Options and flags, --help and --version among them.
  std::vector<Option> named_options() const;

  std::string name;
  std::string description;
  std::string closing;
  bool hidden = false;
  std::deque<Option> options;  ///< in the order of the help; their addresses stay
};

/// What runs a command once its options have their values.
using Runner = std::function<Outcome<ExitCode>()>;

/// The program: its commands in the order of the help.
class Program {
 public:
  /// The command that `add` defines.
  void add(Runner (*add)(Program&));
  /// The same for `add`: a new command, good as long as the program.
  Command& add_subcommand(std::string name, std::string description);

  /// The commands that the help shows.
  std::vector<Command> shown() const;
  const std::deque<Command>& commands() const { return commands_; }
  Outcome<ExitCode> run(const Command& command) const;

  static constexpr const char* description =
      "Where a flammable mixture can form in rooms, cabinets and vessels, and what would keep it away.";

 private:
  std::deque<Command> commands_;
  std::vector<Runner> runners_;  ///< by the place of the command
};

}  // namespace leanside::cli
