// SPDX-License-Identifier: Apache-2.0
// Where gas comes from, by closed forms and limits.
#include <algorithm>
#include <cctype>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/advanced/sources.hpp"
#include "leanside/site_file.hpp"
#include "leanside/substance.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace {

const HeldGas hydrogen{293.15, 0.002016, 1.406};
const HeldGas propane{293.15, 0.0441, 1.13};
constexpr double ambient = standard_atmosphere;

TEST(Discharge, ChokedAndSubsonicMeetInValueAndSlope) {
  for (const HeldGas& gas : {hydrogen, propane}) {
    const double meet = ambient * critical_pressure_ratio(gas.heat_capacity_ratio);
    const Hole hole{0.002, 0.8};
    const auto at = [&](double factor) { return discharge_rate(gas, hole, meet * factor, ambient); };
    EXPECT_NEAR(at(1.0 - 1e-9) / at(1.0), 1.0, 1e-8);
    const double h = 1e-5;
    const double below = (at(1.0) - at(1.0 - h)) / h, above = (at(1.0 + h) - at(1.0)) / h;
    EXPECT_NEAR(below / above, 1.0, 1e-4);
  }
}

TEST(Discharge, OfASmallPressureIsThatOfAnIncompressibleGas) {
  const Hole hole{0.01, 0.6};
  const double difference = 20.0;
  const double density = ambient * propane.molar_mass / (gas_constant * propane.temperature);
  const double bernoulli = hole.discharge * hole.area() * std::sqrt(2.0 * density * difference) / propane.molar_mass;
  EXPECT_NEAR(discharge_rate(propane, hole, ambient + difference, ambient) / bernoulli, 1.0, 1e-4);
  EXPECT_EQ(discharge_rate(propane, hole, ambient, ambient), 0.0);
  EXPECT_EQ(discharge_rate(propane, hole, 0.5 * ambient, ambient), 0.0);
}

TEST(Discharge, GrowsWithPressureAndWithTheSquareOfTheHole) {
  double last = 0.0;
  for (double p = 1.01 * ambient; p < 100.0 * ambient; p *= 1.1) {
    const double rate = discharge_rate(hydrogen, {0.001, 0.85}, p, ambient);
    EXPECT_GT(rate, last);
    EXPECT_NEAR(discharge_rate(hydrogen, {0.003, 0.85}, p, ambient) / rate, 9.0, 1e-12);
    last = rate;
  }
}

TEST(Blowdown, IsExponentialWhileChoked) {
  const Blowdown cylinder(hydrogen, {0.001, 0.85}, 0.05, 2e7, ambient);
  ASSERT_GT(cylinder.choked_until(), 0.0);
  for (const double share : {0.1, 0.5, 0.9}) {
    const double t = share * cylinder.choked_until();
    EXPECT_NEAR(cylinder.pressure_at(t) / (2e7 * std::exp(-t / cylinder.time_constant())), 1.0, 1e-13);
  }
  const double end = cylinder.pressure_at(cylinder.choked_until());
  EXPECT_NEAR(end / (ambient * critical_pressure_ratio(1.406)), 1.0, 1e-12);
}

TEST(Blowdown, EndsAtAmbientPressureAfterAFiniteTimeWithAllOfItsStockOut) {
  for (const double pressure : {2e7, 1.5 * ambient, 1.001 * ambient}) {
    const Blowdown cylinder(propane, {0.002, 0.7}, 0.01, pressure, ambient);
    EXPECT_NEAR(cylinder.pressure_at(cylinder.duration()), ambient, 1e-9 * ambient);
    EXPECT_NEAR(cylinder.amount_out(cylinder.duration()) / cylinder.stock(), 1.0, 1e-12);
    EXPECT_EQ(cylinder.amount_out(2.0 * cylinder.duration()), cylinder.amount_out(cylinder.duration()));
    EXPECT_EQ(cylinder.rate_at(1.01 * cylinder.duration()), 0.0);
  }
}

