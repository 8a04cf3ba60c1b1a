// SPDX-License-Identifier: Apache-2.0
/// All failures of a case, alone and in pairs: which of them are solved how, which are kept, and their order.
#include "leanside/study/failures.hpp"

#include <algorithm>
#include <utility>

#include "base/parallel/pieces.hpp"
#include "hazard/assumptions.hpp"
#include "leanside/study/sweep.hpp"
#include "study/failures/failure_consequence.hpp"
#include "study/failures/failure_runner.hpp"
#include "study/failures/fan_dependence.hpp"
#include "transport/steady/steady_system.hpp"

namespace leanside {
namespace {

using study::FailureRun;
using study::FailureRunner;

/// Runs in time are made where their number times spaces does not exceed this: some seconds.
constexpr std::size_t most_in_time = 20000;
/// Where there are more, the worst are computed in time up to this number of runs times spaces.
constexpr std::size_t most_followed = 10000;
/// A release that starts is tried at some moments, after a longer run that finds them.
constexpr std::size_t runs_of_a_start = 6;
/// Pairs kept of a long list, the worst.
constexpr std::size_t most_pairs_kept = 5000;

class Study {
 public:
  Study(const Site& site, const FailureOptions& options)
      : site_{with_failures(site, {}, options.case_index)}, options_{options} {}

  /// The case with nothing failed, and what the failures are solved with.
  std::optional<Fault> prepare() {
    out_.case_index = options_.case_index;
    out_.failures = list_failures(site_);
    out_.singles = out_.failures.size();
    out_.pairs = options_.pairs;
    choose_what_is_in_time();
    auto built = FailureRunner::build(site_, out_.in_time, options_.reuse);
    if (auto* fault = std::get_if<Fault>(&built)) return std::move(*fault);
    runner_.emplace(std::move(std::get<FailureRunner>(built)));
    out_.normal = runner_->normal();
    // The least time; where the file gives none, each failure is computed until its own verdict is settled.
    site_.criteria.horizon = runner_->assessment().horizon;
    const CaseResult& result = runner_->assessment().cases.front();
    out_.leaks = result.leaks;
    out_.leaking = result.leaking;
    out_.starved = result.starved;
    if (options_.pairs && out_.in_time && !out_.pairs_in_time) {
      auto steady = FailureRunner::build(site_, false, options_.reuse);
      if (auto* fault = std::get_if<Fault>(&steady)) return std::move(*fault);
      steady_runner_.emplace(std::move(std::get<FailureRunner>(steady)));
    }
    return std::nullopt;
  }

  Result<FailurePart> solve() {
    const std::size_t n = out_.failures.size();
    const std::vector<Pair> pairs = options_.pairs ? share_of(all_pairs()) : std::vector<Pair>{};
    const auto [begin, end] = share_of(n);
    // Every share compares pairs with all singles; it answers for its own alone.
    const bool all = options_.pairs && !steady_runner_;
    const std::size_t first = all ? 0 : begin, last = all ? n : end;
    sweep().done = 0;
    sweep().total = last - first + pairs.size() + (steady_runner_ ? n : 0);
    std::vector<FailureRun> singles = solve_all(*runner_, lists_of(first, last));
    if (options_.pairs && !sweep().stop) {
      if (steady_runner_) {
        keep_for_comparison(solve_all(*steady_runner_, lists_of(0, n)));
      } else {
        keep_for_comparison(singles);
      }
    }
    FailurePart part;
    if (!sweep().stop) solve_pairs(pairs, part);
    if (sweep().stop) return Fault::stopped(sweep().done, sweep().total);
    for (std::size_t k = begin; k < end; ++k) {
      FailureRun& run = singles[k - first];
      count(run, part);
      part.singles.push_back(std::move(run.outcome));
    }
    return part;
  }

