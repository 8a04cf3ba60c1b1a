// SPDX-License-Identifier: Apache-2.0
/// Where gas detectors see most, soonest.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/result.hpp"
#include "leanside/site.hpp"

namespace leanside {

struct DetectorOptions {
  std::size_t count = 1;
  double alarm = 0.10;                 ///< share of the lower limit, or of the IDLH, at which a detector answers
  std::vector<SpaceIndex> candidates;  ///< where one may hang; empty: every room and cabinet
};

/// What a detector measures: gas that burns, gas that poisons, or the oxygen, which answers outside the criteria.
enum class Sensor { fuel, toxic, oxygen };
std::string_view word_of(Sensor sensor);

/// A release of a case, on its own, as one kind of detector sees it.
struct GasScenario {
  CaseIndex case_index;
  ReleaseIndex release;
  Sensor sensor = Sensor::fuel;
};

enum class Mounting { high, low, middle };
std::string_view word_of(Mounting mounting);

struct DetectorPlace {
  SpaceIndex space;
  std::vector<std::size_t> first;   ///< scenarios that it sees before the others do
  std::vector<Sensor> sensors;      ///< what it has to measure, for the scenarios that it sees
  std::vector<Mounting> mountings;  ///< by the gases that come to the alarm there; more than one where they differ
};

struct DetectorPlan {
  double alarm = 0.0;
  double horizon = 0.0;  ///< s
  std::vector<SpaceIndex> candidates;
  std::vector<GasScenario> scenarios;       ///< whose gas comes to the alarm in some candidate space
  std::vector<GasScenario> silent;          ///< whose gas never does within the horizon
  std::vector<std::vector<double>> time;    ///< s, scenarios x candidates; infinite: never within the horizon
  std::vector<DetectorPlace> places;        ///< in the order in which they help most
  std::vector<std::optional<double>> seen;  ///< s after time 0 less the start of the release, by scenario
  double mean_time = 0.0;                   ///< s, over the scenarios; one that is not seen counts with the horizon
  bool exact = false;                       ///< no other choice of so many has a smaller mean time
  double bound = 0.0;                       ///< s, no choice of so many has a smaller mean time than this
  std::vector<Assumption> assumptions;
};

/// The site with one more case, "fans-off": the normal case with every fan off from the start.
Site with_fans_off(const Site& site);

/// Where `count` detectors see every release of every case soonest. A gas that burns and poisons counts once for each.
/// Every choice is tried where there are few enough; else the one that helps most is added, one after the other: that
/// gains at least 1 - 1/e of what the best choice gains (Nemhauser, Wolsey and Fisher 1978), and `bound` says what no
/// choice can beat.
Result<DetectorPlan> place_detectors(const Site& site, const DetectorOptions& options = {});

/// The same for given times, s (scenarios x candidates; infinite: never): the places chosen, in the order in which they
/// help most, whether the choice is exact, and the bound.
struct DetectorChoice {
  std::vector<std::size_t> chosen;
  double mean_time = 0.0;
  bool exact = false;
  double bound = 0.0;
};
/// `most_choices`: above so many the choice is greedy.
DetectorChoice choose_detectors(const std::vector<std::vector<double>>& time, std::size_t count, double horizon,
                                double most_choices = 2e5);

}  // namespace leanside