TEST(Blowdown, WhatComesOutIsTheIntegralOfItsRate) {
  const Blowdown cylinder(propane, {0.002, 0.7}, 0.01, 4.0 * ambient, ambient);
  constexpr int pieces = 20000;
  const double step = cylinder.duration() / pieces;
  double sum = 0.0;  // Simpson's rule
  for (int k = 0; k < pieces; ++k) {
    const double t = k * step;
    sum += step / 6.0 * (cylinder.rate_at(t) + 4.0 * cylinder.rate_at(t + 0.5 * step) + cylinder.rate_at(t + step));
  }
  EXPECT_NEAR(sum / cylinder.stock(), 1.0, 1e-9);
}

TEST(HeatCapacityRatio, OfAMixtureComesFromHeatCapacities) {
  const double share[] = {0.5, 0.5}, ratio[] = {5.0 / 3.0, 1.4};  // Cp = 2.5 R and 3.5 R
  EXPECT_NEAR(mixed_heat_capacity_ratio(share, ratio), 3.0 / 2.0, 1e-14);
}

TEST(Evaporation, StopsWhereTheAirIsSaturatedAndIsLinearBefore) {
  const Pool pool{2.0, 0.003, 20000.0, 293.15};
  const double most = evaporation_rate(pool, 0.0);
  EXPECT_NEAR(most, 0.003 * 2.0 * 20000.0 / (gas_constant * 293.15), 1e-15);
  EXPECT_NEAR(evaporation_rate(pool, 5000.0) / most, 0.75, 1e-14);
  EXPECT_EQ(evaporation_rate(pool, 20000.0), 0.0);
  EXPECT_EQ(evaporation_rate(pool, 30000.0), 0.0);
}

// Two parts by the integral of Rayleigh: ln(N0/N) is the integral of dx/(y - x) from x to x0, taken here by Simpson's
// rule, which shares nothing with the closed form of the library.
TEST(Distillation, OfTwoPartsFollowsRayleigh) {
  const double amount[] = {3.0, 2.0}, pressure[] = {24e3, 3e3};
  const auto stages = distillation(amount, pressure);
  double left[] = {3.0, 2.0};
  const double start = left[0] / (left[0] + left[1]);
  ASSERT_GT(stages.size(), 5u);
  for (std::size_t k = 0; k + 1 < stages.size(); ++k) {
    for (std::size_t i = 0; i < 2; ++i) left[i] -= stages[k].amount * stages[k].share[i];
    const double all = left[0] + left[1], x = left[0] / all;
    const auto rate = [&](double at) {
      const double vapour = at * pressure[0] / (at * pressure[0] + (1.0 - at) * pressure[1]);
      return 1.0 / (vapour - at);
    };
    constexpr int panels = 2000;
    const double width = (start - x) / panels;
    double integral = 0.0;
    for (int j = 0; j < panels; ++j) {
      const double a = x + j * width;
      integral += width / 6.0 * (rate(a) + 4.0 * rate(a + 0.5 * width) + rate(a + width));
    }
    EXPECT_NEAR(std::log(5.0 / all), integral, 1e-9 * integral) << k;
    // Raoult's law over what is left is the pressure of the next stage.
    EXPECT_NEAR(x * pressure[0] + (1.0 - x) * pressure[1], stages[k + 1].vapour_pressure, 1e-9 * pressure[0]) << k;
  }
}

TEST(Distillation, ConservesEachPartAndSlowsDown) {
  const std::vector<std::vector<double>> pools{
      {1.0}, {2.0, 5.0}, {1e-6, 3.0, 0.5}, {4.0, 1.0, 2.0, 7.0}, {1.0, 1.0, 1.0}};
  const std::vector<std::vector<double>> pressures{
      {1e4}, {3e3, 3e3}, {9e4, 1e3, 2.0}, {30.0, 5e4, 600.0, 2e3}, {1e5, 1e5, 1e-3}};
  for (std::size_t j = 0; j < pools.size(); ++j) {
    const auto stages = distillation(pools[j], pressures[j]);
    EXPECT_LE(stages.size(), 22u);
    for (std::size_t i = 0; i < pools[j].size(); ++i) {
      double given = 0.0;
      for (const PoolStage& stage : stages) given += stage.amount * stage.share[i];
      EXPECT_NEAR(given, pools[j][i], 1e-13 * pools[j][i]) << j << ", part " << i;
    }
    double all = 0.0, fresh = 0.0;
    for (std::size_t i = 0; i < pools[j].size(); ++i) {
      all += pools[j][i];
      fresh += pools[j][i] * pressures[j][i];
    }
    EXPECT_NEAR(stages.front().vapour_pressure, fresh / all, 1e-12 * fresh / all);
    for (std::size_t k = 0; k < stages.size(); ++k) {
      EXPECT_GT(stages[k].amount, 0.0);
      double sum = 0.0, mean = 0.0;
      for (const double share : stages[k].share) sum += share;
      EXPECT_NEAR(sum, 1.0, 1e-12);
      if (k == 0) continue;
      EXPECT_LT(stages[k].vapour_pressure, stages[k - 1].vapour_pressure);
      // The vapour holds ever less of the most volatile part.
      const auto light = std::max_element(pressures[j].begin(), pressures[j].end()) - pressures[j].begin();
      mean = stages[k].share[static_cast<std::size_t>(light)];
      EXPECT_LE(mean, stages[k - 1].share[static_cast<std::size_t>(light)] + 1e-12);
    }
  }
}

