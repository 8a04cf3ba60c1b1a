// SPDX-License-Identifier: Apache-2.0
/// `leanside stock`: what a site has in store, and what should be kept apart.
#include "cli/site_command.hpp"

namespace leanside::cli {

std::function<int()> add_stock(CLI::App& app) {
  struct Options {
    CommonOptions common;
    std::string file;
  };
  const auto options = std::make_shared<Options>();
  CLI::App& command = *app.add_subcommand("stock", "What gas is held where, and what should be kept apart");
  command.add_option("FILE", options->file, "Site file")->required();
  add_common_options(command, options->common, {"text", "json"});
  return [options] {
    const auto reading = read_site_for(options->common, options->file);
    if (const int* code = std::get_if<int>(&reading)) return *code;
    const Site& site = std::get<Site>(reading);
    const Stock stock = stock_of(site);
    return deliver(options->common.format == "json" ? stock_json(site, stock)
                                                    : stock_report(site, stock, style_for(options->common, true)));
  };
}

}  // namespace leanside::cli
