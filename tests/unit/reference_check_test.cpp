// SPDX-License-Identifier: Apache-2.0
// The engine against an independent solver: dense matrices, junctions eliminated algebraically, the matrix exponential
// (small sites) or Boost.odeint's Rosenbrock method (middling ones) in time. All sites are invented, by a seeded draw.
#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <string>
#include <variant>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "support/build_site.hpp"
#include "support/reference_sites.hpp"
#include "support/reference_solver.hpp"

namespace {

using leanside::CaseIndex;
using leanside::Site;
using leanside::SpaceIndex;
using leanside::SpaceKind;
using leanside::testing::SiteBuilder;

Eigen::Index ix(std::size_t i) { return static_cast<Eigen::Index>(i); }

/// What is asked of every fraction.
double tolerance(double reference) { return 1e-6 * std::abs(reference) + 1e-12; }

/// Keeps the pieces of a transient, to be asked for fractions afterwards.
class Pieces {
 public:
  leanside::PieceObserver observer() {
    return [this](const leanside::DensePiece& piece) {
      kept_[piece.space.value].push_back({piece, {piece.coefficients.begin(), piece.coefficients.end()}});
    };
  }
  /// 0 where a space is not reported at that time: its part of the network holds no gas and gets none.
  double at(std::size_t space, std::size_t column, double time) const {
    const auto found = kept_.find(space);
    if (found == kept_.end()) return 0.0;
    for (const auto& [piece, coefficients] : found->second) {
      if (time < piece.begin || time > piece.end) continue;
      const std::size_t width = leanside::dense_degree + 1;
      return leanside::bernstein_value({coefficients.data() + column * width, width}, piece.position_at(time));
    }
    return 0.0;
  }

 private:
  struct Kept {
    leanside::DensePiece piece;
    std::vector<double> coefficients;
  };
  std::map<std::size_t, std::vector<Kept>> kept_;
};

/// Times spread over the horizon, none of them a moment at which something is switched.
std::vector<double> probe_times(std::size_t count, double horizon, std::uint64_t seed) {
  std::mt19937_64 engine{seed};
  std::vector<double> times;
  for (std::size_t k = 0; k < count; ++k) {
    const double u = static_cast<double>(engine() >> 11) * 0x1.0p-53;
    times.push_back(k % 3 == 0 ? horizon * std::pow(10.0, -6.0 * u) : horizon * u);
  }
  std::sort(times.begin(), times.end());
  return times;
}

void check_flows(const Site& site, std::size_t case_index, const reference::Transient& truth) {
  for (std::size_t s = 0; s < truth.stretches().size(); ++s) {
    const auto& stretch = truth.stretches()[s];
    const auto& flows = truth.flows()[s];
    SCOPED_TRACE("flows from " + std::to_string(stretch.begin) + " s");
    const auto state = leanside::state_at(site, CaseIndex{case_index}, 0.5 * (stretch.begin + stretch.end));
    EXPECT_EQ(state.airway_on, stretch.state.airway_on);
    for (std::size_t r = 0; r < site.releases.size(); ++r) {
      EXPECT_DOUBLE_EQ(state.release_rate[r], stretch.state.release_rate[r]) << "release " << r;
    }
    const auto result = leanside::balance_flows(site, state);
    const auto* field = std::get_if<leanside::FlowField>(&result);
    ASSERT_TRUE(field) << std::get<leanside::FlowFault>(result).message;
    const double scale = flows.rate.maxCoeff();
    for (std::size_t k = 0; k < site.airways.size(); ++k) {
      EXPECT_NEAR(field->airways[k].forward, flows.forward[k], 1e-12 * scale) << "airway " << k;
      EXPECT_NEAR(field->airways[k].backward, flows.backward[k], 1e-12 * scale) << "airway " << k;
    }
    Eigen::VectorXd leak = Eigen::VectorXd::Zero(flows.leak.size());
    for (const auto& assumed : field->leaks) leak(ix(assumed.space.value)) += assumed.rate;
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      EXPECT_NEAR(leak(ix(i)), flows.leak(ix(i)), 1e-12 * scale) << "leak of space " << i;
      EXPECT_NEAR(field->storage[i], flows.storage(ix(i)), 1e-12 * scale) << "storage of space " << i;
    }
  }
}

