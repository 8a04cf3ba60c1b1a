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

std::optional<StudyOutput> StudyOutput::open(const StudyOptions& options, const std::vector<std::string>& inputs) {
  StudyOutput out;
  if (!options.output) return out;
  std::vector<std::string> read = inputs;
  if (options.common.substances) read.push_back(*options.common.substances);
  for (const std::string& input : read) {
    if (!same_file(*options.output, input)) continue;
    complain(fmt::format("--output would overwrite '{}', which is read", input));
    return {};
  }
  auto opened = PendingFile::open(*options.output);
  if (const auto* reason = std::get_if<std::string>(&opened)) {
    complain(*reason);
    return {};
  }
  out.file_.emplace(std::move(std::get<PendingFile>(opened)));
  return out;
}

int StudyOutput::deliver(const std::string& text, int code) {
  Failure failure;
  if (file_) {
    failure = file_->write(text);
    if (!failure) failure = file_->finish();
    if (!failure) failure = file_->publish();
  } else {
    failure = write_standard_output(text);
  }
  if (!failure) return code;
  complain(*failure);
  return bad_input;
}

int told(const SolveFault& fault, const std::string& file) {
  if (fault.bad_input) {
    complain(fmt::format("{}: {}", file, fault.message));
    return bad_input;
  }
  complain(fmt::format("{}: the computation failed, so there is no answer: {}", file, fault.message));
  return failed_to_compute;
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
