// SPDX-License-Identifier: Apache-2.0
/// What may fail, and what each failure does.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "leanside/assess.hpp"
#include "leanside/result.hpp"
#include "leanside/site.hpp"
#include "leanside/study/sweep.hpp"

namespace leanside {

enum class FailureKind {
  fan_off,
  shut,           ///< an opening, gap, exchange or doorway that is open: blocked or shut
  opened,         ///< an opening that is off, or a doorway that is not wide open: opened wide
  no_air_change,  ///< the air changes of a space with outside stop
  system_off,     ///< an air handling unit: all of its airways
  release_starts  ///< a release that is off starts, while everything else is as in the case that is looked at
};
std::string_view word_of(FailureKind kind);

/// One thing that goes wrong and stays wrong: at time 0, or, for a release that starts, at its worst moment.
struct Failure {
  FailureKind kind = FailureKind::fan_off;
  std::optional<AirwayIndex> airway;
  std::optional<SpaceIndex> space;
  std::optional<ReleaseIndex> release;
  std::optional<SystemIndex> system = {};
};

/// All single failures of a case: each system that runs at some time of it, each fan that does and belongs to none,
/// each opening, each air change, each release that is off throughout. In the order of the file.
std::vector<Failure> list_failures(const Site& site, CaseIndex case_index = CaseIndex{0});

/// The same with what a system that stops does to each of its airways in place of it.
std::vector<Failure> taken_apart(const Site& site, const std::vector<Failure>& failures);

/// The site with this case alone and these failures in it; events about what failed are dropped. Releases that start do
/// so at `starts` s, everything else fails at time 0.
Site with_failures(const Site& site, const std::vector<Failure>& failures, CaseIndex case_index = CaseIndex{0},
                   double starts = 0.0);

/// Moments at which a release that is off is started, to find the worst.
struct StartMoments {
  std::vector<double> at;    ///< s, ascending; the first is 0
  double until = 0.0;        ///< s, the end of every such run: the whole emission and one horizon more
  std::size_t left_out = 0;  ///< moments that were not taken since there are too many
};

/// The moments for these releases in the case 0 of a site in which they are still off: time 0; when every space is
/// within 1 % of its steady state (a space without one is ignored; a year at most); the worst instants of the spaces
/// that they get into; each event, and one emission before it. At most twelve.
Result<StartMoments> start_moments(const Site& site, const std::vector<ReleaseIndex>& starting);

/// A warning in brief.
struct Consequence {
  SpaceIndex space;
  Severity severity = Severity::note;
  double lfl_fraction = 0.0;
  double oxygen = 0.0;         ///< mol/mol, for severity oxygen
  double pressure = 0.0;       ///< Pa, for severity pressure
  std::optional<double> time;  ///< s, when it reaches the threshold of its severity
  Subject subject = Subject::fuel;
  std::optional<GasIndex> gas = {};          ///< for subject toxic
  double gas_fraction = 0.0;                 ///< mol/mol, of that gas
  std::optional<ReleaseIndex> release = {};  ///< for subject source
  /// s, when the release starts: the worst for this space of the moments that were tried. Empty: nothing starts, or
  /// only the steady state was computed.
  std::optional<double> starts = {};
};

/// A space that, with a failure, draws air through a leak that the site does not have, or through an opening that is
/// shut.
struct LeakReliance {
  SpaceIndex space;
  double inflow = 0.0;  ///< m3/s at the temperature outside, more than with nothing failed
};

struct FailureOutcome {
  std::vector<std::size_t> failures;  ///< places in FailureStudy::failures: one, or two of a pair
  /// Warnings that are not in the normal case, or worse there than with the failure, the worst first.
  std::vector<Consequence> consequences;
  std::size_t gone = 0;  ///< warnings of the normal case that are better or gone with it
  /// Spaces that newly have no steady state: no air passes through them, or only goes round.
  std::vector<SpaceIndex> unreached;
  /// Fans that no opening gives enough air with it, and that have more without it.
  std::vector<AirwayIndex> starved;
  /// Spaces that newly rest on an assumed leak, in a part of the site that holds gas: no proof that they are safe.
  std::vector<LeakReliance> leaks;
  std::string fault;     ///< not empty: no balanced flows exist with this failure; says why
  bool in_time = false;  ///< the course in time was computed, not the steady state alone
};

/// Outcomes with the same effect.
struct FailureGroup {
  std::vector<std::size_t> outcomes;  ///< places in FailureStudy::outcomes; all have the harms of the first
};

/// Spaces whose fresh air depends on one fan.
struct FanDependence {
  AirwayIndex fan;
  std::vector<SpaceIndex> spaces;  ///< none of them gets any air from outside once it stops
};

struct FailureStudy {
  CaseIndex case_index;  ///< the case in which things fail; "normal" below is this case with nothing failed
  std::vector<Failure> failures;
  std::vector<Consequence> normal;  ///< the warnings with nothing failed, by rank
  std::vector<FailureOutcome> outcomes;
  /// Those of single failures, then those of pairs; each the worst first, those without harm last.
  std::vector<FailureGroup> groups;
  std::vector<FanDependence> dependences;
  bool pairs = false;
  bool in_time = false;                 ///< of all singles the course in time was computed, not the steady state alone
  bool pairs_in_time = false;           ///< the same of the pairs
  std::size_t singles_followed = 0;     ///< where not of all: of so many, the worst
  std::size_t pairs_followed = 0;       ///< the same of the pairs
  std::size_t pairs_not_compared = 0;   ///< one of the two could not be computed alone
  std::size_t singles = 0;              ///< outcomes of one failure come first
  std::size_t pairs_solved = 0;         ///< only pairs worse than each of the two are kept
  std::size_t pairs_worse = 0;          ///< so many are; the worst 5000 of them are kept
  std::size_t moments_left_out = 0;     ///< starts of releases that were not tried, or could not be computed
  std::size_t by_update = 0;            ///< solved by a low-rank update of the normal case
  std::size_t afresh = 0;               ///< solved as a site of their own
  std::vector<Assumption> assumptions;  ///< of the answer with nothing failed
  // With nothing failed: what leaks by assumption, and the fans that starve all the same.
  std::vector<AssumedLeak> leaks;
  std::vector<AirwayIndex> leaking;
  std::vector<StarvedFan> starved;
};

/// What the studies of one or several cases rest on together. There is at least one.
std::vector<Assumption> assumptions_of(std::span<const FailureStudy> studies);

/// where_quick: of all singles, and of all pairs, if there are few; else of the worst in steady state.
enum class InTime { where_quick, always, never };

struct FailureOptions {
  CaseIndex case_index;  ///< the case in which things fail
  bool pairs = false;
  InTime in_time = InTime::where_quick;
  bool reuse = true;     ///< low-rank updates of the steady state; false: each afresh, for comparison
  unsigned threads = 0;  ///< of runs in time; 0: as many as the machine has
  Shard shard;
  Sweep* sweep = nullptr;
};

/// What one shard solved of the failures of one case: its share of the singles, and of its share of the pairs those
/// that are worse than each of the two.
struct FailurePart {
  std::vector<FailureOutcome> singles, pairs;
  std::size_t pairs_solved = 0, pairs_worse = 0, by_update = 0, afresh = 0, moments_left_out = 0;
};

/// Solves a share of the failures of a case.
Result<FailurePart> failures_part(const Site& site, const FailureOptions& options = {});
/// What all the failures of a case say together: ranked by harm, grouped. `whole`: the parts of all shards, joined in
/// order.
Result<FailureStudy> failures_of(const Site& site, const FailureOptions& options, FailurePart whole);

/// Every failure of one case, alone and, if asked, in pairs, ranked by harm.
Result<FailureStudy> study_failures(const Site& site, const FailureOptions& options = {});

/// The fractions that the site with these failures tends to, and the spaces without a steady state, by a low-rank
/// update of the solution for the normal case. Empty where only a solution of its own tells (flows that follow
/// pressures or gas, vessels that overflow, gas that newly goes round without a way out).
class FailureSolver {
 public:
  /// `site` must outlive it.
  static Result<FailureSolver> build(const Site& site);
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

}  // namespace leanside
