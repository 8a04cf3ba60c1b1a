// SPDX-License-Identifier: Apache-2.0
/// Questions that take many runs of a site: what a change does, what may fail, how much air is enough, how sure it is.
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/hazard.hpp"
#include "leanside/site.hpp"
#include "leanside/site_file.hpp"
#include "leanside/transport.hpp"

namespace leanside {

// ---- long sweeps

/// How far a sweep has come, and a way to stop it; may be read and set while it runs, also from a signal handler.
struct Sweep {
  std::atomic<std::size_t> done{0}, total{0};  ///< runs
  std::atomic<bool> stop{false};
};

/// A sweep was stopped before its end; there is no answer.
struct Stopped {
  std::size_t done = 0, total = 0;  ///< runs
};

/// A share of a sweep: part `index` of `count`, counted from 1.
struct Shard {
  std::size_t index = 1, count = 1;
};

// ---- before and after

/// What became of something. `mixed`: better in one respect, worse in another. `differs`: neither better nor worse.
enum class Verdict { same, better, worse, mixed, differs };
std::string_view word_of(Verdict verdict);

/// A respect in which a space may become better or worse.
enum class Aspect {
  severity,        ///< of what may burn: 0 flammable, 1 rich, 2 margin, 5 note, 6 none
  lfl_fraction,    ///< the worse of peak and sustained; no judgement where it is too rich to burn before or after
  long_run,        ///< whether a sustained state is reached: 1, or 0 where the gas gathers without end
  first_passage,   ///< s, when it first passes warn_at
  flammable_time,  ///< s inside the range within the horizon
  oxygen,          ///< mol/mol, the worst where it leaves the criteria
  pressure,        ///< Pa, highest, of a vessel that gains 10 % or more
};
std::string_view word_of(Aspect aspect);

struct AspectChange {
  Aspect aspect = Aspect::severity;
  std::optional<double> before, after;  ///< in the unit of the aspect; empty: there is none
  Verdict verdict = Verdict::differs;
};

/// A space of one case, before and after; only such as differ.
struct SpaceChange {
  CaseIndex case_before, case_after;
  SpaceIndex space_before, space_after;
  Verdict verdict = Verdict::differs;
  double lfl_before = 0.0, lfl_after = 0.0;
  std::vector<AspectChange> aspects;
};

/// A warning that appeared (no `before`), vanished (no `after`), or changed its severity or its rank.
struct WarningChange {
  std::optional<std::size_t> before, after;  ///< places in Assessment::warnings of each side: rank less 1
  Verdict verdict = Verdict::differs;
  bool of_unmatched = false;  ///< its space or its case is on one side only
};

struct AirwayChange {
  CaseIndex case_before, case_after;
  AirwayIndex airway_before, airway_after;
  double forward_before = 0.0, backward_before = 0.0;  ///< m3/s at time 0, at the temperature of where it comes from
  double forward_after = 0.0, backward_after = 0.0;
};

/// Ids that are on one side only.
struct Unmatched {
  std::vector<std::string> added, removed;
  bool empty() const { return added.empty() && removed.empty(); }
};

struct Comparison {
  Unmatched spaces, airways, releases, cases;
  std::vector<std::string> terms;       ///< criteria, conditions and limits that differ, in words
  std::vector<SpaceChange> changes;     ///< worse ones first, by the change of lfl_fraction
  std::vector<WarningChange> warnings;  ///< appeared, vanished, changed; each by rank
  std::vector<AirwayChange> flows;
  std::size_t compared = 0;     ///< spaces of cases that are on both sides
  bool anything_worse = false;  ///< a space, or a warning that appeared in a space or case that both sides have, or in
                                ///< an added space
};

struct CompareOptions {
  /// Changes of lfl_fraction (and of oxygen) up to this count as none: the accuracy of the solution with room to spare.
  double least_change = 1e-5;
};

/// Compares two assessed sites, spaces, airways, releases and cases matched by id.
Comparison compare(const Site& site_before, const Assessment& before, const Site& site_after, const Assessment& after,
                   const CompareOptions& options = {});

// ---- what may fail

enum class FailureKind {
  fan_off,
  shut,           ///< an opening (relief, gap, exchange, doorway) that is open: blocked or shut
  opened,         ///< an opening that is off, or a doorway that is not wide open: opened wide
  no_air_change,  ///< the air changes of a space with outside stop
  release_starts  ///< a release that is off starts, while everything else is as in the case `normal`
};
std::string_view word_of(FailureKind kind);

/// One thing that goes wrong at time 0 and stays wrong.
struct Failure {
  FailureKind kind = FailureKind::fan_off;
  std::optional<AirwayIndex> airway;
  std::optional<SpaceIndex> space;
  std::optional<ReleaseIndex> release;
};

/// All single failures of a case: each fan that runs at some time of it, each opening, each air change, each release
/// that is off throughout. In the order of the file.
std::vector<Failure> list_failures(const Site& site, CaseIndex which = CaseIndex{0});

/// The site with this case alone and these failures in it; events about what failed are dropped.
Site with_failures(const Site& site, const std::vector<Failure>& failures, CaseIndex which = CaseIndex{0});

/// A warning in brief.
struct Harm {
  SpaceIndex space;
  Severity severity = Severity::note;
  double lfl_fraction = 0.0;
  double oxygen = 0.0;         ///< mol/mol, for severity oxygen
  double pressure = 0.0;       ///< Pa, for severity pressure
  std::optional<double> time;  ///< s, when it reaches the threshold of its severity
};

struct FailureOutcome {
  std::vector<std::size_t> failures;  ///< places in FailureStudy::failures: one, or two of a pair
  /// Warnings that are not in the normal case, or worse there than with the failure, the worst first.
  std::vector<Harm> harms;
  std::size_t gone = 0;  ///< warnings of the normal case that are better or gone with it
  /// Spaces that newly have no sustained state: no air passes through them, or only goes round.
  std::vector<SpaceIndex> unreached;
  std::string fault;  ///< not empty: no balanced flows exist with this failure; says why
};

/// Outcomes with the same effect.
struct FailureGroup {
  std::vector<std::size_t> outcomes;  ///< places in FailureStudy::outcomes; all have the harms of the first
};

/// Spaces whose fresh air hangs on one fan.
struct FanDependence {
  AirwayIndex fan;
  std::vector<SpaceIndex> spaces;  ///< none of them gets any air from outside once it stops
};

struct FailureStudy {
  CaseIndex which;  ///< the case in which things fail; "normal" below is this case with nothing failed
  std::vector<Failure> failures;
  std::vector<Harm> normal;  ///< the warnings with nothing failed, by rank
  std::vector<FailureOutcome> outcomes;
  std::vector<FailureGroup> groups;  ///< the worst first; those without harm last
  std::vector<FanDependence> dependences;
  bool pairs = false;
  bool in_time = false;          ///< the course in time was computed, not the long run alone
  std::size_t singles = 0;       ///< outcomes of one failure come first
  std::size_t pairs_solved = 0;  ///< only pairs worse than each of the two are kept
  std::size_t by_update = 0;     ///< solved by a low-rank update of the normal case
  std::size_t afresh = 0;        ///< solved as a site of their own
  std::vector<std::string> assumptions;
};

enum class InTime { where_quick, always, never };

struct FailureOptions {
  CaseIndex which;  ///< what fails does so in this case
  bool pairs = false;
  InTime in_time = InTime::where_quick;  ///< where_quick: for sites and lists that are small enough
  bool reuse = true;                     ///< low-rank updates of the long run; false: each afresh, for comparison
  unsigned threads = 0;                  ///< of runs in time; 0: as many as the machine has
  Shard shard;
  Sweep* sweep = nullptr;
};

/// What one shard solved of the failures of one case: its share of the singles, and of its share of the pairs those
/// that are worse than each of the two.
struct FailurePart {
  std::vector<FailureOutcome> singles, pairs;
  std::size_t pairs_solved = 0, by_update = 0, afresh = 0;
};

/// Solves a share of the failures of a case.
std::variant<FailurePart, SolveFault, Stopped> failures_part(const Site& site, const FailureOptions& options = {});
/// What all the failures of a case say together: ranked by harm, grouped. `whole`: the parts of all shards, joined in
/// order.
std::variant<FailureStudy, SolveFault> failures_of(const Site& site, const FailureOptions& options, FailurePart whole);

/// Every failure of one case, alone and, if asked, in pairs, ranked by harm.
std::variant<FailureStudy, SolveFault, Stopped> study_failures(const Site& site, const FailureOptions& options = {});

/// The fractions that the site with these failures tends to, and the spaces without a sustained state, by a low-rank
/// update of the solution for the normal case. Empty where only a solution of its own tells (flows that follow
/// pressures or gas, vessels that overflow, gas that newly goes round without a way out).
class FailureSolver {
 public:
  /// `site` must outlive it.
  static std::variant<FailureSolver, SolveFault> build(const Site& site);
  FailureSolver(FailureSolver&&) noexcept;
  ~FailureSolver();

