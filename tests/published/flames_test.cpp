// SPDX-License-Identifier: Apache-2.0
// Flames in gaps, and the limits and the oxygen that the program takes by default, compared with published values.
#include <fstream>
#include <map>
#include <sstream>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include "leanside/substance_file.hpp"
#include "published/run.hpp"
#include "support/paths.hpp"

namespace {

using namespace leanside;
using namespace published;

using Rows = std::vector<std::pair<const char*, double>>;

const FlameProperties& flame_of(const std::string& id) {
  const FlameProperties* flame = find_flame(id);
  if (!flame) throw std::runtime_error(id + " has no flame");
  return *flame;
}

TEST(Flames, PassNoGapNarrowerThanTheProgramSays) {
  cite("Maximum experimental safe gaps",
       "IEC 60079-20-1 (2010), hydrogen 0.29 mm, methane 1.14 mm and ethylene 0.65 mm; NFPA 497 (2008), hydrogen 0.28 "
       "mm, methane 1.12 mm, acetylene 0.25 mm and ammonia 3.17 mm (both read as quoted in public texts). leanside "
       "takes "
       "the smaller of two sources, so its gap must not be wider than any of these.");
  for (const auto& [id, gap] : Rows{{"hydrogen", 0.29},
                                    {"methane", 1.14},
                                    {"ethylene", 0.65},
                                    {"hydrogen", 0.28},
                                    {"methane", 1.12},
                                    {"acetylene", 0.25},
                                    {"ammonia", 3.17}}) {
    expect_at_most(flame_of(id).safe_gap->value, gap * 1e-3) << "safe gap of " << plain(id) << ", m";
  }
}

TEST(Flames, HaveSafeGapsOfTheirPublishedGroups) {
  cite("Groups of gases by their safe gap",
       "IEC 60079-20-1: group IIC below 0.5 mm, IIB from 0.5 to 0.9 mm, IIA above (bounds read in several public "
       "texts). "
       "Groups of IEC 60079-20-1 (2010; from memory): 1 for IIA, 2 for IIB, 3 for IIC. The group that follows from "
       "leanside's gap must not be lower than the published one.");
  for (const auto& [id, group] : Rows{{"hydrogen", 3},
                                      {"acetylene", 3},
                                      {"carbon-disulfide", 3},
                                      {"ethylene", 2},
                                      {"diethyl-ether", 2},
                                      {"ethylene-oxide", 2},
                                      {"dimethyl-ether", 2},
                                      {"formaldehyde", 2},
                                      {"hydrogen-sulfide", 2},
                                      {"ethanol", 2},
                                      {"methane", 1},
                                      {"propane", 1},
                                      {"n-butane", 1},
                                      {"methanol", 1},
                                      {"acetone", 1},
                                      {"toluene", 1},
                                      {"ammonia", 1},
                                      {"ethyl-acetate", 1}}) {
    const double gap = 1e3 * flame_of(id).safe_gap->value;
    expect_at_least(gap < 0.5 ? 3 : gap <= 0.9 ? 2 : 1, group) << "group of " << plain(id);
  }
}

TEST(Flames, BurnNoFasterThanTheProgramSays) {
  cite(
      "Largest burning velocities, other measurements",
      "Int. J. Hydrogen Energy 49 (2024) 674, hydrogen 2.65 to 3.25 m/s, n-heptane 0.45 m/s, petrol 0.37 to 0.43 m/s "
      "and "
      "ammonia 0.07 m/s; M. J. Edmondson and M. P. Heap, methane 0.383 m/s at 10.25 % (all read in abstracts or tables "
      "of others); NACA Report 1300 (1959), propane 0.39, ethylene 0.683 and acetylene 1.41 m/s (from memory). A "
      "faster "
      "flame strikes back sooner: leanside's velocity must not be less than the lower end of each.");
  for (const auto& [id, speed] : Rows{{"hydrogen", 2.65},
                                      {"n-heptane", 0.45},
                                      {"gasoline", 0.37},
                                      {"ammonia", 0.07},
                                      {"methane", 0.383},
                                      {"propane", 0.39},
                                      {"ethylene", 0.683},
                                      {"acetylene", 1.41}}) {
    expect_at_least(flame_of(id).burning_velocity->value, speed) << "burning velocity of " << plain(id) << ", m/s";
  }
}

TEST(Flames, AreQuenchedBetweenPlatesNoWiderThanPublished) {
  cite("Quenching distances of stoichiometric mixtures",
       "Review of A. Frigo and others, 2023 (read): hydrogen 0.64 mm, methane 2.1 mm, petrol 2.0 mm, between plates in "
       "mixtures that just burn all of it. The worst mixture burns between closer plates, so leanside's distance must "
       "not be greater.");
  for (const auto& [id, distance] : Rows{{"hydrogen", 0.64}, {"methane", 2.1}, {"gasoline", 2.0}}) {
    expect_at_most(flame_of(id).quenching_distance->value, distance * 1e-3)
        << "quenching distance of " << plain(id) << ", m";
  }
}

TEST(Flames, OfHydrogenAndOxygenReachThePublishedPressure) {
  cite("Explosion pressure of hydrogen with oxygen",
       "Textbooks of combustion (from memory): 2 H2 + O2 burnt in a closed vessel from 1 atm and 25 degC reaches about "
       "9.6 bar absolute, quoted from 9 to 10; tolerance 5 %.");
  expect_within(1e-5 * flame_of("hydrogen").explosion_pressure_oxygen->value, 9.6, 5.0, "pressure, bar absolute");
}

TEST(Oxygen, InAnInertedCargoTankIsBelowWhatAnyHydrocarbonNeeds) {
  cite("Oxygen in an inerted cargo tank",
       "IMO, Inert Gas Systems, 2.3.2 (read): with 8 % of oxygen a tank of hydrocarbons is kept inert in service; with "
       "11 % no mixture of hydrocarbon and air burns. leanside's least oxygen must not be more than 11 %, and not less "
       "than 8 %, or it would call a tank flammable that the rule calls inert.");
  for (const char* id :
       {"methane", "ethane", "propane", "n-butane", "isobutane", "n-pentane", "n-hexane", "n-heptane", "gasoline"}) {
    const auto& oxygen = named(id).limiting_oxygen;
    ASSERT_TRUE(oxygen) << id;
    expect_at_most(100.0 * oxygen->value, 11.0) << "least oxygen of " << plain(id) << ", %";
    expect_at_least(100.0 * oxygen->value, 8.0) << "least oxygen of " << plain(id) << ", %";
  }
}

/// Lower and upper limit of each substance in one source, %, entered a second time.
std::map<std::string, std::pair<double, double>> limits_in(const std::string& source) {
  std::ifstream in{leanside::testing::source_path("tests/published/pinned/limits.csv")};
  std::map<std::string, std::pair<double, double>> out;
  for (std::string line; std::getline(in, line);) {
    std::istringstream fields{line};
    std::string id, key, value, from;
    std::getline(fields, id, ',');
    std::getline(fields, key, ',');
    std::getline(fields, value, ',');
    std::getline(fields, from, ',');
    if (from != source) continue;
    (key.ends_with("lower") ? out[id].first : out[id].second) = std::stod(value);
  }
  return out;
}

/// How many substances burn outside the range that the program takes when the file names no source.
void expect_cautious(const char* name, const std::string& source, std::size_t at_least) {
  double below = 0, above = 0, compared = 0;
  for (const auto& [id, limits] : limits_in(source)) {
    const Substance* substance = built_in_substances().find(id);
    if (!substance) continue;
    const auto chosen = choose_limits(*substance, "cautious");
    ASSERT_TRUE(chosen) << id;
    ++compared;
    if (limits.first > 0.0 && 100.0 * chosen->lower > limits.first * (1.0 + 1e-12)) ++below;
    if (limits.second > 0.0 && 100.0 * chosen->upper < limits.second * (1.0 - 1e-12)) ++above;
  }
  EXPECT_GE(compared, static_cast<double>(at_least));
  expect_at_most(below, 0.0) << "substances with a lower limit in " << name << " below that of leanside";
  expect_at_most(above, 0.0) << "substances with an upper limit in " << name << " above that of leanside";
}

constexpr const char* as_entered =
    ", limits of all its substances that the table has, entered a second time for these tests. Without a choice in the "
    "file leanside takes the widest range of all sources: no substance may burn outside of it. Counted.";

TEST(ChosenLimits, ContainThoseOfTheStandardForGasGroups) {
  cite("Limits that the program takes by itself and IEC 60079-20-1",
       std::string{"IEC 60079-20-1 (2010), annex B (read in data files)"} + as_entered);
  expect_cautious("IEC 60079-20-1", "iec-60079-20-1-2010", 60);
}

TEST(ChosenLimits, ContainThoseOfTheAmericanStandard) {
  cite("Limits that the program takes by itself and NFPA 497",
       std::string{"NFPA 497 (2008), table 4.4.2 (read in data files)"} + as_entered);
  expect_cautious("NFPA 497", "nfpa-497-2008", 55);
}

TEST(ChosenLimits, ContainThoseOfThePocketGuide) {
  cite("Limits that the program takes by itself and the NIOSH Pocket Guide",
       std::string{"NIOSH Pocket Guide to Chemical Hazards, 2005-149 (read)"} + as_entered);
  expect_cautious("the Pocket Guide", "niosh-2005", 55);
}

TEST(ChosenLimits, ContainThoseOfTheBureauOfMines) {
  cite("Limits that the program takes by itself and Bulletin 627",
       std::string{"M. G. Zabetakis, Bulletin 627, 1965, appendix A (read in a reproduction)"} + as_entered);
  expect_cautious("Bulletin 627", "bulletin-627", 15);
}

}  // namespace
