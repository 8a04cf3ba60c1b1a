// SPDX-License-Identifier: Apache-2.0
/// `leanside failures`: everything that may go wrong, alone and in pairs, ranked by harm.
#include <functional>
#include <memory>

#include "cli/interrupt.hpp"
#include "cli/progress.hpp"
#include "cli/study_common.hpp"
#include "cli/sweeps.hpp"
#include "leanside/spread.hpp"
#include "leanside/study.hpp"

namespace leanside::cli {
namespace {

struct Options {
  StudyOptions study;
  std::string file;
  std::optional<std::string> only_case, shard;
  bool pairs = false, in_time = false, sustained_only = false;
  unsigned threads = 0;
};

int run(const Options& options) {
  const auto substances = substances_for(options.study.common);
  if (!substances) return bad_input;
  const auto text = read_text_file(options.file);
  if (const auto* fault = std::get_if<Diagnostic>(&text)) {
    show({*fault}, options.study.quiet);
    return bad_input;
  }
  const SiteReading reading = parse_site(std::get<std::string>(text), options.file, *substances);
  show(reading.diagnostics, options.study.quiet);
  const Site* const site = reading.usable();
  if (site == nullptr) return bad_input;
  FailureOptions how;
  how.pairs = options.pairs;
  how.threads = options.threads;
  how.in_time = options.in_time ? InTime::always : options.sustained_only ? InTime::never : InTime::where_quick;
  const auto shard = shard_option(options.shard);
  if (!shard) return bad_input;
  how.shard = *shard;
  std::vector<CaseIndex> cases;
  for (std::size_t c = 0; c < site->cases.size(); ++c) cases.push_back(CaseIndex{c});
  if (options.only_case) {
    const auto only = case_named(*site, *options.only_case);
    if (!only) return bad_input;
    cases = {*only};
  }
  auto output = open_output(options.study, {options.file});
  if (!output) return bad_input;
  Sweep sweep;
  how.sweep = &sweep;
  FailuresShare share{how, cases, {}};
  std::vector<FailureStudy> studies;
  for (const CaseIndex which : cases) {
    how.which = which;
    const std::string doing =
        "trying failures" + (cases.size() > 1 ? " in the case " + plain_text(site->cases[which.value].id) : "");
    const Interruptible interruptible{sweep};
    const Progress progress{doing, options.study.quiet, sweep};
    if (options.shard) {
      auto part = failures_part(*site, how);
      if (const auto* stopped = std::get_if<Stopped>(&part)) return told(*stopped, options.file);
      if (const auto* fault = std::get_if<SolveFault>(&part)) return told(*fault, options.file);
      share.parts.push_back(std::move(std::get<FailurePart>(part)));
    } else {
      auto study = study_failures(*site, how);
      if (const auto* stopped = std::get_if<Stopped>(&study)) return told(*stopped, options.file);
      if (const auto* fault = std::get_if<SolveFault>(&study)) return told(*fault, options.file);
      studies.push_back(std::move(std::get<FailureStudy>(study)));
    }
  }
  if (!options.shard) return give_failures(*output, options.study, *site, studies);
  auto part = part_of(how.shard, options.study, options.file, std::get<std::string>(text));
  if (!part) return bad_input;
  part->share = std::move(share);
  return output->deliver(part_text(*part), nothing_found);
}

}  // namespace

std::function<int()> add_failures(CLI::App& app) {
  const auto options = std::make_shared<Options>();
  CLI::App& command =
      *app.add_subcommand("failures", "What if a fan, a door or an opening fails, or a release starts?");
  command.add_option("FILE", options->file, "Site file")->required();
  command.add_flag("--pairs", options->pairs, "Two things at a time too");
  auto* in_time =
      command.add_flag("--in-time", options->in_time, "Compute the course in time of every one, however long it takes");
  command
      .add_flag("--sustained-only", options->sustained_only,
                "Compute the steady state alone, which is quick for a large building")
      ->excludes(in_time);
  command.add_option("--case", options->only_case, "Try failures in this case only; default: in every case")
      ->type_name("ID");
  constexpr unsigned least = 0, most = 256;
  command.add_option("--threads", options->threads, "Threads for the course in time; 0: as many as the machine has")
      ->check(CLI::Range(least, most));
  add_shard_option(command, options->shard);
  add_study_options(command, options->study,
                    "nothing comes to a margin, 1 something does, failed or not, or rests on an assumed leak");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
