// SPDX-License-Identifier: Apache-2.0
/// The arithmetic of one space, to be checked with a calculator: every number that its steady state comes from. The
/// equations are those of docs/methods.md, with its numbers.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "leanside/assess.hpp"

namespace leanside {

/// What streams into or out of the space by one way.
struct ExplainedStream {
  enum class Kind { airway, air_changes, assumed_leak };
  Kind kind = Kind::airway;
  std::optional<AirwayIndex> airway;  ///< of kind airway
  Side other;                         ///< where it comes from, or goes to
  bool into = false;
  double rate = 0.0;         ///< mol/s
  double temperature = 0.0;  ///< K, of where it comes from
  double flow = 0.0;         ///< m3/s at that temperature
};
std::string_view word_of(ExplainedStream::Kind kind);

/// A release into the space that never stops.
struct ExplainedRelease {
  ReleaseIndex release;
  double rate = 0.0;  ///< mol/s
  double flow = 0.0;  ///< m3/s at site conditions
  struct Part {
    GasIndex gas;
    double fraction = 0.0;  ///< mol/mol of the release
    double rate = 0.0;      ///< mol/s
  };
  std::vector<Part> parts;
};

/// The fraction of one gas: x = (brought / K + G) / (I / K + all gas let in), equations (4) and (5).
struct ExplainedGas {
  GasIndex gas;
  struct Term {
    std::size_t stream = 0;  ///< place in SpaceArithmetic::streams
    double fraction = 0.0;   ///< mol/mol in what it brings
  };
  std::vector<Term> terms;  ///< streams that bring some
  double brought = 0.0;     ///< mol/s
  double released = 0.0;    ///< mol/s, G
  double fraction = 0.0;    ///< mol/mol, by this arithmetic
  double solved = 0.0;      ///< mol/mol, by the engine
  bool differs = false;     ///< by more than 1e-5 of it: gas flows there that this arithmetic does not see
};

/// Share of the lower limit, Le Chatelier, by one gas.
struct ExplainedLimit {
  GasIndex gas;
  double fraction = 0.0;     ///< mol/mol in the space
  double lower_at_25 = 0.0;  ///< mol/mol at 25 degC
  double lower = 0.0;        ///< mol/mol at the temperature of the space
};

/// Equation (2): oxygen = oxygen in air (1 - sum of the fractions) + oxidisers.
struct ExplainedOxygen {
  double in_air = 0.0;            ///< mol/mol
  std::vector<double> fractions;  ///< mol/mol, of the gases that are there
  double added = 0.0;             ///< mol/mol, of those that are oxidisers
  double value = 0.0;             ///< mol/mol
};

/// When the space reaches a threshold, s: by the time constant, and by the engine.
struct ExplainedPassage {
  double mark = 0.0;  ///< of the lower limit
  double time = 0.0, engine = 0.0;
};

/// A reaction or an electrolysis whose gas goes into the space.
struct ExplainedYield {
  ReleaseIndex release;
  double gas = 0.0;               ///< mol
  double volume = 0.0;            ///< m3, dry, at the conditions of the space
  double wet_volume = 0.0;        ///< m3, over water
  double time = 0.0;              ///< s, in which it comes; of a first-order reaction its half time
  std::optional<double> volumes;  ///< of the space
};

struct SpaceArithmetic {
  CaseIndex case_index;
  SpaceIndex space;
  double pressure = 0.0;                 ///< Pa
  double temperature = 0.0;              ///< K
  double volume = 0.0;                   ///< m3; 0: a junction
  double moles = 0.0;                    ///< mol held, (1)
  std::string no_steady;                 ///< why there is no steady state to compute; all below is then empty
  std::vector<ExplainedStream> streams;  ///< those that come in first
  double inflow = 0.0, outflow = 0.0;    ///< mol/s, their sums
  std::vector<ExplainedRelease> releases;
  double released = 0.0;            ///< mol/s, their sum
  double mixing_factor = 1.0;       ///< K
  std::vector<ExplainedGas> gases;  ///< those that are there
  std::vector<ExplainedLimit> limits;
  double lfl_fraction = 0.0;                 ///< of the lower limit
  MixtureState level = MixtureState::clear;  ///< flammable, margin, note or clear: by `lfl_fraction` alone
  std::optional<ExplainedOxygen> oxygen;     ///< where there is any gas
  std::optional<double> time_constant;       ///< s; empty: holds nothing, or nothing passes
  /// Empty also where something changes on the way, or the air brings gas.
  std::vector<ExplainedPassage> passages;
  std::vector<ExplainedYield> yields;
  std::optional<Experiment> experiment;  ///< of a vessel with gas
  double horizon = 0.0;                  ///< s
  Instant peak;                          ///< the worst within the horizon, by the engine
};

/// `site` with the horizon that was computed. `steady` has a column a tracked gas; the passages and the peak are those
/// of `result`. Not for rooms in layers.
SpaceArithmetic arithmetic_of(const Site& site, const CaseResult& result, SpaceIndex space,
                              const SteadyFractions& steady);

}  // namespace leanside
