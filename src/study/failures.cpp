// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>
#include <utility>

#include "hazard/judge.hpp"
#include "leanside/study.hpp"
#include "study/fan_dependence.hpp"
#include "study/parallel.hpp"

namespace leanside {
namespace {

/// Runs in time are made where outcomes times spaces do not exceed this: some seconds.
constexpr std::size_t most_in_time = 20000;
/// Pairs kept of a long list, the worst.
constexpr std::size_t most_pairs_kept = 5000;

constexpr double forever = std::numeric_limits<double>::infinity();

int about(Severity severity) { return severity == Severity::oxygen ? 1 : severity == Severity::pressure ? 2 : 0; }

Harm brief(const Warning& w) { return {w.space, w.severity, w.lfl_fraction, w.oxygen, w.pressure, w.time}; }

std::vector<Harm> brief(const std::vector<Warning>& warnings) {
  std::vector<Harm> out;
  for (const Warning& w : warnings) out.push_back(brief(w));
  return out;
}

auto key(const Harm& h) { return std::tuple(h.severity, h.time.value_or(forever), -h.lfl_fraction, h.space); }

bool near(double a, double b) { return std::abs(a - b) <= 1e-6 * std::max(std::abs(a), std::abs(b)) + 1e-9; }
bool near(const std::optional<double>& a, const std::optional<double>& b) {
  if (!a || !b) return a.has_value() == b.has_value();
  return std::abs(*a - *b) <= 1.0 + 1e-4 * std::max(*a, *b);
}

/// Whether a is worse than b, both about the same thing in the same space.
bool worse(const Harm& a, const Harm& b, double oxygen_in_air) {
  if (a.severity != b.severity) return a.severity < b.severity;
  if (!near(a.time, b.time) && a.time.value_or(forever) < b.time.value_or(forever)) return true;
  if (about(a.severity) == 1) {
    const double da = std::abs(a.oxygen - oxygen_in_air), db = std::abs(b.oxygen - oxygen_in_air);
    return !near(a.oxygen, b.oxygen) && da > db;
  }
  if (about(a.severity) == 2) return !near(a.pressure, b.pressure) && a.pressure > b.pressure;
  return !near(a.lfl_fraction, b.lfl_fraction) && a.lfl_fraction > b.lfl_fraction && a.severity != Severity::rich;
}

const Harm* same_thing(const std::vector<Harm>& harms, const Harm& h) {
  for (const Harm& other : harms) {
    if (other.space == h.space && about(other.severity) == about(h.severity)) return &other;
  }
  return nullptr;
}

bool equal(const Harm& a, const Harm& b) {
  return a.space == b.space && a.severity == b.severity && near(a.lfl_fraction, b.lfl_fraction) &&
         near(a.oxygen, b.oxygen) && near(a.pressure, b.pressure) && near(a.time, b.time);
}

bool equal(const FailureOutcome& a, const FailureOutcome& b) {
  return a.fault == b.fault && a.gone == b.gone && a.unreached == b.unreached &&
         std::equal(a.harms.begin(), a.harms.end(), b.harms.begin(), b.harms.end(),
                    [](const Harm& x, const Harm& y) { return equal(x, y); });
}

/// The warnings of one site and of the spaces without a sustained state, or why there are none.
struct Found {
  std::vector<Harm> harms;
  std::vector<bool> reached;
  std::string fault;
};

class Study {
 public:
  Study(const Site& site, const FailureOptions& options) : site_{with_failures(site, {})}, options_{options} {}

  std::variant<FailureStudy, SolveFault> run() {
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
    models_ = hazard::mixture_models(site_, CaseIndex{0});
    if (!out_.in_time && options_.reuse) {
      auto built = FailureSolver::build(site_);
      if (auto* fault = std::get_if<SolveFault>(&built)) return std::move(*fault);
      solver_.emplace(std::move(std::get<FailureSolver>(built)));
    }
    solve_singles();
    if (options_.pairs) solve_pairs();
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
    const double air = site_.conditions.oxygen_in_air;
    for (const Harm& h : found.harms) {
      const Harm* before = same_thing(out_.normal, h);
      if (before == nullptr || worse(h, *before, air)) out.harms.push_back(h);
    }
    for (const Harm& h : out_.normal) {
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

  void solve_all(const std::vector<std::vector<std::size_t>>& lists, std::vector<FailureOutcome>& outcomes) {
    outcomes.resize(lists.size());
    std::vector<char> updated(lists.size(), 0);
    // The updates share the columns that they keep; runs of their own share nothing.
    const unsigned threads = solver_ ? 1 : options_.threads;
    study::for_each_piece(lists.size(), threads, [&](std::size_t i) {
      bool by_update = false;
      outcomes[i] = outcome(lists[i], solved(picked(lists[i]), by_update));
      updated[i] = by_update;
    });
    for (const char by_update : updated) ++(by_update ? out_.by_update : out_.afresh);
  }

  void solve_singles() {
    std::vector<std::vector<std::size_t>> lists;
    for (std::size_t i = 0; i < out_.failures.size(); ++i) lists.push_back({i});
    solve_all(lists, out_.outcomes);
  }

  /// Whether a pair brings anything that neither of the two does.
  bool worse_together(const FailureOutcome& pair) const {
    const FailureOutcome &a = out_.outcomes[pair.failures[0]], &b = out_.outcomes[pair.failures[1]];
    if (!a.fault.empty() || !b.fault.empty()) return false;
    if (!pair.fault.empty()) return true;
    const double air = site_.conditions.oxygen_in_air;
    return std::any_of(pair.harms.begin(), pair.harms.end(), [&](const Harm& h) {
      for (const FailureOutcome* single : {&a, &b}) {
        const Harm* alone = same_thing(single->harms, h);
        if (alone != nullptr && !worse(h, *alone, air)) return false;
      }
      return true;
    });
  }

  void solve_pairs() {
    const std::size_t n = out_.failures.size();
    std::vector<FailureOutcome> kept;
    // In batches, so that a long list of pairs is never in memory as a whole.
    constexpr std::size_t batch = 4096;
    std::vector<std::vector<std::size_t>> lists;
    const auto solve_batch = [&] {
      std::vector<FailureOutcome> outcomes;
      solve_all(lists, outcomes);
      out_.pairs_solved += lists.size();
      lists.clear();
      for (FailureOutcome& outcome : outcomes) {
        if (worse_together(outcome)) kept.push_back(std::move(outcome));
      }
      if (kept.size() > 2 * most_pairs_kept) keep_worst(kept);
    };
    for (std::size_t i = 0; i < n; ++i) {
      for (std::size_t j = i + 1; j < n; ++j) {
        const Failure &a = out_.failures[i], &b = out_.failures[j];
        if (a.airway && a.airway == b.airway) continue;
        lists.push_back({i, j});
        if (lists.size() == batch) solve_batch();
      }
    }
    solve_batch();
    keep_worst(kept);
    std::move(kept.begin(), kept.end(), std::back_inserter(out_.outcomes));
  }

  static bool ranks_before(const FailureOutcome& a, const FailureOutcome& b) {
    // What could not be computed may be anything: it stands before what harms nobody.
    const auto order = [](const FailureOutcome& o) {
      if (!o.harms.empty()) return std::tuple(0, key(o.harms.front()));
      const int group = !o.fault.empty() ? 1 : !o.unreached.empty() ? 2 : 3;
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
  FailureStudy out_;
};

}  // namespace

std::variant<FailureStudy, SolveFault> study_failures(const Site& site, const FailureOptions& options) {
  return Study{site, options}.run();
}

}  // namespace leanside
