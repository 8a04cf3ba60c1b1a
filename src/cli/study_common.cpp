// SPDX-License-Identifier: Apache-2.0
#include "cli/study_common.hpp"

#include <utility>

#include <fmt/format.h>

#include "leanside/quantity.hpp"

namespace leanside::cli {

void add_study_options(CLI::App& command, StudyOptions& options, const std::string& one) {
  command.add_option("--output", options.output, "Write the answer to this file instead of standard output")
      ->type_name("FILE");
  command.add_flag("--quiet", options.quiet, "Write nothing but the answer and errors");
  add_common_options(command, options.common, {"text", "json"});
  command.footer(fmt::format(
      "Exit codes: 0 {}, 2 bad input or usage,\n3 the computation failed. With 2 and 3 no result is written.", one));
}

std::optional<Site> read_for_study(const StudyOptions& options, const std::string& path,
                                   const SubstanceTable& substances) {
  SiteReading reading = read_site(path, substances);
  show(reading.diagnostics, options.quiet);
  if (reading.usable() == nullptr) return {};
  return std::get<Site>(std::move(reading.site));
}

std::optional<Document> open_output(const StudyOptions& options, std::vector<std::string> inputs) {
  if (options.common.substances) inputs.push_back(*options.common.substances);
  return Document::open(options.output, inputs);
}

std::optional<double> fraction_option(const std::string& name, const std::string& text) {
  // A bare number is a fraction here as it is in a site file.
  const auto read = parse_quantity(text, Dimension::fraction);
  if (const auto* quantity = std::get_if<Quantity>(&read); quantity != nullptr && quantity->si >= 0.0) {
    return quantity->si;
  }
  const std::string bare = text + " %";
  if (const auto number = parse_quantity(bare, Dimension::fraction); std::holds_alternative<Quantity>(number)) {
    const double value = 100.0 * std::get<Quantity>(number).si;
    if (value >= 0.0 && value <= 1.0) return value;
  }
  complain(fmt::format("{}: found '{}'; expected a share such as \"2 %\" or 0.02", name, text));
  return {};
}

}  // namespace leanside::cli
