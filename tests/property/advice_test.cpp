// SPDX-License-Identifier: Apache-2.0
/// Advice on random site files of every kind, followed and checked again: it does what it says, and no other space
/// becomes worse (one that is too rich may come into the range). Other sites in each run: ADVICE_SEED=S repeats one,
/// ADVICE_SITES=N takes another number of each kind.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <map>
#include <optional>
#include <random>
#include <string>
#include <tuple>
#include <variant>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "second_opinion/generator.hpp"

namespace {

using namespace leanside;

std::uint64_t from_environment(const char* name, std::uint64_t otherwise) {
  const char* text = std::getenv(name);
  return text == nullptr ? otherwise : std::strtoull(text, nullptr, 10);
}

struct Tally {
  std::size_t sites = 0, aired = 0, vented = 0, opened = 0, stopped = 0, reduced = 0;
};

/// By case, space and subject: the worst severity above a note.
using Verdicts = std::map<std::tuple<std::size_t, std::size_t, Subject>, Severity>;

Verdicts verdicts_of(const Assessment& answer) {
  Verdicts out;
  for (const Warning& warning : answer.warnings) {
    if (warning.severity == Severity::note || warning.source || warning.storage) continue;
    const std::tuple key{warning.case_index.value, warning.space.value, subject_of(warning)};
    const auto [at, is_new] = out.emplace(key, warning.severity);
    if (!is_new) at->second = std::min(at->second, warning.severity);
  }
  return out;
}

Airway fan_of(const char* id, Side from, Side to, double flow) {
  Airway fan;
  fan.id = id;
  fan.kind = Fan{from, to, flow, {}};
  return fan;
}

Site aired(Site site, SpaceIndex space, double flow) {
  const double cooled = site.conditions.outside_temperature / site.spaces[space.value].temperature;
  site.airways.push_back(fan_of("advised supply", std::nullopt, space, flow * cooled));
  site.airways.push_back(fan_of("advised extract", space, std::nullopt, flow));
  return site;
}

Airway opening_of(const char* id, SpaceIndex space, double area, double height) {
  Airway opening;
  opening.id = id;
  opening.kind = Gap{space, std::nullopt, 0.6 * area, 0.5, height, std::nullopt};
  return opening;
}

Site without(Site site, const std::vector<ReleaseIndex>& releases) {
  for (const auto release : releases) site.releases[release.value].kind = SteadyRelease{0.0, {}};
  return site;
}

/// Only the kinds whose size is one number.
std::optional<Site> with_less(Site site, const Reduction& reduction) {
  for (const auto release : reduction.releases) {
    auto& kind = site.releases[release.value].kind;
    if (auto* steady = std::get_if<SteadyRelease>(&kind)) {
      steady->rate *= reduction.share;
    } else if (auto* dump = std::get_if<DumpRelease>(&kind)) {
      dump->amount *= reduction.share;
    } else if (auto* fittings = std::get_if<FittingsRelease>(&kind)) {
      fittings->count *= reduction.share;
    } else {
      return std::nullopt;
    }
  }
  return site;
}

/// One site and its answer, whose advice is followed.
class Follower {
 public:
  Follower(const Site& site, const Assessment& before, Tally& tally) : site_{site}, before_{before}, tally_{tally} {}

  /// What is wrong with the advice of one warning; empty: nothing.
  std::string follow(const Warning& warning) {
    const Remedy& remedy = warning.remedy;
    std::string wrong;
    if (remedy.extra_air) {
      ++tally_.aired;
      wrong = check("more air", aired(site_, warning.space, *remedy.extra_air), warning, remedy.after_air);
    }
    if (wrong.empty() && remedy.vent_area) {
      ++tally_.vented;
      Site vented = site_;
      vented.airways.push_back(opening_of("advised low vent", warning.space, *remedy.vent_area, 0.0));
      vented.airways.push_back(opening_of("advised high vent", warning.space, *remedy.vent_area,
                                          site_.spaces[warning.space.value].height.value_or(0.0)));
      wrong = check("vents", vented, warning, remedy.after_air);
    }
    if (wrong.empty() && remedy.opening) {
      ++tally_.opened;
      Site opened = site_;
      opened.airways.push_back(opening_of("advised opening", warning.space, remedy.opening->area, 0.0));
      wrong = check("an opening", opened, warning, remedy.opening->after);
    }
    if (wrong.empty() && !remedy.stop.releases.empty()) {
      ++tally_.stopped;
      wrong = check("stopping all", without(site_, remedy.stop.releases), warning, remedy.stop.after_all);
    }
    if (wrong.empty() && remedy.reduction) {
      if (const auto less = with_less(site_, *remedy.reduction)) {
        ++tally_.reduced;
        wrong = check("less gas", *less, warning, remedy.reduction->after);
      }
    }
    return wrong;
  }

