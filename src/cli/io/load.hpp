// SPDX-License-Identifier: Apache-2.0
/// The files that a command reads.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "cli/io/console.hpp"
#include "leanside/site_file.hpp"

namespace leanside::cli {

/// The file named by the user, where one is named: for Answer::open.
std::vector<std::string> files_of(const std::optional<std::string>& file);

/// The error where the table has no substance or mixture `id`; it names the nearest one.
Error unknown_substance(const SubstanceTable& table, const std::string& id);

/// The bytes of a file.
Outcome<std::string> load_text(const std::string& path);

/// The built-in table and what the file named by --substances adds to it.
Outcome<SubstanceTable> load_substances(const CommonOptions& options);
/// The same from the text of such a file; the built-in table alone where `file` is empty.
Outcome<SubstanceTable> parse_added_substances(const std::string& text, const std::string& file);

struct LoadedSite {
  Site site;
  Diagnostics notices;
  std::string text;  ///< of the site file
};

/// Reads the site, or the built-in example where no file is named, and shows its notices.
Outcome<LoadedSite> load_site(const CommonOptions& options, const std::optional<std::string>& file);

struct LoadedRanges {
  std::unique_ptr<SubstanceTable> substances;  ///< the site refers to it
  RangedSite site;
  std::string text;  ///< of the site file
};

/// Reads a site whose ranges are to be drawn from, and shows its notices.
Outcome<LoadedRanges> load_ranges(const CommonOptions& options, const std::string& file);
/// The same from a text, with a table of substances.
Outcome<LoadedRanges> parse_ranges(std::string text, const std::string& file, SubstanceTable substances,
                                   const CommonOptions& options, UsualRanges usual = UsualRanges::where_none_is_given);

}  // namespace leanside::cli