// A real pool takes at least as long to give off any share of its parts.
TEST(Distillation, NeverGivesOffLaterThanTheExactPool) {
  const double amount[] = {1.0, 2.0, 1.5}, pressure[] = {2e4, 4e3, 7e2};
  const auto stages = distillation(amount, pressure);
  // With k A/(R T) = 1: dn/dt = P, and dn_i/dt = n_i p_i / n. In u = integral dt/n the exact pool is n_i exp(-p_i u).
  double time = 0.0, u = 0.0, staged = 0.0, out = 0.0, given = 0.0;
  std::size_t k = 0;
  for (int step = 0; step < 200000 && k < stages.size(); ++step) {
    constexpr double du = 1e-8;
    double n = 0.0, p = 0.0;
    for (std::size_t i = 0; i < 3; ++i) {
      const double left = amount[i] * std::exp(-pressure[i] * (u + 0.5 * du));
      n += left;
      p += left * pressure[i];
    }
    time += n * du;
    out += p * du;
    u += du;
    while (k < stages.size() && given + stages[k].amount < out) {
      given += stages[k].amount;
      staged += stages[k].amount / stages[k].vapour_pressure;
      EXPECT_LE(staged, time * (1.0 + 1e-3)) << k;
      EXPECT_GE(staged, 0.8 * time) << k;
      ++k;
    }
  }
  EXPECT_GT(k, 3u);
}

TEST(Evaporation, SchmidtNumberOfWaterVapourIsThatOfTheTextbooks) {
  // 0.60 to 0.61 at 25 degC (any text on mass transfer, from memory).
  EXPECT_NEAR(schmidt_number(2.56e-5, 298.15, standard_atmosphere), 0.61, 0.015);
}

TEST(Charging, FollowsFaraday) {
  EXPECT_NEAR(3600.0 * charging_hydrogen(1.0, 1.0), 0.01866, 0.5e-5);  // mol for one ampere hour
  EXPECT_NEAR(charging_hydrogen(24.0, 2.0), 24.0 * 2.0 * charging_hydrogen(1.0, 1.0), 1e-18);
}

// ---- the table of reactions ----

/// Standard atomic weights, abridged (IUPAC 2021), g/mol.
const std::map<std::string, double>& weights() {
  static const std::map<std::string, double> table = {{"H", 1.008},   {"Li", 6.94},   {"B", 10.81},   {"C", 12.011},
                                                      {"N", 14.007},  {"O", 15.999},  {"Na", 22.990}, {"Mg", 24.305},
                                                      {"Al", 26.982}, {"S", 32.06},   {"Cl", 35.45},  {"K", 39.098},
                                                      {"Ca", 40.078}, {"Mn", 54.938}, {"Fe", 55.845}, {"Zn", 65.38}};
  return table;
}

using Atoms = std::map<std::string, double>;

std::size_t number_at(const std::string& text, std::size_t& at) {
  std::size_t number = 0;
  while (at < text.size() && std::isdigit(static_cast<unsigned char>(text[at]))) {
    number = 10 * number + static_cast<std::size_t>(text[at++] - '0');
  }
  return number == 0 ? 1 : number;
}

