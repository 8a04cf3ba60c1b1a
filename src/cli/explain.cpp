// SPDX-License-Identifier: Apache-2.0
/// `leanside explain`: the arithmetic of one space.
#include <algorithm>
#include <memory>

#include <fmt/format.h>

#include "cli/document.hpp"
#include "cli/progress.hpp"

namespace leanside::cli {
namespace {

struct ExplainOptions {
  DocumentOptions document;
  std::string space;
  std::string which = "normal";
  bool ascii = false;
};

std::optional<SpaceIndex> space_named(const Site& site, const std::string& id) {
  std::vector<std::string> known;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    if (site.spaces[i].id == id) return SpaceIndex{i};
    known.push_back(site.spaces[i].id);
  }
  const std::string near = nearest_name(id, known);
  std::string all;
  constexpr std::size_t most_named = 20;
  for (std::size_t i = 0; i < std::min(known.size(), most_named); ++i) all += (i > 0 ? ", " : "") + known[i];
  if (known.size() > most_named) all += ", ...";
  complain(fmt::format("there is no space '{}'{} The spaces are: {}", id,
                       near.empty() ? "." : fmt::format("; did you mean '{}'?", near), all));
  return {};
}

int run(const ExplainOptions& options) {
  const auto loaded = load(options.document, "leanside explain");
  if (!loaded) return bad_input;
  const Site& site = loaded->site;
  const auto space = space_named(site, options.space);
  const auto which = space ? case_named(site, options.which) : std::nullopt;
  if (!space || !which) return bad_input;
  if (has_layers(site)) {
    complain(
        "the arithmetic of layered rooms is not supported yet: take stratification = \"mixed\" in the file, or use "
        "check");
    return bad_input;
  }
  auto document = Document::open(options.document, true);
  if (!document) return bad_input;
  AssessOptions how;
  how.only = which;
  const Progress progress{computing(site), options.document.quiet};
  const auto outcome = assess(site, how);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) return told(*fault, site.file);
  const auto& assessment = std::get<Assessment>(outcome);
  const auto sustained = solve_sustained(site, *which, gas_tracers(site));
  if (const auto* fault = std::get_if<SolveFault>(&sustained)) return told(*fault, site.file);
  Site timed = site;
  timed.criteria.horizon = assessment.horizon;
  Assessment here;
  here.warnings = assessment.warnings;
  here.not_judged = assessment.not_judged;
  std::erase_if(here.warnings, [&](const Warning& warning) { return warning.space != *space; });
  std::erase_if(here.not_judged, [&](const NotJudged& open) { return open.space != *space; });
  CommonOptions common;
  common.ascii = options.ascii;
  return document->deliver(explanation(timed, assessment.cases.front(), *space, std::get<SustainedFractions>(sustained),
                                       style_for(common, !options.document.output)),
                           code_of(here));
}

}  // namespace

std::function<int()> add_explain(CLI::App& app) {
  const auto options = std::make_shared<ExplainOptions>();
  CLI::App& command =
      *app.add_subcommand("explain", "The arithmetic of one space, step by step, to check with a calculator");
  add_document_options(command, options->document);
  command.get_option("FILE")->required();
  command.add_option("SPACE", options->space, "The id of the space")->required();
  command.add_option("--case", options->which, "The case that is explained")->type_name("ID")->capture_default_str();
  command.add_flag("--ascii", options->ascii, "Use plain ASCII letters only");
  command.footer(
      "Exit codes: 0 nothing at or over a margin in this space and case, 1 at least one warning,\n"
      "2 bad input or usage, 3 the computation failed.");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