 private:
  std::string check(const std::string& what, const Site& changed, const Warning& warning,
                    const std::optional<Outcome>& stated) const {
    AssessOptions options;
    options.only = warning.case_index;
    options.explain = false;
    const auto result = assess(changed, options);
    if (const auto* fault = std::get_if<Fault>(&result)) {
      return fault->is_bad_input() ? "" : what + ": " + fault->message;
    }
    const auto& after = std::get<Assessment>(result);
    const std::string where = fmt::format("{} in case {}, space {}: ", what, site_.cases[warning.case_index.value].id,
                                          site_.spaces[warning.space.value].id);
    const std::string here = stated ? of_the_space(after, warning, *stated) : "";
    const std::string elsewhere = of_others(after, warning);
    return here.empty() && elsewhere.empty() ? "" : where + here + elsewhere;
  }

  static bool still_over(const Assessment& after, const Warning& warning) {
    const bool oxygen = warning.severity == Severity::oxygen;
    return std::any_of(after.warnings.begin(), after.warnings.end(), [&](const Warning& left) {
      if (!(left.space == warning.space) || left.source || left.storage) return false;
      if (oxygen) return left.severity == Severity::oxygen;
      return left.severity == Severity::flammable || left.severity == Severity::rich ||
             left.severity == Severity::margin;
    });
  }

  std::string of_the_space(const Assessment& after, const Warning& warning, const Outcome& stated) const {
    const bool fuel = subject_of(warning) == Subject::fuel, oxygen = subject_of(warning) == Subject::oxygen;
    if (!fuel && !oxygen) return "";
    const bool over = still_over(after, warning);
    if (over == stated.over) return "";
    return fmt::format("it says {}, and it is {}; ", stated.over ? "still over" : "under", over ? "over" : "under");
  }

  std::string of_others(const Assessment& after, const Warning& warning) const {
    const Verdicts was = verdicts_of(before_);
    for (const auto& [key, severity] : verdicts_of(after)) {
      const auto& [case_index, space, subject] = key;
      if (space == warning.space.value) continue;
      const auto old = was.find({warning.case_index.value, space, subject});
      if (old != was.end() && old->second <= severity) continue;
      // What is too rich to burn passes the range as soon as less gas or more air comes: its own warning says so.
      if (old != was.end() && old->second == Severity::rich && severity == Severity::flammable) continue;
      return fmt::format("space {} becomes {}, from {}", site_.spaces[space].id, word_of(severity),
                         old == was.end() ? "nothing" : word_of(old->second));
    }
    return "";
  }

  const Site& site_;
  const Assessment& before_;
  Tally& tally_;
};

void follow_all(const second_opinion::Recipe& recipe, std::uint64_t count) {
  const std::uint64_t seed = from_environment("ADVICE_SEED", std::random_device{}() % 1'000'000'000u);
  count = from_environment("ADVICE_SITES", count);
  fmt::print("ADVICE_SEED={}\n", seed);
  Tally tally;
  for (std::uint64_t k = 0; k < count; ++k) {
    const std::string text = text_of(second_opinion::make_site(seed + k, recipe));
    const auto reading = parse_site(text, "site.toml", built_in_substances());
    const Site* site = reading.usable();
    if (site == nullptr) continue;
    const auto answer = assess(*site);
    const auto* before = std::get_if<Assessment>(&answer);
    if (before == nullptr) continue;
    ++tally.sites;
    Follower follower{*site, *before, tally};
    std::size_t followed = 0;
    for (const Warning& warning : before->warnings) {
      if (warning.severity == Severity::pressure || site->cases[warning.case_index.value].added_for) continue;
      if (++followed > 6) break;  // the worst ones
      EXPECT_EQ(follower.follow(warning), "") << "ADVICE_SEED=" << seed + k << " ADVICE_SITES=1";
    }
  }
  fmt::print("{} sites; followed: {} more air, {} vents, {} openings, {} stops, {} reductions\n", tally.sites,
             tally.aired, tally.vented, tally.opened, tally.stopped, tally.reduced);
}

TEST(AdviceFollowed, OnSitesWithGivenFlowsAndWarmedRooms) {
  second_opinion::Recipe recipe;
  recipe.temperatures = true;
  recipe.most_spaces = 5;
  follow_all(recipe, 12);
}

TEST(AdviceFollowed, OnSitesWithLiquidsAndLiquefiedGases) {
  second_opinion::Recipe recipe;
  recipe.varying = recipe.liquids = true;
  recipe.most_spaces = 3;
  recipe.widest = 1e4;
  follow_all(recipe, 3);
}

TEST(AdviceFollowed, OnSitesWithSolvedPressures) {
  second_opinion::Recipe recipe;
  recipe.pressures = recipe.joined = true;
  recipe.most_spaces = 4;
  recipe.widest = 1e3;
  follow_all(recipe, 6);
}

TEST(AdviceFollowed, OnSitesWithLayeredRooms) {
  second_opinion::Recipe recipe;
  recipe.layers = true;
  recipe.most_spaces = 3;
  follow_all(recipe, 3);
}

TEST(AdviceFollowed, OnSitesWithLayeredRoomsAndSolvedPressures) {
  second_opinion::Recipe recipe;
  recipe.layers = recipe.pressures = true;
  recipe.most_spaces = 2;
  follow_all(recipe, 3);
}

}  // namespace
