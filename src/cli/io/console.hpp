// SPDX-License-Identifier: Apache-2.0
/// What the commands share: options, messages, the look of text, exit codes.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "cli/io/command.hpp"
#include "cli/io/outcome.hpp"
#include "leanside/assess.hpp"
#include "leanside/diagnostic.hpp"
#include "leanside/report.hpp"

namespace leanside::cli {

/// Options that the commands have in common.
struct CommonOptions {
  std::string command;  ///< the name of the command
  std::string format = "text";
  std::optional<std::string> output;
  std::optional<std::string> substances;
  std::optional<std::string> units;  ///< "si", "us"; empty: as the site file says
  bool ascii = false;
  bool quiet = false;
};

/// Which of them a command has; all have --output and --quiet.
struct Accepts {
  std::vector<std::string> formats;  ///< --format, where there are several; --ascii where "text" is one of them
  bool substances = true;            ///< --substances
  bool units = false;                ///< --units, of the numbers that people read
};
void add_common_options(Command& command, CommonOptions& options, const Accepts& accepts);

/// The footer that lists the exit codes; `zero_and_one` says what 0 and 1 mean here: "0 ..., 1 ...".
std::string exit_codes(std::string_view zero_and_one);

/// Diagnostics to standard error, a line each; without the notices where `quiet`.
void show(const Diagnostics& diagnostics, bool quiet);

/// Prints why there is no answer, in the same form for every command: "FILE:LINE:COLUMN: error: ...", or
/// "leanside: error: ..." where it is not about a file. Returns the exit code.
ExitCode report_error(const Error& error);

/// A notice that best values stand in for ranges: for answers that list no assumptions.
void note_ranges(const Site& site, const CommonOptions& options);

/// Colour only on a terminal and never with NO_COLOR; letters beyond ASCII only where the locale is UTF-8.
TextStyle style_for(const CommonOptions& options);

/// 1 where anything was found, else 0.
constexpr ExitCode exit_code(bool found) { return found ? warnings_found : nothing_found; }
/// 1 where a warning is more than a note.
ExitCode exit_code(const Assessment& assessment);

/// The place of `id` in a list of things with an id; an error names the nearest ones known. `what` is the word for one
/// of them ("case"), `option` where it was given ("--case"), empty for a positional.
template <class List>
Outcome<std::size_t> find_id(const List& list, const std::string& id, const std::string& what,
                             const std::string& option = {});
/// The error of find_id.
Error unknown_id(const std::vector<std::string>& known, const std::string& id, const std::string& what,
                 const std::string& option);

template <class List>
Outcome<std::size_t> find_id(const List& list, const std::string& id, const std::string& what,
                             const std::string& option) {
  std::vector<std::string> known;
  for (std::size_t i = 0; i < list.size(); ++i) {
    if (list[i].id == id) return i;
    known.push_back(list[i].id);
  }
  return unknown_id(known, id, what, option);
}

Outcome<CaseIndex> case_named(const Site& site, const std::string& id);

/// A share given as an option: "0.1", "2 %".
Outcome<double> fraction_option(const std::string& name, const std::string& text);

/// `text` in single quotes, as one word for a shell.
std::string in_quotes(std::string_view text);

/// The commands: each adds its options and returns what runs it.
Runner add_check(Program& program);
Runner add_substances(Program& program);
Runner add_report(Program& program);
Runner add_page(Program& program);
Runner add_draw(Program& program);
Runner add_release(Program& program);
Runner add_reactions(Program& program);
Runner add_purge(Program& program);
Runner add_stock(Program& program);
Runner add_new(Program& program);
Runner add_import(Program& program);
Runner add_export(Program& program);
Runner add_explain(Program& program);
Runner add_definitions(Program& program);  ///< of all commands of `program`, which must outlive it
Runner add_compare(Program& program);
Runner add_failures(Program& program);
Runner add_size(Program& program);
Runner add_detectors(Program& program);
Runner add_tracer(Program& program);
Runner add_spread(Program& program);
Runner add_merge(Program& program);

}  // namespace leanside::cli