void check_transient(const Site& site, std::size_t case_index, const reference::Transient& truth,
                     const std::vector<double>& times) {
  const double horizon = site.criteria.horizon;
  Pieces pieces;
  const auto tracers = leanside::gas_tracers(site);
  const auto result = leanside::solve_transient(site, CaseIndex{case_index}, tracers, horizon, pieces.observer());
  const auto* found = std::get_if<leanside::TransientResult>(&result);
  ASSERT_TRUE(found) << std::get<leanside::Fault>(result).message;
  const auto fractions = truth.at(times);
  for (std::size_t k = 0; k < times.size(); ++k) {
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      if (!truth.alive(i, times[k])) continue;
      for (std::size_t c = 0; c < site.gases.size(); ++c) {
        const double expected = fractions[k](ix(i), ix(c)), value = pieces.at(i, c, times[k]);
        EXPECT_NEAR(value, expected, tolerance(expected))
            << "space " << i << " gas " << c << " at " << times[k] << " s";
        EXPECT_GE(value, -1e-15);
      }
    }
  }
  const auto end = truth.at({horizon}).front();
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    if (!truth.alive(i, horizon)) continue;
    for (std::size_t c = 0; c < site.gases.size(); ++c) {
      const double expected = end(ix(i), ix(c));
      EXPECT_NEAR(found->end(SpaceIndex{i}, c), expected, tolerance(expected)) << "end: space " << i << " gas " << c;
    }
  }
  double all_moles = 0.0;
  for (const auto& space : site.spaces) all_moles += leanside::moles_held(space, site.conditions);
  for (const auto& balance : found->balance) {
    const double entered = balance.initial + balance.released;  // of traces, what is asked of fractions
    EXPECT_LE(balance.relative_error() * entered, 1e-9 * entered + 1e-12 * all_moles);
  }
  const auto moles = truth.moles_at(horizon), before = truth.moles().front();
  for (const auto& pressure : found->pressures) {
    const auto i = ix(pressure.space.value);
    EXPECT_NEAR(pressure.final_factor, moles(i) / before(i), 1e-9 * moles(i) / before(i));
  }
}

void check_steady(const Site& site, std::size_t case_index) {
  const auto truth = reference::steady(site, case_index);
  ASSERT_TRUE(truth);
  const auto result = leanside::solve_steady(site, CaseIndex{case_index}, leanside::gas_tracers(site));
  const auto* found = std::get_if<leanside::SteadyFractions>(&result);
  ASSERT_TRUE(found) << std::get<leanside::Fault>(result).message;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    SCOPED_TRACE("steady: space " + std::to_string(i));
    if (!found->reached[i]) {
      EXPECT_FALSE(truth->reaches_outside[i]) << "gas gets out of it, yet: " << found->reason[i];
      EXPECT_FALSE(found->reason[i].empty());
    } else if (!truth->closed[i] && truth->alive[i]) {
      for (std::size_t c = 0; c < site.gases.size(); ++c) {
        const double expected = truth->fractions(ix(i), ix(c));
        EXPECT_NEAR(found->fractions(SpaceIndex{i}, c), expected, tolerance(expected)) << "gas " << c;
      }
    }
  }
}

void check_site(const Site& site, std::size_t probes, std::uint64_t seed, reference::Method method) {
  for (std::size_t case_index = 0; case_index < site.cases.size(); ++case_index) {
    SCOPED_TRACE("case " + site.cases[case_index].id);
    const auto truth = reference::Transient::solve(site, case_index, site.criteria.horizon, method);
    ASSERT_TRUE(truth);
    check_flows(site, case_index, *truth);
    check_transient(site, case_index, *truth, probe_times(probes, site.criteria.horizon, seed));
    check_steady(site, case_index);
  }
}

