// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>
#include <utility>

#include "hazard/judge.hpp"
#include "leanside/study.hpp"
#include "parallel/pieces.hpp"
#include "study/fan_dependence.hpp"
#include "study/harm.hpp"
#include "study/layered.hpp"

namespace leanside {
namespace {

/// Runs in time are made where outcomes times spaces do not exceed this: some seconds.
constexpr std::size_t most_in_time = 20000;
/// Pairs kept of a long list, the worst.
constexpr std::size_t most_pairs_kept = 5000;

using study::brief;
using study::equal;
using study::key;
using study::same_thing;
using study::worse;

/// The warnings of one site and of the spaces without a sustained state, or why there are none.
struct Found {
  std::vector<Harm> harms;
  std::vector<bool> reached;
  std::string fault;
  std::vector<StarvedFan> starved = {};
};

class Study {
 public:
  Study(const Site& site, const FailureOptions& options)
      : site_{with_failures(site, {}, options.which)}, options_{options} {}

  /// The case with nothing failed, and what the failures are solved with.
  std::optional<SolveFault> prepare() {
    out_.which = options_.which;
    out_.failures = list_failures(site_);
    out_.singles = out_.failures.size();
    out_.pairs = options_.pairs;
    const std::size_t n = out_.singles;
    const std::size_t runs = 1 + n + (options_.pairs ? n * (n > 0 ? n - 1 : 0) / 2 : 0);
    out_.in_time = options_.in_time == InTime::always ||
                   (options_.in_time == InTime::where_quick && runs * site_.spaces.size() <= most_in_time);
    how_.explain = false;
    how_.sustained_only = !out_.in_time;
    auto normal = assess(site_, how_);
    if (auto* fault = std::get_if<SolveFault>(&normal)) return std::move(*fault);
    normal_ = std::move(std::get<Assessment>(normal));
    out_.normal = brief(normal_.warnings);
    const CaseResult& result = normal_.cases.front();
    out_.leaks = result.leaks;
    out_.leaking = result.leaking;
    out_.starved = result.starved;
    models_ = hazard::mixture_models(site_, CaseIndex{0});
    if (!out_.in_time && options_.reuse) {
      auto built = FailureSolver::build(site_);
      if (auto* fault = std::get_if<SolveFault>(&built)) return std::move(*fault);
      solver_.emplace(std::move(std::get<FailureSolver>(built)));
    }
    return std::nullopt;
  }

  std::variant<FailurePart, Stopped> solve() {
    const std::size_t n = out_.failures.size();
    const std::vector<Pair> pairs = options_.pairs ? share_of(all_pairs()) : std::vector<Pair>{};
    // Every share needs all singles where pairs are compared with them; it answers for its own alone.
    const auto [begin, end] = share_of(n);
    const bool all = options_.pairs;
    sweep().done = 0;
    sweep().total = (all ? n : end - begin) + pairs.size();
    std::vector<std::vector<std::size_t>> lists;
    for (std::size_t i = all ? 0 : begin; i < (all ? n : end); ++i) lists.push_back({i});
    std::vector<char> updated;
    std::vector<FailureOutcome> singles = solve_all(lists, updated);
    FailurePart part;
    if (all) out_.outcomes = singles;
    if (!sweep().stop) solve_pairs(pairs, part);
    if (sweep().stop) return Stopped{sweep().done, sweep().total};
    const std::size_t first = all ? begin : 0;
    for (std::size_t k = 0; k < end - begin; ++k) {
      count(updated[first + k], part);
      part.singles.push_back(std::move(singles[first + k]));
    }
    return part;
  }

  std::variant<FailureStudy, SolveFault> finish(FailurePart whole) {
    if (!fits(whole)) return SolveFault{"these are not the failures of this site", true};
    out_.outcomes = std::move(whole.singles);
    out_.pairs_solved = whole.pairs_solved;
    out_.by_update = whole.by_update;
    out_.afresh = whole.afresh;
    keep_worst(whole.pairs);
    std::move(whole.pairs.begin(), whole.pairs.end(), std::back_inserter(out_.outcomes));
    group();
    if (auto fault = find_dependences()) return std::move(*fault);
    out_.assumptions = normal_.assumptions;
    return std::move(out_);
  }

