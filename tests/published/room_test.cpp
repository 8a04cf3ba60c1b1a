// SPDX-License-Identifier: Apache-2.0
// Build-up and decay in rooms. Each check names its source; "from memory" means that the value was not looked up again.
#include "published/run.hpp"

namespace {

using leanside::GasIndex;
using leanside::SpaceIndex;
using leanside::testing::SiteBuilder;
using namespace published;

constexpr double hour = 3600.0, minute = 60.0;

/// A room of 1 m3 that starts with a tracer and has `changes` air changes per hour, without a source.
leanside::Site decaying_room(double changes, double start, double mixing_factor = 1.0) {
  SiteBuilder build;
  const auto gas = build.nitrogen();
  ventilated_room(build, 1.0, changes / hour);
  build.site.spaces[0].initial = {{gas, start}};
  build.site.spaces[0].mixing_factor = mixing_factor;
  return build.site;
}

TEST(Decay, MatchesTheClearanceTimesOfTheTable) {
  cite("Time to clear a room by air changes",
       "CDC, MMWR 43 (RR-13), 28 Oct 1994, table S3-1; rounded to whole minutes.");
  struct Row {
    double changes, ninety, ninety_nine, all_but_a_thousandth;
  };
  for (const auto& row : {Row{2, 69, 138, 207}, Row{6, 23, 46, 69}, Row{12, 12, 23, 35}, Row{20, 7, 14, 21}}) {
    const auto site = decaying_room(row.changes, 0.01);
    const auto minutes = [&](double left) { return time_when(site, SpaceIndex{0}, 0.01 * left, 8 * hour) / minute; };
    expect_near(minutes(0.1), row.ninety, 0.55) << "time to remove 90 % at " << row.changes << " changes per hour, min";
    expect_near(minutes(0.01), row.ninety_nine, 0.55)
        << "time to remove 99 % at " << row.changes << " changes per hour, min";
    expect_near(minutes(0.001), row.all_but_a_thousandth, 0.55)
        << "time to remove 99.9 % at " << row.changes << " changes per hour, min";
  }
}

TEST(Decay, MatchesTheClearanceTimesOfTheLaterTable) {
  cite("Time to clear a room by air changes, further rows",
       "CDC, Guidelines for Environmental Infection Control in Health-Care Facilities, 2003, table B.1 (from memory); "
       "rounded to whole minutes.");
  struct Row {
    int changes;
    double ninety_nine, all_but_a_thousandth;
  };
  for (const auto& row : {Row{4, 69, 104}, Row{8, 35, 52}, Row{10, 28, 41}, Row{15, 18, 28}, Row{50, 6, 8}}) {
    const auto site = decaying_room(row.changes, 0.01);
    const auto minutes = [&](double left) { return time_when(site, SpaceIndex{0}, 0.01 * left, 8 * hour) / minute; };
    expect_near(minutes(0.01), row.ninety_nine, 0.55)
        << "time to remove 99 % at " << row.changes << " changes per hour, min";
    expect_near(minutes(0.001), row.all_but_a_thousandth, 0.55)
        << "time to remove 99.9 % at " << row.changes << " changes per hour, min";
  }
}

TEST(Decay, MatchesThePurgingExampleOfTheHandbook) {
  cite("Decay in a room after its source has stopped",
       "ACGIH, Industrial Ventilation, dilution ventilation, rate of purging, worked example (from memory): 100 000 "
       "ft3, 2000 ft3/min of effective ventilation, 100 ppm to 25 ppm in 69.3 min.");
  SiteBuilder build;
  const auto gas = build.nitrogen();
  const auto room = ventilated_room(build, 1e5 * foot3, 2000.0 * foot3 / minute);
  build.site.spaces[0].initial = {{gas, 100e-6}};
  expect_near(time_when(build.site, room, 25e-6, 4 * hour) / minute, 69.3, 0.05, "time from 100 to 25 ppm, min");
}

TEST(BuildUp, MatchesTheExampleOfTheHandbook) {
  cite("Build-up of a solvent in a large room",
       "ACGIH, Industrial Ventilation, dilution ventilation, contaminant build-up, worked example (from memory): 100 "
       "000 ft3, 1.2 ft3/min of methyl chloroform vapour, 2000 ft3/min of effective ventilation: 200 ppm after 20.3 "
       "min, 419 ppm after an hour.");
  SiteBuilder build;
  const auto gas = build.gas(leanside::testing::make_inert("methyl-chloroform", 0.1334));
  const auto room = ventilated_room(build, 1e5 * foot3, 2000.0 * foot3 / minute);
  build.steady("bench", room, gas, 1.2 * foot3 / minute);
  expect_near(time_when(build.site, room, 200e-6, 4 * hour) / minute, 20.3, 0.05, "time to 200 ppm, min");
  expect_near(1e6 * fraction_at(build.site, room, gas, hour), 419.0, 0.5, "concentration after an hour, ppm");
}

TEST(BuildUp, OfBreathMatchesTheVentilationStandard) {
  cite("Carbon dioxide from breathing",
       "ASHRAE 62-2001, appendix C (from memory): 0.31 L/min from a seated person and 7.5 L/s of outdoor air keep the "
       "room about 700 ppm above outdoors. Printed to one figure; tolerance 2 %.");
  SiteBuilder build;
  const auto gas = build.gas(leanside::testing::make_inert("carbon-dioxide", 0.044009));
  const auto room = ventilated_room(build, 30.0, 7.5e-3);
  build.steady("person", room, gas, 0.31e-3 / minute);
  expect_within(1e6 * steady_fraction(build.site, room, gas), 700.0, 2.0,
                "carbon dioxide above the outdoor level, ppm");
}

TEST(Decay, TakesTheMixingFactorTimesAsLong) {
  cite("Clearance time of poorly mixed rooms",
       "CDC, MMWR 43 (RR-13), 28 Oct 1994, note to table S3-1; ACGIH Industrial Ventilation: the mixing factor "
       "multiplies the time.");
  const auto time_with = [](double factor) {
    return time_when(decaying_room(6, 0.01, factor), SpaceIndex{0}, 0.01 * 0.1, 24 * hour) / minute;
  };
  expect_near(time_with(3.0), 3.0 * 23.0, 3.0 * 0.55, "time to remove 90 %, 6 changes per hour, mixing factor 3, min");
  expect_near(time_with(10.0), 10.0 * 23.0, 10.0 * 0.55,
              "time to remove 90 %, 6 changes per hour, mixing factor 10, min");
}

TEST(BuildUp, MatchesTheTable) {
  cite("Build-up in a mixed room",
       "Engineering ToolBox, Pollution Concentration in Rooms, equation 2 and its table for q = 1, V = 1, at 40 min. "
       "The source is a million times weaker here, so that the volume of the gas is negligible.");
  struct Row {
    double changes, concentration;
  };
  for (const auto& row : {Row{0.5, 0.5669}, Row{1, 0.4866}, Row{2, 0.3682}, Row{4, 0.2326}}) {
    SiteBuilder build;
    const auto gas = build.methane();
    const auto room = ventilated_room(build, 1.0, row.changes / hour);
    build.steady("source", room, gas, 1e-6 / hour);
    expect_near(fraction_at(build.site, room, gas, 40 * minute) * 1e6, row.concentration, 1e-4)
        << "concentration after 40 min at " << row.changes << " changes per hour";
  }
}

/// The underground garage of the next checks: 5400 m3, 0.0024 m3/s of carbon monoxide.
struct Garage {
  explicit Garage(double changes, bool source = true) {
    gas = build.gas(leanside::testing::make_fuel("carbon-monoxide", 0.02801, 0.109, 0.74, 0.5));
    room = ventilated_room(build, 5400.0, changes * 5400.0 / hour);
    if (source) build.steady("cars", room, gas, 0.0024);
  }
  SiteBuilder build;
  GasIndex gas;
  SpaceIndex room;
};

TEST(Garage, NeedsTheAirChangesOfTheBook) {
  cite("Carbon monoxide in an underground garage",
       "J. F. Douglas, J. M. Gasiorek, J. A. Swaffield, Fluid Mechanics, example 25.11 (as reproduced in the FOSSEE "
       "textbook companion notebooks), parts a, b and d. Part b prints 1.0 changes, the nearest value tried; the exact "
       "root of 1.6 (1 - exp(-n)) = n is 1.027, which is the expected value.");
  const Garage continuous{1.6};
  expect_within(steady_fraction(continuous.build.site, continuous.room, continuous.gas), 0.001, 1e-6,
                "carbon monoxide at steady state with 1.6 changes per hour, mol/mol");
  const Garage one_hour{1.0272};
  expect_within(fraction_at(one_hour.build.site, one_hour.room, one_hour.gas, hour), 0.001, 0.01,
                "carbon monoxide after 1 h with 1.027 changes per hour, mol/mol");
  const Garage printed{1.0};
  expect_within(fraction_at(printed.build.site, printed.room, printed.gas, hour), 0.001, 5.0,
                "carbon monoxide after 1 h with 1.0 change per hour, mol/mol");
  Garage purge{1.0, false};
  purge.build.site.spaces[0].initial = {{purge.gas, 0.001}};
  expect_within(time_when(purge.build.site, purge.room, 0.00001, 10 * hour) / hour, 4.61, 0.2,
                "time to clear from 0.1 to 0.001 % with 1 change per hour, h");
}

TEST(Decay, FollowsTheReadingsOfATracer) {
  cite("Decay of a tracer gas in a house room",
       "M. Jayjock, A Simple Tracer Gas Technique to Measure Ventilation (2013): readings in a room of 20 m3, which "
       "the author interprets as 9.9 m3/h.");
  SiteBuilder build;
  const auto gas = build.nitrogen();
  const auto room = ventilated_room(build, 20.0, 9.9 / hour);
  build.site.spaces[0].initial = {{gas, 16e-6}};
  struct Reading {
    double hours, ppm;
  };
  for (const auto& reading : {Reading{0.5, 12.5}, Reading{1.0, 9.7}, Reading{1.4, 7.9}, Reading{2.8, 4.1}}) {
    expect_within(fraction_at(build.site, room, gas, reading.hours * hour) * 1e6, reading.ppm, 3.0)
        << "tracer after " << reading.hours << " h, ppm";
  }
}

/// A room supplied by a duct whose air already carries 10 units of gas. One unit is a fraction of 1e-6.
struct ContaminatedSupply {
  ContaminatedSupply(double volume, double flow_a_minute, double source_a_minute, double start) {
    const double flow = flow_a_minute / minute;
    gas = build.methane();
    duct = build.junction("duct");
    room = build.space("room", volume);
    build.fan("supply", duct, room, flow);
    build.opening("intake", std::nullopt, duct);
    build.opening("outlet", room, std::nullopt);
    build.steady("in-the-supply", duct, gas, 10e-6 * flow);
    build.steady("in-the-room", room, gas, source_a_minute * 1e-6 / minute);
    build.site.spaces[room.value].initial = {{gas, start * 1e-6}};
  }
  SiteBuilder build;
  GasIndex gas;
  SpaceIndex duct, room;
};

TEST(ContaminatedSupply, KeepsTheRoomAtTheLimit) {
  cite("Contaminated supply air", "Abulencia and Theodore, example 20.7 (FOSSEE notebooks).");
  const ContaminatedSupply it{100.0, 10.0, 250.0, 0.0};
  expect_within(steady_fraction(it.build.site, it.room, it.gas), 35e-6, 0.01,
                "steady concentration, as a fraction (ng/m3 times 1e-6)");
}

TEST(ContaminatedSupply, LetsTheRoomDecayToItsTarget) {
  cite("Decay in a room while a source continues",
       "Abulencia and Theodore, example 20.8 (FOSSEE notebooks). The book finds 29 min by trial; its own equation "
       "gives 18.6 at that time, and 20.7 at 25.55 min, which is the expected value.");
  const ContaminatedSupply it{142.0, 12.1, 30.0, 85.0};
  expect_within(time_when(it.build.site, it.room, 20.7e-6, 2 * hour) / minute, 25.55, 0.5,
                "time until the target of 20.7 is reached, min");
  expect_within(fraction_at(it.build.site, it.room, it.gas, 29 * minute), 18.6e-6, 0.5,
                "concentration after 29 min, as a fraction (ng/m3 times 1e-6)");
}

TEST(Decay, MatchesTheEvacuationByAPump) {
  cite("Evacuation of a vessel by a pump",
       "N. de Nevers, Fluid Mechanics for Chemical Engineers, example 3.7 (FOSSEE notebooks), and Dekker Vacuum, "
       "evacuation of a closed vessel: a pump at constant volume flow empties a vessel just as fresh air clears a "
       "room.");
  SiteBuilder small;
  const auto gas = small.nitrogen();
  const auto tank = ventilated_room(small, 10.0 * foot3, foot3 / minute);
  small.site.spaces[0].initial = {{gas, 1.0}};
  expect_within(time_when(small.site, tank, 1e-4, 3 * hour) / minute, 92.103, 0.01,
                "time from 1 to 1e-4 atm, 10 ft3 at 1 ft3/min, min");

  SiteBuilder large;
  const auto other = large.nitrogen();
  const auto vessel = ventilated_room(large, 750.0 * foot3, foot3);
  large.site.spaces[0].initial = {{other, 1.0}};
  expect_within(time_when(large.site, vessel, 150.0 / 760.0, hour), 1215.0, 0.3,
                "volume pumped from 760 to 150 torr, vessel of 750 ft3, ft3");  // s at 1 ft3/s: ft3 pumped
}

TEST(BuildUp, OfCarbonDioxideFromIncubatorsMatchesTheManual) {
  cite("Carbon dioxide lost from laboratory incubators",
       "Binder, incubator operating manual 08/2015, notes on handling CO2.");
  SiteBuilder build;
  const auto gas = build.gas(leanside::testing::make_inert("carbon-dioxide", 0.044009));
  const auto room = ventilated_room(build, 100.0, 100.0 / hour);
  build.steady("door-openings", room, gas, 0.0084 * 10 * 4 / hour);
  expect_within(steady_fraction(build.site, room, gas), 3360e-6, 1e-6, "carbon dioxide in the room, mol/mol");
}

/// A near field of 1 m3 in a room of 99 m3, with 5 m3/min between them and 3 m3/min of fresh air; 1 mg/m3 is a fraction
/// of 1e-9.
struct NearAndFar {
  NearAndFar() {
    gas = build.methane();
    near = build.space("near", 1.0);
    far = build.space("far", 99.0);
    build.exchange("between", near, far, 5.0 / minute);
    build.fan("extract", far, std::nullopt, 3.0 / minute);
    build.opening("door", std::nullopt, far);
    build.opening("edge", near, far);
    build.steady("task", near, gas, 1000e-9 / minute);
  }
  SiteBuilder build;
  GasIndex gas;
  SpaceIndex near, far;
};

TEST(NearField, MatchesTheTwoZoneModel) {
  cite("Near and far field of a task",
       "M. Nicas, AIHA Journal 57 (1996) 542-550; AIHA, Mathematical Models for Estimating Occupational Exposure to "
       "Chemicals, 2nd ed. 2009 (from memory). The inputs are our own; the closed form was integrated independently.");
  const NearAndFar it;
  expect_within(steady_fraction(it.build.site, it.far, it.gas) * 1e9, 333.33, 0.1, "far field at steady state, mg/m3");
  expect_within(steady_fraction(it.build.site, it.near, it.gas) * 1e9, 533.33, 0.1,
                "near field at steady state, mg/m3");
  expect_within(fraction_at(it.build.site, it.near, it.gas, 15 * minute) * 1e9, 318.22, 0.1,
                "near field after 15 min, mg/m3");
  expect_within(fraction_at(it.build.site, it.far, it.gas, 15 * minute) * 1e9, 119.51, 0.1,
                "far field after 15 min, mg/m3");
}

TEST(NearField, IsNearlyTheSumOfTwoSingleZones) {
  cite("Near field as the sum of two single zones",
       "M. Nicas, Ann. Work Expo. Health 68 (2024) 78-85: a mixed room plus an isolated near field is called an "
       "excellent approximation of the near field; the figure for this case is our own, 1.86 % at most.");
  const NearAndFar whole;
  SiteBuilder mixed, isolated;
  const auto gas = mixed.methane(), same = isolated.methane();
  const auto room = ventilated_room(mixed, 100.0, 3.0 / minute), zone = ventilated_room(isolated, 1.0, 5.0 / minute);
  mixed.steady("task", room, gas, 1000e-9 / minute);
  isolated.steady("task", zone, same, 1000e-9 / minute);
  double worst = 0.0;
  for (double t = 0.05; t < 120.0; t *= 1.1) {
    const double exact = fraction_at(whole.build.site, whole.near, whole.gas, t * minute);
    const double sum =
        fraction_at(mixed.site, room, gas, t * minute) + fraction_at(isolated.site, zone, same, t * minute);
    worst = std::max(worst, std::abs(sum / exact - 1.0) * 100.0);
  }
  EXPECT_LT(worst, 6.0);
  expect_near(worst, 1.859, 0.05, "largest error of the sum, %");
}

}  // namespace