  Result<FailureStudy> finish(FailurePart whole) {
    if (!fits(whole)) return Fault::bad_input("these are not the failures of this site");
    out_.outcomes = std::move(whole.singles);
    out_.pairs_solved = whole.pairs_solved;
    out_.pairs_worse = whole.pairs_worse;
    out_.by_update = whole.by_update;
    out_.afresh = whole.afresh;
    out_.moments_left_out = whole.moments_left_out;
    keep_worst(whole.pairs);
    std::move(whole.pairs.begin(), whole.pairs.end(), std::back_inserter(out_.outcomes));
    count_not_compared();
    auto singles_followed = follow_worst(0, out_.singles, out_.in_time);
    if (auto* fault = std::get_if<Fault>(&singles_followed)) return std::move(*fault);
    auto pairs_followed = follow_worst(out_.singles, out_.outcomes.size(), out_.pairs_in_time);
    if (auto* fault = std::get_if<Fault>(&pairs_followed)) return std::move(*fault);
    out_.singles_followed = std::get<std::size_t>(singles_followed);
    out_.pairs_followed = std::get<std::size_t>(pairs_followed);
    // Apart, so that the answer about singles is the same with pairs and without.
    group(0, out_.singles);
    group(out_.singles, out_.outcomes.size());
    if (auto fault = find_dependences()) return std::move(*fault);
    out_.assumptions = hazard::standing_of(runner_->assessment().assumptions);
    return std::move(out_);
  }

 private:
  using Pair = std::pair<std::size_t, std::size_t>;

  /// Singles first: that there are pairs as well changes nothing about them.
  void choose_what_is_in_time() {
    const std::size_t spaces = site_.spaces.size();
    std::size_t runs = 1;
    for (std::size_t i = 0; i < out_.singles; ++i) runs += runs_of({i});
    const bool always = options_.in_time == InTime::always, quick = options_.in_time == InTime::where_quick;
    out_.in_time = always || (quick && runs * spaces <= most_in_time);
    if (!options_.pairs) return;
    for (const auto& [i, j] : all_pairs()) runs += runs_of({i, j});
    out_.pairs_in_time = always || (quick && runs * spaces <= most_in_time);
  }

  /// Runs in time that these failures take together.
  std::size_t runs_of(const std::vector<std::size_t>& failures) const {
    const bool starts = std::ranges::any_of(
        failures, [&](std::size_t k) { return out_.failures[k].kind == FailureKind::release_starts; });
    return starts ? runs_of_a_start : 1;
  }

  void count_not_compared() {
    if (!options_.pairs) return;
    for (const auto& [i, j] : all_pairs()) {
      out_.pairs_not_compared += !out_.outcomes[i].fault.empty() || !out_.outcomes[j].fault.empty();
    }
  }

  /// Those of the outcomes from `begin` up to `end` that do harm, the worst first, as many as a few seconds allow.
  std::vector<std::size_t> worst_of(std::size_t begin, std::size_t end) const {
    std::vector<std::size_t> out;
    for (std::size_t k = begin; k < end; ++k) {
      if (!out_.outcomes[k].consequences.empty()) out.push_back(k);
    }
    std::ranges::sort(
        out, [&](std::size_t a, std::size_t b) { return study::ranks_before(out_.outcomes[a], out_.outcomes[b]); });
    std::size_t work = 0, taken = 0;
    while (taken < out.size()) {
      work += runs_of(out_.outcomes[out[taken]].failures) * site_.spaces.size();
      if (work > most_followed) break;
      ++taken;
    }
    out.resize(taken);
    return out;
  }

  /// Computes the worst of the outcomes from `begin` up to `end` in time, unless all are; gives how many.
  Result<std::size_t> follow_worst(std::size_t begin, std::size_t end, bool all_are) {
    for (std::size_t k = begin; k < end; ++k) out_.outcomes[k].in_time = all_are;
    if (all_are || options_.in_time == InTime::never) return std::size_t{0};
    const std::vector<std::size_t> worst = worst_of(begin, end);
    if (worst.empty()) return std::size_t{0};
    if (!out_.in_time && !following_runner_) {
      auto built = FailureRunner::build(site_, true, options_.reuse);
      if (auto* fault = std::get_if<Fault>(&built)) return std::move(*fault);
      following_runner_.emplace(std::move(std::get<FailureRunner>(built)));
    }
    std::vector<std::vector<std::size_t>> lists;
    for (const std::size_t k : worst) lists.push_back(out_.outcomes[k].failures);
    std::vector<FailureRun> runs = solve_all(out_.in_time ? *runner_ : *following_runner_, lists);
    if (sweep().stop) return Fault::stopped(sweep().done, sweep().total);
    std::size_t followed = 0;
    for (std::size_t i = 0; i < worst.size(); ++i) {
      out_.moments_left_out += runs[i].moments_left_out;
      if (!runs[i].outcome.fault.empty()) continue;
      ++out_.afresh;
      ++followed;
      out_.outcomes[worst[i]] = std::move(runs[i].outcome);
      out_.outcomes[worst[i]].in_time = true;
    }
    return followed;
  }

