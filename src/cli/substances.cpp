// SPDX-License-Identifier: Apache-2.0
/// `leanside substances`: the list, or the card of one.
#include <functional>
#include <memory>

#include <fmt/format.h>

#include "cli/console.hpp"

namespace leanside::cli {
namespace {

struct SubstancesOptions {
  CommonOptions common;
  std::optional<std::string> id;
};

/// The text asked for, or nothing where the id is unknown.
std::optional<std::string> answer(const SubstancesOptions& options, const SubstanceTable& table) {
  const bool json = options.common.format == "json";
  const TextStyle style = style_for(options.common, true);
  if (!options.id) return json ? substance_list_json(table) : substance_list(table, style);
  if (const Substance* substance = table.find(*options.id)) {
    return json ? substance_json(*substance) : substance_card(*substance, style);
  }
  if (const Mixture* mixture = table.find_mixture(*options.id)) {
    return json ? mixture_json(*mixture) : mixture_card(*mixture, table, style);
  }
  return {};
}

int run(const SubstancesOptions& options) {
  const auto table = substances_for(options.common);
  if (!table) return bad_input;
  const auto text = answer(options, *table);
  if (!text) {
    const std::string near = table->nearest(*options.id);
    complain(fmt::format("there is no substance '{}'{} `leanside substances` lists all", *options.id,
                         near.empty() ? "." : fmt::format("; did you mean '{}'?", near)));
    return bad_input;
  }
  if (const Failure failure = write_standard_output(*text)) {
    complain(*failure);
    return bad_input;
  }
  return nothing_found;
}

}  // namespace

std::function<int()> add_substances(CLI::App& app) {
  const auto options = std::make_shared<SubstancesOptions>();
  CLI::App& command = *app.add_subcommand("substances", "What is known of the gases and vapours, with sources");
  command.add_option("ID", options->id, "The substance or mixture to show; without one, all are listed");
  add_common_options(command, options->common, {"text", "json"});
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
