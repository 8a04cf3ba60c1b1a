// SPDX-License-Identifier: Apache-2.0
#include "leanside/site_file.hpp"

#include <fmt/format.h>

#include "embedded.hpp"
#include "input/site_draft.hpp"

namespace leanside {
namespace input {
namespace {

constexpr std::string_view lists[] = {"space", "airway", "release", "gas", "case", "event"};

void read_top(const TableReader& file, Draft& draft) {
  constexpr std::string_view keys[] = {"title",  "notes",   "conditions", "criteria", "space",
                                       "airway", "release", "gas",        "case",     "event"};
  file.refuse_unknown(keys);
  if (!file.has("title")) {
    if (!draft.faults.damaged() && !draft.faults.was_offered(&file.table(), "title")) {
      draft.faults.error({1, 1}, "the file has no 'title'; write at its top, for example, title = \"Prep room\"");
    }
  } else if (auto title = file.text("title")) {
    if (title->find_first_not_of(" \t\r\n") == std::string::npos) file.value_error("title", "is empty");
    draft.site.title = std::move(*title);
  }
  draft.site.notes = file.text("notes").value_or("");
}

Site read_parts(const toml::table& root, const SubstanceTable& substances, Faults& faults) {
  Draft draft{faults, substances};
  draft.site.file = faults.file();
  const TableReader file{root, {}, {}, faults};
  read_top(file, draft);
  read_conditions(file, draft);
  read_criteria(file, draft);
  read_gases(file, draft);
  read_spaces(file, draft);
  read_airways(file, draft);
  read_releases(file, draft);
  read_cases(file, draft);
  check_junctions(draft);
  if (!faults.any_error()) state_assumptions(draft);
  return std::move(draft.site);
}

}  // namespace
}  // namespace input

SiteReading parse_site(std::string_view text, const std::string& file_name, const SubstanceTable& substances) {
  input::Faults faults{file_name};
  SiteReading reading{std::monostate{}, {}};
  if (text.size() > largest_input_file) {
    faults.error({}, fmt::format("the text is larger than {} MB", largest_input_file >> 20));
  } else if (const auto root = input::parse_toml(text, faults, input::lists)) {
    auto site = input::read_parts(*root, substances, faults);
    if (!faults.any_error()) reading.site = std::move(site);
  }
  reading.diagnostics = faults.take();
  return reading;
}

SiteReading read_site(const std::string& path, const SubstanceTable& substances) {
  const auto text = read_text_file(path);
  if (const auto* fault = std::get_if<Diagnostic>(&text)) return {std::monostate{}, {*fault}};
  return parse_site(std::get<std::string>(text), path, substances);
}

std::string_view built_in_site() { return embedded::school_prep_room; }

}  // namespace leanside
