// SPDX-License-Identifier: Apache-2.0
/// `leanside size`: how much air keeps every space below the margin, or how much gas today's air can carry.
#include <functional>
#include <memory>

#include <fmt/format.h>

#include "cli/study_common.hpp"
#include "leanside/size.hpp"

namespace leanside::cli {
namespace {

struct Options {
  StudyOptions study;
  std::string file;
  std::vector<std::string> fans;
  std::optional<std::string> release;
  std::string step = "10 m3/h";
  bool may_lower = false;
};

/// The place of an id in a list of the site, or nothing; that has then been told.
template <class List>
std::optional<std::size_t> find(const List& list, const std::string& id, const char* option, const char* what) {
  std::vector<std::string> known;
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (list[i].id == id) return i;
    known.push_back(list[i].id);
  }
  const std::string near = nearest_name(id, known);
  complain(fmt::format("{}: there is no {} '{}'{}", option, what, id,
                       near.empty() ? "" : fmt::format("; did you mean '{}'?", near)));
  return {};
}

std::optional<SizeOptions> how_to_size(const Options& options, const Site& site) {
  SizeOptions how;
  how.may_lower = options.may_lower;
  for (const std::string& id : options.fans) {
    const auto place = find(site.airways, id, "--fan", "airway");
    if (!place) return {};
    const auto* fan = std::get_if<Fan>(&site.airways[*place].kind);
    if (fan == nullptr || !fan->curve.empty() || !(fan->flow > 0.0)) {
      complain(fmt::format("--fan: '{}' {}", id,
                           fan == nullptr ? "is no fan"
                           : fan->curve.empty()
                               ? "has no flow of its own to be changed"
                               : "follows a curve; give it a `flow` instead to see how much is enough"));
      return {};
    }
    how.fans.push_back(AirwayIndex{*place});
  }
  if (options.release) {
    const auto place = find(site.releases, *options.release, "--release", "release");
    if (!place) return {};
    how.release = ReleaseIndex{*place};
  }
  const auto step = parse_quantity(options.step, Dimension::volume_flow);
  const auto* quantity = std::get_if<Quantity>(&step);
  if (quantity == nullptr || !(quantity->si > 0.0)) {
    complain(fmt::format("--step: {}", quantity == nullptr ? std::get<QuantityFault>(step).message
                                                           : "expected a flow over zero, such as \"10 m3/h\""));
    return {};
  }
  how.step = quantity->si;
  return how;
}

int run(const Options& options) {
  const auto substances = substances_for(options.study.common);
  if (!substances) return bad_input;
  const auto site = read_for_study(options.study, options.file, *substances);
  if (!site) return bad_input;
  const auto how = how_to_size(options, *site);
  if (!how) return bad_input;
  auto output = open_output(options.study, {options.file});
  if (!output) return bad_input;
  const auto outcome = size_site(*site, *how);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) return told(*fault, options.file);
  const auto& sizing = std::get<Sizing>(outcome);
  const std::string text = options.study.common.format == "json"
                               ? sizing_json(*site, sizing)
                               : sizing_text(*site, sizing, style_for(options.study.common, !options.study.output));
  const bool all_well = sizing.found && sizing.remaining.empty() && sizing.before.empty();
  return output->deliver(text, all_well ? nothing_found : warnings_found);
}

}  // namespace

std::function<int()> add_size(CLI::App& app) {
  const auto options = std::make_shared<Options>();
  CLI::App& command =
      *app.add_subcommand("size", "How much air is enough, or how much gas can the air carry as it is?");
  command.add_option("FILE", options->file, "Site file")->required();
  auto* fan =
      command.add_option("--fan", options->fans, "Size this fan (again for more); without it, all fans that run");
  fan->type_name("ID");
  command.add_option("--release", options->release, "The largest size of this release that the air can carry as it is")
      ->type_name("ID")
      ->excludes(fan);
  command.add_option("--step", options->step, "Flows are rounded up to a multiple of this")
      ->type_name("FLOW")
      ->capture_default_str();
  command.add_flag("--may-lower", options->may_lower, "Flows may come out lower than those of the file")
      ->excludes("--release");
  add_study_options(command, options->study,
                    "there is no warning as the file has it, 1 there is one, or nothing was found");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