  struct Solution {
    FractionField fractions;
    std::vector<bool> reached;
    std::string fault;  ///< not empty: no balanced flows exist, and why
  };
  std::optional<Solution> solve(const std::vector<Failure>& failures);

  struct State;

 private:
  explicit FailureSolver(std::unique_ptr<State> state);
  std::unique_ptr<State> state_;
};

// ---- how much air is enough, how much gas is too much

/// Exact derivatives of the sustained lfl_fraction of one space, all else as it is; reliefs and leaks follow.
struct Derivatives {
  std::vector<double> by_flow;     ///< per m3/s, of fans and exchanges; 0 for other airways; by AirwayIndex
  std::vector<double> by_release;  ///< per mol/s of the whole gas of a release; by ReleaseIndex
};

/// One transposed solution for all of them. Empty where the flows follow pressures or gas, where a vessel keeps or
/// overflows, or where the space has no sustained state: there is no such derivative, or not an exact one. Where a
/// relief stands still the derivative is one-sided.
std::variant<std::optional<Derivatives>, SolveFault> derivatives(const Site& site, CaseIndex which, SpaceIndex space);

/// The worst of one space in one case.
struct Constraint {
  CaseIndex which;
  SpaceIndex space;
  double lfl_fraction = 0.0;  ///< the worse of peak and long run
  bool is_sustained = false;  ///< that of the long run
};

struct SizeOptions {
  std::vector<AirwayIndex> fans;        ///< those to be sized; empty: all that run in the normal case and have no curve
  std::optional<ReleaseIndex> release;  ///< sizes this release instead, for the air as it is
  double step = 10.0 / 3600.0;          ///< m3/s, to which flows are rounded up
};

struct FanSize {
  AirwayIndex fan;
  double now = 0.0;    ///< m3/s, as the file has it
  double least = 0.0;  ///< m3/s, before rounding
  double flow = 0.0;   ///< m3/s, rounded up; what was verified
};

/// How the worst space answers to what could be changed, at the flows of the file.
struct Influence {
  Constraint on;
  std::optional<AirwayIndex> airway;    ///< d lfl_fraction per m3/s
  std::optional<ReleaseIndex> release;  ///< d lfl_fraction per mol/s
  double derivative = 0.0;
  double of_one_percent = 0.0;  ///< change of lfl_fraction with one percent more of that flow or release
};

struct Sizing {
  bool of_release = false;
  std::optional<ReleaseIndex> release;  ///< the one that was sized
  bool found = false;
  std::string reason;  ///< why nothing was found
  std::vector<FanSize> fans;
  /// Of all fans together, before rounding; of the release, rounded down to three figures and verified.
  double factor = 1.0;
  double release_now = 0.0;              ///< mol/s, of a release of constant rate; 0: another kind
  double whole = 0.0;                    ///< how many such releases at once, rounded down
  std::vector<Constraint> before;        ///< spaces at or over warn_at as the file has it, the worst first
  std::vector<Constraint> binding;       ///< the nearest to warn_at with what was found; at most five
  std::vector<Constraint> out_of_reach;  ///< at or over warn_at whatever these fans, or this release, do
  std::vector<Influence> influences;     ///< largest first; of the worst space
  bool in_time = true;                   ///< peaks were looked at while searching; the verification always does
  bool lowered_one_by_one = false;       ///< no single fan can be set lower
  std::size_t runs = 0;                  ///< whole sites solved
  std::vector<std::string> assumptions;
};

/// The least airflow of fans that keeps every space below warn_at in every case, or the largest release that today's
/// air can carry. Verified by a full check of the result, peaks included.
std::variant<Sizing, SolveFault> size_site(const Site& site, const SizeOptions& options = {});

// ---- where gas detectors see most, soonest

struct DetectorOptions {
  std::size_t count = 1;
  double alarm = 0.10;                 ///< share of the lower limit at which a detector answers
  std::vector<SpaceIndex> candidates;  ///< where one may hang; empty: every room and cabinet
};

/// A release of a case, on its own.
struct GasScenario {
  CaseIndex which;
  ReleaseIndex release;
};

enum class Mounting { high, low, middle };
std::string_view word_of(Mounting mounting);

struct DetectorPlace {
  SpaceIndex space;
  std::vector<std::size_t> first;   ///< scenarios that it sees before the others do
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
  std::vector<std::string> assumptions;
};

/// Where `count` detectors see every release of every case soonest. Every choice is tried where there are few enough;
/// else the one that helps most is added, one after the other: that gains at least 1 - 1/e of what the best choice
/// gains (Nemhauser, Wolsey and Fisher 1978), and `bound` says what no choice can beat.
std::variant<DetectorPlan, SolveFault> place_detectors(const Site& site, const DetectorOptions& options = {});

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

// ---- how sure: values given as ranges

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

/// Of which share of the variance of a result each input is the cause: alone (first order), and with all that it does
/// together with others (total order).
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
  bool sustained_only = false;    ///< looks at the long run in place of the course in time
  std::optional<CaseIndex> only;  ///< one case alone
  unsigned threads = 0;           ///< 0: as many as the machine has; the answer is the same for any number
  Shard shard;
  Sweep* sweep = nullptr;
};

