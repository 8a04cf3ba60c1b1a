// SPDX-License-Identifier: Apache-2.0
/// `leanside release`: how each release is understood; `leanside reactions`: those that can be named.
#include <fmt/format.h>

#include "cli/site_command.hpp"

namespace leanside::cli {
namespace {

struct ReleaseOptions {
  CommonOptions common;
  std::string file;
  std::optional<std::string> id;
};

std::optional<ReleaseIndex> find_release(const Site& site, const std::string& id) {
  std::vector<std::string> known;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    if (site.releases[r].id == id) return ReleaseIndex{r};
    known.push_back(site.releases[r].id);
  }
  const std::string near = nearest_name(id, known);
  std::string all;
  for (const std::string& each : known) all += (all.empty() ? "" : ", ") + each;
  complain(fmt::format("there is no release '{}'{} The releases are: {}", id,
                       near.empty() ? "." : fmt::format("; did you mean '{}'?", near), all));
  return {};
}

int run(const ReleaseOptions& options) {
  const auto reading = read_site_for(options.common, options.file);
  if (const int* code = std::get_if<int>(&reading)) return *code;
  const Site& site = std::get<Site>(reading);
  std::optional<ReleaseIndex> only;
  if (options.id) {
    only = find_release(site, *options.id);
    if (!only) return bad_input;
  }
  AssessOptions how;
  how.only = CaseIndex{0};
  const auto outcome = assess(site, how);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) {
    complain(fmt::format("{}: {}", site.file, fault->message));
    return fault->bad_input ? bad_input : failed_to_compute;
  }
  const auto& assessment = std::get<Assessment>(outcome);
  return deliver(options.common.format == "json"
                     ? release_json(site, assessment, only)
                     : release_report(site, assessment, only, style_for(options.common, true)));
}

}  // namespace

std::function<int()> add_release(CLI::App& app) {
  const auto options = std::make_shared<ReleaseOptions>();
  CLI::App& command =
      *app.add_subcommand("release", "How each release of a site file is understood: how much, how long");
  command.add_option("FILE", options->file, "Site file")->required();
  command.add_option("ID", options->id, "The release to show; without one, all are shown");
  add_common_options(command, options->common, {"text", "json"});
  return [options] { return run(*options); };
}

std::function<int()> add_reactions(CLI::App& app) {
  const auto options = std::make_shared<CommonOptions>();
  CLI::App& command = *app.add_subcommand("reactions", "The reactions that a release can name, with their equations");
  add_common_options(command, *options, {"text", "json"});
  return [options] {
    return deliver(options->format == "json" ? reaction_list_json() : reaction_list(style_for(*options, true)));
  };
}

}  // namespace leanside::cli
