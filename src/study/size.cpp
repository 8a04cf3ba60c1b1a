// SPDX-License-Identifier: Apache-2.0
/// Sizing: a common factor of all chosen fans first, found by Newton's method on the reciprocal of the binding value
/// (for plain dilution that is a straight line), its slope from the adjoint, kept between bounds; then each fan by
/// itself as low as it goes. What comes out is rounded to a practical step and checked in full.
#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <utility>

#include "leanside/release.hpp"
#include "leanside/study.hpp"
#include "study/layered.hpp"
#include "study/size_settings.hpp"

namespace leanside {
namespace {

/// Just under warn_at, so that "at or over" no longer holds.
constexpr double just_under = 1.0 - 1e-6;
/// Searching with runs in time takes some fifty of them.
constexpr std::size_t most_in_time = 3000;  // spaces times cases
/// Lowering fans one by one takes some ten runs a fan.
constexpr std::size_t most_lowering = 60000;  // fans times spaces times cases
constexpr double largest_factor = 1024.0;
constexpr double smallest_factor = 1.0 / 1024.0;

using study::with_flows;
using study::with_release;
using Key = std::pair<std::size_t, std::size_t>;  ///< case, space

/// What was found with one setting.
struct Checked {
  std::vector<Constraint> values;  ///< of every space and case
  std::string fault;               ///< not empty: could not be solved with it
};

std::vector<Constraint> values_of(const Assessment& assessment) {
  std::vector<Constraint> out;
  for (const CaseResult& result : assessment.cases) {
    for (std::size_t i = 0; i < result.spaces.size(); ++i) {
      const SpaceResult& space = result.spaces[i];
      Constraint c{result.which, SpaceIndex{i}, space.peak.lfl_fraction, false};
      if (space.sustained.reached && space.sustained.at.lfl_fraction > c.lfl_fraction) {
        c.lfl_fraction = space.sustained.at.lfl_fraction;
        c.is_sustained = true;
      }
      out.push_back(c);
    }
  }
  return out;
}

void worst_first(std::vector<Constraint>& list) {
  std::stable_sort(list.begin(), list.end(),
                   [](const Constraint& a, const Constraint& b) { return a.lfl_fraction > b.lfl_fraction; });
}

/// Fans that can be sized: without a curve, running at some time of the normal case, with a flow.
std::vector<AirwayIndex> fans_of(const Site& site) {
  std::vector<AirwayIndex> out;
  for (const Failure& failure : list_failures(site)) {
    if (failure.kind != FailureKind::fan_off) continue;
    const auto& fan = std::get<Fan>(site.airways[failure.airway->value].kind);
    if (fan.curve.empty() && fan.flow > 0.0) out.push_back(*failure.airway);
  }
  return out;
}

/// To three figures.
double rounded_down(double value) {
  if (!(value > 0.0)) return 0.0;
  // By a whole power of ten, so that what is written has three figures as well.
  const int decimals = 2 - static_cast<int>(std::floor(std::log10(value)));
  const double unit = std::pow(10.0, std::abs(decimals));
  const double figures = std::floor((decimals > 0 ? value * unit : value / unit) * (1.0 + 1e-12));
  return decimals > 0 ? figures / unit : figures * unit;
}

class Sizer {
 public:
  Sizer(const Site& site, const SizeOptions& options) : site_{site}, options_{options} {
    target_ = site.criteria.warn_at * just_under;
    out_.in_time = site.spaces.size() * site.cases.size() <= most_in_time;
    out_.of_release = options.release.has_value();
    out_.release = options.release;
  }

  std::variant<Sizing, SolveFault> run() {
    AssessOptions how;
    how.explain = false;
    const auto now = assess(site_, how);
    ++out_.runs;
    if (const auto* fault = std::get_if<SolveFault>(&now)) return *fault;
    out_.assumptions = std::get<Assessment>(now).assumptions;
    out_.before = values_of(std::get<Assessment>(now));
    worst_first(out_.before);
    find_influences();
    std::erase_if(out_.before, [&](const Constraint& c) { return c.lfl_fraction < target_; });
    if (options_.release) {
      size_release();
    } else {
      size_fans();
    }
    return std::move(out_);
  }

