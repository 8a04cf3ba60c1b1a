// SPDX-License-Identifier: Apache-2.0
#include "leanside/study/failures.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <variant>

#include <gtest/gtest.h>

#include "base/graph/graph.hpp"
#include "leanside/report.hpp"
#include "leanside/study/sweep.hpp"
#include "unit/failing_sites.hpp"

namespace leanside {
namespace {

using testing::building;
using testing::SiteBuilder;
using testing::store;
using testing::studied;
using testing::word;

TEST(Failures, ListsEverythingThatCanFail) {
  SiteBuilder b = store();
  b.airway("door", Doorway{SpaceIndex{0}, SpaceIndex{1}, 0.9, 2.0, 0.0, 0.1, 0.6});
  b.airway("hatch", Opening{SpaceIndex{0}, SpaceIndex{1}}, false);
  b.airway("spare", Fan{SpaceIndex{0}, std::nullopt, 0.1, {}}, false);
  b.site.spaces[1].air_changes = 1e-4;
  std::vector<std::string> words;
  for (const Failure& f : list_failures(b.site)) words.push_back(word(b.site, f));
  EXPECT_EQ(words,
            (std::vector<std::string>{"fan_off extract", "shut grille", "shut window", "shut door", "opened door",
                                      "opened hatch", "no_air_change office", "release_starts tap"}));
}

TEST(Failures, FailureOutlastsEvents) {
  SiteBuilder b = store();
  b.site.cases[0].events = {{60.0, SetAirwayOn{AirwayIndex{0}, true}, {}},
                            {90.0, SetReleaseOn{ReleaseIndex{1}, false}, {}}};
  b.new_case("other", {});
  const Site off = with_failures(b.site, {{FailureKind::fan_off, AirwayIndex{0}, {}, {}}});
  EXPECT_EQ(off.cases.size(), 1u);
  ASSERT_EQ(off.cases[0].events.size(), 1u);
  EXPECT_FALSE(off.airways[0].on);
  const Site starts = with_failures(b.site, {{FailureKind::release_starts, {}, {}, ReleaseIndex{1}}});
  ASSERT_EQ(starts.cases[0].events.size(), 1u);
  EXPECT_TRUE(starts.releases[1].on);
}

TEST(Failures, RanksAndGroupsAndMatchesTheClosedForm) {
  const Site site = store().site;
  FailureOptions options;
  options.in_time = InTime::never;
  const FailureStudy study = studied(site, options);
  EXPECT_EQ(study.singles, 4u);
  // The store at rest: x = G/Q of 15 % of the lower limit, a note.
  ASSERT_EQ(study.normal.size(), 1u);
  EXPECT_NEAR(study.normal[0].lfl_fraction, 4.0 / 60000.0 / 0.01 / 0.044, 1e-9);
  // The worst by far: the fan stops, and what is released pushes out all air.
  ASSERT_FALSE(study.groups.empty());
  const FailureOutcome& worst = study.outcomes[study.groups[0].outcomes[0]];
  EXPECT_EQ(study.failures[worst.failures[0]].kind, FailureKind::fan_off);
  ASSERT_EQ(worst.consequences.size(), 2u);
  EXPECT_NEAR(worst.consequences[0].lfl_fraction, 1.0 / 0.044, 1e-9);
  // The tap makes of the office what the regulator makes of the store, but for what the release itself pushes out.
  const FailureOutcome& second = study.outcomes[study.groups[1].outcomes[0]];
  EXPECT_EQ(study.failures[second.failures[0]].kind, FailureKind::release_starts);
  EXPECT_NEAR(second.consequences[0].lfl_fraction, 4.0 / 60000.0 / (0.01 + 4.0 / 60000.0) / 0.044, 1e-9);
  // Without its window the office has no air at all. This is reported although it holds no gas. A blocked grille
  // changes nothing, since the store then leaks in what the fan takes out.
  ASSERT_EQ(study.groups.size(), 4u);
  const FailureOutcome& window = study.outcomes[study.groups[2].outcomes[0]];
  EXPECT_TRUE(window.consequences.empty());
  EXPECT_EQ(window.unreached, std::vector<SpaceIndex>{SpaceIndex{1}});
  // It makes no difference only because of the leak, so it is not listed as harmless.
  const FailureOutcome& grille = study.outcomes[study.groups[3].outcomes[0]];
  EXPECT_TRUE(grille.consequences.empty() && grille.unreached.empty());
  ASSERT_EQ(grille.leaks.size(), 1u);
  EXPECT_EQ(grille.leaks[0].space, SpaceIndex{0});
  EXPECT_NEAR(grille.leaks[0].inflow, 0.01 - 4.0 / 60000.0, 1e-9);
}

/// What only the steady state tells must say the same about leaks as the course in time.
TEST(Failures, AssumedLeaksAreFoundInTimeAndInSteadyStateAlike) {
  SiteBuilder b = store();
  const SpaceIndex annex = b.space("annex", 20.0), far = b.space("far", 30.0);
  b.opening("hatch", SpaceIndex{0}, annex);
  b.opening("front", annex, std::nullopt);
  b.fan("far-fan", far, std::nullopt, 0.01);  // no gas gets there: nothing rests on its grille
  b.opening("far-grille", std::nullopt, far);
  for (const InTime in_time : {InTime::always, InTime::never}) {
    FailureOptions options;
    options.pairs = true;
    options.in_time = in_time;
    const FailureStudy study = studied(b.site, options);
    std::size_t reliant = 0;
    for (const FailureOutcome& outcome : study.outcomes) {
      if (outcome.failures.size() != 1) continue;
      EXPECT_TRUE(outcome.leaks.empty()) << word(b.site, study.failures[outcome.failures[0]]);
    }
    FailureOptions alone = options;
    alone.pairs = false;
    SiteBuilder shut = b;
    shut.site.airways[1].on = false;  // the grille of the store: the hatch is then its only way
    const FailureStudy with_one_way = studied(shut.site, alone);
    for (const FailureOutcome& outcome : with_one_way.outcomes) {
      if (outcome.leaks.empty()) continue;
      ++reliant;
      const std::string what = word(b.site, with_one_way.failures[outcome.failures[0]]);
      EXPECT_TRUE(what == "shut hatch" || what == "shut front") << what;
    }
    EXPECT_EQ(reliant, 2u) << static_cast<int>(in_time);
  }
}

TEST(Failures, RunsInTimeMatchCheckOfTheFailedSite) {
  const Site site = store().site;
  FailureOptions options;
  options.in_time = InTime::always;
  const FailureStudy study = studied(site, options);
  EXPECT_TRUE(study.in_time);
  std::size_t compared = 0;
  for (const FailureOutcome& outcome : study.outcomes) {
    const Failure& failure = study.failures[outcome.failures[0]];
    for (const Consequence& consequence : outcome.consequences) {
      Site failed = with_failures(site, {failure}, CaseIndex{0}, consequence.starts.value_or(0.0));
      if (failure.release) {
        failed.criteria.horizon = std::get<StartMoments>(start_moments(site, {*failure.release})).until;
      }
      const auto checked = assess(failed);
      const auto& warnings = std::get<Assessment>(checked).warnings;
      const auto found = std::find_if(warnings.begin(), warnings.end(), [&](const Warning& w) {
        return w.space == consequence.space && w.severity == consequence.severity;
      });
      ASSERT_NE(found, warnings.end());
      EXPECT_EQ(found->lfl_fraction, consequence.lfl_fraction);
      EXPECT_EQ(found->time, consequence.time);
      EXPECT_EQ(consequence.starts.has_value(), failure.release.has_value());
      ++compared;
    }
  }
  EXPECT_GE(compared, 3u);
  options.threads = 1;
  const FailureStudy alone = studied(site, options);
  EXPECT_EQ(failures_json(site, {&alone, 1}), failures_json(site, {&study, 1}));
}

TEST(Failures, StartFromTheChosenCase) {
  SiteBuilder b = store();
  const AirwayIndex extract{0};
  const CaseIndex off = b.new_case("off", {{0.0, SetAirwayOn{extract, false}, {}}});
  const CaseIndex later = b.new_case("later", {{1800.0, SetAirwayOn{extract, false}, {}}});
  const CaseIndex opened = b.new_case("opened", {{0.0, SetReleaseOn{ReleaseIndex{1}, true}, {}}});
  const auto fails = [&](CaseIndex case_index, FailureKind kind) {
    const auto list = list_failures(b.site, case_index);
    return std::any_of(list.begin(), list.end(), [&](const Failure& f) { return f.kind == kind; });
  };
  EXPECT_TRUE(fails(CaseIndex{0}, FailureKind::fan_off));
  EXPECT_FALSE(fails(off, FailureKind::fan_off)) << "it never runs";
  EXPECT_TRUE(fails(later, FailureKind::fan_off)) << "it runs for half an hour";
  EXPECT_TRUE(fails(off, FailureKind::release_starts));
  EXPECT_FALSE(fails(opened, FailureKind::release_starts));
  for (const CaseIndex case_index : {off, later, opened}) {
    FailureOptions options;
    options.case_index = case_index;
    options.in_time = InTime::always;
    const FailureStudy study = studied(b.site, options);
    EXPECT_EQ(study.case_index, case_index);
    AssessOptions assess_options;
    assess_options.only = case_index;
    const auto normal = assess(b.site, assess_options);
    std::size_t of_spaces = 0;
    for (const Warning& w : std::get<Assessment>(normal).warnings) of_spaces += w.case_index == case_index;
    EXPECT_EQ(study.normal.size(), of_spaces);
    for (const FailureOutcome& outcome : study.outcomes) {
      const auto checked = assess(with_failures(b.site, {study.failures[outcome.failures[0]]}, case_index));
      const auto& warnings = std::get<Assessment>(checked).warnings;
      for (const Consequence& consequence : outcome.consequences) {
        EXPECT_TRUE(std::any_of(warnings.begin(), warnings.end(), [&](const Warning& w) {
          return w.space == consequence.space && w.severity == consequence.severity &&
                 std::abs(w.lfl_fraction - consequence.lfl_fraction) <= 1e-6 * consequence.lfl_fraction;
        })) << word(b.site, study.failures[outcome.failures[0]]);
      }
    }
  }
}

TEST(Failures, ShardsAddUpToTheWhole) {
  const Site site = building(40, 5);
  for (const bool pairs : {false, true}) {
    FailureOptions options;
    options.pairs = pairs;
    options.in_time = InTime::never;
    const FailureStudy whole = studied(site, options);
    for (const std::size_t count : {2u, 5u}) {
      FailurePart joined;
      for (std::size_t index = 1; index <= count; ++index) {
        options.shard = {index, count};
        auto part = std::get<FailurePart>(failures_part(site, options));
        std::move(part.singles.begin(), part.singles.end(), std::back_inserter(joined.singles));
        std::move(part.pairs.begin(), part.pairs.end(), std::back_inserter(joined.pairs));
        joined.pairs_solved += part.pairs_solved;
        joined.pairs_worse += part.pairs_worse;
        joined.moments_left_out += part.moments_left_out;
        joined.by_update += part.by_update;
        joined.afresh += part.afresh;
      }
      options.shard = {};
      const auto study = std::get<FailureStudy>(failures_of(site, options, std::move(joined)));
      EXPECT_EQ(failures_json(site, {&study, 1}), failures_json(site, {&whole, 1})) << pairs << count;
      EXPECT_EQ(failures_text(site, {&study, 1}, TextStyle{}), failures_text(site, {&whole, 1}, TextStyle{}));
    }
  }
  FailurePart wrong;
  EXPECT_TRUE(std::get<Fault>(failures_of(site, {}, std::move(wrong))).is_bad_input());
}

TEST(Failures, StopWhenAsked) {
  Sweep sweep;
  sweep.stop = true;
  FailureOptions options;
  options.sweep = &sweep;
  const auto outcome = study_failures(store().site, options);
  const auto* stopped = std::get_if<Fault>(&outcome);
  ASSERT_NE(stopped, nullptr);
  EXPECT_EQ(stopped->kind, FaultKind::stopped);
}

TEST(Failures, UpdatesAndSolvingAfreshGiveOneAnswer) {
  const Site site = store().site;
  FailureOptions options;
  options.in_time = InTime::never;
  options.pairs = false;
  const FailureStudy quick = studied(site, options);
  options.reuse = false;
  const FailureStudy slow = studied(site, options);
  EXPECT_GT(quick.by_update, 0u);
  EXPECT_EQ(slow.by_update, 0u);
  ASSERT_EQ(quick.outcomes.size(), slow.outcomes.size());
  for (std::size_t i = 0; i < quick.outcomes.size(); ++i) {
    ASSERT_EQ(quick.outcomes[i].consequences.size(), slow.outcomes[i].consequences.size()) << i;
    for (std::size_t k = 0; k < quick.outcomes[i].consequences.size(); ++k) {
      EXPECT_EQ(quick.outcomes[i].consequences[k].space, slow.outcomes[i].consequences[k].space);
      EXPECT_NEAR(quick.outcomes[i].consequences[k].lfl_fraction, slow.outcomes[i].consequences[k].lfl_fraction, 1e-9);
    }
  }
}

TEST(Failures, LosingTheSteadyStateIsNotBetter) {
  SiteBuilder build;
  const GasIndex methane = build.methane();
  const SpaceIndex vessel = build.vessel("vessel", 1.0);
  build.site.spaces[vessel.value].air_changes = 1.0 / 3600.0;
  build.steady("leak", vessel, methane, 0.02 / 3600.0);
  FailureOptions options;
  options.in_time = InTime::never;
  const auto answer = study_failures(build.site, options);
  const auto& study = std::get<FailureStudy>(answer);
  ASSERT_EQ(study.normal.size(), 1u);
  const auto closed = std::find_if(study.outcomes.begin(), study.outcomes.end(), [&](const FailureOutcome& outcome) {
    return study.failures[outcome.failures[0]].kind == FailureKind::no_air_change;
  });
  ASSERT_NE(closed, study.outcomes.end());
  EXPECT_EQ(closed->unreached, (std::vector{vessel}));
  EXPECT_EQ(closed->gone, 0u);
}

TEST(Failures, NamesSpacesThatDependOnOneFan) {
  SiteBuilder b;
  const SpaceIndex lab = b.space("lab", 60.0), annex = b.space("annex", 20.0), office = b.space("office", 30.0);
  const SpaceIndex hood = b.space("hood", 1.0, SpaceKind::cabinet);
  b.fan("supply", std::nullopt, lab, 0.1);  // lab and annex get their air by it
  b.opening("transfer", lab, annex);
  b.opening("grille", annex, std::nullopt);
  b.fan("hood-fan", hood, std::nullopt, 0.2);  // draws from the office, which has a window
  b.opening("sash", office, hood);
  b.opening("door", std::nullopt, office);
  b.exchange("window", office, std::nullopt, 0.01);
  const FailureStudy study = studied(b.site);
  ASSERT_EQ(study.dependences.size(), 2u);
  EXPECT_EQ(b.site.airways[study.dependences[0].fan.value].id, "supply");
  EXPECT_EQ(study.dependences[0].spaces, (std::vector<SpaceIndex>{lab, annex}));
  EXPECT_EQ(b.site.airways[study.dependences[1].fan.value].id, "hood-fan");
  EXPECT_EQ(study.dependences[1].spaces, (std::vector<SpaceIndex>{hood}));
}

TEST(Failures, SecondWayEndsTheDependence) {
  // Supply and extract: when the supply stops the extract draws through the door, and the other way round.
  SiteBuilder b;
  const SpaceIndex lab = b.space("lab", 60.0);
  b.fan("supply", std::nullopt, lab, 0.1);
  b.fan("extract", lab, std::nullopt, 0.1);
  b.opening("door", lab, std::nullopt);
  EXPECT_TRUE(studied(b.site).dependences.empty());
}

TEST(Graph, DominatorsOfADiamondWithATail) {
  // 0 -> 1 -> {2, 3} -> 4 -> 5; 6 is not reached.
  const std::vector<network::Edge> edges = {{0, 1}, {1, 2}, {1, 3}, {2, 4}, {3, 4}, {4, 5}, {6, 5}};
  EXPECT_EQ(network::dominators(7, edges, 0), (std::vector<int>{-1, 0, 1, 1, 1, 4, -1}));
}

TEST(Failures, TextNamesFailuresAndTheCaution) {
  const Site site = store().site;
  const FailureStudy study = studied(site);
  const std::string text = failures_text(site, {&study, 1}, TextStyle{});
  EXPECT_NE(text.find("the fan extract stops"), std::string::npos) << text;
  EXPECT_NE(text.find("depend on one fan"), std::string::npos) << text;
  EXPECT_NE(text.find("store"), std::string::npos);
  EXPECT_GT(text.rfind("Caution"), text.find("Assumptions"));
}

}  // namespace
}  // namespace leanside