void check_seeds(std::uint64_t first, std::uint64_t count, const reference::Recipe& recipe) {
  for (std::uint64_t seed = first; seed < first + count; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    check_site(reference::random_site(seed, recipe), 12, seed, reference::Method::exponential);
    if (::testing::Test::HasFailure()) return;  // one bad site is enough to read
  }
}

// ---- the independent solver itself, against closed forms

TEST(ReferenceSolver, FillsOneRoomAsTheExponentialLaw) {
  SiteBuilder build;
  const auto gas = build.methane();
  const auto room = build.space("room", 50.0);
  build.fan("fan", room, std::nullopt, 0.02);
  build.opening("door", std::nullopt, room);
  build.steady("leak", room, gas, 1e-4);
  const auto truth = reference::Transient::solve(build.site, 0, 7200.0, reference::Method::exponential);
  const auto stiff = reference::Transient::solve(build.site, 0, 7200.0, reference::Method::rosenbrock);
  ASSERT_TRUE(truth && stiff);
  const double expected = 1e-4 / 0.02 * (1.0 - std::exp(-0.02 / 50.0 * 3600.0));
  EXPECT_NEAR(truth->at({3600.0})[0](0, 0), expected, 1e-14);
  EXPECT_NEAR(stiff->at({3600.0})[0](0, 0), expected, 1e-9 * expected);
  EXPECT_NEAR(reference::steady(build.site, 0)->fractions(0, 0), 1e-4 / 0.02, 1e-16);
}

TEST(ReferenceSolver, FillsATightVesselAsItsMolesGrow) {
  SiteBuilder build;
  const auto gas = build.hydrogen();
  const auto vessel = build.vessel("vessel", 0.01);
  build.steady("reaction", vessel, gas, 1e-6);
  const auto truth = reference::Transient::solve(build.site, 0, 4000.0, reference::Method::exponential);
  ASSERT_TRUE(truth);
  const double gained = 1e-6 * 3000.0 / 0.01;  // of the moles held at first
  EXPECT_NEAR(truth->at({3000.0})[0](0, 0), gained / (1.0 + gained), 1e-10);
  EXPECT_NEAR(truth->moles_at(3000.0)(0) / truth->moles()[0](0), 1.0 + gained, 1e-12);
}

TEST(ReferenceSolver, MixesOnlyItsShareOfTheInflow) {
  SiteBuilder build;
  const auto gas = build.methane();
  const auto room = build.space("room", 50.0);
  build.site.spaces[0].mixing_factor = 4.0;
  build.fan("fan", std::nullopt, room, 0.02);
  build.opening("door", room, std::nullopt);
  build.steady("leak", room, gas, 1e-4);
  // (I/K) x + G x = G
  EXPECT_NEAR(reference::steady(build.site, 0)->fractions(0, 0), 1e-4 / (0.02 / 4.0 + 1e-4), 1e-15);
}

// ---- the engine

TEST(AgainstTheMatrixExponential, SitesOfEveryKind) {
  reference::Recipe recipe;
  recipe.ample_leaks = true;
  check_seeds(1, 120, recipe);
}

TEST(AgainstTheMatrixExponential, SitesWithoutStiffness) {
  reference::Recipe recipe;
  recipe.ample_leaks = true;
  recipe.stiff = false;
  recipe.most_spaces = 12;
  check_seeds(1000, 60, recipe);
}

TEST(AgainstTheMatrixExponential, PairsOfSpaces) {
  reference::Recipe recipe;
  recipe.ample_leaks = true;
  recipe.most_spaces = 3;
  check_seeds(2000, 150, recipe);
}