 private:
  Found from(const std::variant<Assessment, SolveFault>& solved) const {
    Found found;
    if (const auto* fault = std::get_if<SolveFault>(&solved)) {
      found.fault = fault->message;
      return found;
    }
    const Assessment& assessment = std::get<Assessment>(solved);
    found.harms = brief(assessment.warnings);
    for (const SpaceResult& space : assessment.cases.front().spaces) found.reached.push_back(space.sustained.reached);
    found.starved = assessment.cases.front().starved;
    return found;
  }

  /// The warnings that go with these fractions in the long run.
  Found judged(const FailureSolver::Solution& solution) const {
    Found found;
    found.reached = solution.reached;
    const CaseResult& normal = normal_.cases.front();
    const Criteria& criteria = site_.criteria;
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      const SpaceIndex space{i};
      const auto fractions = solution.fractions.of(space);
      const hazard::MixtureModel& model = models_.of(space);
      const SpaceResult& before = normal.spaces[i];
      const double oxygen = model.oxygen_of(fractions);
      constexpr double slack = 1e-6;
      const bool quiet = model.lfl_fraction(fractions) < criteria.note_at - slack && before.peak.lfl_fraction == 0.0 &&
                         oxygen > criteria.oxygen_low + slack && oxygen < criteria.oxygen_high - slack &&
                         before.lowest_oxygen > criteria.oxygen_low && before.highest_oxygen < criteria.oxygen_high;
      if (quiet) continue;
      SpaceResult result = before;
      result.sustained.reached = solution.reached[i];
      result.sustained.at = model.instant(0.0, fractions);
      for (const Warning& w : hazard::warnings_of(site_, CaseIndex{0}, space, result)) found.harms.push_back(brief(w));
    }
    return found;
  }

  Found solved(const std::vector<Failure>& failures, bool& by_update) {
    by_update = false;
    if (solver_) {
      if (const auto solution = solver_->solve(failures)) {
        by_update = true;
        if (!solution->fault.empty()) return {{}, {}, solution->fault};
        return judged(*solution);
      }
    }
    return from(assess(with_failures(site_, failures), how_));
  }

  FailureOutcome outcome(std::vector<std::size_t> failures, Found found) const {
    FailureOutcome out;
    out.failures = std::move(failures);
    out.fault = std::move(found.fault);
    if (!out.fault.empty()) return out;
    out.starved = study::newly_starved(found.starved, out_.starved);
    const double air = site_.conditions.oxygen_in_air;
    for (const Harm& h : found.harms) {
      const Harm* before = same_thing(out_.normal, h);
      if (before == nullptr || worse(h, *before, air)) out.harms.push_back(h);
    }
    for (const Harm& h : out_.normal) {
      // A space without a long run has no value that could be better.
      if (h.space.value < found.reached.size() && !found.reached[h.space.value]) continue;
      const Harm* after = same_thing(found.harms, h);
      if (after == nullptr || worse(h, *after, air)) ++out.gone;
    }
    std::sort(out.harms.begin(), out.harms.end(), [](const Harm& a, const Harm& b) { return key(a) < key(b); });
    const auto& spaces = normal_.cases.front().spaces;
    for (std::size_t i = 0; i < found.reached.size(); ++i) {
      if (!found.reached[i] && spaces[i].sustained.reached) out.unreached.push_back(SpaceIndex{i});
    }
    return out;
  }

  std::vector<Failure> picked(const std::vector<std::size_t>& places) const {
    std::vector<Failure> out;
    for (const std::size_t k : places) out.push_back(out_.failures[k]);
    return out;
  }

  using Pair = std::pair<std::size_t, std::size_t>;

