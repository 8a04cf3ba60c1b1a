// SPDX-License-Identifier: Apache-2.0
/// The function that libFuzzer calls with each input.
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "fuzz/targets.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size);

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  leanside::fuzz::LEANSIDE_FUZZ_TARGET(std::string_view{reinterpret_cast<const char*>(data), size});
  return 0;
}
