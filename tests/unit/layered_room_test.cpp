// SPDX-License-Identifier: Apache-2.0
/// Layered rooms: what stirs them, what vanishes, what stays the same, what the answer says of them.
#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "leanside/report.hpp"
#include "published/run.hpp"
#include "unit/plant_room.hpp"

namespace leanside {
namespace {

using testing::plant_room;

Assessment assessed(const std::string& text) { return published::assessed(published::read(text)); }

TEST(LayeredRoom, QuietReleaseIsNeverLessThanMixed) {
  for (const std::string release : {"", "momentum = \"1 mN\"\n"}) {
    const auto layered = assessed(plant_room("stratification = \"layered\"", release));
    const auto mixed = assessed(plant_room("stratification = \"mixed\"", release));
    ASSERT_EQ(layered.cases[0].layered.size(), 1u);
    EXPECT_GT(layered.cases[0].spaces[0].peak.lfl_fraction, mixed.cases[0].spaces[0].peak.lfl_fraction);
    EXPECT_GT(layered.cases[0].spaces[0].steady.at.lfl_fraction, mixed.cases[0].spaces[0].steady.at.lfl_fraction);
    EXPECT_LT(layered.balance_error, 1e-9);
  }
}

TEST(LayeredRoom, StrongJetMixesAndTheAnswerSaysWhy) {
  const auto stirred = assessed(plant_room("stratification = \"layered\"", "momentum = \"2 N\"\n"));
  const auto mixed = assessed(plant_room("stratification = \"mixed\""));
  ASSERT_EQ(stirred.cases[0].mixed.size(), 1u);
  EXPECT_NE(stirred.cases[0].mixed[0].reason.find("volume Richardson number"), std::string::npos);
  EXPECT_TRUE(stirred.cases[0].layered.empty());
  EXPECT_EQ(stirred.cases[0].spaces[0].peak.lfl_fraction, mixed.cases[0].spaces[0].peak.lfl_fraction);
  EXPECT_EQ(stirred.cases[0].spaces[0].steady.at.lfl_fraction, mixed.cases[0].spaces[0].steady.at.lfl_fraction);
}

TEST(LayeredRoom, MixingFanCountsWhileItRunsAllTheTime) {
  const std::string fan = R"(
[[airway]]
id = "blower"
kind = "fan"
from = "outside"
to = "plant"
flow = "100 m3/h"
height = "1 m"
momentum = "1 N"
)";
  EXPECT_EQ(assessed(plant_room("stratification = \"layered\"", "", fan)).cases[0].mixed.size(), 1u);
  const auto stopped = assessed(plant_room("stratification = \"layered\"", "", fan) + R"(
[[case]]
id = "stops"
event = [{ at = "1 h", airway = "blower", on = false }]
)");
  ASSERT_EQ(stopped.cases.size(), 2u);
  EXPECT_EQ(stopped.cases[0].mixed.size(), 1u);
  EXPECT_EQ(stopped.cases[1].layered.size(), 1u);
}

TEST(LayeredRoom, ColdAirFromHighUpSinksThroughTheLayer) {
  const std::string winter = "\n[conditions]\noutside_temperature = \"-5 degC\"\n";
  const std::string supply = R"(
[[airway]]
id = "supply"
kind = "fan"
from = "outside"
to = "plant"
flow = "200 m3/h"
height = "2.3 m"
)";
  const auto cold = assessed(plant_room("stratification = \"layered\"", "", supply + winter));
  ASSERT_EQ(cold.cases[0].mixed.size(), 1u);
  EXPECT_NE(cold.cases[0].mixed[0].reason.find("heavier"), std::string::npos);
  EXPECT_EQ(assessed(plant_room("stratification = \"layered\"", "", supply)).cases[0].layered.size(), 1u);
}

