// SPDX-License-Identifier: Apache-2.0
#include "base/text/lists.hpp"

namespace leanside {
namespace {

template <class Word>
std::string joined(std::span<const Word> words, std::string_view last) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (i > 0) out += i + 1 == words.size() ? last : std::string_view{", "};
    out += words[i];
  }
  return out;
}

}  // namespace

std::string listed(std::span<const std::string> words, std::string_view last) { return joined(words, last); }
std::string listed(std::span<const std::string_view> words, std::string_view last) { return joined(words, last); }

std::string count_of(std::size_t n, std::string_view one) {
  return std::to_string(n).append(" ").append(one).append(n == 1 ? "" : "s");
}

}  // namespace leanside
