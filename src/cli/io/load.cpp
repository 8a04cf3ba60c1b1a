// SPDX-License-Identifier: Apache-2.0
#include "cli/io/load.hpp"

#include <utility>
#include <variant>

#include <fmt/format.h>

namespace leanside::cli {
namespace {

/// All that is to be said where a file has errors; without the notices where `quiet`.
Error errors_in(Diagnostics diagnostics, bool quiet) {
  if (quiet) std::erase_if(diagnostics, [](const Diagnostic& d) { return d.level != DiagnosticLevel::error; });
  return Error::in_file(std::move(diagnostics));
}

/// The units that the command line asks for; they come before those of the file.
std::optional<UnitSystem> units_of(const CommonOptions& options) {
  if (!options.units) return {};
  return *options.units == "us" ? UnitSystem::us : UnitSystem::si;
}

Outcome<LoadedSite> parsed(std::string text, const std::string& file, const SubstanceTable& substances,
                           const CommonOptions& options, Diagnostics notices = {}) {
  SiteReading reading = parse_site(text, file, substances, units_of(options));
  reading.diagnostics.insert(reading.diagnostics.end(), notices.begin(), notices.end());
  if (reading.usable() == nullptr) return errors_in(std::move(reading.diagnostics), options.quiet);
  show(reading.diagnostics, options.quiet);
  return LoadedSite{std::get<Site>(std::move(reading.site)), std::move(reading.diagnostics), std::move(text)};
}

}  // namespace

std::vector<std::string> files_of(const std::optional<std::string>& file) {
  if (file) return {*file};
  return {};
}

Error unknown_substance(const SubstanceTable& table, const std::string& id) {
  const std::string near = table.nearest(id);
  return Error::usage(fmt::format("there is no substance '{}'{} `leanside substances` lists all", id,
                                  near.empty() ? "." : fmt::format("; did you mean '{}'?", near)));
}

Outcome<std::string> load_text(const std::string& path) {
  auto read = read_text_file(path);
  if (auto* fault = std::get_if<Diagnostic>(&read)) return Error::in_file({std::move(*fault)});
  return std::get<std::string>(std::move(read));
}

Outcome<SubstanceTable> load_substances(const CommonOptions& options) {
  if (!options.substances) return built_in_substances();
  const auto text = load_text(*options.substances);
  if (!text) return text.error();
  return parse_added_substances(*text, *options.substances);
}

Outcome<SubstanceTable> parse_added_substances(const std::string& text, const std::string& file) {
  if (file.empty()) return built_in_substances();
  auto read = parse_substances(text, file);
  if (auto* fault = std::get_if<Fault>(&read)) return errors_in(std::move(fault->diagnostics), true);
  return merged(built_in_substances(), std::get<SubstanceTable>(read));
}

Outcome<LoadedSite> load_site(const CommonOptions& options, const std::optional<std::string>& file) {
  const auto substances = load_substances(options);
  if (!substances) return substances.error();
  if (file) {
    auto text = load_text(*file);
    if (!text) return text.error();
    return parsed(std::move(*text), *file, *substances, options);
  }
  Diagnostic notice;
  notice.level = DiagnosticLevel::notice;
  notice.message =
      "no file was named, so this is the built-in example, an invented place; for your own: leanside check FILE";
  return parsed(std::string{built_in_site()}, "built-in example", *substances, options, {notice});
}

Outcome<LoadedRanges> load_ranges(const CommonOptions& options, const std::string& file) {
  auto substances = load_substances(options);
  if (!substances) return substances.error();
  auto text = load_text(file);
  if (!text) return text.error();
  return parse_ranges(std::move(*text), file, std::move(*substances), options);
}

Outcome<LoadedRanges> parse_ranges(std::string text, const std::string& file, SubstanceTable substances,
                                   const CommonOptions& options, UsualRanges usual) {
  auto table = std::make_unique<SubstanceTable>(std::move(substances));
  RangedReading reading = parse_ranged_site(text, file, *table, usual, units_of(options));
  if (!reading.site) return errors_in(std::move(reading.diagnostics), options.quiet);
  show(reading.diagnostics, options.quiet);
  return LoadedRanges{std::move(table), std::move(*reading.site), std::move(text)};
}

}  // namespace leanside::cli