TEST(LayeredRoom, RoomThatNothingIsReleasedIntoIsMixed) {
  const auto assessment = assessed(plant_room("stratification = \"mixed\"", "", R"(
[[space]]
id = "loft"
kind = "room"
floor_area = "10 m2"
height = "2 m"
stratification = "layered"
)"));
  ASSERT_EQ(assessment.cases[0].mixed.size(), 1u);
  EXPECT_NE(assessment.cases[0].mixed[0].reason.find("nothing is released"), std::string::npos);
}

// A layer is drawn off when its release is over; no gas is lost with it.
TEST(LayeredRoom, LayerThatVanishesLosesNoGas) {
  const auto assessment = assessed(plant_room("stratification = \"layered\"", "duration = \"20 min\"\n", R"(
[criteria]
horizon = "24 h"

[[airway]]
id = "extract"
kind = "fan"
from = "plant"
to = "outside"
flow = "30 m3/h"
height = "2.5 m"
)"));
  ASSERT_EQ(assessment.cases[0].layered.size(), 1u);
  const LayeredRoom& room = assessment.cases[0].layered[0];
  EXPECT_LT(room.deepest_interface, 2.2);
  EXPECT_GT(room.end_interface, 2.48);
  EXPECT_LT(assessment.balance_error, 1e-9);
}

// A closed room fills up to the floor: then both layers are one, as rich as the mixed room.
TEST(LayeredRoom, LayerThatFillsTheRoomIsTheRoom) {
  const std::string closed = R"(title = "Closed"
[criteria]
horizon = "100 h"
[[space]]
id = "plant"
kind = "room"
floor_area = "10 m2"
height = "2.5 m"
stratification = "STRATIFICATION"
[[release]]
id = "seep"
kind = "steady"
into = "plant"
gas = "hydrogen"
rate = "10 L/min"
height = "0 m"
)";
  const auto with = [&](const std::string& word) {
    std::string text = closed;
    text.replace(text.find("STRATIFICATION"), 14, word);
    return assessed(text);
  };
  const auto layered = with("layered"), mixed = with("mixed");
  ASSERT_EQ(layered.cases[0].layered.size(), 1u);
  EXPECT_LT(layered.cases[0].layered[0].end_interface, 0.05);
  EXPECT_LT(layered.balance_error, 1e-9);
  EXPECT_NEAR(layered.cases[0].spaces[0].end.fraction[0], mixed.cases[0].spaces[0].end.fraction[0], 0.05);
  EXPECT_GE(layered.cases[0].spaces[0].end.fraction[0], mixed.cases[0].spaces[0].end.fraction[0]);
}

TEST(LayeredRoom, WorseOfBothShowsTheWorseAndSaysWhich) {
  const auto both = assessed(plant_room("stratification = \"worse of both\""));
  const auto layered = assessed(plant_room("stratification = \"layered\""));
  ASSERT_EQ(both.cases[0].room_model.size(), 1u);
  EXPECT_EQ(both.cases[0].room_model[0], RoomModel::layered);
  EXPECT_EQ(both.cases[0].spaces[0].peak.lfl_fraction, layered.cases[0].spaces[0].peak.lfl_fraction);
  // A jet breaks up nothing there: the mixed room is computed as well.
  const auto jet = assessed(plant_room("stratification = \"worse of both\"", "momentum = \"2 N\"\n"));
  EXPECT_TRUE(jet.cases[0].mixed.empty());
  EXPECT_EQ(jet.cases[0].spaces[0].peak.lfl_fraction, layered.cases[0].spaces[0].peak.lfl_fraction);
}

// Hydrogen gathers above, the fan takes clean air from the floor: in layers the store beyond it stays clean. As one
// mixture the air that it gets has gas in it, and so its row and its course come from there.
TEST(LayeredRoom, WorseOfBothTakesEachSpaceFromItsWorsePicture) {
  const std::string fan = R"(
[[space]]
id = "store"
kind = "room"
volume = "30 m3"

[[airway]]
id = "transfer"
kind = "fan"
from = "plant"
to = "store"
flow = "20 m3/h"
height = "0.1 m"

[[airway]]
id = "out"
kind = "gap"
between = ["store", "outside"]
leakage_area = "100 cm2"
height = "0.1 m"
)";
  const auto course = [&](const std::string& stratification, std::vector<RoomModel>& model) {
    const Site site = published::read(plant_room("stratification = \"" + stratification + "\"", "", fan));
    std::vector<double> hydrogen;
    AssessOptions assess_options;
    assess_options.series = [&](CaseIndex, double, const FractionField& x) { hydrogen.push_back(x(SpaceIndex{1}, 0)); };
    const auto outcome = assess(site, assess_options);
    if (const auto* fault = std::get_if<Fault>(&outcome)) {
      ADD_FAILURE() << fault->message;
      return hydrogen;
    }
    model = std::get<Assessment>(outcome).cases[0].room_model;
    return hydrogen;
  };
  std::vector<RoomModel> both_models, other;
  const auto both = course("worse of both", both_models);
  const auto layered = course("layered", other), mixed = course("mixed", other);
  ASSERT_EQ(both_models.size(), 2u);
  EXPECT_EQ(both_models[0], RoomModel::layered);
  EXPECT_EQ(both_models[1], RoomModel::mixed);
  ASSERT_FALSE(mixed.empty());
  EXPECT_EQ(both, mixed);
  EXPECT_GT(mixed.back(), 2.0 * layered.back());
}

