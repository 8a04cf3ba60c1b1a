// SPDX-License-Identifier: Apache-2.0
/// `leanside failures`: everything that can go wrong, alone and in pairs, the worst first.
#include "leanside/study/failures.hpp"

#include <memory>

#include "cli/io/interrupt.hpp"
#include "cli/io/progress.hpp"
#include "cli/io/sweeps.hpp"
#include "leanside/study/spread.hpp"
#include "leanside/study/sweep.hpp"

namespace leanside::cli {
namespace {

struct Options {
  CommonOptions common;
  std::string file;
  std::optional<std::string> only_case, shard;
  bool pairs = false, in_time = false, steady_only = false;
  unsigned threads = 0;
};

/// The cases that are asked about.
Outcome<std::vector<CaseIndex>> cases_of(const Options& options, const Site& site) {
  if (options.only_case) {
    const auto only = case_named(site, *options.only_case);
    if (!only) return only.error();
    return std::vector{*only};
  }
  std::vector<CaseIndex> cases;
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    if (!site.cases[c].added_for) cases.push_back(CaseIndex{c});  // every release that is off is tried anyway
  }
  return cases;
}

Outcome<ExitCode> run(const Options& options) {
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  FailureOptions study_options;
  study_options.pairs = options.pairs;
  study_options.threads = options.threads;
  study_options.in_time = options.in_time ? InTime::always : options.steady_only ? InTime::never : InTime::where_quick;
  const auto shard = shard_option(options.shard);
  if (!shard) return shard.error();
  study_options.shard = *shard;
  const auto cases = cases_of(options, site);
  if (!cases) return cases.error();
  auto answer = Answer::open(options.common, {options.file});
  if (!answer) return answer.error();
  Sweep sweep;
  study_options.sweep = &sweep;
  FailuresShare share{study_options, *cases, {}};
  std::vector<FailureStudy> studies;
  for (const CaseIndex case_index : *cases) {
    study_options.case_index = case_index;
    const std::string doing =
        "trying failures" + (cases->size() > 1 ? " in the case " + plain_text(site.cases[case_index.value].id) : "");
    const Interruptible interruptible{sweep};
    const Progress progress{doing, options.common.quiet, sweep};
    if (options.shard) {
      auto part = failures_part(site, study_options);
      if (const auto* fault = std::get_if<Fault>(&part)) return Error::of(*fault, options.file);
      share.parts.push_back(std::move(std::get<FailurePart>(part)));
    } else {
      auto study = study_failures(site, study_options);
      if (const auto* fault = std::get_if<Fault>(&study)) return Error::of(*fault, options.file);
      studies.push_back(std::move(std::get<FailureStudy>(study)));
    }
  }
  if (!options.shard) return give_failures(*answer, options.common, site, studies);
  auto part = part_of(study_options.shard, options.common, options.file, loaded->text);
  if (!part) return part.error();
  part->share = std::move(share);
  return answer->deliver_part(part_text(*part));
}

}  // namespace

Runner add_failures(Program& program) {
  const auto options = std::make_shared<Options>();
  Command& command =
      program.add_subcommand("failures", "What if a fan, a door or an opening fails, or a release starts?");
  command.add_option("FILE", options->file, "Site file")->required();
  command.add_flag("--pairs", options->pairs, "Try two failures at a time as well");
  auto* in_time = command.add_flag("--in-time", options->in_time,
                                   "Compute the course in time of every failure, however long it takes");
  command
      .add_flag("--steady-only", options->steady_only,
                "Compute only the steady state, which is quick for a large building")
      ->alias("--sustained-only")
      ->excludes(in_time);
  command.add_option("--case", options->only_case, "Try the failures only in this case; without it, in every case")
      ->type_name("ID");
  add_threads_option(command, options->threads);
  add_shard_option(command, options->shard);
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(
      exit_codes("0 nothing comes to a margin, 1 something does, failed or not, or rests on an assumed leak"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
