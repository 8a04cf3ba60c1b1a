// SPDX-License-Identifier: Apache-2.0
/// `leanside report`: a page to print and hand over.
#include <algorithm>
#include <memory>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "cli/io/progress.hpp"
#include "leanside/study/detectors.hpp"

namespace leanside::cli {
namespace {

struct ReportOptions {
  CommonOptions common;
  std::optional<std::string> file;
  std::optional<std::string> cases;
  bool summary = false;
  std::string language = "en";
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
  if (options.cases) run.command += " --cases " + for_shell(*options.cases);
  if (options.summary) run.command += " --summary";
  if (options.language != "en") run.command += " --language " + options.language;
  if (!options.common.substances) return run;
  const std::string& substances = *options.common.substances;
  const auto text = load_text(substances);
  if (!text) return text.error();
  run.command += " --substances " + for_shell(substances);
  run.substances_file = substances;
  run.substances_digest = sha256(*text);
  return run;
}

/// Leaves in `site` the normal case and those of `ids` ("a,b"); the names of the others go to `left_out`.
std::optional<Error> keep_cases(Site& site, const std::string& ids, std::vector<std::string>& left_out) {
  std::vector<bool> kept(site.cases.size(), false);
  kept.front() = true;  // the others are described by how they differ from it
  for (std::size_t at = 0; at <= ids.size();) {
    const std::size_t end = std::min(ids.find(',', at), ids.size());
    const auto place = find_id(site.cases, ids.substr(at, end - at), "case", "--cases");
    if (!place) return place.error();
    kept[*place] = true;
    at = end + 1;
  }
  std::vector<Case> cases;
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    const Case& one = site.cases[c];
    if (kept[c]) {
      cases.push_back(one);
    } else {
      left_out.push_back(one.name.empty() ? one.id : plain_text(one.name));
    }
  }
  site.cases = std::move(cases);
  return {};
}

/// Where two detectors see most, for sites where that takes little time; empty for others and where nothing is found.
std::optional<DetectorPlan> detector_plan(const Site& site) {
  constexpr std::size_t most_runs = 60, most_spaces = 30;
  const auto places =
      static_cast<std::size_t>(std::count_if(site.spaces.begin(), site.spaces.end(), [](const Space& s) {
        return s.kind == SpaceKind::room || s.kind == SpaceKind::cabinet;
      }));
  if (site.releases.empty() || places == 0 || site.spaces.size() > most_spaces ||
      site.cases.size() * site.releases.size() > most_runs) {
    return {};
  }
  DetectorOptions options;
  options.count = std::min<std::size_t>(2, places);
  auto outcome = place_detectors(site, options);
  if (auto* plan = std::get_if<DetectorPlan>(&outcome)) return std::move(*plan);
  return {};
}

Outcome<ExitCode> run(const ReportOptions& options) {
  if (auto error = refuse_terminal(options.common)) return *error;
  auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  Site& site = loaded->site;
  std::vector<std::string> left_out;
  if (options.cases) {
    if (auto error = keep_cases(site, *options.cases, left_out)) return *error;
  }
  note_ranges(site, options.common);
  auto record = record_of(options, *loaded);
  if (!record) return record.error();
  record->cases_left_out = std::move(left_out);
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
  const auto plan = options.summary ? std::nullopt : detector_plan(site);
  const PageOptions page{options.summary, options.language, plan ? &*plan : nullptr};
  return answer->deliver(html_report(site, assessment, loaded->notices, courses, *record, page), exit_code(assessment));
}

}  // namespace

Runner add_report(Program& program) {
  const auto options = std::make_shared<ReportOptions>();
  Command& command = program.add_subcommand(
      "report", "Write a page to print and hand over: what to do, courses in time, pictures, sources");
  command.add_option("FILE", options->file, "Site file; without one, the built-in example is taken");
  command.add_option("--cases", options->cases, "Compute only these cases and the normal one: ID,ID,...")
      ->type_name("IDS");
  command.add_flag("--summary", options->summary, "Only the first side: verdict, what to do, picture, caution");
  command.add_option("--language", options->language, "Language of the fixed words of the page")
      ->one_of(page_languages())
      ->capture_default_str();
  add_common_options(command, options->common, {{}, true, true});
  command.footer("The page is one HTML file that needs no other.\n" +
                 exit_codes("0 nothing at or over a margin, 1 at least one warning"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
