// SPDX-License-Identifier: Apache-2.0
/// `leanside substances`: the list, or the card of one.
#include <memory>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"

namespace leanside::cli {
namespace {

struct SubstancesOptions {
  CommonOptions common;
  std::optional<std::string> id;
};

/// The text asked for.
Outcome<std::string> text_of(const SubstancesOptions& options, const SubstanceTable& table) {
  const bool json = options.common.format == "json";
  const TextStyle style = style_for(options.common);
  if (!options.id) return json ? substance_list_json(table) : substance_list(table, style);
  const std::string id = table.meant(*options.id);
  if (const Substance* substance = table.find(id)) {
    return json ? substance_json(*substance) : substance_card(*substance, style);
  }
  if (const Mixture* mixture = table.find_mixture(id)) {
    return json ? mixture_json(*mixture) : mixture_card(*mixture, table, style);
  }
  return unknown_substance(table, *options.id);
}

Outcome<ExitCode> run(const SubstancesOptions& options) {
  const auto table = load_substances(options.common);
  if (!table) return table.error();
  const auto text = text_of(options, *table);
  if (!text) return text.error();
  auto answer = Answer::open(options.common, {});
  if (!answer) return answer.error();
  return answer->deliver(*text, nothing_found);
}

}  // namespace

Runner add_substances(Program& program) {
  const auto options = std::make_shared<SubstancesOptions>();
  Command& command = program.add_subcommand("substances", "Show what is known of the gases and vapours, with sources");
  command.add_option(
      "ID", options->id,
      "The substance or mixture to show, by id, name, formula or CAS number; without one, all are listed");
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 shown"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
