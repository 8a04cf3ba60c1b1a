// SPDX-License-Identifier: Apache-2.0
/// `leanside merge`: parts of a sweep, written with --shard, joined to the answer that one run would have given.
#include <functional>
#include <memory>
#include <utility>

#include <fmt/format.h>

#include "cli/study_common.hpp"
#include "cli/sweeps.hpp"

namespace leanside::cli {
namespace {

struct Options {
  StudyOptions study;
  std::vector<std::string> parts;
};

std::optional<SweepPart> read_part(const std::string& path) {
  const auto text = read_text_file(path);
  if (const auto* fault = std::get_if<Diagnostic>(&text)) {
    show({*fault}, true);
    return {};
  }
  auto part = parse_part(std::get<std::string>(text));
  if (const auto* reason = std::get_if<std::string>(&part)) {
    complain(fmt::format("{}: {}", path, *reason));
    return {};
  }
  return std::move(std::get<SweepPart>(part));
}

std::optional<SubstanceTable> substances_of(const SweepPart& whole) {
  if (whole.substances_file.empty()) return built_in_substances();
  const auto read = parse_substances(whole.substances, whole.substances_file);
  if (const auto* faults = std::get_if<Diagnostics>(&read)) {
    show(*faults, true);
    return {};
  }
  return merged(built_in_substances(), std::get<SubstanceTable>(read));
}

int give(Document& output, const Options& options, const RangedSite& site, const SpreadShare& share) {
  if (share.options.only && share.options.only->value >= site.best().cases.size()) {
    complain("the parts are about a case that their file does not have");
    return bad_input;
  }
  return give_spread(output, options.study, site, share.options, share.part);
}

int give(Document& output, const Options& options, const RangedSite& site, const FailuresShare& share) {
  std::vector<FailureStudy> studies;
  for (std::size_t k = 0; k < share.cases.size(); ++k) {
    FailureOptions how = share.options;
    how.which = share.cases[k];
    if (how.which.value >= site.best().cases.size()) {
      complain("the parts are about a case that their file does not have");
      return bad_input;
    }
    auto study = failures_of(site.best(), how, share.parts[k]);
    if (const auto* fault = std::get_if<SolveFault>(&study)) return told(*fault, site.best().file);
    studies.push_back(std::move(std::get<FailureStudy>(study)));
  }
  if (studies.empty()) {
    complain("the parts are about no case at all");
    return bad_input;
  }
  return give_failures(output, options.study, site.best(), studies);
}

int run(const Options& options) {
  std::vector<SweepPart> parts;
  for (const std::string& path : options.parts) {
    auto part = read_part(path);
    if (!part) return bad_input;
    parts.push_back(std::move(*part));
  }
  auto joined = join_parts(std::move(parts), options.parts);
  if (const auto* fault = std::get_if<PartFault>(&joined)) {
    complain(fault->message);
    return bad_input;
  }
  const auto& whole = std::get<SweepPart>(joined);
  if (whole.version != version()) {
    complain(fmt::format("the parts were made by leanside {}, this is {}; merge them with the version that made them",
                         whole.version, version()));
    return bad_input;
  }
  const auto substances = substances_of(whole);
  if (!substances) return bad_input;
  const RangedReading reading = parse_ranged_site(whole.text, whole.file, *substances);
  show(reading.diagnostics, options.study.quiet);
  if (!reading.site) return bad_input;
  auto output = open_output(options.study, options.parts);
  if (!output) return bad_input;
  return std::visit([&](const auto& share) { return give(*output, options, *reading.site, share); }, whole.share);
}

}  // namespace

std::function<int()> add_merge(CLI::App& app) {
  const auto options = std::make_shared<Options>();
  CLI::App& command = *app.add_subcommand("merge", "Join the parts of a sweep that was shared out");
  command.add_option("PART", options->parts, "All the parts, in any order")->required();
  add_study_options(command, options->study, "nothing comes to a margin, 1 something does");
  command.remove_option(command.get_option("--substances"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
