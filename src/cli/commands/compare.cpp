// SPDX-License-Identifier: Apache-2.0
/// `leanside compare`: two site files in, what got better and what got worse out.
#include "leanside/study/compare.hpp"

#include <memory>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"

namespace leanside::cli {
namespace {

struct Options {
  CommonOptions common;
  std::string before, after;
  std::optional<std::string> ignore;
  bool steady_only = false;
};

/// The faults of both files at once.
Error errors_of(const Outcome<LoadedSite>& before, const Outcome<LoadedSite>& after) {
  Error out;
  for (const auto* reading : {&before, &after}) {
    if (*reading) continue;
    const Diagnostics& more = reading->error().diagnostics;
    out.diagnostics.insert(out.diagnostics.end(), more.begin(), more.end());
  }
  return out;
}

Outcome<ExitCode> run(const Options& options) {
  CompareOptions study_options;
  if (options.ignore) {
    const auto least = fraction_option("--ignore", *options.ignore);
    if (!least) return least.error();
    study_options.least_change = *least;
  }
  const auto before = load_site(options.common, options.before);
  const auto after = load_site(options.common, options.after);
  if (!before || !after) return errors_of(before, after);
  auto answer = Answer::open(options.common, {options.before, options.after});
  if (!answer) return answer.error();
  AssessOptions assess_how;
  assess_how.steady_only = options.steady_only;
  const auto both = assess_alike(before->site, after->site, assess_how);
  if (const auto* stopped = std::get_if<AlikeFault>(&both)) {
    return Error::of(stopped->fault, stopped->of_before ? options.before : options.after);
  }
  const auto& [was, is] = std::get<AlikeAssessments>(both);
  const Comparison comparison = compare(before->site, was, after->site, is, study_options);
  const std::string text =
      options.common.format == "json"
          ? comparison_json(before->site, was, after->site, is, comparison)
          : comparison_text(before->site, was, after->site, is, comparison, style_for(options.common));
  return answer->deliver(text, exit_code(comparison.anything_worse));
}

}  // namespace

Runner add_compare(Program& program) {
  const auto options = std::make_shared<Options>();
  Command& command = program.add_subcommand("compare", "What did a change make better, and what worse?");
  command.add_option("BEFORE", options->before, "Site file before the change")->required();
  command.add_option("AFTER", options->after, "Site file after the change")->required();
  command
      .add_option("--ignore", options->ignore,
                  "Ignore changes up to this share of the lower flammable limit, such as \"0.5 %\"")
      ->type_name("SHARE");
  command.add_flag("--steady-only", options->steady_only, "Compare only the steady states, not the course in time")
      ->alias("--sustained-only");
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 nothing got worse, 1 something did"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
