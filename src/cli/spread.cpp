// SPDX-License-Identifier: Apache-2.0
/// `leanside spread`: how sure an answer is whose values are ranges.
#include "leanside/spread.hpp"

#include <charconv>
#include <cstdint>
#include <functional>
#include <limits>
#include <memory>
#include <utility>

#include <fmt/format.h>

#include "cli/interrupt.hpp"
#include "cli/progress.hpp"
#include "cli/study_common.hpp"
#include "cli/sweeps.hpp"
#include "leanside/study.hpp"

namespace leanside::cli {
namespace {

struct Options {
  StudyOptions study;
  std::string file;
  std::string shape = "triangular";
  std::optional<std::string> only_case, shard;
  SpreadOptions how;
};

int run(const Options& options) {
  const auto substances = substances_for(options.study.common);
  if (!substances) return bad_input;
  const auto text = read_text_file(options.file);
  if (const auto* fault = std::get_if<Diagnostic>(&text)) {
    show({*fault}, options.study.quiet);
    return bad_input;
  }
  RangedReading reading = parse_ranged_site(std::get<std::string>(text), options.file, *substances);
  show(reading.diagnostics, options.study.quiet);
  if (!reading.site) return bad_input;
  const Site& site = reading.site->best();
  SpreadOptions how = options.how;
  how.shape = options.shape == word_of(SpreadShape::triangular) ? SpreadShape::triangular : SpreadShape::two_piece;
  if (options.only_case) {
    how.only = case_named(site, *options.only_case);
    if (!how.only) return bad_input;
  }
  const auto shard = shard_option(options.shard);
  if (!shard) return bad_input;
  how.shard = *shard;
  auto output = open_output(options.study, {options.file});
  if (!output) return bad_input;
  Sweep sweep;
  how.sweep = &sweep;
  auto outcome = [&] {
    const Interruptible interruptible{sweep};
    const Progress progress{"drawing values", options.study.quiet, sweep};
    return spread_part(*reading.site, how);
  }();
  if (const auto* stopped = std::get_if<Stopped>(&outcome)) return told(*stopped, options.file);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) return told(*fault, options.file);
  SpreadPart& part = std::get<SpreadPart>(outcome);
  if (options.shard) {
    auto sweep_part = part_of(how.shard, options.study, options.file, std::get<std::string>(text));
    if (!sweep_part) return bad_input;
    sweep_part->share = SpreadShare{how, std::move(part)};
    return output->deliver(part_text(*sweep_part), nothing_found);
  }
  return give_spread(*output, options.study, *reading.site, how, part);
}

/// Why a text is no seed; empty where it is one. A larger number would silently become the largest.
std::string whole_seed(const std::string& text) {
  std::uint64_t seed = 0;
  const char* end = text.data() + text.size();
  const auto read = std::from_chars(text.data(), end, seed);
  if (read.ec == std::errc{} && read.ptr == end) return {};
  return fmt::format("found '{}'; expected a whole number from 0 to {}", text,
                     std::numeric_limits<std::uint64_t>::max());
}

}  // namespace

std::function<int()> add_spread(CLI::App& app) {
  const auto options = std::make_shared<Options>();
  CLI::App& command = *app.add_subcommand("spread", "How sure is the answer, where values are given as ranges?");
  command.add_option("FILE", options->file, "Site file")->required();
  constexpr std::size_t fewest_draws = 1, most_draws = 100'000'000;
  command.add_option("--draws", options->how.draws, "How many times values are drawn and the site is solved")
      ->check(CLI::Range(fewest_draws, most_draws))
      ->capture_default_str();
  command.add_option("--seed", options->how.seed, "Another seed draws other values; the same one the same again")
      ->check(whole_seed)
      ->capture_default_str();
  command.add_option("--shape", options->shape, "How a value is spread over its range")
      ->check(CLI::IsMember({"triangular", "two-piece"}))
      ->capture_default_str();
  command.add_option("--case", options->only_case, "Look at this case alone")->type_name("ID");
  command.add_flag("--sustained-only", options->how.sustained_only,
                   "Look at the long run in place of the course in time");
  constexpr unsigned fewest = 0, most = 256;
  command.add_option("--threads", options->how.threads, "Threads; 0: as many as the machine has")
      ->check(CLI::Range(fewest, most));
  add_shard_option(command, options->shard);
  add_study_options(command, options->study, "nothing comes to a margin in any draw, 1 something does");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
