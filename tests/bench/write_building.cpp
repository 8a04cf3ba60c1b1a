// SPDX-License-Identifier: Apache-2.0
// leanside_building ROOMS > building.toml: the site file of an invented building.
#include <cstdlib>
#include <iostream>

#include "bench/building.hpp"

int main(int argc, char** argv) {
  const long rooms = argc == 2 ? std::strtol(argv[1], nullptr, 10) : 0;
  if (rooms < 3 || rooms > 1'000'000) {
    std::cerr << "usage: leanside_building ROOMS > building.toml, with 3 to 1000000 rooms\n";
    return 2;
  }
  std::cout << bench::building_text(static_cast<std::size_t>(rooms));
  return std::cout.flush() ? 0 : 3;
}
