// SPDX-License-Identifier: Apache-2.0
/// Sites in which things fail, and short ways to ask.
#pragma once

#include <string>
#include <utility>
#include <variant>

#include <gtest/gtest.h>

#include "bench/building.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study/failures.hpp"
#include "support/build_site.hpp"

namespace leanside::testing {

inline Site building(std::size_t rooms, std::uint64_t seed) {
  const SiteReading reading = parse_site(bench::building_text(rooms, seed), "building.toml", built_in_substances());
  EXPECT_NE(reading.usable(), nullptr);
  return *reading.usable();
}

inline std::string word(const Site& site, const Failure& f) {
  std::string out{word_of(f.kind)};
  if (f.airway) out += " " + site.airways[f.airway->value].id;
  if (f.space) out += " " + site.spaces[f.space->value].id;
  if (f.release) out += " " + site.releases[f.release->value].id;
  return out;
}

/// A store aired by one fan through one grille, an office with a window, and a release that is off.
inline SiteBuilder store() {
  SiteBuilder b;
  const GasIndex methane = b.methane();
  const SpaceIndex room = b.space("store", 12.0), office = b.space("office", 40.0);
  b.fan("extract", room, std::nullopt, 0.01);
  b.opening("grille", std::nullopt, room);
  b.exchange("window", office, std::nullopt, 0.01);
  b.steady("regulator", room, methane, 4.0 / 60000.0);
  const ReleaseIndex tap = b.steady("tap", office, methane, 4.0 / 60000.0);
  b.site.releases[tap.value].on = false;
  return b;
}

inline FailureStudy studied(const Site& site, const FailureOptions& options = {}) {
  auto outcome = study_failures(site, options);
  EXPECT_TRUE(std::holds_alternative<FailureStudy>(outcome));
  return std::get<FailureStudy>(std::move(outcome));
}

}  // namespace leanside::testing
