// SPDX-License-Identifier: Apache-2.0
#include "cli/definitions.hpp"

#include <algorithm>

namespace leanside::cli {
namespace {

/// CLI11 keeps what a check takes only as the words of its help: "TEXT:{text,json,csv}".
std::vector<std::string> choices_in(const std::string& type) {
  std::vector<std::string> out;
  const std::size_t open = type.find('{'), close = type.rfind('}');
  if (open == std::string::npos || close == std::string::npos || close < open) return out;
  std::string word;
  for (std::size_t i = open + 1; i <= close; ++i) {
    if (type[i] == ',' || i == close) {
      out.push_back(word);
      word.clear();
    } else if (type[i] != ' ') {
      word += type[i];
    }
  }
  return out;
}

/// The word for the value of an option: "FILE", "ID", "COUNT", "TEXT".
std::string value_of(const std::string& type) {
  const std::string word = type.substr(0, type.find_first_of(":{ "));
  return word == "UINT" || word == "INT" ? "COUNT" : word;
}

OptionWords words_of(const CLI::Option& option) {
  OptionWords out;
  const std::string type = option.get_type_name();
  if (option.get_positional()) {
    out.value = option.get_name(true);
  } else {
    out.long_name = option.get_lnames().empty() ? "" : "--" + option.get_lnames().front();
    out.short_name = option.get_snames().empty() ? "" : "-" + option.get_snames().front();
    if (option.get_items_expected_max() > 0 && option.get_type_size_max() > 0) out.value = value_of(type);
  }
  out.choices = choices_in(type);
  out.description = option.get_description();
  out.usual = option.get_default_str();
  out.required = option.get_required();
  out.several = option.get_items_expected_max() > 1;
  return out;
}

}  // namespace

std::vector<CommandWords> command_words(const CLI::App& app) {
  std::vector<CommandWords> out;
  for (const CLI::App* command : app.get_subcommands(nullptr)) {
    if (command->get_group().empty()) continue;  // not for users
    CommandWords words{command->get_name(), command->get_description(), command->get_footer(), {}, {}};
    for (const CLI::Option* option : command->get_options()) {
      (option->get_positional() ? words.positionals : words.options).push_back(words_of(*option));
    }
    out.push_back(std::move(words));
  }
  return out;
}

}  // namespace leanside::cli
