// SPDX-License-Identifier: Apache-2.0
/// `leanside size`: how much air, or which openings, keep every space below the margin, or how much gas today's air can
/// carry.
#include "leanside/study/size.hpp"

#include <memory>

#include <fmt/format.h>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"

namespace leanside::cli {
namespace {

struct Options {
  CommonOptions common;
  std::string file;
  std::vector<std::string> fans, openings;
  std::optional<std::string> release;
  std::string step = "10 m3/h";
  bool may_lower = false;
};

Outcome<SizeOptions> how_to_size(const Options& options, const Site& site) {
  SizeOptions study_options;
  study_options.may_lower = options.may_lower;
  for (const std::string& id : options.fans) {
    const auto place = find_id(site.airways, id, "airway", "--fan");
    if (!place) return place.error();
    const auto* fan = std::get_if<Fan>(&site.airways[*place].kind);
    if (fan == nullptr || !fan->curve.empty() || !(fan->flow > 0.0)) {
      return Error::usage(fmt::format("--fan: '{}' {}", id,
                                      fan == nullptr ? "is no fan"
                                      : fan->curve.empty()
                                          ? "has no flow of its own to be changed"
                                          : "follows a curve; give it a `flow` instead to see how much is enough"));
    }
    study_options.fans.push_back(AirwayIndex{*place});
  }
  for (const std::string& id : options.openings) {
    const auto place = find_id(site.airways, id, "airway", "--opening");
    if (!place) return place.error();
    const AirwayKind& kind = site.airways[*place].kind;
    if (!std::holds_alternative<Gap>(kind) && !std::holds_alternative<Doorway>(kind)) {
      return Error::usage(fmt::format(
          "--opening: '{}' {}", id,
          std::holds_alternative<Opening>(kind)
              ? "carries whatever the fans need, so it has no size; write it as a louvre, window or gap to size it"
              : "is no gap, louvre, window, undercut or doorway"));
    }
    study_options.openings.push_back(AirwayIndex{*place});
  }
  if (options.release) {
    const auto place = find_id(site.releases, *options.release, "release", "--release");
    if (!place) return place.error();
    study_options.release = ReleaseIndex{*place};
  }
  const auto step = parse_quantity(options.step, Dimension::volume_flow);
  const auto* quantity = std::get_if<Quantity>(&step);
  constexpr double least = 0.001 / 3600.0, most = 1e6 / 3600.0;
  if (quantity == nullptr || !(quantity->si >= least && quantity->si <= most)) {
    return Error::usage(fmt::format(
        "--step: {}", quantity == nullptr ? std::get<QuantityFault>(step).message
                                          : "expected a flow from 0.001 to 1000000 m3/h, such as \"10 m3/h\""));
  }
  study_options.step = quantity->si;
  return study_options;
}

Outcome<ExitCode> run(const Options& options) {
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  const auto study_options = how_to_size(options, site);
  if (!study_options) return study_options.error();
  auto answer = Answer::open(options.common, {options.file});
  if (!answer) return answer.error();
  const auto outcome = size_site(site, *study_options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, options.file);
  const auto& sizing = std::get<Sizing>(outcome);
  const std::string text = options.common.format == "json" ? sizing_json(site, sizing)
                                                           : sizing_text(site, sizing, style_for(options.common));
  const bool all_well = sizing.found && sizing.remaining.empty() && sizing.before.empty();
  return answer->deliver(text, exit_code(!all_well));
}

}  // namespace

Runner add_size(Program& program) {
  const auto options = std::make_shared<Options>();
  Command& command = program.add_subcommand(
      "size", "How much air, or how large an opening, is enough? How much gas can the air carry?");
  command.add_option("FILE", options->file, "Site file")->required();
  auto* fan =
      command.add_option("--fan", options->fans, "Size this fan (again for more); without it, all fans that run");
  fan->type_name("ID");
  auto* release =
      command.add_option("--release", options->release, "Find the largest size of this release that the air can carry");
  auto* opening = command.add_option(
      "--opening", options->openings,
      "Size this gap, louvre, window, undercut or doorway (again for more); without a fan to size, all but doors");
  opening->type_name("ID");
  auto* step = command.add_option("--step", options->step, "Round flows up to a multiple of this");
  step->type_name("FLOW")->capture_default_str();
  auto* may_lower =
      command.add_flag("--may-lower", options->may_lower, "Flows and areas may come out lower than those of the file");
  release->type_name("ID")->excludes(fan)->excludes(opening)->excludes(step)->excludes(may_lower);
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 there is no warning as the file has it, 1 there is one, or nothing was found"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
