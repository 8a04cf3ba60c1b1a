# SPDX-License-Identifier: Apache-2.0
# Writes OUTPUT, a C++ source with the bytes of INPUT: leanside::embedded::SYMBOL, a std::string_view.
file(READ "${INPUT}" bytes HEX)
string(REGEX REPLACE "([0-9a-f][0-9a-f])" "0x\\1," bytes "${bytes}")
string(REGEX REPLACE "((0x..,){24})" "\\1\n    " bytes "${bytes}")
file(WRITE "${OUTPUT}"
"#include <string_view>
namespace leanside::embedded {
namespace {
constexpr unsigned char bytes[] = {
    ${bytes}0x00};
}
extern const std::string_view ${SYMBOL};
const std::string_view ${SYMBOL}{reinterpret_cast<const char*>(bytes), sizeof(bytes) - 1};
}  // namespace leanside::embedded
")
