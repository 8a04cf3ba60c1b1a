// SPDX-License-Identifier: Apache-2.0
/// `leanside draw`: the picture of the site alone.
#include <memory>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "cli/io/progress.hpp"

namespace leanside::cli {
namespace {

struct DrawOptions {
  CommonOptions common;
  std::optional<std::string> file;
  std::string case_id = "normal";
};

Outcome<ExitCode> run(const DrawOptions& options) {
  if (auto error = refuse_terminal(options.common)) return *error;
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  note_ranges(site, options.common);
  const auto drawn = case_named(site, options.case_id);
  if (!drawn) return drawn.error();
  auto answer = Answer::open(options.common, files_of(options.file));
  if (!answer) return answer.error();
  AssessOptions study_options;
  study_options.only = *drawn;
  const Progress progress{computing(site), options.common.quiet};
  const auto outcome = assess(site, study_options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, site.file);
  const auto& assessment = std::get<Assessment>(outcome);
  return answer->deliver(site_picture(site, assessment.cases.front()), exit_code(assessment));
}

}  // namespace

Runner add_draw(Program& program) {
  const auto options = std::make_shared<DrawOptions>();
  Command& command =
      program.add_subcommand("draw", "Draw the site: its spaces, its airways with their flows, its releases");
  command.add_option("FILE", options->file, "Site file; without one, the built-in example is drawn");
  command.add_option("--case", options->case_id, "The case to draw")->type_name("ID")->capture_default_str();
  add_common_options(command, options->common, {{}, true, true});
  command.footer("The picture is an SVG file.\n" +
                 exit_codes("0 nothing at or over a margin in this case, 1 at least one warning"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
