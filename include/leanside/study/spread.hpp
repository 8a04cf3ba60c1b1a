// SPDX-License-Identifier: Apache-2.0
/// How sure an answer is where values are given as ranges, and sweeps shared out over several machines.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/result.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study/failures.hpp"
#include "leanside/study/sweep.hpp"

namespace leanside {

/// How a value is taken to be spread over its range. `triangular`: best is the likeliest, and the chance falls in a
/// straight line to nothing at low and high (JCGM 101, 6.4.5, from memory). `two_piece`: half of the chance between low
/// and best, half between best and high, even in each; wider.
enum class SpreadShape { triangular, two_piece };
std::string_view word_of(SpreadShape shape);

/// The value below which the share `u` (0 to 1) of the distribution lies.
double quantile(const Range& range, SpreadShape shape, double u);

/// Quasi-random points in the unit cube of `inputs` dimensions for first- and total-order indices: `rows` pairs of
/// points (A, B) of a Sobol sequence in 2 x inputs dimensions (directions of Joe and Kuo 2008), shifted digit by digit
/// by the seed. Blocks of a row: 0 is A, 1 is B, 2 + i is A with input i of B (Saltelli et al. 2010).
class SensitivityDesign {
 public:
  static constexpr std::size_t most_inputs = 500;
  /// 1 <= inputs <= most_inputs.
  SensitivityDesign(std::size_t inputs, std::size_t rows, std::uint64_t seed);
  std::size_t inputs() const { return inputs_; }
  std::size_t rows() const { return rows_; }
  std::size_t blocks() const { return inputs_ + 2; }
  void point(std::size_t row, std::size_t block, std::span<double> out) const;

 private:
  std::size_t inputs_, rows_;
  std::vector<double> a_, b_;  ///< rows x inputs
};

/// A figure and its standard error.
struct Uncertain {
  double value = 0.0;
  double error = 0.0;
};

/// The share of the variance of a result that each input causes: alone (first order), and including its interactions
/// with others (total order).
struct Sensitivity {
  double mean = 0.0, variance = 0.0;
  std::vector<Uncertain> first, total;  ///< by input; empty where the result does not vary
};

/// Indices of any model from its `values` at the points of a design (rows x blocks, row-major): first order by the
/// estimator of Saltelli et al. 2010, total order by that of Jansen 1999; errors by resampling rows (bootstrap).
Sensitivity sensitivity(std::size_t inputs, std::span<const double> values, std::uint64_t seed = 1,
                        std::size_t resamples = 100);

struct SpreadOptions {
  std::size_t draws = 10000;  ///< sites solved, at most
  std::uint64_t seed = 1;
  SpreadShape shape = SpreadShape::triangular;
  bool steady_only = false;       ///< looks at the steady state in place of the course in time
  std::optional<CaseIndex> only;  ///< one case alone
  unsigned threads = 0;           ///< 0: as many as the machine has; the answer is the same for any number
  Shard shard;
  Sweep* sweep = nullptr;
};

/// What was looked at in one draw of one space of one case.
struct SpreadValue {
  double worst = 0.0;  ///< lfl_fraction: peak within the horizon, or that of the steady state
  double time = 0.0;   ///< s, when it first passes warn_at; infinite: never
  bool over_limit = false;
  bool oxygen = false;    ///< outside its criteria
  bool pressure = false;  ///< a sealed vessel gains 10 % or more
  bool endless = false;   ///< of the steady state: there is none, gas gathers without end
};

/// The rows of a sweep that one shard solved.
struct SpreadPart {
  std::size_t rows = 0;  ///< of the whole sweep
  std::size_t row_begin = 0, row_end = 0;
  std::vector<SpreadValue> values;  ///< rows x blocks x cases x spaces, row-major
};

/// The percentiles that are reported, %.
inline constexpr double spread_percents[] = {5.0, 25.0, 50.0, 75.0, 95.0};

struct SpreadSpace {
  CaseIndex case_index;
  SpaceIndex space;
  Uncertain over_warn, over_limit;                     ///< chances
  double oxygen = 0.0, pressure = 0.0, endless = 0.0;  ///< chances
  std::vector<double> worst;                           ///< lfl_fraction, by spread_percents
  double largest = 0.0;                                ///< of all draws
  double at_best = 0.0;                                ///< with the best value of every range
  std::vector<std::optional<double>> time;  ///< s to warn_at, by spread_percents; empty: not reached that often
  Sensitivity sensitivity;                  ///< of `worst`
};

struct SpreadStudy {
  std::size_t draws = 0, rows = 0;
  std::uint64_t seed = 1;
  SpreadShape shape = SpreadShape::triangular;
  bool steady_only = false;
  double horizon = 0.0;  ///< s, the time over which every draw was followed
  std::vector<CaseIndex> cases;
  std::vector<SpreadSpace> spaces;  ///< with gas or another finding in any draw; the likeliest over first
  std::vector<Assumption> assumptions;
};

/// Solves the site for values drawn from all its ranges at once. Faults: a site without ranges, too few draws for the
/// number of ranges, values that do not go together, a draw that cannot be solved.
Result<SpreadPart> spread_part(const RangedSite& site, const SpreadOptions& options = {});
/// What all the rows of a sweep say together.
Result<SpreadStudy> spread_of(const RangedSite& site, const SpreadOptions& options, const SpreadPart& whole);
Result<SpreadStudy> study_spread(const RangedSite& site, const SpreadOptions& options = {});

/// The fewest draws that so many ranges need.
std::size_t least_draws(std::size_t ranges);

// ---- sweeps shared out over several machines

struct SpreadShare {
  SpreadOptions options;
  SpreadPart part;
};
struct FailuresShare {
  FailureOptions options;
  std::vector<CaseIndex> cases;
  std::vector<FailurePart> parts;  ///< of each of them
};

/// One share of a sweep, with everything needed to join it with the others and to give the answer.
struct SweepPart {
  std::string version;  ///< of the program that solved it
  Shard shard;
  std::string file, text;                   ///< the site file: its name and all of its text
  std::string substances_file, substances;  ///< the same of the file of substances; empty: none
  std::variant<SpreadShare, FailuresShare> share;
};

/// The whole sweep from all its parts, in any order. `names` of the parts are for messages. Refused as bad input: parts
/// of other versions, files, substances or options; a part that is missing, or there twice.
Result<SweepPart> join_parts(std::vector<SweepPart> parts, const std::vector<std::string>& names);

}  // namespace leanside
