// SPDX-License-Identifier: Apache-2.0
/// `leanside page`: the page that works without a network, in one file.
#include <memory>
#include <string>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "cli/io/page_file.hpp"

namespace leanside::cli {
namespace {

struct PageOptions {
  CommonOptions common;
  std::optional<std::string> file;
};

Outcome<ExitCode> run(const PageOptions& options) {
  const auto page = page_file();
  if (!page) {
    return Error::usage(
        "this leanside was built without its page; build it with `examples/page`, or with the CMake option "
        "-DLEANSIDE_PAGE=ON");
  }
  if (auto error = refuse_terminal(options.common)) return *error;
  auto answer = Answer::open(options.common, files_of(options.file));
  if (!answer) return answer.error();
  if (!options.file) return answer->deliver(*page, nothing_found);
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  return answer->deliver(page_with_site(*page, *options.file, loaded->text), nothing_found);
}

}  // namespace

Runner add_page(Program& program) {
  const auto options = std::make_shared<PageOptions>();
  Command& command =
      program.add_subcommand("page", "Write the offline page: draw a place and see the answer in a browser");
  command.add_option("FILE", options->file, "Site file that the page shows; without one it begins with a choice");
  add_common_options(command, options->common, {{}, false});
  command.footer(
      "The page is one HTML file that needs neither a network nor this program. Exit codes: 0 written, 2 not "
      "written.");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
