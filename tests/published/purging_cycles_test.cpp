// SPDX-License-Identifier: Apache-2.0
// Pressure and vacuum purging, compared with published values. Each test cites its source.
#include <cmath>

#include "leanside/purge.hpp"
#include "published/run.hpp"

namespace {

using namespace leanside;
using namespace published;

TEST(PressureCycles, MatchTheRulesOfThumb) {
  cite("Pressure-cycle purging in Rules of Thumb",
       "C. Branan, Rules of Thumb for Chemical Engineers, pressure-cycle purging: 21 % of oxygen, two cycles to 5 atm: "
       "0.84 % left, 8 vessel volumes of gas.");
  expect_near(purge_cycles(0.21, 0.0084, 5.0, 1.0), 2.0, 1e-12, "cycles to 5 atm, 21 to 0.84 % of oxygen");
  expect_near(cycle_volumes(2.0, 5.0, 1.0, 1.0), 8.0, 1e-12, "gas used, vessel volumes");
}

TEST(SweepThrough, MatchesTheRulesOfThumb) {
  cite("Sweep-through purging in Rules of Thumb",
       "C. Branan, Rules of Thumb for Chemical Engineers, dilution purging: 21 % to 1 %: 3.1 volumes, read off a "
       "chart. "
       "Tolerance 2 %, the reading of the chart.");
  expect_within(sweep_volumes(0.21, 0.01), 3.1, 2.0, "vessel volumes, 21 to 1 % of oxygen");
}

TEST(VacuumCycles, MatchTheExampleAtSixMillimetres) {
  cite("Vacuum purging at 6 mmHg",
       "Solved problem after Branan (wizedu.com, question 83014): vacuum of 6 mmHg, 21 % to 5 ppm: 2.2 cycles, so 3.");
  expect_within(purge_cycles(0.21, 5e-6, 760.0, 6.0), 2.2, 0.5, "cycles, 21 % to 5 ppm of oxygen");
}

TEST(VacuumCycles, MatchTheThousandGallonExample) {
  cite("Vacuum purging of a 1000-gallon vessel",
       "D. A. Crowl and J. F. Louvar, Chemical Process Safety, example 7-1 (from memory): 1000 US gal, 20 mmHg, 75 "
       "degF, to 1 ppm: 3.37 cycles, so 4; 1.33 lb-mol or 37.2 lb of nitrogen. "
       "Tolerance 0.6 %: the book rounds at each step.");
  expect_within(purge_cycles(0.21, 1e-6, 760.0, 20.0), 3.37, 0.1, "cycles, 21 % to 1 ppm of oxygen");
  const double volumes = cycle_volumes(4.0, 760.0, 20.0, 760.0);
  const double temperature = (75.0 - 32.0) / 1.8 + zero_celsius;
  const double moles = volumes * 1000.0 * published::us_gallon * standard_atmosphere / (gas_constant * temperature);
  expect_within(moles / (1000.0 * published::pound), 1.33, 0.6, "nitrogen for the whole number of cycles, lb-mol");
  expect_within(moles * 0.0280134 / published::pound, 37.2, 0.6, "nitrogen for the whole number of cycles, lb");
}

TEST(PressureCycles, MatchTheThousandGallonExample) {
  cite("Pressure purging of a 1000-gallon vessel",
       "D. A. Crowl and J. F. Louvar, Chemical Process Safety, example 7-2 (from memory): 1000 US gal, nitrogen at 80 "
       "psig, 75 degF, 21 % to 1 ppm of oxygen: 6.6 cycles, so 7, with 365 lb of nitrogen.");
  const double high = 94.7, low = 14.7;  // psia
  expect_near(purge_cycles(0.21, 1e-6, high, low), 6.6, 0.05, "cycles, 21 % to 1 ppm of oxygen");
  const double temperature = (75.0 - 32.0) / 1.8 + zero_celsius;
  const double moles = cycle_volumes(7.0, high, low, low) * 1000.0 * published::us_gallon * standard_atmosphere /
                       (gas_constant * temperature);
  expect_within(moles * 0.0280134 / published::pound, 365.0, 0.3, "nitrogen for the whole number of cycles, lb");
}

TEST(SweepThrough, MatchesTheExampleWithImpureNitrogen) {
  cite("Sweep-through purging with impure nitrogen",
       "D. A. Crowl and J. F. Louvar, Chemical Process Safety, example 7-4 (from memory): 1000 ft3, 21 % to 1.25 % of "
       "oxygen, 0.01 % in the nitrogen: 2830 ft3.");
  expect_within(1000.0 * sweep_volumes(0.21, 0.0125, 1e-4), 2830.0, 0.3, "nitrogen from 21 to 1.25 % of oxygen, ft3");
}

TEST(Targets, OfMethaneAreThoseOfTheTextbookForItsInputs) {
  cite(
      "How far methane has to be purged, into and out of service",
      "D. A. Crowl and J. F. Louvar, Chemical Process Safety, chapter 7 (from memory): out of service, OSFC = LFL/(1 - "
      "z LFL/21) and, into service, ISOC = z LFL/(1 - LFL/100), lines through the lower limit on the stoichiometric "
      "line. For methane (5 %, z = 2) 9.5 and 10.5 %. The book estimates the least oxygen as z LFL, 10 %, and so does "
      "the fuel here. Tolerance 0.5 %, the rounding of the printed values.");
  const PurgeTargets targets = purge_targets(Fuel{0.05, 0.15, 2.0, 0.10}, 0.21);
  expect_within(100.0 * targets.oxygen_before_fuel, 10.5, 0.5, "oxygen at which methane may be admitted, %");
  expect_within(100.0 * targets.fuel_before_air, 9.5, 0.8, "methane at which air may be admitted, %");
}

TEST(Plans, ForMethaneGoFurtherThanTheTextbook) {
  cite("How far a plan purges methane",
       "The same formulas: 10.5 % of oxygen and 9.5 % of methane. With the measured least oxygen of methane, 10.7 %, "
       "leanside's range and its targets are a little wider than those of the estimate, 10 %; its plans purge to a "
       "share of the target, 0.6 if nothing else is asked for. They must go further than the book.");
  PurgeQuestion question;
  question.gas = VesselGas{Fuel{0.044, 0.17, 2.0, 0.107}};
  const PurgePlan plan = plan_purge(question);
  expect_at_most(100.0 * plan.into_service.to, 10.5, "oxygen to which a plan purges, %");
  expect_at_most(100.0 * plan.out_of_service.to, 9.5, "methane to which a plan purges, %");
}

TEST(Evacuation, OfAVesselTakesThePublishedVolume) {
  cite("Volume to be pumped out of a vessel",
       "Dekker Vacuum, Evacuation of a closed vessel, example (read): 750 ft3 from 760 to 150 torr, 1215 ft3. The same "
       "equation as for sweeping. Tolerance 0.3 %: the example rounds the logarithm to 1.62.");
  expect_within(750.0 * sweep_volumes(760.0, 150.0), 1215.0, 0.3, "volume at the pump, ft3");
}

}  // namespace
