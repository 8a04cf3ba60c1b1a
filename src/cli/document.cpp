// SPDX-License-Identifier: Apache-2.0
#include "cli/document.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>
#include <unistd.h>

#include "leanside/site_file.hpp"

namespace leanside::cli {
namespace {

/// Whether the output is one of the files that are read; that has then been told.
bool would_overwrite(const std::optional<std::string>& output, const std::vector<std::string>& inputs) {
  if (!output) return false;
  for (const std::string& input : inputs) {
    if (!same_file(*output, input)) continue;
    complain(fmt::format("--output would overwrite '{}', which is read", input));
    return true;
  }
  return false;
}

/// In quotes where a shell would take it apart.
std::string typed(const std::string& word) {
  constexpr std::string_view plain = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_./:=@%+,";
  if (!word.empty() && word.find_first_not_of(plain) == std::string::npos) return word;
  std::string out = "'";
  for (const char c : word) out += c == '\'' ? std::string{"'\\''"} : std::string(1, c);
  return out + "'";
}

}  // namespace

void add_document_options(CLI::App& command, DocumentOptions& options) {
  command.add_option("FILE", options.file, "Site file; without one, the built-in example is taken");
  command.add_option("-o,--output", options.output, "Write to this file instead of standard output")->type_name("FILE");
  command.add_option("--substances", options.substances, "File of substances that adds to the built-in ones")
      ->type_name("FILE");
  command.add_flag("--quiet", options.quiet, "Write nothing but the result and errors");
  command.set_version_flag("--version", fmt::format("leanside {}", version()), "Show the version and leave");
}

std::optional<LoadedSite> load(const DocumentOptions& options, const std::string& command) {
  std::vector<std::string> inputs;
  for (const auto* input : {&options.file, &options.substances}) {
    if (*input) inputs.push_back(**input);
  }
  if (would_overwrite(options.output, inputs)) return {};
  CommonOptions common;
  common.substances = options.substances;
  const auto substances = substances_for(common);
  if (!substances) return {};
  std::variant<std::string, Diagnostic> text = std::string{built_in_site()};
  if (options.file) text = read_text_file(*options.file);
  if (const auto* fault = std::get_if<Diagnostic>(&text)) {
    show({*fault}, options.quiet);
    return {};
  }
  const std::string& bytes = std::get<std::string>(text);
  SiteReading reading = parse_site(bytes, options.file.value_or("built-in example"), *substances);
  show(reading.diagnostics, options.quiet);
  if (reading.usable() == nullptr) return {};
  LoadedSite out{std::get<Site>(std::move(reading.site)), std::move(reading.diagnostics), {}};
  if (!options.quiet) tell_of_ranges(out.site.ranges, out.site.file);
  out.run.file_digest = sha256(bytes);
  out.run.command = command;
  if (options.file) out.run.command += " " + typed(*options.file);
  if (options.substances) {
    out.run.command += " --substances " + typed(*options.substances);
    out.run.substances_file = *options.substances;
    const auto read = read_text_file(*options.substances);
    if (const auto* of_substances = std::get_if<std::string>(&read)) out.run.substances_digest = sha256(*of_substances);
  }
  return out;
}

std::optional<CaseIndex> case_named(const Site& site, const std::string& id) {
  std::vector<std::string> known;
  for (std::size_t i = 0; i < site.cases.size(); ++i) {
    if (site.cases[i].id == id) return CaseIndex{i};
    known.push_back(site.cases[i].id);
  }
  const std::string near = nearest_name(id, known);
  std::string all;
  constexpr std::size_t most_named = 20;
  for (std::size_t i = 0; i < std::min(known.size(), most_named); ++i) all += (i > 0 ? ", " : "") + known[i];
  if (known.size() > most_named) all += ", ...";
  complain(fmt::format("--case: there is no case '{}'{} The cases are: {}", id,
                       near.empty() ? "." : fmt::format("; did you mean '{}'?", near), all));
  return {};
}

std::optional<Document> Document::open(const DocumentOptions& options, bool for_people) {
  if (!options.output && !for_people && ::isatty(1) == 1) {
    complain("this is nothing to read on a terminal; name a file for it with -o FILE");
    return {};
  }
  return open(options.output, {});
}

std::optional<Document> Document::open(const std::optional<std::string>& output,
                                       const std::vector<std::string>& inputs) {
  Document out;
  if (!output) return out;
  if (would_overwrite(output, inputs)) return {};
  auto opened = PendingFile::open(*output);
  if (const auto* reason = std::get_if<std::string>(&opened)) {
    complain(*reason);
    return {};
  }
  out.file_.emplace(std::move(std::get<PendingFile>(opened)));
  return out;
}

bool Document::prepare(std::string_view text) {
  Failure failure = file_->write(text);
  if (!failure) failure = file_->finish();
  if (failure) complain(*failure);
  return !failure;
}

int Document::deliver(std::string_view text, int code) {
  Document none;
  return deliver_with(text, none, {}, code);
}

int Document::deliver_with(std::string_view text, Document& second, std::string_view second_text, int code) {
  if (file_ && !prepare(text)) return bad_input;
  if (second.file_ && !second.prepare(second_text)) return bad_input;
  PendingFile* const files[] = {second.file_ ? &*second.file_ : nullptr, file_ ? &*file_ : nullptr};
  const Failure failure = publish_all(
      files, file_ ? std::function<Failure()>{} : [&] { return write_standard_output(text); });
  if (!failure) return code;
  complain(*failure);
  return bad_input;
}

int told(const SolveFault& fault, const std::string& file) {
  if (fault.bad_input) {
    complain(fmt::format("{}: {}", file, fault.message));
    return bad_input;
  }
  complain(fmt::format("{}: the computation failed, so there is no result: {}", file, fault.message));
  return failed_to_compute;
}

int code_of(const Assessment& assessment) { return calls_for_action(assessment) ? warnings_found : nothing_found; }

}  // namespace leanside::cli
