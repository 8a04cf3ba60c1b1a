// SPDX-License-Identifier: Apache-2.0
/// `leanside explain`: the arithmetic of one space.
#include <algorithm>
#include <memory>
#include <variant>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "cli/io/progress.hpp"

namespace leanside::cli {
namespace {

struct ExplainOptions {
  CommonOptions common;
  std::string file;
  std::string space;
  std::string case_id = "normal";
};

Outcome<ExitCode> run(const ExplainOptions& options) {
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  note_ranges(site, options.common);
  const auto space = find_id(site.spaces, options.space, "space");
  if (!space) return space.error();
  const auto explained = case_named(site, options.case_id);
  if (!explained) return explained.error();
  auto answer = Answer::open(options.common, {options.file});
  if (!answer) return answer.error();
  AssessOptions study_options;
  study_options.only = *explained;
  const Progress progress{computing(site), options.common.quiet};
  const auto outcome = assess(site, study_options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, site.file);
  const auto& assessment = std::get<Assessment>(outcome);
  Site timed = site;
  timed.criteria.horizon = assessment.horizon;
  Assessment here;
  here.warnings = assessment.warnings;
  here.not_judged = assessment.not_judged;
  std::erase_if(here.warnings, [&](const Warning& warning) { return warning.space.value != *space; });
  std::erase_if(here.not_judged, [&](const NotJudged& open) { return open.space != SpaceIndex{*space}; });
  const bool json = options.common.format == "json";
  const auto text =
      leanside::explained(timed, assessment.cases.front(), SpaceIndex{*space}, json, style_for(options.common));
  if (const auto* fault = std::get_if<Fault>(&text)) return Error::of(*fault, site.file);
  return answer->deliver(std::get<std::string>(text), exit_code(here));
}

}  // namespace

Runner add_explain(Program& program) {
  const auto options = std::make_shared<ExplainOptions>();
  Command& command =
      program.add_subcommand("explain", "Show the arithmetic of one space, step by step, to check with a calculator");
  command.add_option("FILE", options->file, "Site file")->required();
  command.add_option("SPACE", options->space, "The id of the space")->required();
  command.add_option("--case", options->case_id, "The case to explain")->type_name("ID")->capture_default_str();
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 nothing at or over a margin in this space and case, 1 at least one warning"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
