// SPDX-License-Identifier: Apache-2.0
/// From the results of a case to its warnings, with causes and remedies.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "hazard/mixture.hpp"
#include "leanside/assess.hpp"
#include "transport/steady/steady_system.hpp"

namespace leanside::hazard {

/// The warnings of one space of a case, without causes and remedies.
std::vector<Warning> warnings_of(const Site& site, CaseIndex case_index, SpaceIndex space, const SpaceResult& result);

/// When the pressure of a vessel passed what it stands, s: its rating, or a gain of 10 % where it has none, since
/// laboratory glass is not made for pressure.
std::optional<double> over_pressure(const Space& space, const SpaceResult& result);

/// What makes a release ignitable at its source while it is on, whatever air it gets: a liquid at or above its flash
/// point, or a gas that ignites by itself; without `until`. `nitrous`: nitrous oxide gets out as well.
std::optional<NearSource> source_hazard(const Site& site, ReleaseIndex release, bool nitrous);

/// Where a release can be ignited in a space that is in the state `result`; empty where it cannot. `rate` mol/s is the
/// highest of the release; without times. `nitrous` as above.
std::optional<SourceZone> source_zone(const Site& site, ReleaseIndex release, double rate, const SpaceResult& result,
                                      bool nitrous);

/// The zones of all releases that are on at some time in a case.
std::vector<SourceZone> source_zones(const Site& site, const CaseResult& result);

/// Whether a zone is large enough for a warning.
bool is_notable(const Site& site, const SourceZone& zone);

/// The releases of one case that can be ignited at their source: those of source_hazard(), and those with a notable
/// zone in a space that `known` warnings do not call flammable or rich as a whole. Without remedies.
std::vector<Warning> near_source_warnings(const Site& site, const CaseResult& result,
                                          const std::vector<Warning>& known);

/// When a release is on in a case, s: from, and until where it ends within the horizon; empty where it never is.
struct Emitting {
  double from = 0.0;
  std::optional<double> until;
};
std::optional<Emitting> emitting(const Site& site, const CaseResult& result, ReleaseIndex release);

/// Whether the verdict on a case can no longer change after the horizon: every stock is spent, every event past, and
/// every space within 1 % of its steady state or falling below the note.
bool is_settled(const Site& site, const CaseResult& result);

/// What still rises at the end of the horizon of a case; `longer` is the same case computed further, or null.
std::vector<NotJudged> still_rising(const Site& site, const CaseResult& result, const CaseResult* longer);

/// What the whole answer leaves open, but for what still rises.
std::vector<NotJudged> open_questions(const Site& site);

/// The warnings of one case, not yet ranked, without causes and remedies.
std::vector<Warning> find_warnings(const Site& site, const CaseResult& result);

/// Fills in the causes of these warnings of one case: shares that add up to 1, exact for the flows of the case.
/// `system` is the steady system of the case. Empty where it worked.
std::optional<Fault> find_causes(const Site& site, const CaseResult& result, const MixtureModels& models,
                                 SteadySystem& system, std::vector<Warning>& warnings);

/// Fills in what would help. `site` is the one that was solved, `asked` the one of the user: they differ where both
/// models of a room were asked for, and advice is assessed again on the latter. `system` is that of the case, its
/// last solution the gas fractions. `steady_only`: advice is assessed in the steady state alone.
void find_remedies(const Site& site, const Site& asked, bool steady_only, const CaseResult& result,
                   const MixtureModels& models, SteadySystem& system, std::vector<Warning>& warnings);

/// Notes on what is stored, but for what `known` warnings tell already.
std::vector<Warning> storage_notes(const Stock& stock, const std::vector<Warning>& known);

/// Why flows of a case cannot be had, as what the computation tells: bad input, unless the pressures did not converge.
Fault fault_of_flows(const Site& site, CaseIndex case_index, const FlowFault& fault);

/// Groups ranked warnings by what brings them; cases in which a cause does the same share a finding.
std::vector<Finding> find_findings(const Assessment& assessment);

/// Orders by rank: severity (a toxic gas whose IDLH is a tenth of its lower limit: after margin), the normal case
/// first, more combustible energy (by decade of MJ), earlier, id.
void rank(const Site& site, std::vector<Warning>& warnings);

/// The site with `flow` m3/s of fresh air more into a space and as much out of it.
Site with_extra_air(const Site& site, SpaceIndex space, double flow);

/// The site with two openings of `area` m2 more from a space to outside, at its ceiling and at its floor; 0: none.
Site with_vents(const Site& site, SpaceIndex space, double area);

/// The site with one opening of `area` m2 free area more from a space to outside, at its floor.
Site with_opening(const Site& site, SpaceIndex space, double area);

/// The site without what these releases give, in every case.
Site with_stopped(const Site& site, std::span<const ReleaseIndex> releases);

/// The site with these releases at a share of their rate: of the amount of a dump or a reaction, of the area of a hole
/// or a pool, of the current of a battery.
Site with_share(const Site& site, std::span<const ReleaseIndex> releases, double share);

/// Whether a release may bring vapour that condenses at the temperature of a space and matters for dilution alone.
bool may_condense(const Site& site);

/// Lowers `share`, by release, where a space holds more of such a vapour than saturated air can; whether it did.
bool condense(const Site& site, const CaseResult& result, std::vector<double>& share);

/// Spaces that hold more of a harmful vapour than air can, with what they hold.
std::vector<Assumption> mist_of(const Site& site, const CaseResult& result);

/// The site with each release at its share, as with_share().
Site with_shares(const Site& site, const std::vector<double>& share);

/// The weights, by gas, of the measure that a warning is about: of the lower limit, or of the oxygen that is gone (or
/// too much).
std::vector<double> measure_of(const Warning& warning, const MixtureModel& model);

}  // namespace leanside::hazard
