// SPDX-License-Identifier: Apache-2.0
// Purge plans against the engine that computes them step by step.
#include "leanside/study/purge_replay.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "leanside/substance_file.hpp"

namespace leanside {
namespace {

constexpr PurgeDirection directions[] = {PurgeDirection::into_service, PurgeDirection::out_of_service};

PurgeSubject subject_of(const std::string& id) {
  auto found = purge_subject(built_in_substances(), id);
  if (const auto* reason = std::get_if<std::string>(&found)) {
    ADD_FAILURE() << *reason;
    return {};
  }
  return std::get<PurgeSubject>(std::move(found));
}

PurgeQuestion about(const PurgeSubject& subject) {
  PurgeQuestion question;
  question.volume = 0.2;
  question.gas = vessel_gas(subject, question.temperature);
  return question;
}

bool enters(const PurgeSubject& subject, const PurgeQuestion& question, PurgeDirection direction, PurgeWay way,
            double amount) {
  const auto entered = enters_range(purge_site(subject, question, direction, way, amount));
  if (const auto* fault = std::get_if<Fault>(&entered)) {
    ADD_FAILURE() << fault->message;
    return true;
  }
  return std::get<bool>(entered);
}

TEST(PurgeReplay, HydrogenSweptWithAirPassesTheRange) {
  const PurgeSubject hydrogen = subject_of("hydrogen");
  PurgeQuestion question = about(hydrogen);
  question.oxygen_in_gas = oxygen_in_dry_air;
  for (const PurgeDirection direction : directions) {
    EXPECT_TRUE(enters(hydrogen, question, direction, PurgeWay::sweep, 5.0));
  }
}

TEST(PurgeReplay, RefusesAPlanForNitrogenCarriedOutWithAir) {
  const PurgeSubject methane = subject_of("methane");
  PurgeQuestion question = about(methane);
  const PurgePlan plan = plan_purge(question);
  ASSERT_TRUE(plan.into_service.possible && plan.out_of_service.possible);
  question.oxygen_in_gas = oxygen_in_dry_air;
  const auto outcome = replayed(methane, question, plan);
  ASSERT_TRUE(std::holds_alternative<PurgePlan>(outcome));
  const PurgePlan& after = std::get<PurgePlan>(outcome);
  for (const PurgeLeg* leg : {&after.into_service, &after.out_of_service}) {
    EXPECT_FALSE(leg->possible);
    EXPECT_EQ(leg->refusal, PurgeRefusal::replay);
  }
}

/// What is left of oxygen (or of the gas) where the replay just misses the range: the limit of the plan.
struct Leg {
  double from, limit, in;
};
Leg leg_of(const PurgeQuestion& question, PurgeDirection direction) {
  const PurgeTargets targets = purge_targets(question.gas, question.oxygen_in_air, question.oxygen_in_gas);
  return direction == PurgeDirection::into_service
             ? Leg{question.oxygen_in_air, targets.oxygen_before_fuel, question.oxygen_in_gas}
             : Leg{1.0, targets.fuel_before_air, 0.0};
}

std::vector<std::string> everything_that_burns() {
  std::vector<std::string> ids;
  for (const Substance& substance : built_in_substances().substances()) {
    if (substance.flammable()) ids.push_back(substance.id);
  }
  for (const Mixture& mixture : built_in_substances().mixtures()) {
    if (std::holds_alternative<PurgeSubject>(purge_subject(built_in_substances(), mixture.id)))
      ids.push_back(mixture.id);
  }
  return ids;
}

/// Hydrogen so thin in nitrogen that no share of air makes it burn has targets all the same: they cost nitrogen only.
bool burns_in_some_air(const PurgeSubject& subject, PurgeQuestion question) {
  question.oxygen_in_gas = oxygen_in_dry_air;
  return enters(subject, question, PurgeDirection::into_service, PurgeWay::sweep, 5.0);
}

// The engine knows nothing of the targets: it has to miss the range a little past them and to enter it a little before.
TEST(PurgeReplay, SweepingEntersTheRangeOnlyShortOfTheTarget) {
  std::size_t plans = 0;
  for (const std::string& id : everything_that_burns()) {
    const PurgeSubject subject = subject_of(id);
    PurgeQuestion question = about(subject);
    if (!burns_in_some_air(subject, question)) continue;
    for (const double oxygen : {0.0, 0.02}) {
      question.oxygen_in_gas = oxygen;
      const PurgePlan plan = plan_purge(question);
      if (!plan.into_service.possible || !plan.out_of_service.possible) continue;
      ++plans;
      for (const PurgeDirection direction : directions) {
        const Leg leg = leg_of(question, direction);
        const double enough = sweep_volumes(leg.from, 0.999 * leg.limit, leg.in);
        const double too_few = sweep_volumes(leg.from, 1.001 * leg.limit, leg.in);
        EXPECT_FALSE(enters(subject, question, direction, PurgeWay::sweep, enough)) << id << ' ' << oxygen;
        EXPECT_TRUE(enters(subject, question, direction, PurgeWay::sweep, too_few)) << id << ' ' << oxygen;
      }
    }
  }
  EXPECT_GT(plans, 60u);
}

TEST(PurgeReplay, CyclesEnterTheRangeOnlyShortOfTheTarget) {
  const PurgeSubject subject = subject_of("natural-gas");
  for (const PurgeDirection direction : directions) {
    for (const bool vacuum : {false, true}) {
      for (const auto& [share, expected] : {std::pair{0.995, false}, std::pair{1.005, true}}) {
        PurgeQuestion question = about(subject);
        question.oxygen_in_gas = 0.01;
        const Leg leg = leg_of(question, direction);
        const double ratio = std::exp(sweep_volumes(leg.from, share * leg.limit, leg.in) / 3.0);  // three cycles do it
        if (vacuum) {
          question.low = question.ambient / ratio;
        } else {
          question.high = question.ambient * ratio;
        }
        const PurgeWay way = vacuum ? PurgeWay::vacuum_cycles : PurgeWay::pressure_cycles;
        EXPECT_EQ(enters(subject, question, direction, way, 3.0), expected) << share << (vacuum ? " vacuum" : "");
      }
    }
  }
}

TEST(PurgeReplay, AcceptsEveryPlanForEverySubstance) {
  std::size_t plans = 0;
  for (const std::string& id : everything_that_burns()) {
    const PurgeSubject subject = subject_of(id);
    PurgeQuestion question = about(subject);
    question.high = 3e5;
    question.low = 1e4;
    question.margin = 1.0;
    question.oxygen_in_gas = 1e-3;
    const PurgePlan plan = plan_purge(question);
    const auto outcome = replayed(subject, question, plan);
    ASSERT_TRUE(std::holds_alternative<PurgePlan>(outcome)) << id;
    const PurgePlan& after = std::get<PurgePlan>(outcome);
    EXPECT_EQ(after.into_service.possible, plan.into_service.possible) << id;
    EXPECT_EQ(after.out_of_service.possible, plan.out_of_service.possible) << id;
    plans += plan.into_service.possible ? 1 : 0;
  }
  EXPECT_GT(plans, 10u);
}

TEST(PurgeSubject, HasThePartsOfAMixtureAndTheirLimits) {
  const PurgeSubject lpg = subject_of("lpg");
  ASSERT_EQ(lpg.gases.size(), 2u);
  const VesselGas gas = vessel_gas(lpg, 293.15);
  ASSERT_EQ(gas.fuels.size(), 2u);
  EXPECT_NEAR(gas.shares[0] + gas.shares[1], 1.0, 1e-12);
  EXPECT_EQ(gas.oxygen, 0.0);
}

TEST(PurgeSubject, IsFoundByANameOfTheTrade) {
  EXPECT_EQ(subject_of("marsh gas").id, "methane");
  EXPECT_EQ(subject_of("LPG").id, "lpg");
  EXPECT_EQ(subject_of("74-86-2").id, "acetylene");
}

TEST(PurgeSubject, NeverSuggestsTheNameThatWasGiven) {
  for (const char* id : {"natural-gsa", "hydrogn", "nitrogen", "xyzzyq"}) {
    const auto found = purge_subject(built_in_substances(), id);
    ASSERT_TRUE(std::holds_alternative<std::string>(found)) << id;
    EXPECT_EQ(std::get<std::string>(found).find("mean '" + std::string{id} + "'"), std::string::npos);
  }
  EXPECT_NE(std::get<std::string>(purge_subject(built_in_substances(), "natural-gsa")).find("'natural-gas'"),
            std::string::npos);
}

}  // namespace
}  // namespace leanside
