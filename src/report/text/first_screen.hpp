// SPDX-License-Identifier: Apache-2.0
/// The lines that people act on: verdict, findings, what could not be judged, what matters most of what was assumed.
#pragma once

#include "leanside/assess.hpp"
#include "leanside/diagnostic.hpp"
#include "leanside/site.hpp"
#include "report/text/text_page.hpp"

namespace leanside::report {

/// At most about `first_screen_lines` lines at 100 columns, however much there is to tell; the caution is not in it.
inline constexpr std::size_t first_screen_lines = 40;
void put_first_screen(TextPage& page, const Site& site, const Assessment& assessment, const Diagnostics& notices);

}  // namespace leanside::report