TEST(LayeredRoom, FlammableVolumeAndWhereItIs) {
  const auto assessment =
      assessed(plant_room("stratification = \"layered\"", "").replace(plant_room().find("3 L/min"), 7, "90 L/min"));
  ASSERT_EQ(assessment.cases[0].layered.size(), 1u);
  const LayeredRoom& room = assessment.cases[0].layered[0];
  ASSERT_TRUE(room.flammable_height.has_value());
  EXPECT_NEAR(room.flammable_volume, 10.0 * (room.flammable_height->to - room.flammable_height->from), 1e-9);
  EXPECT_DOUBLE_EQ(room.flammable_height->to, 2.5);
  ASSERT_FALSE(assessment.warnings.empty());
  EXPECT_EQ(assessment.warnings[0].severity, Severity::flammable);
  ASSERT_TRUE(assessment.warnings[0].layer.has_value());
  EXPECT_DOUBLE_EQ(assessment.warnings[0].layer->to, 2.5);
  // Larger vents high and low solve it, or else the source has to be stopped.
  const Remedy& remedy = assessment.warnings[0].remedy;
  EXPECT_TRUE(remedy.kind == RemedyKind::vents || remedy.kind == RemedyKind::stop_source);
}

// Causes add up, the layers' courses are reported, and balances close with varying releases too.
TEST(LayeredRoom, CylinderAndSeepTogether) {
  const auto assessment = assessed(plant_room("stratification = \"layered\"", "duration = \"8 h\"\n", R"(
[[release]]
id = "bottle"
kind = "cylinder"
into = "plant"
gas = "hydrogen"
water_volume = "2 L"
pressure = "20 bar"
hole = "0.3 mm"
height = "1 m"
momentum = "0 N"
)"));
  ASSERT_EQ(assessment.cases[0].layered.size(), 1u);
  EXPECT_LT(assessment.balance_error, 1e-9);
  EXPECT_EQ(assessment.cases[0].layered[0].course.size(), 241u);
  const auto of_room = std::find_if(assessment.warnings.begin(), assessment.warnings.end(),
                                    [](const Warning& warning) { return !warning.source; });
  ASSERT_NE(of_room, assessment.warnings.end());
  double sum = 0.0;
  for (const Cause& cause : of_room->causes) sum += cause.share;
  EXPECT_NEAR(sum, 1.0, 1e-9);
  EXPECT_EQ(of_room->causes.size(), 2u);
}

const std::string row_of_rooms = R"(
[[space]]
id = "next"
kind = "room"
floor_area = "20 m2"
height = "2.4 m"
elevation = "0.2 m"
stratification = "layered"

[[space]]
id = "hall"
kind = "room"
volume = "40 m3"

[[airway]]
id = "door"
kind = "doorway"
between = ["plant", "next"]
width = "0.8 m"
height = "1.7 m"
sill = "0.3 m"

[[airway]]
id = "hatch"
kind = "doorway"
between = ["next", "hall"]
width = "0.8 m"
height = "2 m"
open = 0.2

[[airway]]
id = "crack"
kind = "gap"
between = ["hall", "outside"]
leakage_area = "40 cm2"
height = "1 m"

[[airway]]
id = "extract"
kind = "fan"
from = "plant"
to = "outside"
curve = [["0 Pa", "40 m3/h"], ["60 Pa", "0 m3/h"]]
height = "2.2 m"

[[release]]
id = "tap"
kind = "steady"
into = "next"
gas = "methane"
rate = "5 L/min"
height = "0.2 m"
duration = "10 min"

[[case]]
id = "changes"
event = [
  { at = "5 min", airway = "extract", on = false },
  { at = "10 min", space = "hall", temperature = "30 degC" },
  { at = "15 min", airway = "door", open = 0 },
]
)";

