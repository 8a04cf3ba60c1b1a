// SPDX-License-Identifier: Apache-2.0
/// What the commands share: options, messages, the substance table, the look of text.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include <CLI/CLI.hpp>

#include "cli/output.hpp"
#include "leanside/diagnostic.hpp"
#include "leanside/report.hpp"
#include "leanside/site.hpp"
#include "leanside/substance.hpp"

namespace leanside::cli {

/// Exit codes of every command (docs/results.md).
enum ExitCode : int { nothing_found = 0, warnings_found = 1, bad_input = 2, failed_to_compute = 3, interrupted = 130 };

/// Options that every command has.
struct CommonOptions {
  std::string format = "text";
  std::optional<std::string> substances;
  bool ascii = false;
};
void add_common_options(CLI::App& command, CommonOptions& options, const std::vector<std::string>& formats);

/// "leanside: error: ..." to standard error; the text cleaned by plain_text().
void complain(std::string_view message);

/// Diagnostics to standard error, a line each; without the notices where `errors_only`.
void show(const Diagnostics& diagnostics, bool errors_only);

/// A notice on standard error where best values stand in for ranges: for answers that list no assumptions.
void tell_of_ranges(const std::vector<Range>& ranges, const std::string& file);

/// The built-in table with what the file named by the user adds to it. Empty where that file is not usable; the
/// reasons have then been shown.
std::optional<SubstanceTable> substances_for(const CommonOptions& options);

/// Colour only on a terminal and never with NO_COLOR; letters beyond ASCII only where the locale is UTF-8.
TextStyle style_for(const CommonOptions& options, bool to_standard_output);

/// The commands: each adds its options and returns what runs it.
std::function<int()> add_check(CLI::App& app);
std::function<int()> add_substances(CLI::App& app);
std::function<int()> add_report(CLI::App& app);
std::function<int()> add_draw(CLI::App& app);
std::function<int()> add_release(CLI::App& app);
std::function<int()> add_reactions(CLI::App& app);
std::function<int()> add_purge(CLI::App& app);
std::function<int()> add_stock(CLI::App& app);
std::function<int()> add_new(CLI::App& app);
std::function<int()> add_explain(CLI::App& app);
std::function<int()> add_definitions(CLI::App& app);  ///< of all commands added by then; `app` must outlive it
std::function<int()> add_compare(CLI::App& app);
std::function<int()> add_failures(CLI::App& app);
std::function<int()> add_size(CLI::App& app);
std::function<int()> add_detectors(CLI::App& app);
std::function<int()> add_tracer(CLI::App& app);
std::function<int()> add_spread(CLI::App& app);
std::function<int()> add_merge(CLI::App& app);

}  // namespace leanside::cli
