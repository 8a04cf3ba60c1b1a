// SPDX-License-Identifier: Apache-2.0
/// `leanside report`: a page to print and hand over.
#include <algorithm>
#include <memory>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "cli/io/progress.hpp"

namespace leanside::cli {
namespace {

struct ReportOptions {
  CommonOptions common;
  std::optional<std::string> file;
};

/// Points of the course in time of each case: as fine as a plot shows, fewer where many spaces would fill the memory.
std::size_t points_for(const Site& site) {
  constexpr std::size_t finest = 960, coarsest = 60, most_values = 20'000'000;
  const std::size_t a_point = std::max<std::size_t>(1, site.spaces.size() * site.gases.size());
  return std::clamp(most_values / a_point, coarsest, finest);
}

/// In quotes where a shell would take it apart.
std::string for_shell(const std::string& word) {
  constexpr std::string_view plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_./:=@%+,";
  if (!word.empty() && word.find_first_not_of(plain) == std::string::npos) return word;
  return in_quotes(word);
}

/// How this run can be repeated.
Outcome<RunRecord> record_of(const ReportOptions& options, const LoadedSite& loaded) {
  RunRecord run;
  run.file_digest = sha256(loaded.text);
  run.command = "leanside report";
  if (options.file) run.command += " " + for_shell(*options.file);
  if (!options.common.substances) return run;
  const std::string& substances = *options.common.substances;
  const auto text = load_text(substances);
  if (!text) return text.error();
  run.command += " --substances " + for_shell(substances);
  run.substances_file = substances;
  run.substances_digest = sha256(*text);
  return run;
}

Outcome<ExitCode> run(const ReportOptions& options) {
  if (auto error = refuse_terminal(options.common)) return *error;
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  note_ranges(site, options.common);
  const auto record = record_of(options, *loaded);
  if (!record) return record.error();
  auto answer = Answer::open(options.common, files_of(options.file));
  if (!answer) return answer.error();
  CourseRecord courses{site};
  AssessOptions study_options;
  study_options.series_points = points_for(site);
  study_options.series = [&](CaseIndex case_index, double time, const FractionField& fractions) {
    courses.add(case_index, time, fractions);
  };
  const Progress progress{computing(site), options.common.quiet};
  const auto outcome = assess(site, study_options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, site.file);
  const auto& assessment = std::get<Assessment>(outcome);
  return answer->deliver(html_report(site, assessment, loaded->notices, courses, *record), exit_code(assessment));
}

}  // namespace

Runner add_report(Program& program) {
  const auto options = std::make_shared<ReportOptions>();
  Command& command = program.add_subcommand(
      "report", "Write a page to print and hand over: warnings, courses in time, a picture of the site, sources");
  command.add_option("FILE", options->file, "Site file; without one, the built-in example is taken");
  add_common_options(command, options->common, {{}, true, true});
  command.footer("The page is one HTML file that needs no other.\n" +
                 exit_codes("0 nothing at or over a margin, 1 at least one warning"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
