// SPDX-License-Identifier: Apache-2.0
/// `leanside definitions`: the manual page or a completion, written when the program is built and installed with it.
/// Nobody else needs it, so the help does not show it.
#include <memory>

#include "cli/io/answer.hpp"
#include "cli/io/manual.hpp"

namespace leanside::cli {
namespace {

struct Options {
  CommonOptions common;
  std::string what;
};

Outcome<ExitCode> run(const Options& options, const Program& program) {
  auto answer = Answer::open(options.common, {});
  if (!answer) return answer.error();
  const std::string text = options.what == "man"    ? manual_page(program)
                           : options.what == "bash" ? bash_completion(program)
                           : options.what == "zsh"  ? zsh_completion(program)
                                                    : fish_completion(program);
  return answer->deliver(text, nothing_found);
}

}  // namespace

Runner add_definitions(Program& program) {
  const auto options = std::make_shared<Options>();
  Command& command = program.add_subcommand("definitions", "Write the manual page, or the completion of a shell");
  command.hide();
  command.add_option("WHAT", options->what, "Which of them")->required()->one_of({"man", "bash", "zsh", "fish"});
  add_common_options(command, options->common, {{}, false});
  return [options, &program] { return run(*options, program); };
}

}  // namespace leanside::cli