  /// Whether the outcomes can be those of this site.
  bool fits(const FailurePart& part) const {
    const auto all_known = [&](const FailureOutcome& o) {
      const auto is_space = [&](SpaceIndex space) { return space.value < site_.spaces.size(); };
      return !o.failures.empty() && std::ranges::all_of(o.failures, [&](auto k) { return k < out_.failures.size(); }) &&
             std::ranges::all_of(o.unreached, is_space) &&
             std::ranges::all_of(o.starved, [&](AirwayIndex fan) { return fan.value < site_.airways.size(); }) &&
             std::ranges::all_of(o.harms, [&](const Harm& h) {
               return is_space(h.space) && h.severity >= Severity::flammable && h.severity <= Severity::note;
             });
    };
    return part.singles.size() == out_.failures.size() && std::ranges::all_of(part.singles, all_known) &&
           std::ranges::all_of(part.pairs, all_known);
  }

  Sweep& sweep() { return options_.sweep ? *options_.sweep : unseen_; }

  /// The first and one past the last of `count` things that this shard does.
  Pair share_of(std::size_t count) const {
    const Shard& shard = options_.shard;
    return {count * (shard.index - 1) / shard.count, count * shard.index / shard.count};
  }
  std::vector<Pair> share_of(const std::vector<Pair>& all) const {
    const auto [begin, end] = share_of(all.size());
    return {all.begin() + static_cast<std::ptrdiff_t>(begin), all.begin() + static_cast<std::ptrdiff_t>(end)};
  }

  std::vector<Pair> all_pairs() const {
    std::vector<Pair> out;
    const std::size_t n = out_.failures.size();
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = i + 1; j < n; ++j) {
        const Failure &a = out_.failures[i], &b = out_.failures[j];
        if (!a.airway || a.airway != b.airway) out.emplace_back(i, j);
      }
    }
    return out;
  }

  static void count(bool by_update, FailurePart& part) { ++(by_update ? part.by_update : part.afresh); }

  std::vector<FailureOutcome> solve_all(const std::vector<std::vector<std::size_t>>& lists,
                                        std::vector<char>& updated) {
    std::vector<FailureOutcome> outcomes(lists.size());
    updated.assign(lists.size(), 0);
    // The updates share the columns that they keep; runs of their own share nothing.
    const unsigned threads = solver_ ? 1 : options_.threads;
    parallel::for_each_piece(
        lists.size(), threads, &sweep().stop, [] { return 0; },
        [&](int, std::size_t i) {
          bool by_update = false;
          outcomes[i] = outcome(lists[i], solved(picked(lists[i]), by_update));
          updated[i] = by_update;
          ++sweep().done;
        });
    return outcomes;
  }

  /// Whether a pair brings anything that neither of the two does.
  bool worse_together(const FailureOutcome& pair) const {
    const FailureOutcome &a = out_.outcomes[pair.failures[0]], &b = out_.outcomes[pair.failures[1]];
    if (!a.fault.empty() || !b.fault.empty()) return false;
    if (!pair.fault.empty()) return true;
    const auto starves_alone = [&](AirwayIndex fan) {
      return std::ranges::count(a.starved, fan) > 0 || std::ranges::count(b.starved, fan) > 0;
    };
    if (!std::ranges::all_of(pair.starved, starves_alone)) return true;
    const double air = site_.conditions.oxygen_in_air;
    return std::any_of(pair.harms.begin(), pair.harms.end(), [&](const Harm& h) {
      for (const FailureOutcome* single : {&a, &b}) {
        const Harm* alone = same_thing(single->harms, h);
        if (alone != nullptr && !worse(h, *alone, air)) return false;
      }
      return true;
    });
  }

  void solve_pairs(const std::vector<Pair>& pairs, FailurePart& part) {
    // In batches, so that the outcomes of a long list of pairs are never in memory as a whole.
    constexpr std::size_t batch = 4096;
    for (std::size_t begin = 0; begin < pairs.size() && !sweep().stop; begin += batch) {
      std::vector<std::vector<std::size_t>> lists;
      for (std::size_t k = begin; k < std::min(pairs.size(), begin + batch); ++k) {
        lists.push_back({pairs[k].first, pairs[k].second});
      }
      std::vector<char> updated;
      std::vector<FailureOutcome> outcomes = solve_all(lists, updated);
      if (sweep().stop) return;
      for (std::size_t k = 0; k < outcomes.size(); ++k) {
        count(updated[k], part);
        if (worse_together(outcomes[k])) part.pairs.push_back(std::move(outcomes[k]));
      }
      if (part.pairs.size() > 2 * most_pairs_kept) keep_worst(part.pairs);
    }
    part.pairs_solved = pairs.size();
    keep_worst(part.pairs);
  }

  static bool ranks_before(const FailureOutcome& a, const FailureOutcome& b) {
    // What could not be computed may be anything: it stands before what harms nobody.
    const auto order = [](const FailureOutcome& o) {
      if (!o.harms.empty()) return std::tuple(0, key(o.harms.front()));
      const int group = !o.fault.empty() || !o.starved.empty() ? 1 : !o.unreached.empty() ? 2 : 3;
      return std::tuple(group, key(Harm{}));
    };
    const auto x = order(a), y = order(b);
    if (x != y) return x < y;
    if (a.harms.size() != b.harms.size()) return a.harms.size() > b.harms.size();
    return a.failures < b.failures;
  }

  static void keep_worst(std::vector<FailureOutcome>& outcomes) {
    std::sort(outcomes.begin(), outcomes.end(), ranks_before);
    if (outcomes.size() > most_pairs_kept) outcomes.resize(most_pairs_kept);
  }

  void group() {
    std::vector<std::size_t> order(out_.outcomes.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::sort(order.begin(), order.end(),
              [&](std::size_t a, std::size_t b) { return ranks_before(out_.outcomes[a], out_.outcomes[b]); });
    constexpr std::size_t looked_back = 64;  // equal effects rank next to each other but for round-off
    for (const std::size_t i : order) {
      const std::size_t from = out_.groups.size() > looked_back ? out_.groups.size() - looked_back : 0;
      std::size_t g = from;
      while (g < out_.groups.size() && !equal(out_.outcomes[out_.groups[g].outcomes.front()], out_.outcomes[i])) ++g;
      if (g == out_.groups.size()) {
        out_.groups.push_back({{i}});
      } else {
        out_.groups[g].outcomes.push_back(i);
      }
    }
  }

  std::optional<SolveFault> find_dependences() {
    auto built = SustainedSystem::build(site_, CaseIndex{0});
    if (auto* fault = std::get_if<SolveFault>(&built)) return std::move(*fault);
    const auto& system = std::get<SustainedSystem>(built);
    out_.dependences = study::fan_dependences(site_, system.state(), system.flows());
    return std::nullopt;
  }

  const Site site_;
  const FailureOptions& options_;
  AssessOptions how_;
  Assessment normal_;
  hazard::MixtureModels models_;
  std::optional<FailureSolver> solver_;
  Sweep unseen_;
  FailureStudy out_;
};

}  // namespace

