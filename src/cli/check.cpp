// SPDX-License-Identifier: Apache-2.0
/// `leanside check`: a site file in, ranked warnings out.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <functional>
#include <memory>

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include "cli/console.hpp"
#include "cli/progress.hpp"
#include "leanside/hazard.hpp"
#include "leanside/site_file.hpp"

namespace leanside::cli {
namespace {

struct CheckOptions {
  CommonOptions common;
  std::optional<std::string> file;
  std::optional<std::string> output;
  std::optional<std::string> series;
  std::size_t series_points = AssessOptions{}.series_points;
  std::optional<std::string> only_case;
  bool sustained_only = false;
  bool quiet = false;
  std::string log_level = "warn";
};

double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

/// A file that the run reads must not be the one that it writes.
Failure clash(const CheckOptions& options) {
  const std::pair<const char*, const std::optional<std::string>*> written[] = {{"--output", &options.output},
                                                                               {"--series", &options.series}};
  for (const auto& [option, path] : written) {
    if (!*path) continue;
    for (const auto* input : {&options.file, &options.common.substances}) {
      if (*input && same_file(**path, **input))
        return fmt::format("{} would overwrite '{}', which is read", option, **input);
    }
  }
  if (options.output && options.series && same_file(*options.output, *options.series)) {
    return fmt::format("--output and --series both name '{}'", *options.output);
  }
  return {};
}

/// The site, or nothing where it has errors; what is to be said of it has then been shown.
SiteReading read(const CheckOptions& options, const SubstanceTable& substances) {
  if (options.file) return read_site(*options.file, substances);
  SiteReading reading = parse_site(built_in_site(), "built-in example", substances);
  Diagnostic notice;
  notice.gravity = Gravity::notice;
  notice.message =
      "no file was named, so this is the built-in example, an invented place; for your own: leanside check FILE";
  reading.diagnostics.push_back(std::move(notice));
  return reading;
}

std::optional<CaseIndex> find_case(const Site& site, const std::string& id) {
  std::vector<std::string> known;
  for (std::size_t i = 0; i < site.cases.size(); ++i) {
    if (site.cases[i].id == id) return CaseIndex{i};
    known.push_back(site.cases[i].id);
  }
  const std::string near = nearest_name(id, known);
  constexpr std::size_t most_named = 20;
  std::string all;
  for (std::size_t i = 0; i < std::min(known.size(), most_named); ++i) all += (i > 0 ? ", " : "") + known[i];
  if (known.size() > most_named) all += ", ...";
  complain(fmt::format("--case: there is no case '{}'{} The cases are: {}", id,
                       near.empty() ? "." : fmt::format("; did you mean '{}'?", near), all));
  return {};
}

std::string rendered(const CheckOptions& options, const Site& site, const Assessment& assessment,
                     const Diagnostics& notices) {
  if (options.common.format == "json") return json_report(site, assessment, notices);
  if (options.common.format == "csv") return csv_report(site, assessment);
  return text_report(site, assessment, notices, style_for(options.common, !options.output));
}

int exit_code(const Assessment& assessment) { return code_of(assessment); }

/// Where the results of a run go. Nothing takes its name before everything is written.
class Destinations {
 public:
  Failure open(const CheckOptions& options) {
    if (Failure failure = open(options.output, output_)) return failure;
    return open(options.series, series_);
  }
  bool has_series() const { return series_.has_value(); }
  Failure write_series(std::string_view text) { return series_->write(text); }
  Failure deliver(std::string_view result) {
    if (output_) {
      if (Failure failure = output_->write(result)) return failure;
    }
    for (auto* file : {&output_, &series_}) {
      if (!*file) continue;
      if (Failure failure = (*file)->finish()) return failure;
    }
    PendingFile* const files[] = {series_ ? &*series_ : nullptr, output_ ? &*output_ : nullptr};
    return publish_all(
        files, output_ ? std::function<Failure()>{} : [&] { return write_standard_output(result); });
  }

 private:
  static Failure open(const std::optional<std::string>& path, std::optional<PendingFile>& file) {
    if (!path) return {};
    auto opened = PendingFile::open(*path);
    if (auto* reason = std::get_if<std::string>(&opened)) return std::move(*reason);
    file.emplace(std::move(std::get<PendingFile>(opened)));
    return {};
  }

  std::optional<PendingFile> output_, series_;
};

/// Writes the course in time while it is computed; remembers the first failure.
class SeriesWriter {
 public:
  SeriesWriter(const Site& site, Destinations& to) : table_{site}, to_{to} {
    failure_ = to_.write_series(SeriesTable::header());
  }
  /// Rows of all spaces, or of the layers of one.
  void operator()(CaseIndex which, double time, const FractionField& fractions) { write(which, time, fractions); }
  void operator()(CaseIndex which, double time, const LayerState& layers) { write(which, time, layers); }
  const Failure& failure() const { return failure_; }

 private:
  void write(CaseIndex which, double time, const auto& what) {
    if (failure_) return;
    rows_.clear();
    table_.append(rows_, which, time, what);
    failure_ = to_.write_series(rows_);
  }

