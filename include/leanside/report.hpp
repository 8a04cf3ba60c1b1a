// SPDX-License-Identifier: Apache-2.0
/// Results as text, JSON and CSV. Solves nothing.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "leanside/hazard.hpp"
#include "leanside/site.hpp"
#include "leanside/substance.hpp"

namespace leanside {

namespace hazard {
struct MixtureModels;
}

/// The version, from one place (CMakeLists.txt).
std::string_view version();

/// The caution that every output carries.
std::string_view caution();

struct TextStyle {
  std::size_t width = 100;  ///< columns
  bool colour = false;
  bool unicode = true;
};

/// `text` as one line that a terminal shows and does not obey: control characters, directional overrides and invisible
/// marks become blanks, bytes that are no UTF-8 become '?'. For every text that a user wrote.
std::string plain_text(std::string_view text);

/// Ranked warnings, table of spaces, assumptions, caution: the answer for people.
std::string text_report(const Site& site, const Assessment& assessment, const Diagnostics& notices,
                        const TextStyle& style);

/// The answer for programs (docs/results.md). Every number reads back exactly; not-a-number never appears.
std::string json_report(const Site& site, const Assessment& assessment, const Diagnostics& notices);

/// One row a case and space.
std::string csv_report(const Site& site, const Assessment& assessment);

/// The course in time as CSV: `case,time_s,space,gas,fraction`, a row for each tracked gas, one for `oxygen` and one
/// for `lfl_fraction` (docs/results.md). Refers to the site, which must outlive it.
class SeriesTable {
 public:
  explicit SeriesTable(const Site& site);
  static std::string_view header();
  /// Appends to `out` the rows of all spaces at `time` s; `fractions` has a column a tracked gas.
  void append(std::string& out, CaseIndex which, double time, const FractionField& fractions);

 private:
  const Site* site_;
  std::optional<CaseIndex> case_;                        ///< the case of models_
  std::shared_ptr<const hazard::MixtureModels> models_;  ///< what the fractions mean in each space
};

/// One sentence a person can act on, and what would help.
std::string summary_sentence(const Site& site, const Warning& warning);
std::string remedy_sentence(const Site& site, const Warning& warning);

/// The card of a substance: limits by source, stoichiometric fraction, density against air, sources.
std::string substance_card(const Substance& substance, const TextStyle& style);
std::string mixture_card(const Mixture& mixture, const SubstanceTable& table, const TextStyle& style);

/// All substances and mixtures, a line each, with the cautious pair of limits.
std::string substance_list(const SubstanceTable& table, const TextStyle& style);

/// The same for programs, SI units.
std::string substance_json(const Substance& substance);
std::string mixture_json(const Mixture& mixture);
std::string substance_list_json(const SubstanceTable& table);

}  // namespace leanside