 private:
  Checked check(const Site& site, bool in_time) {
    AssessOptions how;
    how.explain = false;
    how.sustained_only = !in_time;
    ++out_.runs;
    const auto outcome = assess(site, how);
    if (const auto* fault = std::get_if<SolveFault>(&outcome)) return {{}, fault->message};
    return {values_of(std::get<Assessment>(outcome)), {}};
  }

  /// The worst value of what is within reach; infinite where it could not be solved.
  Constraint worst(const Checked& checked) const {
    Constraint out;
    if (!checked.fault.empty()) {
      out.lfl_fraction = std::numeric_limits<double>::infinity();
      return out;
    }
    for (const Constraint& c : checked.values) {
      if (!beyond_.contains({c.which.value, c.space.value}) && c.lfl_fraction > out.lfl_fraction) out = c;
    }
    return out;
  }

  void put_beyond(const Checked& checked) {
    for (const Constraint& c : checked.values) {
      if (c.lfl_fraction < target_ || beyond_.contains({c.which.value, c.space.value})) continue;
      beyond_.emplace(Key{c.which.value, c.space.value}, c);
      out_.out_of_reach.push_back(c);
    }
    worst_first(out_.out_of_reach);
  }

  void put_binding(const Checked& checked) {
    out_.binding.clear();
    for (const Constraint& c : checked.values) {
      if (!beyond_.contains({c.which.value, c.space.value}) && c.lfl_fraction > 0.0) out_.binding.push_back(c);
    }
    worst_first(out_.binding);
    if (out_.binding.size() > 5) out_.binding.resize(5);
  }

  /// What the worst space of the file as it is answers to most.
  void find_influences() {
    if (out_.before.empty()) return;
    const auto sustained =
        std::find_if(out_.before.begin(), out_.before.end(), [](const Constraint& c) { return c.is_sustained; });
    const Constraint& on = sustained == out_.before.end() ? out_.before.front() : *sustained;
    const auto found = derivatives(site_, on.which, on.space);
    const auto* given = std::get_if<std::optional<Derivatives>>(&found);
    if (given == nullptr || !*given) return;
    const SiteState state = state_at(site_, on.which, std::numeric_limits<double>::infinity());
    for (std::size_t i = 0; i < site_.airways.size(); ++i) {
      const double d = (*given)->by_flow[i];
      const double one_percent = 0.01 * d * state.airway_flow[i];
      if (one_percent != 0.0) out_.influences.push_back({on, AirwayIndex{i}, std::nullopt, d, one_percent});
    }
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      const double d = (*given)->by_release[r];
      const double one_percent = 0.01 * d * state.release_rate[r];
      if (one_percent != 0.0) out_.influences.push_back({on, std::nullopt, ReleaseIndex{r}, d, one_percent});
    }
    std::stable_sort(out_.influences.begin(), out_.influences.end(), [](const Influence& a, const Influence& b) {
      return std::abs(a.of_one_percent) > std::abs(b.of_one_percent);
    });
    if (out_.influences.size() > 10) out_.influences.resize(10);
  }

  /// d value / d factor of the binding constraint by the adjoint; empty where there is none.
  std::optional<double> slope(const Site& site, const Constraint& on, const std::vector<AirwayIndex>& fans) const {
    if (!on.is_sustained) return std::nullopt;
    const auto found = derivatives(site, on.which, on.space);
    const auto* given = std::get_if<std::optional<Derivatives>>(&found);
    if (given == nullptr || !*given) return std::nullopt;
    const SiteState state = state_at(site, on.which, std::numeric_limits<double>::infinity());
    double sum = 0.0;
    for (const AirwayIndex fan : fans) {
      if (state.airway_on[fan.value]) sum += (*given)->by_flow[fan.value] * state.airway_flow[fan.value];
    }
    return sum;
  }

  using Setting = std::function<Site(double)>;

