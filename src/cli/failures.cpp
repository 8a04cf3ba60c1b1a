// SPDX-License-Identifier: Apache-2.0
/// `leanside failures`: everything that may go wrong, alone and in pairs, ranked by harm.
#include <functional>
#include <memory>

#include "cli/study_common.hpp"
#include "leanside/study.hpp"

namespace leanside::cli {
namespace {

struct Options {
  StudyOptions study;
  std::string file;
  bool pairs = false, in_time = false, sustained_only = false;
  unsigned threads = 0;
};

bool at_margin(const std::vector<Harm>& harms) {
  for (const Harm& harm : harms) {
    if (harm.severity != Severity::note) return true;
  }
  return false;
}

int exit_code(const FailureStudy& study) {
  if (at_margin(study.normal)) return warnings_found;
  for (const FailureOutcome& outcome : study.outcomes) {
    if (at_margin(outcome.harms)) return warnings_found;
  }
  return nothing_found;
}

int run(const Options& options) {
  const auto substances = substances_for(options.study.common);
  if (!substances) return bad_input;
  const auto site = read_for_study(options.study, options.file, *substances);
  if (!site) return bad_input;
  auto output = StudyOutput::open(options.study, {options.file});
  if (!output) return bad_input;
  FailureOptions how;
  how.pairs = options.pairs;
  how.threads = options.threads;
  how.in_time = options.in_time ? InTime::always : options.sustained_only ? InTime::never : InTime::where_quick;
  const auto outcome = study_failures(*site, how);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) return told(*fault, options.file);
  const auto& study = std::get<FailureStudy>(outcome);
  const std::string text = options.study.common.format == "json"
                               ? failures_json(*site, study)
                               : failures_text(*site, study, style_for(options.study.common, !options.study.output));
  return output->deliver(text, exit_code(study));
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
                "Compute the long run alone, which is quick for a large building")
      ->excludes(in_time);
  constexpr unsigned least = 0, most = 256;
  command.add_option("--threads", options->threads, "Threads for the course in time; 0: as many as the machine has")
      ->check(CLI::Range(least, most));
  add_study_options(command, options->study, "nothing comes to a margin, 1 something does, failed or not");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
