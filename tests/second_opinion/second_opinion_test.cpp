// SPDX-License-Identifier: Apache-2.0
/// Random sites solved twice: by leanside from their text, and by a second solver that was written from docs/ alone.
/// SECOND_OPINION_SITES=N compares N sites per group, SECOND_OPINION_SEED=S starts with another seed,
/// SECOND_OPINION_PRINT=1 prints every site before it is solved.
#include <cstdlib>

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

/// Compares `count` sites, of which at most the share `may_differ` may disagree. Reports the first ten that disagree,
/// and the text of the worst one.
void compare_sites(const Recipe& recipe, std::uint64_t seed, std::size_t count, const Allowed& allowed,
                   double may_differ = 0.0) {
  seed = from_environment("SECOND_OPINION_SEED", seed);
  count = from_environment("SECOND_OPINION_SITES", count);
  std::size_t solved = 0, refused = 0, beyond = 0, values = 0, wrong = 0, layered = 0, mixed = 0;
  double worst = 0, worst_wrong = -1;
  std::string report, worst_text;
  for (std::uint64_t s = seed; s < seed + count; ++s) {
    // On starved fans whose surroundings vary all the time the second solver takes too long.
    const Site site = recipe.varying ? with_ample_floors(make_site(s, recipe)) : make_site(s, recipe);
    if (std::getenv("SECOND_OPINION_PRINT") != nullptr) fmt::print("{}\n", text_of(site));
    const Comparison c = compare(site, allowed);
    values += c.values;
    layered += c.layered;
    mixed += c.mixed;
    worst = std::max(worst, c.worst);
    ++(!c.beyond.empty() ? beyond : !c.fault.empty() ? refused : solved);
    if (c.disagreements.empty()) continue;
    if (++wrong <= 10)
      report += fmt::format("\nsite {}: {} disagreements, first: {}", s, c.disagreements.size(), c.disagreements[0]);
    if (c.worst <= worst_wrong) continue;
    worst_wrong = c.worst;
    worst_text = fmt::format("site {}:\n{}", s, text_of(site));
    for (const std::string& d : c.disagreements) worst_text += "# " + d + "\n";
  }
  fmt::print(
      "{} sites solved, {} refused by both, {} without an answer of the second solver; {} values compared, the largest "
      "difference is {:.3g} of its tolerance\n",
      solved, refused, beyond, values, worst);
  if (layered + mixed > 0) fmt::print("layered rooms: {} computed as layered, {} broken up\n", layered, mixed);
  EXPECT_LE(static_cast<double>(wrong), may_differ * static_cast<double>(count))
      << wrong << " sites disagree" << report << "\nWorst site: " << worst_text;
  EXPECT_GT(solved, count / 2);
}

TEST(SecondOpinion, AgreesOnPrescribedFlowsAndConstantReleases) { compare_sites({}, 1, 400, {}); }

TEST(SecondOpinion, AgreesOnWarmedRoomsAndOpenedVessels) {
  Recipe recipe;
  recipe.temperatures = true;
  compare_sites(recipe, 20001, 100, {});
}

TEST(SecondOpinion, AgreesOnVaryingRates) {
  Recipe recipe;
  recipe.varying = true;
  recipe.most_spaces = 5;
  recipe.widest = 1e5;
  Allowed allowed;
  allowed.relative = 2e-6;  // one value of 23,000 differs by more than 1e-6
  compare_sites(recipe, 10001, 25, allowed);
}

TEST(SecondOpinion, AgreesOnLiquidsAndLiquefiedGases) {
  Recipe recipe;
  recipe.varying = recipe.liquids = true;
  recipe.most_spaces = 4;
  recipe.widest = 1e5;
  Allowed allowed;
  allowed.relative = 2e-6;  // as for other varying rates
  compare_sites(recipe, 90001, 25, allowed);
}

TEST(SecondOpinion, AgreesOnSolvedPressures) {
  Recipe recipe;
  recipe.pressures = true;
  recipe.vessels = false;
  recipe.most_spaces = 3;
  recipe.widest = 1e3;
  Allowed allowed;
  allowed.relative = 1e-6;
  compare_sites(recipe, 30001, 15, allowed);
}

TEST(SecondOpinion, AgreesOnOpeningsJunctionsAndVesselsWithSolvedPressures) {
  Recipe recipe;
  recipe.pressures = recipe.joined = true;
  recipe.most_spaces = 4;
  recipe.widest = 1e3;
  Allowed allowed;
  allowed.relative = 1e-6;
  allowed.oxygen = 1e-6;  // where almost no oxygen is left, the error of the other gases counts
  compare_sites(recipe, 80001, 15, allowed);
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
  compare_sites(recipe, 60007, 14, allowed);
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
  compare_sites(recipe, 40001, 30, for_layers(), 0.07);
}

TEST(SecondOpinion, AgreesOnLayeredRoomsWithSolvedPressures) {
  Recipe recipe;
  recipe.layers = recipe.pressures = true;
  recipe.most_spaces = 2;
  Allowed allowed = for_layers();
  allowed.time = allowed.slip = 2e-5;
  allowed.edge = 5e-6;
  compare_sites(recipe, 50001, 13, allowed, 0.16);
}

}  // namespace
}  // namespace second_opinion
