// SPDX-License-Identifier: Apache-2.0
/// Random sites solved twice: by leanside from their text, and by a second solver that was written from docs/ alone.
/// SECOND_OPINION_SITES=N compares N sites per group, SECOND_OPINION_SEED=S starts with another seed,
/// SECOND_OPINION_PRINT=1 prints every site before it is solved. Without either, each run also draws fresh sites.
#include <algorithm>
#include <cstdlib>
#include <random>
#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "second_opinion/compare.hpp"
#include "second_opinion/generator.hpp"

namespace second_opinion {
namespace {

std::uint64_t from_environment(const char* name, std::uint64_t otherwise) {
  const char* text = std::getenv(name);
  return text == nullptr ? otherwise : std::strtoull(text, nullptr, 10);
}

/// With floors so large that what leaks by assumption starves no fan.
Site with_ample_floors(Site site) {
  for (Space& space : site.spaces) {
    if (space.kind != Kind::junction) space.floor_area = {1e6, "1e6 m2"};
  }
  return site;
}

/// What became of some sites.
struct Tally {
  std::size_t count = 0, solved = 0, refused = 0, beyond = 0, values = 0, wrong = 0, layered = 0, mixed = 0;
  double worst = 0.0, worst_wrong = -1.0;
  std::string report, worst_text;
};

void add(Tally& tally, std::uint64_t seed, const Site& site, const Comparison& c) {
  ++tally.count;
  tally.values += c.values;
  tally.layered += c.layered;
  tally.mixed += c.mixed;
  tally.worst = std::max(tally.worst, c.worst);
  ++(!c.beyond.empty() ? tally.beyond : !c.fault.empty() ? tally.refused : tally.solved);
  if (c.disagreements.empty()) return;
  if (++tally.wrong <= 10) {
    tally.report +=
        fmt::format("\nsite {}: {} disagreements, first: {}", seed, c.disagreements.size(), c.disagreements[0]);
  }
  if (c.worst <= tally.worst_wrong) return;
  tally.worst_wrong = c.worst;
  tally.worst_text = fmt::format("site {}:\n{}", seed, text_of(site));
  for (const std::string& d : c.disagreements) tally.worst_text += "# " + d + "\n";
}

/// Compares `count` sites from `seed` on, each within `cpu_seconds`.
Tally compare_from(const Recipe& recipe, std::uint64_t seed, std::size_t count, const Allowed& allowed,
                   unsigned cpu_seconds) {
  Tally tally;
  for (std::uint64_t s = seed; s < seed + count; ++s) {
    // On starved fans whose surroundings vary all the time the second solver takes too long.
    const Site site = recipe.varying ? with_ample_floors(make_site(s, recipe)) : make_site(s, recipe);
    if (std::getenv("SECOND_OPINION_PRINT") != nullptr) fmt::print("{}\n", text_of(site));
    add(tally, s, site, compare_within(site, allowed, cpu_seconds));
  }
  fmt::print(
      "{} sites solved, {} refused by both, {} without an answer of the second solver; {} values compared, the largest "
      "difference is {:.3g} of its tolerance\n",
      tally.solved, tally.refused, tally.beyond, tally.values, tally.worst);
  if (tally.layered + tally.mixed > 0) {
    fmt::print("layered rooms: {} computed as layered, {} broken up\n", tally.layered, tally.mixed);
  }
  return tally;
}

void expect_agreement(const Tally& tally, double may_differ) {
  EXPECT_LE(static_cast<double>(tally.wrong), may_differ * static_cast<double>(tally.count))
      << tally.wrong << " sites disagree" << tally.report << "\nWorst site: " << tally.worst_text;
}

/// Sites that nobody has seen yet, drawn anew in each run.
struct Fresh {
  std::size_t count = 0;
  /// Times the tolerance of the fixed sites: liquids and varying rates are known to differ by up to 1.02 of it on
  /// others. Recipes with solved pressures or layers differ on one further site in ten (docs/validation.md): none.
  double slack = 1.0;
};

/// A seed that no run had before; it is printed, and SECOND_OPINION_SEED repeats it.
std::uint64_t fresh_seed() {
  std::random_device draw;
  return (std::uint64_t{1} << 40) + (std::uint64_t{draw()} << 16);
}

Allowed times(Allowed allowed, double slack) {
  for (double* value : {&allowed.relative, &allowed.fraction, &allowed.time, &allowed.slip, &allowed.edge,
                        &allowed.oxygen, &allowed.peak}) {
    *value *= slack;
  }
  return allowed;
}

/// Compares `count` fixed sites, of which at most the share `may_differ` may disagree, and `fresh` ones. Reports the
/// first ten that disagree, and the text of the worst one.
void compare_sites(const Recipe& recipe, std::uint64_t seed, std::size_t count, const Allowed& allowed,
                   const Fresh& fresh, double may_differ = 0.0) {
  constexpr unsigned fixed_seconds = 120, fresh_seconds = 10;  // of one site
  const bool chosen = std::getenv("SECOND_OPINION_SEED") != nullptr || std::getenv("SECOND_OPINION_SITES") != nullptr;
  seed = from_environment("SECOND_OPINION_SEED", seed);
  count = from_environment("SECOND_OPINION_SITES", count);
  const Tally fixed = compare_from(recipe, seed, count, allowed, fixed_seconds);
  expect_agreement(fixed, may_differ);
  if (chosen) return;
  EXPECT_GT(fixed.solved, count / 2);
  EXPECT_LE(static_cast<double>(fixed.beyond), 0.05 * static_cast<double>(count));
  if (fresh.count == 0) return;
  const std::uint64_t drawn = fresh_seed();
  fmt::print("fresh sites: SECOND_OPINION_SEED={} SECOND_OPINION_SITES={}, {} times the tolerance\n", drawn,
             fresh.count, fresh.slack);
  const Tally tally = compare_from(recipe, drawn, fresh.count, times(allowed, fresh.slack), fresh_seconds);
  expect_agreement(tally, 0.0);
}

TEST(SecondOpinion, AgreesOnPrescribedFlowsAndConstantReleases) { compare_sites({}, 1, 400, {}, {20}); }

TEST(SecondOpinion, AgreesOnWarmedRoomsAndOpenedVessels) {
  Recipe recipe;
  recipe.temperatures = true;
  compare_sites(recipe, 20001, 100, {}, {8});
}

TEST(SecondOpinion, AgreesOnVaryingRates) {
  Recipe recipe;
  recipe.varying = true;
  recipe.most_spaces = 5;
  recipe.widest = 1e5;
  Allowed allowed;
  allowed.relative = 2e-6;  // one value of 23,000 differs by more than 1e-6
  compare_sites(recipe, 10001, 25, allowed, {1, 10.0});
}

TEST(SecondOpinion, AgreesOnLiquidsAndLiquefiedGases) {
  Recipe recipe;
  recipe.varying = recipe.liquids = true;
  recipe.most_spaces = 4;
  recipe.widest = 1e5;
  Allowed allowed;
  allowed.relative = 2e-6;  // as for other varying rates
  compare_sites(recipe, 90001, 25, allowed, {1, 10.0});
}

TEST(SecondOpinion, AgreesOnSolvedPressures) {
  Recipe recipe;
  recipe.pressures = true;
  recipe.vessels = false;
  recipe.most_spaces = 3;
  recipe.widest = 1e3;
  Allowed allowed;
  allowed.relative = 1e-6;
  compare_sites(recipe, 30001, 15, allowed, {});
}

TEST(SecondOpinion, AgreesOnOpeningsJunctionsAndVesselsWithSolvedPressures) {
  Recipe recipe;
  recipe.pressures = recipe.joined = true;
  recipe.most_spaces = 4;
  recipe.widest = 1e3;
  Allowed allowed;
  allowed.relative = 1e-6;
  allowed.oxygen = 1e-6;  // where almost no oxygen is left, the error of the other gases counts
  compare_sites(recipe, 80001, 15, allowed, {});
}

TEST(SecondOpinion, AgreesOnFanCurves) {
  Recipe recipe;
  recipe.pressures = recipe.curves = true;
  recipe.vessels = false;
  recipe.most_spaces = 3;
  recipe.widest = 1e3;
  Allowed allowed;
  // The largest difference is 8e-6, or 5e-6 with finer steps of leanside. We do not know the cause.
  allowed.relative = 1e-5;
  compare_sites(recipe, 60007, 14, allowed, {});
}

/// leanside steps across the breakpoints at which an interface reaches an opening or a release. The largest differences
/// are there.
Allowed for_layers() {
  Allowed allowed;
  allowed.relative = 1e-5;
  allowed.fraction = 2e-11;
  allowed.time = allowed.slip = 5e-6;
  allowed.edge = 2e-6;
  allowed.oxygen = 1e-6;
  allowed.peak = 5e-8;
  return allowed;
}

// Two sites of each do not agree (docs/validation.md).
TEST(SecondOpinion, AgreesOnLayeredRooms) {
  Recipe recipe;
  recipe.layers = true;
  recipe.most_spaces = 3;
  compare_sites(recipe, 40001, 30, for_layers(), {}, 0.07);
}

TEST(SecondOpinion, AgreesOnLayeredRoomsWithSolvedPressures) {
  Recipe recipe;
  recipe.layers = recipe.pressures = true;
  recipe.most_spaces = 2;
  Allowed allowed = for_layers();
  allowed.time = allowed.slip = 2e-5;
  allowed.edge = 5e-6;
  compare_sites(recipe, 50001, 13, allowed, {}, 0.16);
}

}  // namespace
}  // namespace second_opinion
