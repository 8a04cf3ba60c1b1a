// SPDX-License-Identifier: Apache-2.0
/// Text that goes into HTML and SVG. Everything that is not written in the source passes through text().
#pragma once

#include <string>
#include <string_view>

namespace leanside::report::html {

/// `raw` cleaned by plain_text() and with &, <, >, " and ' escaped: shown as text in an element or a quoted attribute.
std::string text(std::string_view raw);

/// The same with the first letter, where it is a to z, as a capital.
std::string sentence(std::string_view raw);

/// A coordinate with at most one decimal.
std::string number(double value);

/// "WORD", in capitals.
std::string capitals(std::string_view word);

}  // namespace leanside::report::html
