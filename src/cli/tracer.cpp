// SPDX-License-Identifier: Apache-2.0
/// `leanside tracer`: the decay of a tracer gas in, the air flows that explain it out.
#include "leanside/tracer.hpp"

#include <functional>
#include <memory>

#include <fmt/format.h>

#include "cli/study_common.hpp"

namespace leanside::cli {
namespace {

struct Options {
  StudyOptions study;
  std::string data, site;
  std::optional<double> background;
  std::string confidence = "95 %";
  std::optional<std::string> write_site;
};

/// The place of the data, since what is wrong with them as a whole has no line.
void show_faults(Diagnostics faults, const std::string& file) {
  for (Diagnostic& d : faults) {
    if (d.place.file.empty()) d.place.file = file;
  }
  show(faults, true);
}

int run(const Options& options) {
  const auto confidence = fraction_option("--confidence", options.confidence);
  if (!confidence) return bad_input;
  if (*confidence < 0.5 || *confidence > 0.9999) {
    complain("--confidence: a share from 50 % to 99.99 % is needed");
    return bad_input;
  }
  if (options.background && !(*options.background >= 0.0)) {
    complain("--background: a concentration that is not negative is needed, in the unit of the readings");
    return bad_input;
  }
  if (options.study.output && options.write_site && same_file(*options.study.output, *options.write_site)) {
    complain(fmt::format("--output and --write-site both name '{}'", *options.write_site));
    return bad_input;
  }
  const auto substances = substances_for(options.study.common);
  if (!substances) return bad_input;
  const auto site = read_for_study(options.study, options.site, *substances);
  if (!site) return bad_input;
  if (!options.study.quiet) tell_of_ranges(site->ranges, options.site);
  const auto text = read_text_file(options.data);
  if (const auto* fault = std::get_if<Diagnostic>(&text)) {
    show({*fault}, true);
    return bad_input;
  }
  const auto data = parse_tracer(std::get<std::string>(text), options.data, *site, options.background);
  if (const auto* faults = std::get_if<Diagnostics>(&data)) {
    show_faults(*faults, options.data);
    return bad_input;
  }
  auto output = open_output(options.study, {options.data, options.site});
  if (!output) return bad_input;
  StudyOptions to_site = options.study;
  to_site.output = options.write_site;
  auto site_output = open_output(to_site, {options.data, options.site});
  if (!site_output) return bad_input;
  const auto outcome = fit_tracer(*site, std::get<TracerData>(data), *confidence);
  if (const auto* faults = std::get_if<Diagnostics>(&outcome)) {
    show_faults(*faults, options.data);
    return bad_input;
  }
  const auto& fit = std::get<TracerFit>(outcome);
  const std::string answer = options.study.common.format == "json"
                                 ? tracer_json(*site, fit)
                                 : tracer_text(*site, fit, style_for(options.study.common, !options.study.output));
  return output->deliver_with(answer, *site_output, options.write_site ? tracer_site_file(*site, fit) : std::string{},
                              fit.cautions.empty() ? nothing_found : warnings_found);
}

}  // namespace

std::function<int()> add_tracer(CLI::App& app) {
  const auto options = std::make_shared<Options>();
  CLI::App& command = *app.add_subcommand("tracer", "Which air flows explain the decay of a tracer gas?");
  command
      .add_option("DATA", options->data, "Readings, comma-separated: time_s, time_min or time_h, then a column a space")
      ->required();
  command.add_option("SITE", options->site, "Site file with these spaces")->required();
  command
      .add_option("--background", options->background,
                  "Concentration before the tracer came in, in the unit of the readings")
      ->type_name("NUMBER");
  command.add_option("--confidence", options->confidence, "Of the intervals")
      ->type_name("SHARE")
      ->capture_default_str();
  command.add_option("--write-site", options->write_site, "Write a site file with the spaces and the flows found")
      ->type_name("FILE");
  add_study_options(command, options->study, "the readings fit, 1 something speaks against trusting the result");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
