// SPDX-License-Identifier: Apache-2.0
/// `leanside new`: a site file to begin with.
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "cli/console.hpp"

namespace leanside::cli {
namespace {

struct NewOptions {
  std::string like;
  std::optional<std::string> output;
};

int run(const NewOptions& options) {
  const std::string_view text = starter(options.like);
  Failure failure;
  if (!options.output) {
    failure = write_standard_output(text);
  } else {
    std::error_code ignored;
    // What stands in a site file is work: it is never replaced by a starter.
    if (std::filesystem::exists(*options.output, ignored)) {
      complain(fmt::format("'{}' is there already and is not replaced; choose another name", *options.output));
      return bad_input;
    }
    auto opened = PendingFile::open(*options.output);
    if (auto* reason = std::get_if<std::string>(&opened)) {
      failure = std::move(*reason);
    } else {
      auto& file = std::get<PendingFile>(opened);
      failure = file.write(text);
      if (!failure) failure = file.finish();
      if (!failure) failure = file.publish();
    }
  }
  if (failure) {
    complain(*failure);
    return bad_input;
  }
  if (options.output) {
    write_standard_error(fmt::format("Wrote '{0}'. Put your own sizes and flows into it, then: leanside check {0}\n",
                                     plain_text(*options.output)));
  }
  return nothing_found;
}

}  // namespace

std::function<int()> add_new(CLI::App& app) {
  const auto options = std::make_shared<NewOptions>();
  CLI::App& command = *app.add_subcommand("new", "A site file with comments to begin with");
  command.add_option("--like", options->like, "What the place is most like")
      ->check(CLI::IsMember(starter_names()))
      ->required();
  command.add_option("-o,--output", options->output, "Write to this new file instead of standard output")
      ->type_name("FILE");
  command.set_version_flag("--version", fmt::format("leanside {}", version()), "Show the version and leave");
  command.footer("The sizes in it are invented; every one has a comment. Exit codes: 0 written, 2 not.");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
