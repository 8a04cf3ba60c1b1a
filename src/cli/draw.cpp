// SPDX-License-Identifier: Apache-2.0
/// `leanside draw`: the picture of the site alone.
#include <memory>

#include "cli/document.hpp"
#include "cli/progress.hpp"

namespace leanside::cli {
namespace {

struct DrawOptions {
  DocumentOptions document;
  std::string which = "normal";
};

int run(const DrawOptions& options) {
  const auto loaded = load(options.document, "leanside draw");
  if (!loaded) return bad_input;
  const auto which = case_named(loaded->site, options.which);
  if (!which) return bad_input;
  auto document = Document::open(options.document, false);
  if (!document) return bad_input;
  AssessOptions how;
  how.only = which;
  const Progress progress{computing(loaded->site), options.document.quiet};
  const auto outcome = assess(loaded->site, how);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) return told(*fault, loaded->site.file);
  const auto& assessment = std::get<Assessment>(outcome);
  return document->deliver(site_picture(loaded->site, assessment.cases.front()), code_of(assessment));
}

}  // namespace

std::function<int()> add_draw(CLI::App& app) {
  const auto options = std::make_shared<DrawOptions>();
  CLI::App& command = *app.add_subcommand("draw", "A picture of the site: spaces, airways with their flow, releases");
  add_document_options(command, options->document);
  command.add_option("--case", options->which, "The case that is drawn")->type_name("ID")->capture_default_str();
  command.footer(
      "The picture is an SVG file. Exit codes as of check: 0 nothing at or over a margin in this case,\n"
      "1 at least one warning, 2 bad input or usage, 3 the computation failed.");
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
