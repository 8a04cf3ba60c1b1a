// SPDX-License-Identifier: Apache-2.0
/// `leanside release`: how each release is understood; `leanside reactions`: those that can be named.
#include <memory>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "leanside/assess_releases.hpp"

namespace leanside::cli {
namespace {

struct ReleaseOptions {
  CommonOptions common;
  std::string file;
  std::optional<std::string> id;
};

Outcome<ExitCode> run(const ReleaseOptions& options) {
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  note_ranges(site, options.common);
  std::optional<ReleaseIndex> only;
  if (options.id) {
    const auto place = find_id(site.releases, *options.id, "release");
    if (!place) return place.error();
    only = ReleaseIndex{*place};
  }
  auto answer = Answer::open(options.common, {options.file});
  if (!answer) return answer.error();
  const auto outcome = assess_releases(site, only, options.common.format == "json");
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, site.file);
  const auto& assessment = std::get<Assessment>(outcome);
  return answer->deliver(options.common.format == "json"
                             ? release_json(site, assessment, only)
                             : release_report(site, assessment, only, style_for(options.common)),
                         nothing_found);
}

}  // namespace

Runner add_release(Program& program) {
  const auto options = std::make_shared<ReleaseOptions>();
  Command& command =
      program.add_subcommand("release", "Show how each release of a site is understood: how much, how long");
  command.add_option("FILE", options->file, "Site file")->required();
  command.add_option("ID", options->id, "The release to show; without one, all are shown");
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 shown"));
  return [options] { return run(*options); };
}

Runner add_reactions(Program& program) {
  const auto options = std::make_shared<CommonOptions>();
  Command& command = program.add_subcommand("reactions", "List the reactions that a release can name, with equations");
  add_common_options(command, *options, {{"text", "json"}, false});
  command.footer(exit_codes("0 shown"));
  return [options]() -> Outcome<ExitCode> {
    auto answer = Answer::open(*options, {});
    if (!answer) return answer.error();
    return answer->deliver(options->format == "json" ? reaction_list_json() : reaction_list(style_for(*options)),
                           nothing_found);
  };
}

}  // namespace leanside::cli
