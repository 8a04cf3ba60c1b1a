// SPDX-License-Identifier: Apache-2.0
/// `leanside new`: a site file to start from.
#include <filesystem>
#include <memory>

#include <fmt/format.h>

#include "cli/io/answer.hpp"

namespace leanside::cli {
namespace {

struct NewOptions {
  CommonOptions common;
  std::string like;
};

Outcome<ExitCode> run(const NewOptions& options) {
  const auto& output = options.common.output;
  // What stands in a site file is work: it is never replaced by a starter.
  std::error_code ignored;
  if (output && std::filesystem::exists(*output, ignored)) {
    return Error::usage(fmt::format("'{}' exists already and is not replaced; choose another name", *output));
  }
  auto answer = Answer::open(options.common, {});
  if (!answer) return answer.error();
  auto code = answer->deliver(starter(options.like), nothing_found);
  if (code && output && !options.common.quiet) {
    write_standard_error(fmt::format("Wrote '{0}'. Put your own sizes and flows into it, then: leanside check {0}\n",
                                     plain_text(*output)));
  }
  return code;
}

}  // namespace

Runner add_new(Program& program) {
  const auto options = std::make_shared<NewOptions>();
  Command& command = program.add_subcommand("new", "Write a site file with comments, to start from");
  command.add_option("--like", options->like, "What your place is most like")->one_of(starter_names())->required();
  add_common_options(command, options->common, {{}, false});
  command.footer("The sizes in it are invented, and each has a comment. Exit codes: 0 written, 2 not written.");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
