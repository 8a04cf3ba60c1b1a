// SPDX-License-Identifier: Apache-2.0
#include "cli/io/page_file.hpp"

#ifdef LEANSIDE_PAGE_FILE
// The assembler reads the file: as an array in C++ it would take the compiler minutes.
__asm__(
    ".section .rodata\n"
    ".global leanside_page_begin\n"
    "leanside_page_begin:\n"
    ".incbin \"" LEANSIDE_PAGE_FILE
    "\"\n"
    ".global leanside_page_end\n"
    "leanside_page_end:\n"
    ".byte 0\n"
    ".text\n");
extern "C" const char leanside_page_begin[];
extern "C" const char leanside_page_end[];
#endif

namespace leanside::cli {

std::optional<std::string_view> page_file() {
#ifdef LEANSIDE_PAGE_FILE
  return std::string_view{leanside_page_begin, leanside_page_end};
#else
  return {};
#endif
}

}  // namespace leanside::cli
