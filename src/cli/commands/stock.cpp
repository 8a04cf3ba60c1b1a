// SPDX-License-Identifier: Apache-2.0
/// `leanside stock`: what a site has in store, and what should be kept apart.
#include <memory>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"

namespace leanside::cli {
namespace {

struct StockOptions {
  CommonOptions common;
  std::string file;
};

Outcome<ExitCode> run(const StockOptions& options) {
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  note_ranges(site, options.common);
  auto answer = Answer::open(options.common, {options.file});
  if (!answer) return answer.error();
  const Stock stock = stock_of(site);
  return answer->deliver(
      options.common.format == "json" ? stock_json(site, stock) : stock_report(site, stock, style_for(options.common)),
      nothing_found);
}

}  // namespace

Runner add_stock(Program& program) {
  const auto options = std::make_shared<StockOptions>();
  Command& command = program.add_subcommand("stock", "Show what gas is held where, and what to keep apart");
  command.add_option("FILE", options->file, "Site file")->required();
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 shown"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
