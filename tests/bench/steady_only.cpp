// SPDX-License-Identifier: Apache-2.0
// leanside_steady FILE: reads a site, solves its steady state, and prints how long each part took. It shows the time
// and memory of one process at sizes for which a transient run would take too long.
#include <chrono>
#include <cstdio>
#include <string>
#include <variant>

#include "leanside/leanside.hpp"

namespace {
double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}
}  // namespace

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fprintf(stderr, "usage: leanside_steady FILE\n");
    return 2;
  }
  auto start = std::chrono::steady_clock::now();
  const auto reading = leanside::read_site(argv[1], leanside::built_in_substances());
  const leanside::Site* site = reading.usable();
  if (!site) {
    for (const auto& diagnostic : reading.diagnostics) {
      std::fprintf(stderr, "%s\n", leanside::to_text(diagnostic).c_str());
    }
    return 2;
  }
  const double reading_time = seconds_since(start);
  start = std::chrono::steady_clock::now();
  const auto solved = leanside::solve_steady(*site, leanside::CaseIndex{0}, leanside::gas_tracers(*site));
  const double solving_time = seconds_since(start);
  const auto* result = std::get_if<leanside::SteadyFractions>(&solved);
  if (!result) {
    std::fprintf(stderr, "%s\n", std::get<leanside::Fault>(solved).message.c_str());
    return 3;
  }
  double sum = 0.0;  // so that the compiler keeps the work, and runs can be compared
  for (std::size_t i = 0; i < site->spaces.size(); ++i) {
    for (const double x : result->fractions.of(leanside::SpaceIndex{i})) sum += x;
  }
  std::printf("{\"spaces\": %zu, \"read_s\": %.6f, \"solve_s\": %.6f, \"sum\": %.15g}\n", site->spaces.size(),
              reading_time, solving_time, sum);
}