TEST(AgainstTheMatrixExponential, ShortAndLongHorizons) {
  for (const double horizon : {1.0, 60.0, 30.0 * 86400.0}) {
    reference::Recipe recipe;
    recipe.ample_leaks = true;
    recipe.horizon = horizon;
    recipe.tight_vessels = horizon < 86400.0;
    SCOPED_TRACE("horizon " + std::to_string(horizon));
    check_seeds(3000, 25, recipe);
  }
}

TEST(AgainstOdeint, MiddlingSites) {
  reference::Recipe recipe;
  recipe.ample_leaks = true;
  recipe.fewest_spaces = recipe.most_spaces = 40;
  recipe.stiff = false;
  recipe.tight_vessels = false;
  for (std::uint64_t seed = 1; seed <= 3; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    check_site(reference::random_site(seed, recipe), 6, seed, reference::Method::rosenbrock);
  }
}

// ---- passages over thresholds
/// An upper limit in a vessel that nothing leads out of: 20.6 % more for each tenfold pressure, but for hydrogen, at
/// the highest pressure that its releases bring it to (methods.md).
double under_pressure(const Site& site, std::size_t space, const std::string& fuel, double upper) {
  const leanside::Space& vessel = site.spaces[space];
  const auto joins = [&](const leanside::Side& side) { return side == leanside::SpaceIndex{space}; };
  const auto leads_out = [&](const auto& way) { return joins(first_side(way)) || joins(second_side(way)); };
  const bool open = std::any_of(site.airways.begin(), site.airways.end(), leads_out);
  if (vessel.kind != SpaceKind::vessel || vessel.air_changes > 0.0 || open || fuel == "hydrogen") return upper;
  const double held = site.conditions.pressure * vessel.volume / (leanside::gas_constant * vessel.temperature);
  double ratio = 1.0;
  for (const auto& release : site.releases) {
    const double total = total_amount(release);
    const double all = std::isfinite(total) ? total : emission_rate(release, 0.0) * site.criteria.horizon;
    if (release.into.value == space) ratio += all / held;
  }
  return std::max(upper, std::min(0.95, upper + 0.206 * std::log10(ratio)));
}

double over_limits(const Site& site, const Eigen::MatrixXd& fractions, std::size_t space, bool upper) {
  double sum = 0.0;
  const double temperature = site.spaces[space].temperature;
  for (std::size_t k = 0; k < site.gases.size(); ++k) {
    const auto& gas = site.gases[k];
    if (!gas.limits) continue;
    const double warm = leanside::upper_limit_at(gas.limits->upper, gas.limits->lower, {}, temperature);
    const double limit = upper ? under_pressure(site, space, gas.substance.id, warm)
                               : leanside::lower_limit_at(gas.limits->lower, {}, temperature);
    sum += fractions(ix(space), ix(k)) / limit;
  }
  return sum;
}

double level_of(const Site& site, leanside::Threshold threshold) {
  if (threshold == leanside::Threshold::note) return site.criteria.note_at;
  return threshold == leanside::Threshold::warn ? site.criteria.warn_at : 1.0;
}

/// One passage: just before it the value is on one side, just after on the other, a millionth of the horizon apart.
void check_passage(const Site& site, const reference::Transient& truth, std::size_t space,
                   leanside::Threshold threshold, double time, bool up) {
  const double near = 1e-6 * site.criteria.horizon, level = level_of(site, threshold);
  if (time < near || time > site.criteria.horizon - near) return;
  const auto around = truth.at({time - near, time + near});
  const bool upper = threshold == leanside::Threshold::ufl;
  const double sign = up ? 1.0 : -1.0;
  const double before = sign * (over_limits(site, around[0], space, upper) / level - 1.0);
  const double after = sign * (over_limits(site, around[1], space, upper) / level - 1.0);
  EXPECT_LE(before, 1e-9) << leanside::word_of(threshold) << (up ? " up at " : " down at ") << time << " s";
  EXPECT_GE(after, -1e-9) << leanside::word_of(threshold) << (up ? " up at " : " down at ") << time << " s";
}

