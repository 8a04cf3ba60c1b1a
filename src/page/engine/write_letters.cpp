// SPDX-License-Identifier: Apache-2.0
// Writes letters.inc of letters.cpp: runs of letters with the same properties, from utf8proc. Runs on the machine that
// builds the page.
#include <cstdio>

#include "base/text/utf8.hpp"

int main() {
  using namespace leanside::utf8;
  constexpr char32_t end = 0x110000;
  std::size_t columns = 0;
  bool hidden = false;
  for (char32_t code = 0; code < end; ++code) {
    const std::size_t columns_here = columns_of(code);
    const bool hidden_here = is_control_or_invisible(code);
    if (code > 0 && columns_here == columns && hidden_here == hidden) continue;
    columns = columns_here;
    hidden = hidden_here;
    std::printf("{0x%lX, %zu, %s},\n", static_cast<unsigned long>(code), columns, hidden ? "true" : "false");
  }
}
