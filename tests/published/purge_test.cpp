// SPDX-License-Identifier: Apache-2.0
// Sweeping a vessel with a gas. Each check names its source; "from memory" means that the value was not looked up
// again.
#include "leanside/study/purge_question.hpp"
#include "leanside/substance_file.hpp"
#include "published/run.hpp"

namespace {

using leanside::GasIndex;
using leanside::SpaceIndex;
using leanside::testing::SiteBuilder;
using namespace published;

/// A vessel swept with one vessel volume of gas per hour.
struct SweptVessel {
  explicit SweptVessel(double volume = 1.0) {
    build.site.conditions.oxygen_in_air = 0.21;
    sweep = build.nitrogen();
    impurity = build.oxygen();
    vessel = build.vessel("tank", volume);
    build.opening("vent", vessel, std::nullopt);
    build.steady("sweep", vessel, sweep, volume / 3600.0);
  }
  /// Vessel volumes until the oxygen has fallen to `target`.
  double volumes_until(double target) const {
    return time_when(build.site, vessel, target, 20.0 * 3600.0,
                     [&](const std::vector<double>& x) { return leanside::oxygen_of(build.site, x); }) /
           3600.0;
  }
  SiteBuilder build;
  GasIndex sweep, impurity;
  SpaceIndex vessel;
};

TEST(Sweeping, TakesThreeVesselVolumesToOnePercentOxygen) {
  cite("Sweeping a tank to one per cent of oxygen",
       "C. Branan, Rules of Thumb for Chemical Engineers, dilution purging example (read in a reproduction): 3.1 from "
       "a chart; ln(21) = 3.045.");
  const SweptVessel it;
  expect_within(it.volumes_until(0.01), 3.1, 2.0, "vessel volumes to 1 % of oxygen, as read off the chart");
  expect_within(it.volumes_until(0.01), std::log(21.0), 1e-5, "vessel volumes to 1 % of oxygen, ln 21");
}

TEST(Sweeping, NeedsThePublishedVolumeOfImpureNitrogen) {
  cite("Sweeping a vessel with impure nitrogen, simulated in time",
       "D. A. Crowl and J. F. Louvar, Chemical Process Safety, example 7-4 (from memory).");
  SweptVessel it{1000.0 * foot3};
  it.build.site.releases[0].gas.shares = {{it.sweep, 0.9999}, {it.impurity, 0.0001}};
  expect_within(it.volumes_until(0.0125) * 1000.0, 2830.0, 0.3, "nitrogen to 1.25 % of oxygen, ft3");
}

TEST(Sweeping, LeavesTheExponentialShareOfTheAir) {
  cite("Air left after sweeping a vessel",
       "The well-mixed purge: exp(-n) of the air is left after n volumes (from memory).");
  const SweptVessel it;
  for (const auto& [volumes, left] :
       {std::pair{1.0, 0.3679}, {2.0, 0.1353}, {3.0, 0.04979}, {4.0, 0.01832}, {5.0, 0.006738}}) {
    const double x = fraction_at(it.build.site, it.vessel, it.sweep, volumes * 3600.0);
    expect_within(1.0 - x, left, 0.05) << "share of the air left after " << volumes << " volumes, rounded";
    expect_within(1.0 - x, std::exp(-volumes), 1e-4) << "share of the air left after " << volumes << " volumes";
  }
}

TEST(Sweeping, TakesAHydrogenGeneratorThroughTheFlammableRange) {
  cite("Hydrogen generator that purges itself through the flammable range",
       "The well-mixed purge (from memory) with an upper limit of 75 % and a limiting oxygen concentration of 5 % "
       "(Bulletin 627; values derived again): a hydrogen generator is above the upper limit after 1.386 volumes and "
       "below the limiting oxygen concentration after 1.433.");
  SiteBuilder build;
  const auto gas = build.gas(leanside::testing::make_fuel("hydrogen", 0.002016, 0.04, 0.75, 0.5, 0.05));
  build.site.conditions.oxygen_in_air = 0.2095;
  const auto flask = build.vessel("generator", 0.5e-3);
  build.opening("delivery-tube", flask, std::nullopt);
  build.steady("zinc-and-acid", flask, gas, 0.5e-3 / 600.0);  // a flask volume in ten minutes
  const auto result = assessed(build.site);
  const auto& space = result.cases.at(0).spaces.at(0);
  double lower = 0.0, upper = 0.0;
  for (const auto& crossing : space.crossings) {
    if (crossing.threshold == leanside::Threshold::lfl) lower = crossing.up / 600.0;
    if (crossing.threshold == leanside::Threshold::ufl) upper = crossing.up / 600.0;
  }
  expect_within(lower, -std::log(1.0 - 0.04), 0.05, "vessel volumes to the lower limit");
  expect_within(upper, 1.386, 0.05, "vessel volumes to the upper limit");
  // Flammable from the lower limit on, until the oxygen is too low at the latest.
  EXPECT_GE(space.flammable_time / 600.0, 1.386 - 0.0409);
  EXPECT_LE(space.flammable_time / 600.0, 1.4335 - 0.0408);
  expect_within(time_when(build.site, flask, 0.05, 7200.0,
                          [&](const std::vector<double>& x) { return leanside::oxygen_of(build.site, x); }) /
                    600.0,
                1.433, 0.05, "vessel volumes to 5 % of oxygen");
  EXPECT_EQ(space.end.state, leanside::MixtureState::rich);
}

TEST(PurgeMargin, IsThatOfTheStandardWhereNothingMeasures) {
  cite("Oxygen allowed in a vessel that nothing watches",
       "NFPA 69, oxidant concentration reduction (from memory): 60 % of the limiting oxygen concentration, or 40 % "
       "where "
       "it is below 5 %. Limiting concentrations: ASTM E2079-19, 10.7, 10.5, 8.5 and 4.6 %.");
  for (const auto& [id, allowed] :
       {std::pair{"methane", 6.42}, {"propane", 6.30}, {"ethylene", 5.10}, {"hydrogen", 1.84}}) {
    const auto subject = std::get<leanside::PurgeSubject>(leanside::purge_subject(leanside::built_in_substances(), id));
    const leanside::VesselGas gas = leanside::vessel_gas(subject, 298.15);
    expect_within(100.0 * leanside::usual_purge_margin(gas) * gas.fuels[0].limiting_oxygen.value_or(0.0), allowed, 0.1)
        << "oxygen allowed before " << id << ", %";
  }
}

}  // namespace
