// SPDX-License-Identifier: Apache-2.0
/// `leanside detectors`: where gas detectors see every release of every case soonest.
#include <algorithm>
#include <functional>
#include <memory>

#include <fmt/format.h>

#include "cli/study_common.hpp"
#include "leanside/study.hpp"

namespace leanside::cli {
namespace {

struct Options {
  StudyOptions study;
  std::string file;
  std::size_t count = 1;
  std::string alarm = "10 %";
  std::vector<std::string> in;
};

/// The spaces of --in, or nothing where one is unknown; that has then been told.
std::optional<std::vector<SpaceIndex>> spaces_of(const Site& site, const std::vector<std::string>& ids) {
  std::vector<SpaceIndex> out;
  std::vector<std::string> known;
  for (const Space& space : site.spaces) known.push_back(space.id);
  for (const std::string& id : ids) {
    const auto place = std::find(known.begin(), known.end(), id);
    if (place == known.end()) {
      const std::string near = nearest_name(id, known);
      complain(fmt::format("--in: there is no space '{}'{}", id,
                           near.empty() ? "" : fmt::format("; did you mean '{}'?", near)));
      return {};
    }
    out.push_back(SpaceIndex{static_cast<std::size_t>(place - known.begin())});
  }
  return out;
}

int run(const Options& options) {
  DetectorOptions how;
  how.count = options.count;
  const auto alarm = fraction_option("--alarm", options.alarm);
  if (!alarm) return bad_input;
  if (!(*alarm > 0.0) || *alarm > 1.0) {
    complain("--alarm: a share of the lower limit over 0 and up to 100 % is needed");
    return bad_input;
  }
  how.alarm = *alarm;
  const auto substances = substances_for(options.study.common);
  if (!substances) return bad_input;
  const auto site = read_for_study(options.study, options.file, *substances);
  if (!site) return bad_input;
  const auto candidates = spaces_of(*site, options.in);
  if (!candidates) return bad_input;
  how.candidates = *candidates;
  auto output = open_output(options.study, {options.file});
  if (!output) return bad_input;
  const auto outcome = place_detectors(*site, how);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) return told(*fault, options.file);
  const auto& plan = std::get<DetectorPlan>(outcome);
  const std::string text = options.study.common.format == "json"
                               ? detectors_json(*site, plan)
                               : detectors_text(*site, plan, style_for(options.study.common, !options.study.output));
  const bool unseen = std::any_of(plan.seen.begin(), plan.seen.end(), [](const auto& t) { return !t.has_value(); });
  return output->deliver(text, unseen ? warnings_found : nothing_found);
}

}  // namespace

std::function<int()> add_detectors(CLI::App& app) {
  const auto options = std::make_shared<Options>();
  CLI::App& command = *app.add_subcommand("detectors", "Where do gas detectors see every release soonest?");
  command.add_option("FILE", options->file, "Site file")->required();
  constexpr std::size_t least = 1, most = 1000;
  command.add_option("--count", options->count, "How many detectors there are")
      ->check(CLI::Range(least, most))
      ->capture_default_str();
  command.add_option("--alarm", options->alarm, "Share of the lower flammable limit at which one answers")
      ->type_name("SHARE")
      ->capture_default_str();
  command
      .add_option("--in", options->in,
                  "A space where one may hang (again for more); without it, every room and cabinet")
      ->type_name("ID");
  add_study_options(command, options->study, "every release that comes to the alarm somewhere is seen, 1 one is not");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
