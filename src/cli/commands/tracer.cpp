// SPDX-License-Identifier: Apache-2.0
/// `leanside tracer`: the decay of a tracer gas in, the air flows that explain it out.
#include "leanside/study/tracer.hpp"

#include <charconv>
#include <memory>

#include <fmt/format.h>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"

namespace leanside::cli {
namespace {

struct Options {
  CommonOptions common;
  std::string data, site;
  std::optional<double> background;
  std::string confidence = "95 %";
  std::optional<std::string> noise;
  std::optional<std::string> write_site;
};

Outcome<double> confidence_of(const Options& options) {
  const auto confidence = fraction_option("--confidence", options.confidence);
  if (!confidence) return confidence;
  if (*confidence < 0.5 || *confidence > 0.9999) {
    return Error::usage("--confidence: expected a share from 50 % to 99.99 %");
  }
  return confidence;
}

/// Of numbers in the unit of the readings, whichever it is.
constexpr double least_noise = 1e-9, most_concentration = 1e9;

/// "15 ppm", "15": in the unit of the readings, which may stand behind the number.
Outcome<std::optional<double>> noise_of(const Options& options) {
  if (!options.noise) return std::optional<double>{};
  double value = 0.0;
  const char* const end = options.noise->data() + options.noise->size();
  const auto [at, status] = std::from_chars(options.noise->data(), end, value);
  const bool blank_or_end = at == end || *at == ' ';
  if (status != std::errc{} || !blank_or_end || !(value >= least_noise && value <= most_concentration)) {
    return Error::usage(
        fmt::format("--noise: found '{}'; expected the error of a reading in the unit of the readings, such as \"15 "
                    "ppm\", from {} to {}",
                    *options.noise, least_noise, most_concentration));
  }
  return std::optional{value};
}

Outcome<ExitCode> run(const Options& options) {
  const auto noise = noise_of(options);
  if (!noise) return noise.error();
  const auto confidence = confidence_of(options);
  if (!confidence) return confidence.error();
  auto answer = Answer::open(options.common, {options.data, options.site}, {"--write-site", options.write_site});
  if (!answer) return answer.error();
  const auto loaded = load_site(options.common, options.site);
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  note_ranges(site, options.common);
  const auto text = load_text(options.data);
  if (!text) return text.error();
  const auto data = parse_tracer(*text, options.data, site, options.background);
  if (const auto* fault = std::get_if<Fault>(&data)) return Error::of(*fault, options.data);
  const auto outcome = fit_tracer(site, std::get<TracerData>(data), *confidence, *noise);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, options.data);
  const auto& fit = std::get<TracerFit>(outcome);
  if (answer->has_second()) answer->write_second(tracer_site_file(site, fit));
  return answer->deliver(
      options.common.format == "json" ? tracer_json(site, fit) : tracer_text(site, fit, style_for(options.common)),
      exit_code(!fit.cautions.empty()));
}

}  // namespace

Runner add_tracer(Program& program) {
  const auto options = std::make_shared<Options>();
  Command& command = program.add_subcommand("tracer", "Which air flows explain the decay of a tracer gas?");
  command
      .add_option("DATA", options->data,
                  "Readings, comma-separated: time_s, time_min, time_h or clock, then a column for each space")
      ->required();
  command.add_option("SITE", options->site, "Site file with these spaces")->required();
  command
      .add_option("--background", options->background,
                  "Concentration before the tracer was released, in the unit of the readings")
      ->between(0.0, most_concentration);
  command.add_option("--confidence", options->confidence, "Confidence level of the intervals")
      ->type_name("SHARE")
      ->capture_default_str();
  command
      .add_option("--noise", options->noise,
                  "Error of a reading that is the same for all (standard deviation), such as \"15 ppm\"")
      ->type_name("TEXT");
  command.add_option("--write-site", options->write_site, "Write a site file with the spaces and the flows found")
      ->type_name("FILE");
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 the readings fit, 1 there are reasons to doubt the result"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