  std::vector<Failure> picked(const std::vector<std::size_t>& places) const {
    std::vector<Failure> out;
    for (const std::size_t k : places) out.push_back(out_.failures[k]);
    return out;
  }

  static std::vector<std::vector<std::size_t>> lists_of(std::size_t begin, std::size_t end) {
    std::vector<std::vector<std::size_t>> lists;
    for (std::size_t i = begin; i < end; ++i) lists.push_back({i});
    return lists;
  }

  /// Whether the outcomes can be those of this site.
  bool fits(const FailurePart& part) const {
    const auto is_space = [&](SpaceIndex space) { return space.value < site_.spaces.size(); };
    const auto all_known = [&](const FailureOutcome& o) {
      return !o.failures.empty() && std::ranges::all_of(o.failures, [&](auto k) { return k < out_.failures.size(); }) &&
             std::ranges::all_of(o.unreached, is_space) &&
             std::ranges::all_of(o.starved, [&](AirwayIndex fan) { return fan.value < site_.airways.size(); }) &&
             std::ranges::all_of(o.leaks, [&](const LeakReliance& leak) { return is_space(leak.space); }) &&
             std::ranges::all_of(o.consequences, [&](const Consequence& h) {
               return is_space(h.space) && h.severity >= Severity::flammable && h.severity <= Severity::note &&
                      h.subject >= Subject::fuel && h.subject <= Subject::storage &&
                      (!h.gas || h.gas->value < site_.gases.size()) &&
                      (!h.release || h.release->value < site_.releases.size());
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

  static void count(const FailureRun& run, FailurePart& part) {
    ++(run.by_update ? part.by_update : part.afresh);
    part.moments_left_out += run.moments_left_out;
  }

  std::vector<FailureRun> solve_all(FailureRunner& runner, const std::vector<std::vector<std::size_t>>& lists) {
    std::vector<FailureRun> runs(lists.size());
    // The updates share the columns that they keep; runs of their own share nothing.
    const unsigned threads = runner.updates() ? 1 : options_.threads;
    parallel::for_each_piece(
        lists.size(), threads, &sweep().stop, [] { return 0; },
        [&](int, std::size_t i) {
          runs[i] = runner.run(lists[i], picked(lists[i]));
          ++sweep().done;
        });
    return runs;
  }

  void keep_for_comparison(const std::vector<FailureRun>& singles) {
    for (const FailureRun& run : singles) alone_.push_back(run.outcome);
  }

  /// A harm of a pair as it compares with those of each alone: what comes before the start of a release but after the
  /// horizon was only not waited for when the other failed alone.
  Consequence within_horizon(Consequence consequence) const {
    const bool late = consequence.time && consequence.starts && *consequence.time > site_.criteria.horizon &&
                      *consequence.time < *consequence.starts;
    if (late) consequence.time.reset();
    return consequence;
  }

  /// Whether a pair brings anything that neither of the two does.
  bool worse_together(const FailureOutcome& pair) const {
    const FailureOutcome &a = alone_[pair.failures[0]], &b = alone_[pair.failures[1]];
    if (!a.fault.empty() || !b.fault.empty()) return false;
    if (!pair.fault.empty()) return true;
    const auto starves_alone = [&](AirwayIndex fan) {
      return std::ranges::count(a.starved, fan) > 0 || std::ranges::count(b.starved, fan) > 0;
    };
    if (!std::ranges::all_of(pair.starved, starves_alone)) return true;
    const double air = site_.conditions.oxygen_in_air;
    return std::any_of(pair.consequences.begin(), pair.consequences.end(), [&](const Consequence& h) {
      for (const FailureOutcome* single : {&a, &b}) {
        const Consequence* alone = study::same_thing(single->consequences, h);
        if (alone != nullptr && !study::worse(within_horizon(h), *alone, air)) return false;
      }
      return true;
    });
  }

  void solve_pairs(const std::vector<Pair>& pairs, FailurePart& part) {
    // In batches, so that the outcomes of a long list of pairs are never in memory as a whole.
    constexpr std::size_t batch = 4096;
    FailureRunner& runner = steady_runner_ ? *steady_runner_ : *runner_;
    for (std::size_t begin = 0; begin < pairs.size() && !sweep().stop; begin += batch) {
      std::vector<std::vector<std::size_t>> lists;
      for (std::size_t k = begin; k < std::min(pairs.size(), begin + batch); ++k) {
        lists.push_back({pairs[k].first, pairs[k].second});
      }
      std::vector<FailureRun> runs = solve_all(runner, lists);
      if (sweep().stop) return;
      for (FailureRun& run : runs) {
        count(run, part);
        if (!worse_together(run.outcome)) continue;
        ++part.pairs_worse;
        part.pairs.push_back(std::move(run.outcome));
      }
      if (part.pairs.size() > 2 * most_pairs_kept) keep_worst(part.pairs);
    }
    part.pairs_solved = pairs.size();
    keep_worst(part.pairs);
  }

  static void keep_worst(std::vector<FailureOutcome>& outcomes) {
    std::sort(outcomes.begin(), outcomes.end(),
              [](const FailureOutcome& a, const FailureOutcome& b) { return study::ranks_before(a, b); });
    if (outcomes.size() > most_pairs_kept) outcomes.resize(most_pairs_kept);
  }

  /// Groups the outcomes from `begin` up to `end`, the worst first, behind the groups that there are.
  void group(std::size_t begin, std::size_t end) {
    std::vector<std::size_t> order;
    for (std::size_t i = begin; i < end; ++i) order.push_back(i);
    std::sort(order.begin(), order.end(),
              [&](std::size_t a, std::size_t b) { return study::ranks_before(out_.outcomes[a], out_.outcomes[b]); });
    constexpr std::size_t looked_back = 64;  // equal effects rank next to each other but for round-off
    const std::size_t others = out_.groups.size();
    for (const std::size_t i : order) {
      std::size_t g = std::max(others, out_.groups.size() - std::min(out_.groups.size(), looked_back));
      while (g < out_.groups.size() &&
             !study::same_effect(out_.outcomes[out_.groups[g].outcomes.front()], out_.outcomes[i])) {
        ++g;
      }
      if (g == out_.groups.size()) {
        out_.groups.push_back({{i}});
      } else {
        out_.groups[g].outcomes.push_back(i);
      }
    }
  }

  std::optional<Fault> find_dependences() {
    // Which fans bring the air is a matter of the airways, not of how gas spreads in a room.
    Site mixed = site_;
    for (Space& space : mixed.spaces) space.stratification = Stratification::mixed;
    auto built = SteadySystem::build(mixed, CaseIndex{0});
    if (auto* fault = std::get_if<Fault>(&built)) return std::move(*fault);
    const auto& system = std::get<SteadySystem>(built);
    out_.dependences = study::fan_dependences(mixed, system.state(), system.flows());
    return std::nullopt;
  }

  Site site_;  ///< with the computed time of the case in which nothing fails
  const FailureOptions& options_;
  std::optional<FailureRunner> runner_;            ///< of the singles, and of pairs that are solved likewise
  std::optional<FailureRunner> steady_runner_;     ///< of pairs, where only the singles are computed in time
  std::optional<FailureRunner> following_runner_;  ///< of the worst, where not all are computed in time
  std::vector<FailureOutcome> alone_;              ///< the singles, solved as the pairs are
  Sweep unseen_;
  FailureStudy out_;
};

}  // namespace

Result<FailurePart> failures_part(const Site& site, const FailureOptions& options) {
  Study study{site, options};
  if (auto fault = study.prepare()) return std::move(*fault);
  return study.solve();
}

Result<FailureStudy> failures_of(const Site& site, const FailureOptions& options, FailurePart whole) {
  Study study{site, options};
  if (auto fault = study.prepare()) return std::move(*fault);
  return study.finish(std::move(whole));
}

Result<FailureStudy> study_failures(const Site& site, const FailureOptions& options) {
  Study study{site, options};
  if (auto fault = study.prepare()) return std::move(*fault);
  auto part = study.solve();
  if (auto* fault = std::get_if<Fault>(&part)) return std::move(*fault);
  auto whole = study.finish(std::move(std::get<FailurePart>(part)));
  if (auto* fault = std::get_if<Fault>(&whole)) return std::move(*fault);
  return std::move(std::get<FailureStudy>(whole));
}

}  // namespace leanside