  /// The factor between `low` (over the target) and `high` (under it) at which the target is met, from the side that is
  /// under it; `high` may be the smaller of the two.
  double meet(const Setting& setting, double low, double high, const std::vector<AirwayIndex>& fans) {
    constexpr double none = std::numeric_limits<double>::quiet_NaN();
    double guess = none;
    for (int pass = 0; pass < 60 && std::abs(high - low) > 1e-7 * high; ++pass) {
      const double from = std::min(low, high), to = std::max(low, high);
      const bool usable = guess > from && guess < to && pass % 4 != 3;
      double middle = usable ? guess : (from > 0.0 ? std::sqrt(from * to) : 0.5 * (from + to));
      if (to < 1.01 * from && !usable) middle = 0.5 * (from + to);
      const Site site = setting(middle);
      const Constraint there = worst(check(site, out_.in_time));
      (there.lfl_fraction < target_ ? high : low) = middle;
      guess = none;
      if (!std::isfinite(there.lfl_fraction) || there.lfl_fraction <= 0.0) continue;
      if (const auto d = slope(site, there, fans); d && *d != 0.0) {
        // 1/v is a straight line of slope -v'/v^2 (factors are relative to the file, derivatives to `middle`). A little
        // beyond the root, so that the next point is the other bound.
        const double v = there.lfl_fraction;
        const double by_factor = *d / middle;
        const double root = middle + (1.0 / target_ - 1.0 / v) / (-by_factor / (v * v));
        guess = root + (high > low ? 1.0 : -1.0) * 2e-8 * root;
      }
    }
    return high;
  }

  void fail(std::string reason) {
    out_.found = false;
    out_.reason = std::move(reason);
  }

  void size_fans() {
    const std::vector<AirwayIndex> fans = options_.fans.empty() ? fans_of(site_) : options_.fans;
    if (fans.empty()) return fail("no fan runs in the normal case whose flow could be changed");
    for (const AirwayIndex fan : fans) {
      const double now = std::get<Fan>(site_.airways[fan.value].kind).flow;
      out_.fans.push_back({fan, now, now, now});
    }
    const Setting setting = [&](double factor) {
      return with_flows(site_, fans, std::vector<double>(fans.size(), factor));
    };
    const Checked most = check(setting(largest_factor), out_.in_time);
    if (!most.fault.empty()) return fail(most.fault);
    put_beyond(most);
    // A bracket: over the target at `low`, under it at `high`.
    double low = 1.0, high = 1.0;
    if (worst(check(site_, out_.in_time)).lfl_fraction < target_) {
      while (high > smallest_factor) {
        low = 0.5 * high;
        if (worst(check(setting(low), out_.in_time)).lfl_fraction >= target_) break;
        high = low;
      }
    } else {
      while (high < largest_factor) {
        low = high;
        high *= 2.0;
        if (worst(check(setting(high), out_.in_time)).lfl_fraction < target_) break;
      }
    }
    const double factor = high <= smallest_factor ? 0.0 : meet(setting, low, high, fans);
    out_.factor = factor;
    std::vector<double> factors(fans.size(), factor);
    lower_one_by_one(fans, factors);
    for (std::size_t k = 0; k < fans.size(); ++k) out_.fans[k].least = factors[k] * out_.fans[k].now;
    verify(fans);
  }

