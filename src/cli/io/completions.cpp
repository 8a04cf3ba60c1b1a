// SPDX-License-Identifier: Apache-2.0
/// Completions for bash, zsh and fish. Their texts come from our own definitions, which hold no quotes or backslashes
/// that a shell would obey; in_quotes() sees to the rest.
#include <fmt/format.h>

#include "cli/io/console.hpp"
#include "cli/io/manual.hpp"

namespace leanside::cli {
namespace {

std::string joined(const std::vector<std::string>& words) { return fmt::format("{}", fmt::join(words, " ")); }

std::string names_of(const std::vector<Command>& commands) {
  std::vector<std::string> names;
  names.reserve(commands.size());
  for (const Command& command : commands) names.push_back(command.name);
  return joined(names);
}

std::string options_of(const Command& command) {
  std::vector<std::string> names;
  for (const Option& option : command.named_options()) {
    names.push_back(option.long_name);
    if (!option.short_name.empty()) names.push_back(option.short_name);
  }
  return joined(names);
}

/// zsh takes ':' and ']' in a description for its own.
std::string for_zsh(const std::string& text) {
  std::string out;
  for (const char c : text) {
    if (c == ':' || c == '[' || c == ']' || c == '\\') out += '\\';
    out += c;
  }
  return out;
}

std::string zsh_action(const Option& option) {
  if (!option.choices.empty()) return "(" + joined(option.choices) + ")";
  return option.wants_file() ? "_files" : " ";
}

}  // namespace

std::string bash_completion(const Program& program) {
  const auto commands = program.shown();
  std::string out =
      "# bash completion of leanside, made from its command definitions\n"
      "_leanside() {\n"
      "  local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]} command=${COMP_WORDS[1]}\n"
      "  COMPREPLY=()\n"
      "  if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
      "    mapfile -t COMPREPLY < <(compgen -W \"" +
      names_of(commands) +
      " --help --version\" -- \"$word\")\n"
      "    return\n"
      "  fi\n"
      "  case \"$command $before\" in\n";
  for (const Command& command : commands) {
    for (const Option& option : command.named_options()) {
      if (option.value.empty()) continue;
      std::string pattern = "\"" + command.name + " " + option.long_name + "\"";
      if (!option.short_name.empty()) pattern += " | \"" + command.name + " " + option.short_name + "\"";
      const std::string what = !option.choices.empty() ? "compgen -W \"" + joined(option.choices) + "\""
                               : option.wants_file()   ? std::string{"compgen -f"}
                                                       : std::string{"true"};
      out += fmt::format("  {})\n    mapfile -t COMPREPLY < <({} -- \"$word\")\n    return ;;\n", pattern, what);
    }
  }
  out += "  esac\n  local options=\n  case \"$command\" in\n";
  for (const Command& command : commands) {
    out += fmt::format("  {}) options=\"{}\" ;;\n", command.name, options_of(command));
  }
  out +=
      "  esac\n"
      "  case \"$word\" in\n"
      "  -*) mapfile -t COMPREPLY < <(compgen -W \"$options\" -- \"$word\") ;;\n"
      "  *) mapfile -t COMPREPLY < <(compgen -f -- \"$word\") ;;\n"
      "  esac\n"
      "}\n"
      "complete -o filenames -F _leanside leanside\n";
  return out;
}

std::string zsh_completion(const Program& program) {
  const auto commands = program.shown();
  std::string out =
      "#compdef leanside\n"
      "# zsh completion of leanside, made from its command definitions\n"
      "local -a commands\ncommands=(\n";
  for (const Command& command : commands) {
    out += "  " + in_quotes(command.name + ":" + for_zsh(command.description)) + "\n";
  }
  out +=
      ")\nif (( CURRENT == 2 )); then\n  _describe command commands\n  return\nfi\nlocal command=$words[2]\n"
      "shift words\n(( CURRENT-- ))\ncase $command in\n";
  for (const Command& command : commands) {
    out += command.name + ")\n  _arguments";
    for (const Option& option : command.named_options()) {
      for (const std::string& name : {option.long_name, option.short_name}) {
        if (name.empty()) continue;
        std::string spec = name + "[" + for_zsh(option.description) + "]";
        if (!option.value.empty()) spec += ":" + option.value + ":" + zsh_action(option);
        out += " \\\n    " + in_quotes(spec);
      }
    }
    for (const Option& word : command.positionals()) {
      const std::string action = word.wants_file() || word.takes_several() ? "_files" : zsh_action(word);
      out += " \\\n    " + in_quotes(std::string{word.takes_several() ? "*" : ""} + ":" + word.value + ":" + action);
    }
    out += "\n  ;;\n";
  }
  return out + "esac\n";
}

std::string fish_completion(const Program& program) {
  const auto commands = program.shown();
  std::string out = "# fish completion of leanside, made from its command definitions\n";
  for (const Command& command : commands) {
    out += fmt::format("complete -c leanside -n __fish_use_subcommand -f -a {} -d {}\n", command.name,
                       in_quotes(command.description));
    for (const Option& option : command.named_options()) {
      out += fmt::format("complete -c leanside -n '__fish_seen_subcommand_from {}'", command.name);
      if (!option.long_name.empty()) out += " -l " + option.long_name.substr(2);
      if (!option.short_name.empty()) out += " -s " + option.short_name.substr(1);
      if (!option.value.empty()) out += option.wants_file() ? " -r" : " -x";
      if (!option.choices.empty()) out += " -a " + in_quotes(joined(option.choices));
      out += " -d " + in_quotes(option.description) + "\n";
    }
  }
  return out;
}

}  // namespace leanside::cli