std::variant<FailurePart, SolveFault, Stopped> failures_part(const Site& site, const FailureOptions& options) {
  if (auto fault = study::refuse_layers(site, "what failures do")) return *fault;
  Study study{site, options};
  if (auto fault = study.prepare()) return std::move(*fault);
  auto part = study.solve();
  if (const auto* stopped = std::get_if<Stopped>(&part)) return *stopped;
  return std::move(std::get<FailurePart>(part));
}

std::variant<FailureStudy, SolveFault> failures_of(const Site& site, const FailureOptions& options, FailurePart whole) {
  if (auto fault = study::refuse_layers(site, "what failures do")) return *fault;
  Study study{site, options};
  if (auto fault = study.prepare()) return std::move(*fault);
  return study.finish(std::move(whole));
}

std::variant<FailureStudy, SolveFault, Stopped> study_failures(const Site& site, const FailureOptions& options) {
  if (auto fault = study::refuse_layers(site, "what failures do")) return *fault;
  Study study{site, options};
  if (auto fault = study.prepare()) return std::move(*fault);
  auto part = study.solve();
  if (const auto* stopped = std::get_if<Stopped>(&part)) return *stopped;
  auto whole = study.finish(std::move(std::get<FailurePart>(part)));
  if (auto* fault = std::get_if<SolveFault>(&whole)) return std::move(*fault);
  return std::move(std::get<FailureStudy>(whole));
}

}  // namespace leanside