/// Whether the passages say that the space is over the threshold at `time`.
bool said_over(const leanside::SpaceResult& result, leanside::Threshold threshold, double time) {
  return std::any_of(result.crossings.begin(), result.crossings.end(), [&](const leanside::Crossing& crossing) {
    return crossing.threshold == threshold && crossing.up <= time && (!crossing.down || *crossing.down > time);
  });
}

std::size_t check_crossings(const Site& site, std::uint64_t seed) {
  std::size_t passages = 0;
  const auto assessed = leanside::assess(site);
  const auto* assessment = std::get_if<leanside::Assessment>(&assessed);
  if (!assessment) {
    ADD_FAILURE() << std::get<leanside::Fault>(assessed).message;
    return 0;
  }
  const std::vector<leanside::Threshold> thresholds = {leanside::Threshold::note, leanside::Threshold::warn,
                                                       leanside::Threshold::lfl, leanside::Threshold::ufl};
  const auto times = probe_times(60, site.criteria.horizon, seed);
  for (std::size_t case_index = 0; case_index < site.cases.size(); ++case_index) {
    SCOPED_TRACE("case " + site.cases[case_index].id);
    const auto truth =
        reference::Transient::solve(site, case_index, site.criteria.horizon, reference::Method::exponential);
    const auto sampled = truth->at(times);
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      SCOPED_TRACE("space " + std::to_string(i));
      if (site.spaces[i].kind == SpaceKind::junction) continue;  // may die and jump; its neighbours are held to account
      const auto& result = assessment->cases[case_index].spaces[i];
      for (const auto& crossing : result.crossings) {
        if (crossing.threshold == leanside::Threshold::stoichiometric) continue;
        check_passage(site, *truth, i, crossing.threshold, crossing.up, true);
        if (crossing.down) check_passage(site, *truth, i, crossing.threshold, *crossing.down, false);
        ++passages;
      }
      double highest = 0.0;
      for (std::size_t k = 0; k < times.size(); ++k) {
        highest = std::max(highest, over_limits(site, sampled[k], i, false));
        for (const auto threshold : thresholds) {
          const double value = over_limits(site, sampled[k], i, threshold == leanside::Threshold::ufl);
          const double ratio = value / level_of(site, threshold);
          if (std::abs(ratio - 1.0) < 1e-6) continue;
          EXPECT_EQ(said_over(result, threshold, times[k]), ratio > 1.0)
              << leanside::word_of(threshold) << " at " << times[k] << " s, where it is " << ratio << " of it";
        }
      }
      EXPECT_GE(result.peak.lfl_fraction, highest * (1.0 - 1e-6) - 1e-12);
      const auto at_peak = truth->at({result.peak.time}).front();
      const double expected = over_limits(site, at_peak, i, false);
      EXPECT_NEAR(result.peak.lfl_fraction, expected, tolerance(expected) + 1e-10);
    }
  }
  return passages;
}

TEST(AgainstTheMatrixExponential, PassagesAndPeaks) {
  reference::Recipe recipe;
  recipe.ample_leaks = true;
  recipe.most_spaces = 6;
  recipe.tight_vessels = false;
  std::size_t passages = 0;
  for (std::uint64_t seed = 5000; seed < 5060; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    passages += check_crossings(reference::random_site(seed, recipe), seed);
    if (HasFailure()) return;
  }
  EXPECT_GT(passages, 200u);  // the draw must give something to pass
}

TEST(AgainstTheMatrixExponential, PassagesInTightVessels) {
  reference::Recipe recipe;
  recipe.ample_leaks = true;
  recipe.most_spaces = 3;
  recipe.mixing = recipe.junctions = false;
  std::size_t passages = 0;
  for (std::uint64_t seed = 6000; seed < 6020; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    passages += check_crossings(reference::random_site(seed, recipe), seed);
    if (HasFailure()) return;
  }
  EXPECT_GT(passages, 20u);
}

}  // namespace
