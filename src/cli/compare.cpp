// SPDX-License-Identifier: Apache-2.0
/// `leanside compare`: two site files in, what got better and what got worse out.
#include <functional>
#include <memory>

#include <fmt/format.h>

#include "cli/study_common.hpp"
#include "leanside/study.hpp"

namespace leanside::cli {
namespace {

struct Options {
  StudyOptions study;
  std::string before, after;
  std::string ignore;
  bool sustained_only = false;
};

int run(const Options& options) {
  CompareOptions how;
  if (!options.ignore.empty()) {
    const auto least = fraction_option("--ignore", options.ignore);
    if (!least) return bad_input;
    how.least_change = *least;
  }
  const auto substances = substances_for(options.study.common);
  if (!substances) return bad_input;
  const auto before = read_for_study(options.study, options.before, *substances);
  const auto after = read_for_study(options.study, options.after, *substances);
  if (!before || !after) return bad_input;
  auto output = open_output(options.study, {options.before, options.after});
  if (!output) return bad_input;
  AssessOptions assess_how;
  assess_how.sustained_only = options.sustained_only;
  const auto first = assess(*before, assess_how);
  if (const auto* fault = std::get_if<SolveFault>(&first)) return told(*fault, options.before);
  const auto second = assess(*after, assess_how);
  if (const auto* fault = std::get_if<SolveFault>(&second)) return told(*fault, options.after);
  const auto& was = std::get<Assessment>(first);
  const auto& is = std::get<Assessment>(second);
  const Comparison comparison = compare(*before, was, *after, is, how);
  const std::string text = options.study.common.format == "json"
                               ? comparison_json(*before, was, *after, is, comparison)
                               : comparison_text(*before, was, *after, is, comparison,
                                                 style_for(options.study.common, !options.study.output));
  return output->deliver(text, comparison.anything_worse ? warnings_found : nothing_found);
}

}  // namespace

std::function<int()> add_compare(CLI::App& app) {
  const auto options = std::make_shared<Options>();
  CLI::App& command = *app.add_subcommand("compare", "What did a change make better, and what worse?");
  command.add_option("BEFORE", options->before, "Site file as it was")->required();
  command.add_option("AFTER", options->after, "Site file as it is now, or would be")->required();
  command
      .add_option("--ignore", options->ignore,
                  "Changes up to this share of the lower flammable limit count as none, e.g. \"0.5 %\"")
      ->type_name("SHARE");
  command.add_flag("--sustained-only", options->sustained_only, "Compare the long run alone, not the course in time");
  add_study_options(command, options->study, "nothing got worse, 1 something did");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