  /// Each fan as low as it goes, the others as they are by then: those that matter least to the binding space first.
  void lower_one_by_one(const std::vector<AirwayIndex>& fans, std::vector<double>& factors) {
    if (fans.size() < 2 || factors.front() <= 0.0) return;
    if (fans.size() * site_.spaces.size() * site_.cases.size() > most_lowering) return;
    const Site common = with_flows(site_, fans, factors);
    const Constraint binding = worst(check(common, out_.in_time));
    std::vector<double> influence(fans.size(), 0.0);
    const auto found = derivatives(common, binding.which, binding.space);
    if (const auto* given = std::get_if<std::optional<Derivatives>>(&found); given != nullptr && *given) {
      for (std::size_t k = 0; k < fans.size(); ++k) influence[k] = (*given)->by_flow[fans[k].value];
    }
    std::vector<std::size_t> order(fans.size());
    for (std::size_t k = 0; k < order.size(); ++k) order[k] = k;
    // Most positive first: more of it makes the binding space worse.
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return influence[a] > influence[b]; });
    for (const std::size_t k : order) {
      const double now = factors[k];
      const auto holds = [&](double factor) {
        factors[k] = factor;
        return worst(check(with_flows(site_, fans, factors), out_.in_time)).lfl_fraction < target_;
      };
      double under = now, over = 0.0;
      if (holds(0.0)) {
        factors[k] = 0.0;
        continue;
      }
      const double near_enough = std::max(1e-3 * now, 0.02 * options_.step / out_.fans[k].now);
      while (under - over > near_enough) {
        const double middle = 0.5 * (under + over);
        (holds(middle) ? under : over) = middle;
      }
      factors[k] = under;
    }
    out_.lowered_one_by_one = true;
  }

  /// Rounds up and checks in full; where that does not hold, a step more for every fan, and again.
  void verify(const std::vector<AirwayIndex>& fans) {
    constexpr int most_steps = 50;
    std::string fault;
    for (int more = 0; more < most_steps; ++more) {
      std::vector<double> factors;
      for (FanSize& fan : out_.fans) {
        const double steps = std::ceil(fan.least / options_.step - 1e-9) + (fan.least > 0.0 ? more : 0);
        fan.flow = steps * options_.step;
        factors.push_back(fan.flow / fan.now);
      }
      const Checked checked = check(with_flows(site_, fans, factors), true);
      fault = checked.fault;
      if (worst(checked).lfl_fraction < target_) {
        put_binding(checked);
        out_.found = true;
        return;
      }
    }
    fail(fault.empty() ? "no setting of these fans was found that keeps every space within reach below the margin"
                       : fault);
  }

  bool burns(ReleaseIndex release) const {
    const auto& shares = site_.releases[release.value].gas.shares;
    return std::ranges::any_of(shares, [&](const GasShare& s) { return site_.gases[s.gas.value].limits.has_value(); });
  }

  void size_release() {
    const ReleaseIndex release = *options_.release;
    const auto& kind = site_.releases[release.value].kind;
    const bool by_rate = std::holds_alternative<SteadyRelease>(kind) || std::holds_alternative<FittingsRelease>(kind);
    const bool plain = by_rate || std::holds_alternative<DumpRelease>(kind);
    if (const auto* steady = std::get_if<SteadyRelease>(&kind)) out_.release_now = steady->rate;
    if (const auto* fittings = std::get_if<FittingsRelease>(&kind)) out_.release_now = fittings->count * fittings->each;
    const Setting setting = [&](double factor) { return with_release(site_, release, factor); };
    const Checked none = check(setting(0.0), out_.in_time);
    if (!none.fault.empty()) return fail(none.fault);
    put_beyond(none);
    const bool can_burn = burns(release) && (!by_rate || out_.release_now > 0.0);
    const Checked as_it_is = check(setting(1.0), out_.in_time);
    if (can_burn && !beyond_.empty() && as_it_is.fault.empty() && worst(as_it_is).lfl_fraction <= 0.0) {
      return fail("every space that this release reaches is at or over the margin without it");
    }
    if (!plain) return size_count(setting);
    double high = 1.0, low = 1.0;  // here the smaller factor is under the target
    if (worst(as_it_is).lfl_fraction < target_) {
      while (low < largest_factor * largest_factor) {
        high = low;
        low *= 4.0;
        if (worst(check(setting(low), out_.in_time)).lfl_fraction >= target_) break;
      }
      if (low >= largest_factor * largest_factor) return fail("no size of this release brings any space to the margin");
    } else {
      while (high > smallest_factor * smallest_factor) {
        low = high;
        high *= 0.25;
        if (worst(check(setting(high), out_.in_time)).lfl_fraction < target_) break;
      }
    }
    out_.factor = rounded_down(meet(setting, low, high, {}));
    for (int pass = 0; pass < 20; ++pass) {
      const Checked checked = check(setting(out_.factor), true);
      if (worst(checked).lfl_fraction < target_) {
        out_.found = true;
        out_.whole = std::floor(out_.factor + 1e-9);
        put_binding(checked);
        return;
      }
      out_.factor = rounded_down(out_.factor * (out_.in_time ? 0.998 : 0.8));
    }
    fail("not even a small part of this release keeps every space within reach below the margin");
  }

  /// A release that can only be there a whole number of times.
  void size_count(const Setting& setting) {
    constexpr double most = 64.0;
    double count = 0.0;
    Checked last = check(setting(0.0), true);
    while (count < most) {
      const Checked checked = check(setting(count + 1.0), true);
      if (!(worst(checked).lfl_fraction < target_)) break;
      count += 1.0;
      last = checked;
    }
    out_.factor = out_.whole = count;
    out_.found = true;
    put_binding(last);
  }

  const Site& site_;
  const SizeOptions& options_;
  double target_ = 0.0;
  std::map<Key, Constraint> beyond_;
  Sizing out_;
};

}  // namespace

std::variant<Sizing, SolveFault> size_site(const Site& site, const SizeOptions& options) {
  if (auto fault = study::refuse_layers(site, "how much air is enough")) return *fault;
  return Sizer{site, options}.run();
}

}  // namespace leanside
