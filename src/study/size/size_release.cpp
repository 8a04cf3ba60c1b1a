// SPDX-License-Identifier: Apache-2.0
#include "study/size/size_release.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>

#include "study/size/size_search.hpp"
#include "study/size/size_settings.hpp"

namespace leanside::study {
namespace {

constexpr double largest_factor = 1024.0 * 1024.0;
constexpr double smallest_factor = 1.0 / largest_factor;
constexpr double accuracy = 1e-6;  // what is found is rounded down to three figures

/// Rounded down to three figures.
double rounded_down(double value) {
  if (!(value > 0.0)) return 0.0;
  // By a whole power of ten, so that what is written has three figures as well.
  const int decimals = 2 - static_cast<int>(std::floor(std::log10(value)));
  const double unit = std::pow(10.0, std::abs(decimals));
  const double figures = std::floor((decimals > 0 ? value * unit : value / unit) * (1.0 + 1e-12));
  return decimals > 0 ? figures / unit : figures * unit;
}

class ReleaseSizer {
 public:
  ReleaseSizer(const Site& site, ReleaseIndex release, SizeCheck& check, Sizing& out)
      : site_{site}, release_{release}, check_{check}, out_{out} {}

  void run() {
    const auto& kind = site_.releases[release_.value].kind;
    const bool by_rate = std::holds_alternative<SteadyRelease>(kind) || std::holds_alternative<FittingsRelease>(kind);
    if (const auto* steady = std::get_if<SteadyRelease>(&kind)) out_.release_now = steady->rate;
    if (const auto* seeps = std::get_if<FittingsRelease>(&kind)) out_.release_now = seeps->count * seeps->each;
    const Checked none = at(0.0, true);
    if (!none.fault.empty()) return fail(none.fault);
    for (const Constraint& c : none.over) out_.remaining.push_back({c, Obstacle::out_of_reach});
    left_out_ = keys_of(none.over);
    const Checked as_it_is = at(1.0, true);
    const bool gives_gas = !site_.releases[release_.value].gas.shares.empty() && (!by_rate || out_.release_now > 0.0);
    if (gives_gas && !left_out_.empty() && as_it_is.fault.empty() && as_it_is.holds(left_out_) &&
        as_it_is.nearest.empty()) {
      return fail("every space that this release reaches has a warning without it");
    }
    if (by_rate || std::holds_alternative<DumpRelease>(kind) || std::holds_alternative<ReactionRelease>(kind)) {
      size_factor(as_it_is);
    } else {
      size_count(none);
    }
  }

 private:
  Checked at(double factor, bool in_time) { return check_(with_release(site_, release_, factor), in_time); }
  Trial trial(double factor) {
    const Checked found = at(factor, out_.in_time);
    return {found.holds(left_out_), found.excess(left_out_)};
  }

  void fail(std::string reason) {
    out_.found = false;
    out_.reason = std::move(reason);
  }

  void done(const Checked& checked) {
    out_.found = true;
    WarningKeys told;
    for (Constraint c : checked.local) {
      // A second one of the release was added to the site that was looked at.
      if (c.release && c.release->value >= site_.releases.size()) c.release = release_;
      if (told.insert(key_of(c)).second) out_.remaining.push_back({c, Obstacle::out_of_reach});
    }
    out_.binding.assign(checked.nearest.begin(),
                        checked.nearest.begin() + std::min<std::ptrdiff_t>(5, std::ssize(checked.nearest)));
  }

  void size_factor(const Checked& as_it_is) {
    End under{1.0, as_it_is.excess(left_out_)}, over = under;
    const auto move = [&](End& end, const Trial& to, double factor) {
      end = {factor, to.excess};
      return to.holds;
    };
    if (as_it_is.holds(left_out_)) {
      while (over.at < largest_factor) {
        under = over;
        if (!move(over, trial(4.0 * under.at), 4.0 * under.at)) break;
      }
      if (over.at >= largest_factor) return fail("no size of this release brings any space to a warning");
    } else {
      while (under.at > smallest_factor) {
        over = under;
        if (move(under, trial(0.25 * over.at), 0.25 * over.at)) break;
      }
    }
    out_.factor = rounded_down(find_edge(over, under, accuracy, [&](double f) { return trial(f); }));
    for (int pass = 0; pass < 20; ++pass) {
      const Checked checked = at(out_.factor, true);
      if (checked.holds(left_out_)) {
        out_.whole = std::floor(out_.factor + 1e-9);
        return done(checked);
      }
      out_.factor = rounded_down(out_.factor * (out_.in_time ? 0.998 : 0.8));
    }
    fail("even a small part of this release brings a space to a warning");
  }

  /// A release that can only be there a whole number of times.
  void size_count(const Checked& none) {
    constexpr double most = 64.0;
    double count = 0.0;
    Checked last = none;
    while (count < most) {
      Checked more = at(count + 1.0, true);
      if (!more.holds(left_out_)) break;
      count += 1.0;
      last = std::move(more);
    }
    out_.factor = out_.whole = count;
    done(last);
  }

  const Site& site_;
  ReleaseIndex release_;
  SizeCheck& check_;
  Sizing& out_;
  WarningKeys left_out_;
};

}  // namespace

void size_release(const Site& site, ReleaseIndex release, SizeCheck& check, Sizing& out) {
  ReleaseSizer{site, release, check, out}.run();
}

}  // namespace leanside::study
