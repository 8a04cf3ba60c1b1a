// SPDX-License-Identifier: Apache-2.0
// How far from a release gas can be ignited, compared with published values and measured constants.
#include "leanside/advanced/near_source.hpp"

#include <cmath>
#include <numbers>
#include <utility>

#include "leanside/advanced/sources.hpp"
#include "published/run.hpp"

namespace {

using namespace published;
using namespace leanside;

constexpr double air = 0.0289655, hydrogen = 0.002016;

double air_density(double temperature) { return standard_atmosphere * air / (gas_constant * temperature); }

TEST(Jet, DecaysLikeMeasuredRoundJets) {
  cite("Decay of the mean on the axis of a round jet",
       "C. D. Richards and W. M. Pitts, J. Fluid Mech. 254 (1993) 417 (from memory): Y = r_e/(0.105 z), r_e = (d/2) "
       "(rho_0/rho_a)^(1/2), for helium, methane and propane alike, that is K = 4.76. Others: Chen and Rodi 1980 5.0, "
       "Becker, Hottel and Williams 1967 5.4, Birch and others 1984 5.4 for choked natural gas (all from memory). "
       "leanside takes 5.4, the longest.");
  const double reach = jet_reach(1.2, 0.01, 1.2, 0.05);
  expect_within(reach, 0.005 / (0.105 * 0.05), 15.0, "distance to a mass fraction of 5 % from 10 mm, m");
  EXPECT_GE(reach, 0.005 / (0.105 * 0.05));
}

TEST(Jet, OfHydrogenReachesAsFarAsTheJapaneseRulesSay) {
  cite("Distance to 1 % hydrogen from a pinhole of 0.2 mm",
       "High Pressure Gas Safety Act of Japan, hydrogen stations, 6 m at 40 MPa and 8 m at 82 MPa; K. Takeno, K. "
       "Okabayashi and others, J. Loss Prev. 20 (2007) 475 (from memory, also that the rules rest on this pinhole and "
       "on 1 %). 15 degC, density by Abel and Noble with b = 7.69e-3 m3/kg. The rules are rounded up.");
  const double temperature = 288.15;
  const auto reach = [&](double pressure) {
    const double density = pressure / (gas_constant * temperature / hydrogen + 7.69e-3 * pressure);
    const ExitPlane plane = exit_plane(density, pressure, 1.41, standard_atmosphere);
    return jet_reach(plane.density, 2e-4, air_density(temperature), mass_fraction(0.01, hydrogen, air));
  };
  expect_within(reach(40e6), 6.0, 15.0, "at 40 MPa, m");
  expect_within(reach(82e6), 8.0, 15.0, "at 82 MPa, m");
}

TEST(Jet, OfASmallHydrogenLeakIsOfTheKnownRegime) {
  cite("Small hydrogen leak between jet and plume",
       "R. W. Schefer, W. G. Houf and T. C. Williams, Int. J. Hydrogen Energy 33 (2008) 6373 (from memory): tube of "
       "1.905 mm, 133.9 m/s, 21 degC: 22.9 L/min. "
       "At 3.3 Morton lengths both laws, of the jet and of the plume, are upper bounds; by the spread of their "
       "constants, 20 %, and the crossing of the laws they should be within a quarter of each other.");
  const double temperature = 294.15, diameter = 1.905e-3, speed = 133.9;
  const double flow = 0.25 * std::numbers::pi * diameter * diameter * speed;
  expect_within(flow * 6e4, 22.9, 1.0, "flow, L/min");
  // At 3.3 Morton lengths both laws are upper bounds; they should be within a quarter of each other there.
  const double density = air_density(temperature) * hydrogen / air;
  const double by_jet = jet_reach(density, diameter, air_density(temperature), mass_fraction(0.04, hydrogen, air));
  const double gravity = standard_gravity * (1.0 - hydrogen / air);
  expect_within(plume_reach(flow, gravity, 0.04), by_jet, 25.0, "distance to 4 % by the plume against the jet, m");
}

TEST(Jet, OfNaturalGasAtTenBarThroughASmallHoleIsNegligible) {
  cite("Natural gas at 10 bar gauge through 0.25 mm2",
       "M. J. Ivings and others, HSE Research Report RR630 (2008), summary; figure from memory: for free jets of this "
       "size the cloud whose mean is half of the lower limit is far below 0.1 m3.");
  const double temperature = 288.15, molar_mass = 0.0167, pressure = 11.01325e5;
  SourceJet source;
  source.molar_mass = molar_mass;
  source.air_molar_mass = air;
  source.density = standard_atmosphere * molar_mass / (gas_constant * temperature);
  source.ambient_density = air_density(temperature);
  source.diameter = std::sqrt(0.25e-6 * 4.0 / std::numbers::pi);
  source.exit = exit_plane(pressure * molar_mass / (gas_constant * temperature), pressure, 1.3, standard_atmosphere);
  source.flow = source.exit->density * source.exit->speed * 0.25e-6 / source.density;
  const auto zone = zone_of(source, 0.05, 0.0);
  ASSERT_TRUE(zone);
  expect_near(zone->cloud, 0.0, 0.01, "cloud whose mean is half of the limit, m3");
  const double jet =
      jet_reach(source.exit->density, source.diameter, source.ambient_density, mass_fraction(0.05, molar_mass, air));
  expect_within(jet, 0.181, 20.0, "distance to the limit by a notional nozzle of Birch and others 1984, m");
  // The zone is not shorter than that of a laminar leak through the same hole at less pressure.
  EXPECT_GE(zone->reach, jet);
  EXPECT_LT(zone->reach, 0.31);
}

TEST(Plume, ConstantLiesAmongTheMeasuredOnes) {
  cite("Decay of the mean on the axis of a plume",
       "H. Rouse, C. S. Yih and H. W. Humphreys, Tellus 4 (1952) 201: 11.0; H. B. Fischer and others, Mixing in Inland "
       "and Coastal Waters (1979): 9.1; P. N. Papanicolaou and E. J. List, J. Fluid Mech. 195 (1988) 341: 14.3 (all "
       "from memory). The spread of the constant is 20 % of the distance.");
  const double gravity = standard_gravity * (1.0 - 2.016 / 28.96);
  expect_within(plume_reach(1e-4, gravity, 0.04), 0.419, 20.0, "4 % over 0.1 L/s of hydrogen with 9.1, m");
  expect_within(plume_reach(1e-4, gravity, 0.04), 0.549, 20.0, "4 % over 0.1 L/s of hydrogen with 14.3, m");
  expect_within(plume_reach(1e-3, gravity, 0.04), 1.179, 0.2, "4 % over 1 L/s of hydrogen with 11, m");
}

TEST(Jet, ReachesAtLeastAsFarAsEachMeasuredConstant) {
  cite("Constants of the decay of a round jet",
       "K in Y = K (rho_0/rho_a)^(1/2) d/x (all from memory): Becker, Hottel and Williams 1967 5.4; Birch, Brown, "
       "Dodson "
       "and Thomas 1978 4.0; H. B. Fischer and others 1979 5.6 sqrt(pi)/2 = 4.96; Chen and Rodi 1980 5.0; Dowling and "
       "Dimotakis 1990 5.1; Richards and Pitts 1993 4.76. leanside must reach as far as the longest of them.");
  for (const auto& [who, constant] : {std::pair{"Becker", 5.4}, std::pair{"Birch", 4.0}, std::pair{"Fischer", 4.963},
                                      std::pair{"Chen", 5.0}, std::pair{"Dowling", 5.1}, std::pair{"Richards", 4.76}}) {
    expect_at_least(jet_reach(1.2, 0.01, 1.2, 0.05) * 0.05 / 0.01, constant) << "constant against that of " << who;
  }
}

/// m3 above `level` of a plume or jet whose mean is (level (end/x)^power) exp(-spread (r/x)^2): discs of radius r.
double volume_above(double end, double power, double spread) {
  constexpr int steps = 200000;
  double sum = 0.0;
  for (int i = 0; i < steps; ++i) {
    const double x = end * (i + 0.5) / steps;
    sum += std::numbers::pi * x * x * power * std::log(end / x) / spread;
  }
  return sum * end / steps;
}

TEST(Jet, HasTheVolumeOfItsPublishedProfile) {
  cite("Volume of a jet and of a plume above a fraction",
       "Profiles exp(-57 (r/x)^2) of a jet with a decay as 1/x (Chen and Rodi 1980) and exp(-71 (r/z)^2) of a plume "
       "with "
       "a decay as z^(-5/3) (Rouse, Yih and Humphreys 1952), both from memory; here added up in thin discs. leanside "
       "has closed forms. Tolerance 0.001 %, the steps of the sum.");
  for (const double reach : {0.2, 1.0, 5.0}) {
    expect_within(1e3 * jet_volume(reach), 1e3 * volume_above(reach, 1.0, 57.0), 0.001)
        << "jet to " << reach << " m, L";
    expect_within(1e3 * plume_volume(reach), 1e3 * volume_above(reach, 5.0 / 3.0, 71.0), 0.001)
        << "plume to " << reach << " m, L";
  }
}

TEST(Jet, HasACloudOfHalfTheLimitTwentySevenTimesAsLarge) {
  cite("Cloud whose mean is half of the lower limit",
       "M. J. Ivings and others, HSE Research Report RR630 (2008), summary (read): the volume that counts for "
       "negligible "
       "extent is that whose mean is half of the lower limit. The mean of a jet above a fraction is 1.5 times the "
       "fraction, so this cloud ends at a third of the limit: 27 times the flammable volume (derived, no source). "
       "Here methane from 1 mm. Tolerance 5 %: exact for small mass fractions.");
  const double density = air_density(293.15) * 0.016043 / air;
  const double limit = 0.044;
  const double end = jet_reach(density, 1e-3, air_density(293.15), mass_fraction(limit, 0.016043, air));
  const double third = jet_reach(density, 1e-3, air_density(293.15), mass_fraction(limit / 3.0, 0.016043, air));
  expect_within(jet_volume(third) / jet_volume(end), 27.0, 5.0,
                "volume to a third of the limit over that to the limit");
}

TEST(Jet, OfAcetyleneCarriesMoreThanTheIncompressibleExample) {
  cite("Acetylene through 6.35 mm at 15 psi gauge",
       "A. Farrell, Turbulent Jet Example, 10 April 2021 (read), after F. P. Lees, Loss Prevention: 0.0085153 m3/s and "
       "268.88 m/s with a discharge coefficient of 0.61, as an incompressible flow, 25 degC. At 2.02 times ambient "
       "pressure the flow is choked. leanside counts it so. Tolerance 12 %: Bernoulli's equation with the density "
       "behind "
       "the hole exceeds the choked flow there by that at most; the distance to the limit uses no discharge "
       "coefficient, which is on the safe side.");
  const HeldGas gas{298.15, 0.026038, 1.23};
  const Hole hole{6.35e-3, 0.61};
  const double moles = discharge_rate(gas, hole, standard_atmosphere + 15.0 * 6894.757, standard_atmosphere);
  const double density = standard_atmosphere * 0.026038 / (gas_constant * 298.15);
  expect_within(moles * 0.026038 / density, 0.0085153, 12.0, "flow at ambient pressure, m3/s");
}

}  // namespace