// Two layered rooms with a door between them, a fan on its curve, a third room, a room that is warmed: no gas is lost.
TEST(LayeredRoom, RoomsInARow) {
  // Layers that exchange air through doorways are stiff: a longer run takes minutes.
  Site site = published::read(plant_room("stratification = \"layered\"", "", row_of_rooms));
  site.criteria.horizon = 20.0 * 60.0;
  site.criteria.open_ended = false;
  AssessOptions options;
  options.explain = false;  // remedies take a hundred runs
  const auto outcome = assess(site, options);
  ASSERT_TRUE(std::holds_alternative<Assessment>(outcome)) << std::get<Fault>(outcome).message;
  const Assessment& assessment = std::get<Assessment>(outcome);
  ASSERT_EQ(assessment.cases.size(), 2u);
  EXPECT_LT(assessment.balance_error, 1e-9);
  for (const CaseResult& result : assessment.cases) {
    for (const SpaceResult& space : result.spaces) EXPECT_TRUE(std::isfinite(space.peak.lfl_fraction));
  }
}

TEST(LayeredRoom, SharesOfAirwaysAddUpToTheAirway) {
  const auto assessment = assessed(plant_room("stratification = \"layered\"", "", R"(
[[airway]]
id = "extract"
kind = "fan"
from = "plant"
to = "outside"
flow = "60 m3/h"
height = "2.4 m"
)"));
  const auto& flows = assessment.cases[0].flows;
  ASSERT_EQ(flows.airways.size(), 3u);
  const double volume = flows.airways[2].forward * gas_constant * 293.15 / standard_atmosphere;
  EXPECT_NEAR(volume * 3600.0, 60.0, 1e-9);
}

TEST(LayeredRoom, NoticeWhereLightGasIsLeftMixed) {
  const auto notices = [](const std::string& text) {
    const auto reading = parse_site(text, "test.toml", built_in_substances());
    return std::count_if(reading.diagnostics.begin(), reading.diagnostics.end(), [](const Diagnostic& d) {
      return d.level == DiagnosticLevel::notice && d.message.find("may gather") != std::string::npos;
    });
  };
  EXPECT_EQ(notices(plant_room("")), 1);
  EXPECT_EQ(notices(plant_room("stratification = \"mixed\"")), 0);
  EXPECT_EQ(notices(plant_room()), 0);
  std::string ethane = plant_room("");
  ethane.replace(ethane.find("\"hydrogen\""), 10, "\"ethane\"");  // 4 % heavier than air
  EXPECT_EQ(notices(ethane), 0);
}

TEST(LayeredRoom, WordsTellWhereAndWhy) {
  const Site site = published::read(plant_room("stratification = \"worse of both\""));
  const auto assessment = published::assessed(site);
  const std::string text = text_report(site, assessment, {}, {});
  EXPECT_NE(text.find("up to the ceiling"), std::string::npos);
  EXPECT_NE(text.find("which is the layered one"), std::string::npos);
  EXPECT_NE(text.find("entrainment coefficient"), std::string::npos);
  const auto plumes = std::find_if(assessment.assumptions.begin(), assessment.assumptions.end(),
                                   [](const Assumption& a) { return a.kind == AssumptionKind::plumes_and_layers; });
  ASSERT_NE(plumes, assessment.assumptions.end());
  EXPECT_EQ(plumes->values, std::vector{0.1});
}

}  // namespace
}  // namespace leanside
