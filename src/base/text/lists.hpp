// SPDX-License-Identifier: Apache-2.0
/// Several things in a sentence.
#pragma once

#include <cstddef>
#include <span>
#include <string>
#include <string_view>

namespace leanside {

/// "a", "a and b", "a, b and c"; `last` stands before the last word.
std::string listed(std::span<const std::string> words, std::string_view last = " and ");
std::string listed(std::span<const std::string_view> words, std::string_view last = " and ");

/// "3 spaces", "1 space".
std::string count_of(std::size_t n, std::string_view one);

}  // namespace leanside