/// Atoms of "Al2(SO4)3".
Atoms atoms_of(const std::string& formula) {
  Atoms out;
  std::size_t at = 0;
  while (at < formula.size()) {
    if (formula[at] == '(') {
      const auto close = formula.find(')', at);
      const Atoms group = atoms_of(formula.substr(at + 1, close - at - 1));
      at = close + 1;
      const auto times = static_cast<double>(number_at(formula, at));
      for (const auto& [element, count] : group) out[element] += times * count;
      continue;
    }
    std::string element{formula[at++]};
    while (at < formula.size() && std::islower(static_cast<unsigned char>(formula[at]))) element += formula[at++];
    out[element] += static_cast<double>(number_at(formula, at));
  }
  return out;
}

/// The terms of one side of an equation: formula and count.
std::vector<std::pair<std::string, double>> terms_of(const std::string& side) {
  std::vector<std::pair<std::string, double>> out;
  std::istringstream words{side};
  double count = 1.0;
  for (std::string word; words >> word;) {
    if (word == "+") continue;
    if (std::isdigit(static_cast<unsigned char>(word[0]))) {
      count = std::stod(word);
    } else {
      out.emplace_back(word, count);
      count = 1.0;
    }
  }
  return out;
}

TEST(Reactions, AreManyAndBalanced) {
  EXPECT_GE(built_in_reactions().size(), 15u);
  std::set<std::string> ids;
  for (const Reaction& reaction : built_in_reactions()) {
    EXPECT_TRUE(ids.insert(reaction.id).second) << reaction.id;
    const auto arrow = reaction.equation.find(" -> ");
    ASSERT_NE(arrow, std::string::npos);
    const auto left = terms_of(reaction.equation.substr(0, arrow)),
               right = terms_of(reaction.equation.substr(arrow + 4));
    Atoms balance;
    for (const auto& [formula, count] : left) {
      for (const auto& [element, n] : atoms_of(formula)) balance[element] += count * n;
    }
    for (const auto& [formula, count] : right) {
      for (const auto& [element, n] : atoms_of(formula)) balance[element] -= count * n;
    }
    for (const auto& [element, n] : balance) EXPECT_EQ(n, 0.0) << reaction.id << ": " << element;
    // The reagents of the table are the left side, with its numbers and its masses.
    ASSERT_EQ(left.size(), reaction.reagents.size()) << reaction.id;
    for (std::size_t i = 0; i < left.size(); ++i) {
      EXPECT_EQ(left[i].second, reaction.reagents[i].count) << reaction.id;
      double mass = 0.0;
      for (const auto& [element, n] : atoms_of(left[i].first)) mass += n * weights().at(element);
      EXPECT_NEAR(1000.0 * reaction.reagents[i].molar_mass, mass, 0.002) << reaction.id;
    }
    // The gas is one of the right side, of the same mass in the table of substances.
    const Substance* gas = built_in_substances().find(reaction.gas);
    ASSERT_NE(gas, nullptr) << reaction.gas;
    bool made = false;
    for (const auto& [formula, count] : right) made = made || (formula == gas->formula && count == reaction.gas_count);
    EXPECT_TRUE(made || gas->formula == "H3N") << reaction.id << " makes no " << gas->formula;
  }
}

TEST(Reactions, StopWhenTheLimitingReagentIsUsedUp) {
  const Reaction& reaction = *find_reaction("aluminium-hydrochloric-acid");  // 2 Al + 6 HCl -> 3 H2
  const double plenty = std::numeric_limits<double>::infinity();
  const double acid_short[] = {1.0, 1.5};
  const ReactionYield yield = yield_of(reaction, acid_short);
  EXPECT_EQ(yield.limiting, 1u);
  EXPECT_DOUBLE_EQ(yield.gas, 0.75);
  EXPECT_DOUBLE_EQ(yield.left[0], 0.5);
  EXPECT_EQ(yield.left[1], 0.0);
  const double metal_short[] = {1.0, plenty};
  EXPECT_DOUBLE_EQ(yield_of(reaction, metal_short).gas, 1.5);
  EXPECT_EQ(find_reaction("gold-water"), nullptr);
}

}  // namespace
}  // namespace leanside
