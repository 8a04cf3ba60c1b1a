// SPDX-License-Identifier: Apache-2.0
/// `leanside check`: a site file in, ranked warnings out.
#include <chrono>
#include <cmath>
#include <functional>
#include <memory>

#include <fmt/format.h>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "cli/io/log.hpp"
#include "cli/io/progress.hpp"

namespace leanside::cli {
namespace {

struct CheckOptions {
  CommonOptions common;
  std::optional<std::string> file;
  std::optional<std::string> series;
  std::size_t series_points = AssessOptions{}.series_points;
  std::optional<std::string> only_case;
  bool steady_only = false;
  bool full = false;
  std::string log_level = "warn";
};

double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

std::string rendered(const CheckOptions& options, const LoadedSite& loaded, const Assessment& assessment) {
  if (options.common.format == "json") return json_report(loaded.site, assessment, loaded.notices);
  if (options.common.format == "csv") return csv_report(loaded.site, assessment);
  TextStyle style = style_for(options.common);
  style.full = options.full;
  return text_report(loaded.site, assessment, loaded.notices, style);
}

/// Writes the course in time while it is computed.
class SeriesWriter {
 public:
  SeriesWriter(const Site& site, Answer& to) : table_{site}, to_{to} { to_.write_second(SeriesTable::header()); }
  /// Rows of all spaces, or of the layers of one.
  void operator()(CaseIndex case_index, double time, const FractionField& fractions) {
    write(case_index, time, fractions);
  }
  void operator()(CaseIndex case_index, double time, const LayerState& layers) { write(case_index, time, layers); }

 private:
  void write(CaseIndex case_index, double time, const auto& what) {
    rows_.clear();
    table_.append(rows_, case_index, time, what);
    to_.write_second(rows_);
  }

  SeriesTable table_;
  Answer& to_;
  std::string rows_;
};

/// The course in time of one case is held in memory; a slip in the number of points must not fill it.
std::optional<Error> too_large(const CheckOptions& options, const Site& site) {
  constexpr double most_values = 1e8;  // 0.8 GB
  const double a_point = static_cast<double>(site.spaces.size()) * static_cast<double>(site.gases.size());
  if (!options.series || static_cast<double>(options.series_points) * a_point <= most_values) return {};
  return Error::usage(
      fmt::format("--series-points: {} points of {} spaces and {} gases do not fit into memory; use at most {:.0f}",
                  options.series_points, site.spaces.size(), site.gases.size(), std::floor(most_values / a_point)));
}

Outcome<ExitCode> assess_and_deliver(const CheckOptions& options, const LoadedSite& loaded, Answer& answer) {
  const Site& site = loaded.site;
  AssessOptions study_options;
  study_options.steady_only = options.steady_only;
  study_options.series_points = options.series_points;
  if (options.only_case) {
    const auto only = case_named(site, *options.only_case);
    if (!only) return only.error();
    study_options.only = *only;
  }
  if (auto error = too_large(options, site)) return *error;
  std::optional<SeriesWriter> series;
  if (answer.has_second()) {
    series.emplace(site, answer);
    study_options.series = std::ref(*series);
    study_options.layer_series = std::ref(*series);
  }
  const auto start = std::chrono::steady_clock::now();
  const auto outcome = [&] {
    const Progress progress{computing(site), options.common.quiet};
    return assess(site, study_options);
  }();
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, site.file);
  const auto& assessment = std::get<Assessment>(outcome);
  log_info(fmt::format("computed {} cases in {:.3f} s: {} warnings, balance error {}", assessment.cases.size(),
                       seconds_since(start), assessment.warnings.size(),
                       study_options.steady_only ? "not computed" : fmt::format("{:.2g}", assessment.balance_error)));
  return answer.deliver(rendered(options, loaded, assessment), exit_code(assessment));
}

Outcome<ExitCode> run(const CheckOptions& options) {
  set_log_level(options.common.quiet ? "off" : options.log_level);
  const auto start = std::chrono::steady_clock::now();
  auto answer = Answer::open(options.common, files_of(options.file), {"--series", options.series});
  if (!answer) return answer.error();
  const auto loaded = [&] {
    const Progress progress{"reading the site", options.common.quiet};
    return load_site(options.common, options.file);
  }();
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  if (options.common.format == "csv") note_ranges(site, options.common);
  log_info(fmt::format("read {} spaces, {} airways, {} releases and {} cases in {:.3f} s", site.spaces.size(),
                       site.airways.size(), site.releases.size(), site.cases.size(), seconds_since(start)));
  return assess_and_deliver(options, *loaded, *answer);
}

}  // namespace

Runner add_check(Program& program) {
  const auto options = std::make_shared<CheckOptions>();
  Command& command = program.add_subcommand("check", "Where can a flammable mixture form, when, and what would help?");
  command.add_option("FILE", options->file, "Site file; without one, the built-in example is checked");
  auto* series = command.add_option("--series", options->series, "Write the course in time to this CSV file");
  series->type_name("FILE");
  constexpr double least = 1, most = 1000000;
  command.add_option("--series-points", options->series_points, "Number of steps of the course in time of each case")
      ->between(least, most)
      ->needs(series)
      ->capture_default_str();
  command.add_option("--case", options->only_case, "Compute only this case")->type_name("ID");
  command.add_flag("--steady-only", options->steady_only, "Compute only the steady state, not the course in time")
      ->alias("--sustained-only")
      ->excludes(series);
  command.add_flag("--full", options->full, "Print every warning in full, the tables and all assumptions too");
  command.add_option("--log-level", options->log_level, "Which remarks on the run go to standard error")
      ->one_of(log_levels())
      ->capture_default_str();
  add_common_options(command, options->common, {{"text", "json", "csv"}, true, true});
  command.footer(exit_codes("0 nothing at or over a margin, 1 at least one warning"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
