// SPDX-License-Identifier: Apache-2.0
/// The lines that people act on: verdict, findings, what could not be judged, what matters most of what was assumed.
#pragma once

#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/diagnostic.hpp"
#include "leanside/site.hpp"
#include "report/text/text_page.hpp"
#include "report/words/findings.hpp"

namespace leanside::report {

/// At most about `first_screen_lines` lines at 100 columns, however much there is to tell; the caution is not in it.
inline constexpr std::size_t first_screen_lines = 40;

/// The same as plain sentences, none left out.
struct FirstScreenWords {
  std::string verdict;
  std::vector<FindingWords> findings;    ///< in the order of Assessment::findings
  std::vector<std::string> look_at;      ///< fans that get too little air, then flows to look at
  std::vector<std::string> not_judged;   ///< or below a warning
  std::vector<std::string> assumptions;  ///< what matters most first
};
FirstScreenWords first_screen_words(const Site& site, const Assessment& assessment);

/// What stands around the first screen.
struct Around {
  bool everything = false;  ///< what rests on it, and the assumptions, follow below: --full
  bool large = false;       ///< the site is too large for everything to be listed in text
};

void put_first_screen(TextPage& page, const Site& site, const Assessment& assessment, const Diagnostics& notices,
                      const Around& around);

}  // namespace leanside::report
