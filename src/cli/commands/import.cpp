// SPDX-License-Identifier: Apache-2.0
/// `leanside import`: schedules of rooms and airways in, a site file out. `leanside export`: the way back.
#include <algorithm>
#include <filesystem>
#include <map>
#include <memory>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "cli/io/progress.hpp"
#include "leanside/schedule.hpp"

namespace leanside::cli {
namespace {

struct ImportOptions {
  CommonOptions common;
  std::optional<std::string> rooms, airways;
  std::string title, decimal = "auto";
  bool blank_rooms = false, blank_airways = false;
};

Outcome<std::optional<ScheduleTable>> load_table(const std::optional<std::string>& path) {
  if (!path) return std::optional<ScheduleTable>{};
  auto text = load_text(*path);
  if (!text) return text.error();
  return std::optional{ScheduleTable{std::move(*text), *path}};
}

Outcome<ImportedSchedule> imported(const ImportOptions& options) {
  auto rooms = load_table(options.rooms), airways = load_table(options.airways);
  if (!rooms) return rooms.error();
  if (!airways) return airways.error();
  ScheduleOptions how;
  how.title = options.title;
  if (options.decimal == "point") how.decimal = DecimalMark::point;
  if (options.decimal == "comma") how.decimal = DecimalMark::comma;
  auto read = import_schedule(**rooms, *airways, built_in_substances(), how);
  if (auto* fault = std::get_if<Fault>(&read)) return Error::of(*fault, *options.rooms);
  return std::get<ImportedSchedule>(std::move(read));
}

/// The message without what it quotes of the cell: the same for rows that are wrong in the same way.
std::string kind_of_fault(const std::string& message) {
  std::string out = message;
  for (const char quote : {'\'', '"'}) {
    const std::string mark = std::string{"found "} + quote;
    const std::size_t from = out.find(mark);
    if (from == std::string::npos) continue;
    const std::size_t to = out.find(quote, from + mark.size());
    if (to != std::string::npos) out.erase(from, to + 1 - from);
  }
  return out;
}

/// Where a whole column is wrong, its first row in full and the lines of the others.
Diagnostics folded(const Diagnostics& remarks) {
  constexpr std::size_t many = 3, most_lines = 12;
  std::map<std::pair<std::string, std::string>, std::vector<std::size_t>> alike;
  for (std::size_t k = 0; k < remarks.size(); ++k) {
    alike[{remarks[k].place.file, kind_of_fault(remarks[k].message)}].push_back(k);
  }
  Diagnostics out;
  for (std::size_t k = 0; k < remarks.size(); ++k) {
    const auto& places = alike.at({remarks[k].place.file, kind_of_fault(remarks[k].message)});
    if (places.size() > many && k != places.front()) continue;
    out.push_back(remarks[k]);
    if (places.size() <= many) continue;
    std::string lines;
    for (std::size_t i = 1; i < std::min(places.size(), most_lines + 1); ++i) {
      lines += fmt::format("{}{}", i > 1 ? ", " : "", remarks[places[i]].place.line);
    }
    if (places.size() > most_lines + 1) lines += ", ...";
    out.back().message += fmt::format(" (the same in {} more rows, lines {})", places.size() - 1, lines);
  }
  return out;
}

Outcome<ExitCode> run_import(const ImportOptions& options) {
  const auto& output = options.common.output;
  // What stands in a site file is work: it is never replaced by an import.
  std::error_code ignored;
  if (output && std::filesystem::exists(*output, ignored)) {
    return Error::usage(fmt::format("'{}' exists already and is not replaced; choose another name", *output));
  }
  const bool blank = options.blank_rooms || options.blank_airways;
  if (!blank && !options.rooms) {
    return Error::usage("name the schedule of rooms, or write an empty one with --template");
  }
  std::vector<std::string> inputs;
  for (const auto& file : {options.rooms, options.airways}) {
    if (file) inputs.push_back(*file);
  }
  auto answer = Answer::open(options.common, inputs);
  if (!answer) return answer.error();
  if (blank) return answer->deliver(options.blank_airways ? airways_template() : rooms_template(), nothing_found);
  const auto read = imported(options);
  if (!read) return read.error();
  show(folded(read->remarks), options.common.quiet);
  std::size_t left_out = 0;
  for (const Diagnostic& remark : read->remarks) left_out += remark.level == DiagnosticLevel::error ? 1 : 0;
  if (!options.common.quiet) {
    write_standard_error(
        fmt::format("{} rooms and {} airways imported; left out: {}\n", read->rooms, read->airways, left_out));
  }
  return answer->deliver(read->site_file, exit_code(left_out > 0));
}

struct ExportOptions {
  CommonOptions common;
  std::string file, what = "spaces";
};

Outcome<ExitCode> run_export(const ExportOptions& options) {
  const auto loaded = load_site(options.common, options.file);
  if (!loaded) return loaded.error();
  const Site& site = loaded->site;
  note_ranges(site, options.common);
  auto answer = Answer::open(options.common, {options.file});
  if (!answer) return answer.error();
  if (options.what == "spaces") return answer->deliver(spaces_csv(site), nothing_found);
  if (options.what == "airways") return answer->deliver(airways_csv(site), nothing_found);
  const auto outcome = [&] {
    const Progress progress{computing(site), options.common.quiet};
    return assess(site);
  }();
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, site.file);
  const auto& assessment = std::get<Assessment>(outcome);
  const auto table = options.what == "warnings" ? warnings_csv : options.what == "flows" ? flows_csv : findings_csv;
  return answer->deliver(table(site, assessment), exit_code(assessment));
}

}  // namespace

Runner add_import(Program& program) {
  const auto options = std::make_shared<ImportOptions>();
  Command& command = program.add_subcommand("import", "Make a site file from schedules of rooms and airways (CSV)");
  auto* rooms = command.add_option("ROOMS", options->rooms, "Table of rooms: room, area, height, supply, extract, ...");
  auto* airways =
      command.add_option("AIRWAYS", options->airways, "Table of airways: airway, kind, from, to, flow, ...");
  auto* blank_rooms = command.add_flag("--template", options->blank_rooms, "Write an empty table of rooms to fill in");
  blank_rooms->excludes(rooms)->excludes(airways);
  command.add_flag("--template-airways", options->blank_airways, "Write an empty table of airways to fill in")
      ->excludes(rooms)
      ->excludes(airways)
      ->excludes(blank_rooms);
  command.add_option("--title", options->title, "Title of the site")->type_name("TEXT");
  command.add_option("--decimal", options->decimal, "What 1,5 means: as the table shows, or as said here")
      ->one_of({"auto", "point", "comma"})
      ->capture_default_str();
  add_common_options(command, options->common, {{}, false});
  command.footer(
      "Fields are separated by commas, semicolons or tabs; units stand in the headers, as in 'supply (m3/h)'.\n" +
      exit_codes("0 written, 1 written without the rows that are listed"));
  return [options] { return run_import(*options); };
}

Runner add_export(Program& program) {
  const auto options = std::make_shared<ExportOptions>();
  Command& command =
      program.add_subcommand("export", "Write spaces, airways, flows, warnings or findings as a table (CSV)");
  command.add_option("FILE", options->file, "Site file")->required();
  command.add_option("--what", options->what, "Which table")
      ->one_of({"spaces", "airways", "flows", "warnings", "findings"})
      ->capture_default_str();
  add_common_options(command, options->common, {{}, true, true});
  command.footer("`leanside import` reads the tables of spaces and airways.\n" +
                 exit_codes("0 written, 1 written and there is at least one warning"));
  return [options] { return run_export(*options); };
}

}  // namespace leanside::cli
