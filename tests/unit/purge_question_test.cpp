// SPDX-License-Identifier: Apache-2.0
// What somebody who purges a vessel writes, as a question in SI units.
#include "leanside/study/purge_question.hpp"

#include <algorithm>
#include <optional>
#include <string>
#include <utility>

#include <gtest/gtest.h>

#include "leanside/substance_file.hpp"

namespace leanside {
namespace {

PurgeSubject subject_of(const std::string& id) {
  return std::get<PurgeSubject>(purge_subject(built_in_substances(), id));
}

TEST(PurgeQuestion, EveryTextIsReadInItsUnit) {
  PurgeTexts texts;
  texts.volume = "200 L";
  texts.flow = "20 L/min";
  texts.pressure = "2 barg";
  texts.vacuum = "50 mbar";
  texts.oxygen_in_gas = "100 ppm";
  texts.temperature = "40 degC";
  const auto read = purge_question(subject_of("hydrogen"), texts);
  ASSERT_TRUE(std::holds_alternative<PurgeQuestion>(read));
  const auto& question = std::get<PurgeQuestion>(read);
  EXPECT_NEAR(question.volume, 0.2, 1e-12);
  EXPECT_NEAR(question.flow.value(), 0.02 / 60.0, 1e-15);
  EXPECT_NEAR(question.low.value(), 5000.0, 1e-9);
  EXPECT_NEAR(question.oxygen_in_gas, 1e-4, 1e-15);
  EXPECT_NEAR(question.temperature, 313.15, 1e-9);
  // 2 barg are 301325 Pa absolute; four figures, never more.
  EXPECT_NEAR(question.high.value(), 301300.0, 1e-6);
  EXPECT_EQ(question.gas.fuels.size(), 1u);
}

TEST(PurgeQuestion, NothingGivenHasTheDefaults) {
  const auto read = purge_question(subject_of("methane"), {});
  ASSERT_TRUE(std::holds_alternative<PurgeQuestion>(read));
  const auto& question = std::get<PurgeQuestion>(read);
  EXPECT_EQ(question.volume, PurgeQuestion{}.volume);
  EXPECT_NEAR(question.temperature, 293.15, 1e-9);
  EXPECT_FALSE(question.flow || question.high || question.low);
}

TEST(PurgeQuestion, TheMarginIsWiderForAGasThatNeedsLittleOxygen) {
  const auto margin = [](const std::string& id) {
    return std::get<PurgeQuestion>(purge_question(subject_of(id), {})).margin;
  };
  for (const char* id : {"hydrogen", "carbon-disulfide"}) EXPECT_EQ(margin(id), 0.4) << id;
  for (const char* id : {"carbon-monoxide", "methane", "natural-gas", "lpg", "acetylene", "ammonia"}) {
    EXPECT_EQ(margin(id), 0.6) << id;
  }
}

TEST(PurgeQuestion, TheMarginOfAMixtureGoesByItsShareOfTheLowerLimit) {
  VesselGas gas;
  Fuel light, other;
  light.lower = other.lower = 0.04;
  light.limiting_oxygen = 0.046;
  other.limiting_oxygen = 0.107;
  gas.fuels = {light, other};
  gas.shares = {0.95, 0.05};  // mean 4.905 %
  EXPECT_EQ(usual_purge_margin(gas), 0.4);
  gas.shares = {0.93, 0.07};  // 5.027 %
  EXPECT_EQ(usual_purge_margin(gas), 0.6);
  gas.fuels[1].limiting_oxygen.reset();  // it may burn at any oxygen
  EXPECT_EQ(usual_purge_margin(gas), 0.4);
  gas.fuels[0].limiting_oxygen.reset();
  EXPECT_EQ(usual_purge_margin(gas), 0.6);
}

TEST(PurgeQuestion, EverythingThatIsWrongIsTold) {
  PurgeTexts texts;
  texts.volume = "2 kg";
  texts.flow = "0 L/min";
  texts.pressure = "1 bar";
  texts.vacuum = "1 bar";
  texts.oxygen_in_gas = "110 %";
  texts.temperature = "300 degC";
  const auto read = purge_question(subject_of("hydrogen"), texts);
  ASSERT_TRUE(std::holds_alternative<std::vector<PurgeTextFault>>(read));
  std::vector<std::string> parts;
  for (const PurgeTextFault& fault : std::get<std::vector<PurgeTextFault>>(read)) {
    parts.push_back(fault.part);
    EXPECT_NE(fault.reason.find("expected"), std::string::npos) << fault.reason;
  }
  EXPECT_EQ(parts, (std::vector<std::string>{"volume", "flow", "pressure", "vacuum", "oxygen-in-gas", "temperature"}));
}

TEST(PurgeQuestion, AGasThatIgnitesByItselfIsRefused) {
  PurgeTexts texts;
  texts.temperature = "150 degC";  // carbon disulfide ignites by itself in air at about 90 degC
  const auto read = purge_question(subject_of("carbon-disulfide"), texts);
  ASSERT_TRUE(std::holds_alternative<std::vector<PurgeTextFault>>(read));
  EXPECT_EQ(std::get<std::vector<PurgeTextFault>>(read).front().part, "temperature");
}

/// The two bounds that a fault names: "from 16 psi to 4350 psi, as ...".
std::pair<std::string, std::string> bounds_in(const std::string& reason) {
  const std::size_t from = reason.find("from ") + 5, to = reason.find(" to ", from);
  const std::size_t end = std::min(reason.size(), reason.find(',', to));
  return {reason.substr(from, to - from), reason.substr(to + 4, end - to - 4)};
}

TEST(PurgeQuestion, TheBoundsThatAFaultNamesAreTaken) {
  struct Part {
    std::optional<std::string> PurgeTexts::*text;
    const char* beyond;
  };
  for (const UnitSystem units : {UnitSystem::si, UnitSystem::us}) {
    for (const Part& part :
         {Part{&PurgeTexts::volume, "1e9 m3"}, Part{&PurgeTexts::flow, "1e9 m3/s"}, Part{&PurgeTexts::pressure, "1 Pa"},
          Part{&PurgeTexts::vacuum, "1 Pa"}, Part{&PurgeTexts::temperature, "900 degC"}}) {
      PurgeTexts texts;
      texts.units = units;
      texts.*part.text = part.beyond;
      const auto refused = purge_question(subject_of("hydrogen"), texts);
      ASSERT_TRUE(std::holds_alternative<std::vector<PurgeTextFault>>(refused)) << part.beyond;
      const std::string reason = std::get<std::vector<PurgeTextFault>>(refused).front().reason;
      const auto [least, most] = bounds_in(reason);
      for (const std::string& bound : {least, most}) {
        texts.*part.text = bound;
        EXPECT_TRUE(std::holds_alternative<PurgeQuestion>(purge_question(subject_of("hydrogen"), texts)))
            << bound << ", of: " << reason;
      }
    }
  }
}

}  // namespace
}  // namespace leanside
