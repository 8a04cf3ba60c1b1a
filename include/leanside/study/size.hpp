// SPDX-License-Identifier: Apache-2.0
/// How much air is enough, how much gas is too much.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/advanced/transport.hpp"
#include "leanside/assess.hpp"
#include "leanside/result.hpp"
#include "leanside/site.hpp"

namespace leanside {

/// Exact derivatives of the steady lfl_fraction of one space, all else as it is; openings and leaks follow.
struct Derivatives {
  std::vector<double> by_flow;     ///< per m3/s, of fans and exchanges; 0 for other airways; by AirwayIndex
  std::vector<double> by_release;  ///< per mol/s of the whole gas of a release; by ReleaseIndex
};

/// One transposed solution for all of them. Empty where the flows follow pressures or gas, where a vessel keeps or
/// overflows, or where the space has no steady state: there is no such derivative, or not an exact one. Where a
/// opening stands still the derivative is one-sided.
Result<std::optional<Derivatives>> derivatives(const Site& site, CaseIndex case_index, SpaceIndex space);

/// A warning that calls for action, or a fan that gets too little air, in brief; or how near a space is to a warning.
struct Constraint {
  CaseIndex case_index;
  SpaceIndex space;
  Severity severity = Severity::margin;
  double lfl_fraction = 0.0;  ///< the worse of peak and steady state
  bool is_steady = false;     ///< the worst value is that of the steady state
  double oxygen = 0.0;        ///< mol/mol, the worst, for severity oxygen
  double pressure = 0.0;      ///< Pa, for severity pressure
  double over_for = 0.0;      ///< s at or over warn_at within the horizon
  double closeness = 1.0;     ///< of the way from clean air to the threshold; 1 or more: a warning
  Subject subject = Subject::fuel;
  std::optional<GasIndex> gas = {};          ///< for subject toxic
  double gas_fraction = 0.0;                 ///< mol/mol, the worst, of that gas
  std::optional<ReleaseIndex> release = {};  ///< for subject source
  std::optional<AirwayIndex> starved = {};   ///< a fan that gets too little air; of the above only case and space count
};

/// Why a warning remains although the fans are set as the answer says.
enum class Obstacle {
  event,         ///< an event of its case sets or switches a fan: see Sizing::events
  too_much_air,  ///< only more than `most_air_changes`, or larger openings than are sensible, would do
  out_of_reach   ///< whatever these fans do (or, where a release is sized, without that release)
};
std::string_view word_of(Obstacle obstacle);

struct Remaining {
  Constraint warning;  ///< its values with the sizes of the answer
  Obstacle why = Obstacle::out_of_reach;
};

struct SizeOptions {
  std::vector<AirwayIndex> fans;  ///< those to be sized; empty, and no openings: all that run in the normal case and
                                  ///< have no curve
  /// Gaps, louvres, windows, undercuts and doorways to be sized. Empty, and no fan to be sized: the gaps, louvres and
  /// windows that are open in the normal case.
  std::vector<AirwayIndex> openings;
  std::optional<ReleaseIndex> release;  ///< sizes this release instead, for the air as it is
  double step = 10.0 / 3600.0;          ///< m3/s, to which flows are rounded up
  double area_step = 1e-3;              ///< m2, to which areas are rounded up
  bool may_lower = false;               ///< flows and areas may come out below those of the file
};

struct FanSize {
  AirwayIndex fan;
  double now = 0.0;    ///< m3/s, as the file has it
  double least = 0.0;  ///< m3/s, before rounding
  double flow = 0.0;   ///< m3/s, rounded up; what was verified. Where nothing was found: the most that was tried
};

/// Area of an opening, m2: the effective leakage area of a gap, of any other the free area when wide open.
struct OpeningSize {
  AirwayIndex opening;
  double now = 0.0;    ///< as the file has it
  double least = 0.0;  ///< before rounding
  double area = 0.0;   ///< rounded up; what was verified. Where nothing was found: the most that was tried
};

/// An event that limits what more air can reach: it sets a fan that is sized to a flow, or switches it off.
struct EventSize {
  AirwayIndex fan;               ///< or, where it only switches, an opening
  std::vector<CaseIndex> cases;  ///< an event of the file itself belongs to every case
  double at = 0.0;               ///< s
  double now = 0.0;              ///< m3/s, what it sets; 0 where it switches off
  bool switches_off = false;
  std::optional<double> flow;  ///< m3/s, what it has to set instead; verified. Empty: nothing that it sets would help
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
  bool found = false;  ///< a solution: no warning is left but those of `remaining`, and something is cured, or there
                       ///< was nothing to cure
  std::string reason;  ///< why nothing was found
  std::vector<FanSize> fans;
  std::vector<OpeningSize> openings;
  std::vector<EventSize> events;
  /// Of all fans together, before rounding; of the release, rounded down to three figures and verified.
  double factor = 1.0;
  double release_now = 0.0;           ///< mol/s, of a release of constant rate; 0: another kind
  double whole = 0.0;                 ///< how many such releases at once, rounded down
  std::vector<Constraint> before;     ///< warnings of the file as it is, but for notes, by rank
  std::vector<Constraint> binding;    ///< the nearest to a warning with what was found; at most five
  std::vector<Remaining> remaining;   ///< warnings that are still there with what was found
  std::vector<Influence> influences;  ///< largest first; of the worst space
  bool in_time = true;                ///< peaks were looked at while searching; the verification always does
  bool lowered_one_by_one = false;    ///< no single fan can be set lower
  std::size_t runs = 0;               ///< whole sites solved
  std::vector<ReleaseIndex> untried;  ///< off, and no case turns them on: nothing was sized for them
  std::vector<Assumption> assumptions;
};

/// The least airflow of fans, or the least areas of openings, that leave no warning but notes in any case; or the
/// largest release that today's air can carry. Whatever `assess` warns of counts, whether fuel, oxygen or anything
/// else, and so do fans that get too little air; what is already there without the release, or stays whatever the fans
/// do, is named in `remaining`. Flows of the file are not lowered unless asked, and events keep what they set. Verified
/// by a full assessment of the result, the course in time and all cases included.
Result<Sizing> size_site(const Site& site, const SizeOptions& options = {});

/// The site with the flows of an answer in it: those of the fans and those that events have to set. Where nothing was
/// found: as it is.
Site with_sizes(const Site& site, const Sizing& sizing);

}  // namespace leanside
