// SPDX-License-Identifier: Apache-2.0
/// `leanside definitions`: the manual page or a completion, written when the program is built and installed with it.
/// Not shown in the help: nobody else needs it.
#include <memory>

#include "cli/console.hpp"
#include "cli/manual.hpp"

namespace leanside::cli {

std::function<int()> add_definitions(CLI::App& app) {
  const auto what = std::make_shared<std::string>();
  CLI::App& command = *app.add_subcommand("definitions", "The manual page, or the completion of a shell");
  command.group("");
  command.add_option("WHAT", *what, "Which")->required()->check(CLI::IsMember({"man", "bash", "zsh", "fish"}));
  return [what, &app] {
    const std::string text = *what == "man"    ? manual_page(app)
                             : *what == "bash" ? bash_completion(app)
                             : *what == "zsh"  ? zsh_completion(app)
                                               : fish_completion(app);
    const Failure failure = write_standard_output(text);
    if (failure) complain(*failure);
    return failure ? bad_input : nothing_found;
  };
}

}  // namespace leanside::cli
