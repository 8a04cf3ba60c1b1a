// SPDX-License-Identifier: Apache-2.0
#include <cstdio>
#include <variant>

#include <leanside/leanside.hpp>

int main() {
  const auto reading = leanside::parse_site(leanside::built_in_site(), "example", leanside::built_in_substances());
  const leanside::Site* site = reading.usable();
  if (site == nullptr) return 1;
  const auto outcome = leanside::assess(*site);
  const auto* assessment = std::get_if<leanside::Assessment>(&outcome);
  if (assessment == nullptr) return 1;
  std::printf("The installed library finds %zu warnings in its example.\n", assessment->warnings.size());
  return assessment->warnings.empty() ? 1 : 0;
}
