// SPDX-License-Identifier: Apache-2.0
/// `leanside detectors`: where gas detectors see every release of every case soonest.
#include "leanside/study/detectors.hpp"

#include <algorithm>
#include <memory>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"

namespace leanside::cli {
namespace {

struct Options {
  CommonOptions common;
  std::string file;
  std::size_t count = 1;
  std::string alarm = "10 %";
  std::vector<std::string> in;
  bool fans_off = false;
};

/// The spaces of --in.
Outcome<std::vector<SpaceIndex>> spaces_of(const Site& site, const std::vector<std::string>& ids) {
  std::vector<SpaceIndex> out;
  for (const std::string& id : ids) {
    const auto place = find_id(site.spaces, id, "space", "--in");
    if (!place) return place.error();
    out.push_back(SpaceIndex{*place});
  }
  return out;
}

Outcome<ExitCode> run(const Options& options) {
  DetectorOptions study_options;
  study_options.count = options.count;
  const auto alarm = fraction_option("--alarm", options.alarm);
  if (!alarm) return alarm.error();
  if (!(*alarm > 0.0) || *alarm > 1.0) {
    return Error::usage("--alarm: expected a share of the lower flammable limit over 0 and up to 100 %");
  }
  study_options.alarm = *alarm;
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  const Site site = options.fans_off ? with_fans_off(loaded->site) : loaded->site;
  const auto candidates = spaces_of(site, options.in);
  if (!candidates) return candidates.error();
  study_options.candidates = *candidates;
  auto answer = Answer::open(options.common, {options.file});
  if (!answer) return answer.error();
  const auto outcome = place_detectors(site, study_options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, options.file);
  const auto& plan = std::get<DetectorPlan>(outcome);
  const std::string text = options.common.format == "json" ? detectors_json(site, plan)
                                                           : detectors_text(site, plan, style_for(options.common));
  const bool unseen = std::any_of(plan.seen.begin(), plan.seen.end(), [](const auto& t) { return !t.has_value(); });
  return answer->deliver(text, exit_code(unseen));
}

}  // namespace

Runner add_detectors(Program& program) {
  const auto options = std::make_shared<Options>();
  Command& command = program.add_subcommand("detectors", "Where do gas detectors see every release soonest?");
  command.add_option("FILE", options->file, "Site file")->required();
  constexpr double least = 1, most = 1000;
  command.add_option("--count", options->count, "Number of detectors")->between(least, most)->capture_default_str();
  command
      .add_option("--alarm", options->alarm,
                  "Share of the lower flammable limit, or of the IDLH, at which a detector alarms")
      ->type_name("SHARE")
      ->capture_default_str();
  command
      .add_option("--in", options->in,
                  "A space that can have a detector (again for more); without it, every room and cabinet")
      ->type_name("ID");
  command.add_flag("--fans-off", options->fans_off, "Count every release with every fan off too");
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 every release that comes to the alarm anywhere is seen, 1 one is not"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
