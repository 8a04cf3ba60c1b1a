// SPDX-License-Identifier: Apache-2.0
/// `leanside merge`: parts of a sweep, written with --shard, joined to the answer that one run would have given.
#include <memory>
#include <utility>

#include <fmt/format.h>

#include "cli/io/sweeps.hpp"

namespace leanside::cli {
namespace {

struct Options {
  CommonOptions common;
  std::vector<std::string> parts;
};

Outcome<SweepPart> read_part(const std::string& path) {
  const auto text = load_text(path);
  if (!text) return text.error();
  auto part = parse_part(*text);
  if (const auto* reason = std::get_if<std::string>(&part)) return Error::in_file(path, *reason);
  return std::move(std::get<SweepPart>(part));
}

Error without_case(const Site& site) {
  return Error::in_file(site.file, "the parts are about a case that this file does not have");
}

Outcome<ExitCode> give(Answer& answer, const Options& options, const RangedSite& site, const SpreadShare& share) {
  if (share.options.only && share.options.only->value >= site.best().cases.size()) return without_case(site.best());
  return give_spread(answer, options.common, site, share.options, share.part);
}

Outcome<ExitCode> give(Answer& answer, const Options& options, const RangedSite& site, const FailuresShare& share) {
  std::vector<FailureStudy> studies;
  for (std::size_t k = 0; k < share.cases.size(); ++k) {
    FailureOptions study_options = share.options;
    study_options.case_index = share.cases[k];
    if (study_options.case_index.value >= site.best().cases.size()) return without_case(site.best());
    auto study = failures_of(site.best(), study_options, share.parts[k]);
    if (const auto* fault = std::get_if<Fault>(&study)) return Error::of(*fault, site.best().file);
    studies.push_back(std::move(std::get<FailureStudy>(study)));
  }
  if (studies.empty()) return Error::usage("the parts are about no case at all");
  return give_failures(answer, options.common, site.best(), studies);
}

Outcome<ExitCode> run(const Options& options) {
  std::vector<SweepPart> parts;
  for (const std::string& path : options.parts) {
    auto part = read_part(path);
    if (!part) return part.error();
    parts.push_back(std::move(*part));
  }
  auto joined = join_parts(std::move(parts), options.parts);
  if (const auto* fault = std::get_if<Fault>(&joined)) return Error::usage(fault->message);
  const auto& whole = std::get<SweepPart>(joined);
  if (whole.version != version()) {
    return Error::usage(
        fmt::format("the parts were made by leanside {}, this is {}; merge them with the version that made them",
                    whole.version, version()));
  }
  auto substances = parse_added_substances(whole.substances, whole.substances_file);
  if (!substances) return substances.error();
  // Failures are those of the file as it stands; only draws need ranges.
  const auto usual =
      std::holds_alternative<SpreadShare>(whole.share) ? UsualRanges::where_none_is_given : UsualRanges::none;
  const auto loaded = parse_ranges(whole.text, whole.file, std::move(*substances), options.common, usual);
  if (!loaded) return loaded.error();
  auto answer = Answer::open(options.common, options.parts);
  if (!answer) return answer.error();
  std::vector<std::string> read = {whole.file};
  if (!whole.substances_file.empty()) read.push_back(whole.substances_file);
  answer->stands_for(std::holds_alternative<SpreadShare>(whole.share) ? "spread" : "failures", std::move(read));
  return std::visit([&](const auto& share) { return give(*answer, options, loaded->site, share); }, whole.share);
}

}  // namespace

Runner add_merge(Program& program) {
  const auto options = std::make_shared<Options>();
  Command& command = program.add_subcommand("merge", "Join the parts of a sweep that was solved in parts");
  command.add_option("PART", options->parts, "All the parts, in any order")->required();
  add_common_options(command, options->common, {{"text", "json"}, false, true});
  command.footer(exit_codes("0 nothing comes to a margin, 1 something does"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
