// SPDX-License-Identifier: Apache-2.0
#include "input/substances/substance_keys.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include <fmt/format.h>

namespace leanside::input {
namespace {

/// Keys of a [[gas]] of a site file, and those that say the same here.
constexpr std::array<std::pair<std::string_view, std::string_view>, 4> keys_of_site_files{
    {{"lfl", "limits_pct"}, {"ufl", "limits_pct"}, {"loc", "limiting_oxygen_pct"}, {"parts", "parts_pct"}}};

/// The known key that a key stands for although its letters are far off; empty where there is none.
std::string_view meant_key(std::string_view key, std::span<const std::string_view> known) {
  for (const auto& [theirs, ours] : keys_of_site_files) {
    if (key == theirs && std::ranges::find(known, ours) != known.end()) return ours;
  }
  const auto lacks_unit = [&](std::string_view k) {
    return k.starts_with(key) && k.substr(key.size()).starts_with('_');
  };
  const auto at = std::ranges::find_if(known, lacks_unit);
  return at == known.end() ? std::string_view{} : *at;
}

bool all_digits(std::string_view text) {
  return !text.empty() && std::ranges::all_of(text, [](char c) { return c >= '0' && c <= '9'; });
}

}  // namespace

std::span<const std::string_view> substance_keys() {
  static constexpr auto keys = [] {
    constexpr std::array<std::string_view, 12> others{"id",
                                                      "name",
                                                      "synonyms",
                                                      "formula",
                                                      "cas",
                                                      "source",
                                                      "classification",
                                                      limit_key.name,
                                                      "antoine",
                                                      "vapour_pressure",
                                                      "vaporisation",
                                                      "saturated_density"};
    std::array<std::string_view, others.size() + 1 + value_keys.size()> out{};
    auto at = std::ranges::copy(others, out.begin()).out;
    *at++ = molar_mass_key.name;
    for (const auto& key : value_keys) *at++ = key.name;
    return out;
  }();
  return keys;
}

void refuse_unknown_keys(const TableReader& reader, std::span<const std::string_view> known) {
  for (const auto& [key, value] : reader.table()) {
    if (std::ranges::find(known, key.str()) != known.end()) continue;
    const auto meant = meant_key(key.str(), known);
    const auto hint =
        meant.empty() ? reader.faults().did_you_mean(key.str(), std::vector<std::string>{known.begin(), known.end()})
                      : fmt::format("; did you mean {}?", shown(meant));
    reader.error(location_of(key),
                 fmt::format("unknown key {}{} (the keys are {})", shown(key.str()), hint, listed(known)));
  }
}

std::string cas_fault(std::string_view cas) {
  const auto first = cas.find('-');
  const auto last = cas.rfind('-');
  const bool formed = first != std::string_view::npos && last == first + 3 && last + 2 == cas.size() && first >= 2 &&
                      first <= 7 && all_digits(cas.substr(0, first)) && all_digits(cas.substr(first + 1, 2)) &&
                      all_digits(cas.substr(last + 1));
  if (!formed) return fmt::format("found {}; a CAS registry number is written like 74-82-8", shown(cas));
  int sum = 0;
  int weight = 0;
  for (auto at = last; at-- > 0;) {
    if (cas[at] != '-') sum += ++weight * (cas[at] - '0');
  }
  if (sum % 10 == cas.back() - '0') return {};
  return fmt::format("{} has a wrong check digit (its last digit would be {}); compare it with the label", shown(cas),
                     sum % 10);
}

}  // namespace leanside::input
