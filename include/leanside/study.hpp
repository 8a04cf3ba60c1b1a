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
  /// Fans that no opening gives enough air with it, and that have more without it.
  std::vector<AirwayIndex> starved;
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
  // With nothing failed: what leaks by assumption, and the fans that starve all the same.
  std::vector<AssumedLeak> leaks;
  std::vector<AirwayIndex> leaking;
  std::vector<StarvedFan> starved;
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

}  // namespace leanside
