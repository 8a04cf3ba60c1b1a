// SPDX-License-Identifier: Apache-2.0
/// `leanside report`: a page to print and hand over.
#include <algorithm>
#include <memory>

#include "cli/document.hpp"
#include "cli/progress.hpp"

namespace leanside::cli {
namespace {

/// Points of the course in time of each case: as fine as a plot shows, fewer where many spaces would fill the memory.
std::size_t points_for(const Site& site) {
  constexpr std::size_t finest = 960, coarsest = 60, most_values = 20'000'000;
  const std::size_t a_point = std::max<std::size_t>(1, site.spaces.size() * site.gases.size());
  return std::clamp(most_values / a_point, coarsest, finest);
}

int run(const DocumentOptions& options) {
  const auto loaded = load(options, "leanside report");
  if (!loaded) return bad_input;
  auto document = Document::open(options, false);
  if (!document) return bad_input;
  const Site& site = loaded->site;
  CourseRecord courses{site};
  AssessOptions how;
  how.series_points = points_for(site);
  how.series = [&](CaseIndex which, double time, const FractionField& fractions) {
    courses.add(which, time, fractions);
  };
  const Progress progress{computing(site), options.quiet};
  const auto outcome = assess(site, how);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) return told(*fault, site.file);
  const auto& assessment = std::get<Assessment>(outcome);
  return document->deliver(html_report(site, assessment, loaded->notices, courses, loaded->run), code_of(assessment));
}

}  // namespace

std::function<int()> add_report(CLI::App& app) {
  const auto options = std::make_shared<DocumentOptions>();
  CLI::App& command = *app.add_subcommand(
      "report", "A page to print and hand over: warnings, courses in time, a picture of the site, sources");
  add_document_options(command, *options);
  command.footer(
      "The page is one HTML file that needs nothing else. Exit codes as of check: 0 nothing at or over a margin,\n"
      "1 at least one warning, 2 bad input or usage, 3 the computation failed.");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
