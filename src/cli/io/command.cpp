// SPDX-License-Identifier: Apache-2.0
#include "cli/io/command.hpp"

#include <type_traits>

#include <fmt/format.h>

namespace leanside::cli {
namespace {

/// The word for a value of this type in the help.
std::string word_of(const Target& target) {
  return std::visit(
      [](auto* place) -> std::string {
        using T = std::remove_pointer_t<decltype(place)>;
        if constexpr (std::is_same_v<T, bool>) return {};
        if constexpr (std::is_same_v<T, double> || std::is_same_v<T, std::optional<double>>) return "NUMBER";
        if constexpr (std::is_same_v<T, std::size_t> || std::is_same_v<T, unsigned>) return "COUNT";
        return "TEXT";
      },
      target);
}

const Option& help_option() {
  static bool asked = false;
  static const Option option{"-h,--help", &asked, "Show this help and leave"};
  return option;
}

const Option& version_option() {
  static bool asked = false;
  static const Option option{"--version", &asked, "Show the version and leave"};
  return option;
}

}  // namespace

Option::Option(const std::string& names, Target to, std::string words)
    : value{word_of(to)}, description{std::move(words)}, target{to} {
  const std::size_t comma = names.find(',');
  if (names.front() != '-') {
    value = names;
  } else if (comma == std::string::npos) {
    long_name = names;
  } else {
    short_name = names.substr(0, comma);
    long_name = names.substr(comma + 1);
  }
}

Option* Option::required() {
  is_required = true;
  return this;
}

Option* Option::type_name(std::string word) {
  value = std::move(word);
  return this;
}

Option* Option::one_of(std::vector<std::string> words) {
  choices = std::move(words);
  return this;
}

Option* Option::between(double least, double most) {
  bounds = {least, most};
  return this;
}

Option* Option::alias(std::string name) {
  other_name = std::move(name);
  return this;
}

Option* Option::excludes(const Option* other) {
  excluded.push_back(other);
  return this;
}

Option* Option::needs(const Option* other) {
  needed.push_back(other);
  return this;
}

Option* Option::capture_default_str() {
  usual = std::visit(
      [](const auto* place) -> std::string {
        using T = std::remove_cvref_t<decltype(*place)>;
        if constexpr (std::is_same_v<T, std::string> || (std::is_arithmetic_v<T> && !std::is_same_v<T, bool>)) {
          return fmt::format("{}", *place);
        }
        return {};
      },
      target);
  return this;
}

std::vector<Option> Command::positionals() const {
  std::vector<Option> out;
  for (const Option& option : options) {
    if (option.is_positional()) out.push_back(option);
  }
  return out;
}

std::vector<Option> Command::named_options() const {
  std::vector<Option> out{help_option()};
  for (const Option& option : options) {
    if (!option.is_positional()) out.push_back(option);
  }
  out.push_back(version_option());
  return out;
}

void Program::add(Runner (*add)(Program&)) { runners_.push_back(add(*this)); }

Command& Program::add_subcommand(std::string name, std::string description) {
  return commands_.emplace_back(std::move(name), std::move(description));
}

std::vector<Command> Program::shown() const {
  std::vector<Command> out;
  for (const Command& command : commands_) {
    if (!command.hidden) out.push_back(command);
  }
  return out;
}

Outcome<ExitCode> Program::run(const Command& command) const {
  for (std::size_t i = 0; i < commands_.size(); ++i) {
    if (&commands_[i] == &command) return runners_[i]();
  }
  return Error::usage("there is no command '" + command.name + "'");
}

}  // namespace leanside::cli