  SeriesTable table_;
  Destinations& to_;
  std::string rows_;
  Failure failure_;
};

/// The course in time of one case is held in memory; a slip in the number of points must not fill it.
Failure too_large(const CheckOptions& options, const Site& site) {
  constexpr double most_values = 1e8;  // 0.8 GB
  const double a_point = static_cast<double>(site.spaces.size()) * static_cast<double>(site.gases.size());
  if (!options.series || static_cast<double>(options.series_points) * a_point <= most_values) return {};
  return fmt::format("--series-points: {} points of {} spaces and {} gases are too many to hold; at most {:.0f} are",
                     options.series_points, site.spaces.size(), site.gases.size(), std::floor(most_values / a_point));
}

int assess_and_deliver(const CheckOptions& options, const Site& site, const Diagnostics& notices) {
  AssessOptions how;
  how.sustained_only = options.sustained_only;
  how.series_points = options.series_points;
  if (options.only_case) {
    how.only = find_case(site, *options.only_case);
    if (!how.only) return bad_input;
  }
  Destinations to;
  Failure unfit = too_large(options, site);
  if (!unfit) unfit = to.open(options);
  if (unfit) {
    complain(*unfit);
    return bad_input;
  }
  std::optional<SeriesWriter> series;
  if (to.has_series()) {
    series.emplace(site, to);
    how.series = std::ref(*series);
    how.layer_series = std::ref(*series);
  }
  const auto start = std::chrono::steady_clock::now();
  std::optional<Progress> progress;
  progress.emplace(computing(site), options.quiet);
  const auto outcome = assess(site, how);
  progress.reset();
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) {
    if (fault->bad_input) {
      complain(fmt::format("{}: {}", site.file, fault->message));
      return bad_input;
    }
    complain("the computation failed, so there is no answer: " + fault->message);
    return failed_to_compute;
  }
  const auto& assessment = std::get<Assessment>(outcome);
  spdlog::info("computed {} cases in {:.3f} s: {} warnings, balance error {}", assessment.cases.size(),
               seconds_since(start), assessment.warnings.size(),
               how.sustained_only ? "not computed" : fmt::format("{:.2g}", assessment.balance_error));
  Failure failure = series ? series->failure() : Failure{};
  if (!failure) failure = to.deliver(rendered(options, site, assessment, notices));
  if (failure) {
    complain(*failure);
    return bad_input;
  }
  return exit_code(assessment);
}

int run(const CheckOptions& options) {
  spdlog::set_level(options.quiet ? spdlog::level::off : spdlog::level::from_str(options.log_level));
  if (const Failure failure = clash(options)) {
    complain(*failure);
    return bad_input;
  }
  const auto start = std::chrono::steady_clock::now();
  std::optional<Progress> progress;
  progress.emplace("reading the site", options.quiet);
  const auto substances = substances_for(options.common);
  if (!substances) return bad_input;
  const SiteReading reading = read(options, *substances);
  progress.reset();
  show(reading.diagnostics, options.quiet);
  const Site* site = reading.usable();
  if (site == nullptr) return bad_input;
  if (options.common.format == "csv" && !options.quiet) tell_of_ranges(site->ranges, site->file);
  spdlog::info("read {} spaces, {} airways, {} releases and {} cases in {:.3f} s", site->spaces.size(),
               site->airways.size(), site->releases.size(), site->cases.size(), seconds_since(start));
  return assess_and_deliver(options, *site, reading.diagnostics);
}

}  // namespace

std::function<int()> add_check(CLI::App& app) {
  const auto options = std::make_shared<CheckOptions>();
  CLI::App& command = *app.add_subcommand("check", "Where can a flammable mixture form, when, and what would help?");
  command.add_option("FILE", options->file, "Site file; without one, the built-in example is checked");
  command.add_option("--output", options->output, "Write the answer to this file instead of standard output")
      ->type_name("FILE");
  auto* series = command.add_option("--series", options->series, "Write the course in time to this CSV file");
  series->type_name("FILE");
  constexpr std::size_t least = 1, most = 1000000;
  command.add_option("--series-points", options->series_points, "How many steps the course in time has, in each case")
      ->check(CLI::Range(least, most))
      ->needs(series)
      ->capture_default_str();
  command.add_option("--case", options->only_case, "Compute this case alone")->type_name("ID");
  command.add_flag("--sustained-only", options->sustained_only, "Compute the long run alone, not the course in time")
      ->excludes(series);
  command.add_flag("--quiet", options->quiet, "Write nothing but the answer and errors");
  command.add_option("--log-level", options->log_level, "How much is told of the run, on standard error")
      ->check(CLI::IsMember({"trace", "debug", "info", "warn", "error", "off"}))
      ->capture_default_str();
  add_common_options(command, options->common, {"text", "json", "csv"});
  command.footer(
      "Exit codes: 0 nothing at or over a margin, 1 at least one warning, 2 bad input or usage,\n"
      "3 the computation failed. With 2 and 3 no result is written.");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
