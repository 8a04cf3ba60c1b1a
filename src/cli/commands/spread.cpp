// SPDX-License-Identifier: Apache-2.0
/// `leanside spread`: how sure an answer is whose values are ranges.
#include "leanside/study/spread.hpp"

#include <memory>
#include <utility>

#include <fmt/format.h>

#include "cli/io/interrupt.hpp"
#include "cli/io/progress.hpp"
#include "cli/io/sweeps.hpp"
#include "leanside/study/sweep.hpp"

namespace leanside::cli {
namespace {

struct Options {
  CommonOptions common;
  std::string file;
  std::string shape = "triangular";
  std::optional<std::string> only_case, shard;
  SpreadOptions study_options;
};

Outcome<ExitCode> run(const Options& options) {
  const auto loaded = load_ranges(options.common, options.file);
  if (!loaded) return loaded.error();
  SpreadOptions study_options = options.study_options;
  study_options.shape =
      options.shape == word_of(SpreadShape::triangular) ? SpreadShape::triangular : SpreadShape::two_piece;
  if (options.only_case) {
    const auto only = case_named(loaded->site.best(), *options.only_case);
    if (!only) return only.error();
    study_options.only = *only;
  }
  const auto shard = shard_option(options.shard);
  if (!shard) return shard.error();
  study_options.shard = *shard;
  auto answer = Answer::open(options.common, {options.file});
  if (!answer) return answer.error();
  Sweep sweep;
  study_options.sweep = &sweep;
  auto outcome = [&] {
    const Interruptible interruptible{sweep};
    const Progress progress{"drawing values", options.common.quiet, sweep};
    return spread_part(loaded->site, study_options);
  }();
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, options.file);
  SpreadPart& part = std::get<SpreadPart>(outcome);
  if (!options.shard) return give_spread(*answer, options.common, loaded->site, study_options, part);
  auto sweep_part = part_of(study_options.shard, options.common, options.file, loaded->text);
  if (!sweep_part) return sweep_part.error();
  sweep_part->share = SpreadShare{study_options, std::move(part)};
  return answer->deliver_part(part_text(*sweep_part));
}

}  // namespace

Runner add_spread(Program& program) {
  const auto options = std::make_shared<Options>();
  Command& command = program.add_subcommand("spread", "How sure is the answer, where values are given as ranges?");
  command.add_option("FILE", options->file, "Site file")->required();
  constexpr double fewest_draws = 1, most_draws = 100'000'000;
  command.add_option("--draws", options->study_options.draws, "How many times values are drawn and the site is solved")
      ->between(fewest_draws, most_draws)
      ->capture_default_str();
  command
      .add_option("--seed", options->study_options.seed, "Seed of the draws; the same seed draws the same values again")
      ->capture_default_str();
  command.add_option("--shape", options->shape, "How a value is distributed over its range")
      ->one_of({"triangular", "two-piece"})
      ->capture_default_str();
  command.add_option("--case", options->only_case, "Compute only this case")->type_name("ID");
  command
      .add_flag("--steady-only", options->study_options.steady_only,
                "Compute only the steady state, not the course in time")
      ->alias("--sustained-only");
  add_threads_option(command, options->study_options.threads);
  add_shard_option(command, options->shard);
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 nothing comes to a margin in any draw, 1 something does"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
