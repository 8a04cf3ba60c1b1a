// SPDX-License-Identifier: Apache-2.0
// Air change rates, pressures and what a reader learns about flows.
#include <algorithm>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "hazard/assumptions.hpp"
#include "hazard/facts.hpp"
#include "leanside/advanced/airflow.hpp"
#include "leanside/assess.hpp"
#include "leanside/report.hpp"
#include "report/words/words.hpp"
#include "support/build_site.hpp"

namespace {

using namespace leanside;
using leanside::testing::SiteBuilder;

CaseResult flows_of(const Site& site) {
  auto balanced = balance_flows(site, state_at(site, CaseIndex{0}, 0.0));
  EXPECT_TRUE(std::holds_alternative<FlowField>(balanced));
  CaseResult result;
  result.flows = std::move(std::get<FlowField>(balanced));
  result.air = hazard::air_at_start(site, result);
  return result;
}

bool any_has(const std::vector<std::string>& sentences, const std::string& part) {
  return std::any_of(sentences.begin(), sentences.end(),
                     [&](const std::string& sentence) { return sentence.find(part) != std::string::npos; });
}

Airway make(std::string id, decltype(Airway::kind) kind) {
  Airway airway;
  airway.id = std::move(id);
  airway.kind = std::move(kind);
  return airway;
}

TEST(AirChanges, CountWhatFlowsInWarmAsItIs) {
  SiteBuilder build;
  const auto room = build.space("room", 50.0);
  const auto store = build.space("store", 10.0);
  build.site.spaces[store.value].temperature = 1.1 * build.site.conditions.temperature;
  build.site.spaces[room.value].air_changes = 0.5 / 3600.0;
  build.fan("fan", room, store, 100.0 / 3600.0);
  build.opening("out", store, std::nullopt);
  build.opening("in", std::nullopt, room);
  const auto rates = flows_of(build.site).air.air_changes;
  EXPECT_NEAR(rates[room.value].value(), 2.5, 1e-12);
  EXPECT_NEAR(rates[store.value].value(), 1.1 * 10.0, 1e-10);  // the air swells as it warms
}

TEST(AirChanges, AreNotKnownOfAJunctionAndNoneInATightVessel) {
  SiteBuilder build;
  const auto junction = build.space("tee", 0.0, SpaceKind::junction);
  const auto vessel = build.vessel("vessel", 0.5);
  build.fan("in", std::nullopt, junction, 0.1);
  build.opening("out", junction, std::nullopt);
  const auto rates = flows_of(build.site).air.air_changes;
  EXPECT_FALSE(rates[junction.value]);
  EXPECT_EQ(rates[vessel.value].value(), 0.0);
}

TEST(Pressures, AreGivenWhereTheyWereSolvedAndReachOutside) {
  SiteBuilder build;
  const auto room = build.space("room", 50.0);
  const auto other = build.space("other", 50.0);
  const auto alone = build.space("alone", 50.0);
  const auto pair = build.space("pair", 50.0);
  build.fan("supply", std::nullopt, room, 0.05);
  build.site.airways.push_back(make("crack", Gap{room, std::nullopt, 0.01, 0.5, 0.0, {}}));
  build.site.airways.push_back(make("inner", Gap{alone, pair, 0.01, 0.5, 0.0, {}}));
  const auto result = flows_of(build.site);
  const auto pressures = result.air.pressure_over_outside;
  // Q = L sqrt(2 dp / rho) at any pressure where the exponent is 0.5.
  const double density = standard_atmosphere * molar_mass_of_air / (gas_constant * build.site.conditions.temperature);
  EXPECT_NEAR(pressures[room.value].value(), 0.5 * density * 25.0, 1e-6 * 0.5 * density * 25.0);
  EXPECT_FALSE(pressures[other.value]);
  EXPECT_FALSE(pressures[alone.value]);
  EXPECT_FALSE(pressures[pair.value]);
}

std::vector<std::string> notices_of(const Site& site) {
  Assessment assessment;
  assessment.cases = {flows_of(site)};
  std::vector<std::string> out;
  for (const Assumption& one : hazard::assumptions_of(site, {}, assessment)) {
    if (!one.cases.empty()) out.push_back(assumption_sentence(site, one));
  }
  return out;
}

TEST(FlowSentences, TellOfAirAgainstTheNameOfItsAirway) {
  SiteBuilder build;
  const auto room = build.space("room", 50.0);
  build.fan("Extract-1", room, std::nullopt, 0.05);
  build.fan("supply", room, std::nullopt, 0.02);
  build.opening("extract.low", room, std::nullopt);
  const auto sentences = notices_of(build.site);
  ASSERT_EQ(sentences.size(), 2U);
  EXPECT_TRUE(any_has(sentences, "through supply against what its name suggests: 72 m3/h out of room"));
  EXPECT_TRUE(any_has(sentences, "through extract.low against what its name suggests: 252 m3/h into room"));
}

TEST(FlowSentences, SayNothingWhereNamesAndFlowsAgree) {
  SiteBuilder build;
  const auto room = build.space("room", 50.0);
  const auto next = build.space("next", 50.0);
  build.fan("extract", room, std::nullopt, 0.05);
  build.opening("fresh-air-inlet", std::nullopt, room);
  build.fan("supply", room, next, 0.02);            // between rooms: no way is the wrong one
  build.opening("supply-and-extract", next, room);  // says both
  build.opening("supplying", next, std::nullopt);   // no such word
  EXPECT_TRUE(notices_of(build.site).empty());
}

TEST(FlowSentences, TellOfADoorwayThatCarriesNothing) {
  SiteBuilder build;
  const auto room = build.space("room", 50.0);
  build.site.airways.push_back(make("door", Doorway{room, std::nullopt, 0.9, 2.0, 0.0, 1.0, 0.6}));
  EXPECT_TRUE(any_has(notices_of(build.site), "the doorway door carries nothing"));
  build.site.spaces[room.value].temperature += 1.0;
  EXPECT_TRUE(notices_of(build.site).empty());
  build.site.spaces[room.value].temperature -= 1.0;
  std::get<Doorway>(build.site.airways[0].kind).open = 0.0;
  EXPECT_TRUE(notices_of(build.site).empty());
}

TEST(WorstOf, TakesTheSteadyStateOnlyBeyondRoundOff) {
  SpaceResult space;
  space.peak.lfl_fraction = 0.5;
  space.peak.state = MixtureState::margin;
  space.lowest_oxygen = space.highest_oxygen = 0.2095;
  space.steady.at.oxygen = 0.17;
  space.steady.at.lfl_fraction = 0.5 * (1.0 + 1e-12);
  EXPECT_FALSE(hazard::worst_of(space).is_steady);
  space.steady.at.lfl_fraction = 3.0;
  space.steady.at.state = MixtureState::rich;
  const WorstOf worst = hazard::worst_of(space);
  EXPECT_TRUE(worst.is_steady);
  EXPECT_EQ(worst.lfl_fraction, 3.0);
  EXPECT_EQ(worst.state, MixtureState::rich);
  EXPECT_EQ(worst.lowest_oxygen, 0.17);
  space.steady.reached = false;
  EXPECT_EQ(hazard::worst_of(space).lfl_fraction, 0.5);
  EXPECT_EQ(hazard::worst_of(space).lowest_oxygen, 0.2095);
}

TEST(WorstOf, NamesTheRangeBeforeARichMixture) {
  SpaceResult space;
  space.peak.lfl_fraction = 20.0;
  space.peak.state = MixtureState::rich;
  space.steady.reached = false;
  EXPECT_EQ(hazard::worst_of(space).state, MixtureState::rich);
  space.flammable_from = 60.0;
  EXPECT_EQ(hazard::worst_of(space).state, MixtureState::flammable);
  EXPECT_EQ(hazard::worst_of(space).at_worst, MixtureState::rich);
}

}  // namespace