/// What was looked at in one draw of one space of one case.
struct SpreadValue {
  double worst = 0.0;  ///< lfl_fraction: peak within the horizon, or that of the long run
  double time = 0.0;   ///< s, when it first passes warn_at; infinite: never
  bool over_limit = false;
  bool oxygen = false;    ///< outside its criteria
  bool pressure = false;  ///< a tight vessel gains 10 % or more
  bool endless = false;   ///< of the long run: there is none, gas gathers without end
};

/// The rows of a sweep that one shard solved.
struct SpreadPart {
  std::size_t rows = 0;  ///< of the whole sweep
  std::size_t row_begin = 0, row_end = 0;
  std::vector<SpreadValue> values;  ///< rows x blocks x cases x spaces, row-major
};

/// The percentiles that are told, %.
inline constexpr double spread_percents[] = {5.0, 25.0, 50.0, 75.0, 95.0};

struct SpreadSpace {
  CaseIndex which;
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
  bool sustained_only = false;
  std::vector<CaseIndex> cases;
  std::vector<SpreadSpace> spaces;  ///< where gas ever comes, or something else is told; the likeliest over first
  std::vector<std::string> assumptions;
};

/// Solves the site for values drawn from all its ranges at once. Faults: a site without ranges, too few draws for the
/// number of ranges, values that do not go together, a draw that cannot be solved.
std::variant<SpreadPart, SolveFault, Stopped> spread_part(const RangedSite& site, const SpreadOptions& options = {});
/// What all the rows of a sweep say together.
std::variant<SpreadStudy, SolveFault> spread_of(const RangedSite& site, const SpreadOptions& options,
                                                const SpreadPart& whole);
