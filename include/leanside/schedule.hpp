// SPDX-License-Identifier: Apache-2.0
/// Schedules of rooms and airways, as tables of comma-separated values, to a site file.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "leanside/diagnostic.hpp"
#include "leanside/result.hpp"
#include "leanside/substance.hpp"

namespace leanside {

enum class DecimalMark { by_the_table, point, comma };

/// One table of a schedule: a line of headers, then a row each. Fields are separated by commas, semicolons or tabs and
/// may stand in quotes (RFC 4180).
struct ScheduleTable {
  std::string text;
  std::string file;  ///< for messages
};

struct ScheduleOptions {
  std::string title;  ///< of the site; empty: the name of the first file
  /// What "1,5" means. by_the_table: as the other numbers of that table show; a number that may be meant either way
  /// (1,200) is refused.
  DecimalMark decimal = DecimalMark::by_the_table;
};

struct ImportedSchedule {
  std::string site_file;  ///< TOML; a line for each space and airway
  std::size_t rooms = 0, airways = 0;
  /// What was left out, each with its file and line (level error), and what was read but not used (level notice).
  Diagnostics remarks;
};

/// The site file of a schedule. Rows that cannot be used are left out and listed; the rest is a site that reads without
/// error. A fault where nothing can be used: no header, no column of rooms.
/// `substances` is only needed to read the result back.
Result<ImportedSchedule> import_schedule(const ScheduleTable& rooms, const std::optional<ScheduleTable>& airways,
                                         const SubstanceTable& substances, const ScheduleOptions& options = {});

/// An empty schedule to fill in: its line of headers.
std::string rooms_template();
std::string airways_template();

}  // namespace leanside