std::variant<SpreadStudy, SolveFault, Stopped> study_spread(const RangedSite& site, const SpreadOptions& options = {});

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

/// One share of a sweep, with all that it takes to join it with the others and to give the answer.
struct SweepPart {
  std::string version;  ///< of the program that solved it
  Shard shard;
  std::string file, text;                   ///< the site file: its name and all of its text
  std::string substances_file, substances;  ///< the same of the file of substances; empty: none
  std::variant<SpreadShare, FailuresShare> share;
};

/// What is wrong with a set of parts.
struct PartFault {
  std::string message;
};

/// The whole sweep from all its parts, in any order. `names` of the parts are for messages. Refused: parts of other
/// versions, files, substances or options; a part that is missing, or there twice.
std::variant<SweepPart, PartFault> join_parts(std::vector<SweepPart> parts, const std::vector<std::string>& names);

// ---- air change from the decay of a tracer gas

/// Measured concentrations of a tracer gas, in whatever unit they were read, the background taken off.
struct TracerData {
  std::vector<SpaceIndex> spaces;
  std::vector<double> time;                ///< s from the first reading, ascending
  std::vector<std::vector<double>> value;  ///< readings x spaces; not-a-number: not read
  double background = 0.0;                 ///< in the unit of the readings; was taken off
  std::string unit;                        ///< as the file has it: "ppm"
};

/// Reads `time_s` (or `time_min`, `time_h`) and a column a space (its id) of comma-separated values; lines that start
/// with # are comments, of which `# background = 412 ppm` counts. Every fault with its place.
std::variant<TracerData, Diagnostics> parse_tracer(std::string_view text, const std::string& file_name,
                                                   const Site& site, std::optional<double> background);

/// A value with its confidence interval.
struct Estimate {
  double value = 0.0;
  double low = 0.0, high = 0.0;
};

struct TracerFlow {
  Side from, to;
  Estimate flow;  ///< m3/s at the temperature of where it comes from
};

struct TracerSpace {
  SpaceIndex space;
  Estimate air_change;  ///< 1/s, of air from outside alone
  Estimate fresh;       ///< m3/s of air from outside
  double start = 0.0;   ///< fitted concentration at time 0 over the background
};

struct TracerFit {
  std::vector<TracerSpace> spaces;
  std::vector<TracerFlow> flows;  ///< between spaces and to and from outside; those that the data put at 0 are left out
  double confidence = 0.95;
  std::size_t readings = 0;
  double scatter = 0.0;  ///< standard deviation of reading over fit, relative
  double background = 0.0;
  std::string unit;
  double duration = 0.0;              ///< s
  std::vector<std::string> cautions;  ///< what speaks against trusting the result
  std::vector<std::string> assumptions;
};

/// The flows that explain a decay best, by least squares of the logarithms in one space (the regression of ASTM E741)
/// and of the relative deviations in several, flows not below 0 and balanced in every space. Faults: fewer readings
/// than it takes, a rise where only a decay can be explained, values at or below the background.
std::variant<TracerFit, Diagnostics> fit_tracer(const Site& site, const TracerData& data, double confidence = 0.95);

}  // namespace leanside
