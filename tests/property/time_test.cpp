// SPDX-License-Identifier: Apache-2.0
// Properties of transient runs: events beyond the horizon, later starts, split releases.
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "property/draw.hpp"
#include "support/build_site.hpp"

namespace {

using leanside::CaseIndex;
using leanside::Site;
using leanside::SpaceIndex;

/// Whether two runs of the same spaces end with the same fractions.
bool end_alike(const Site& site, const leanside::TransientResult& one, const leanside::TransientResult& two) {
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    for (std::size_t k = 0; k < site.gases.size(); ++k) {
      if (!property::agree(one.end(SpaceIndex{i}, k), two.end(SpaceIndex{i}, k))) return false;
    }
  }
  return true;
}

leanside::TransientResult run(const Site& site, std::size_t c = 0) {
  return property::transient(site, CaseIndex{c}, leanside::gas_tracers(site));
}

RC_GTEST_PROP(TransientRun, IgnoresEventsAfterTheHorizon, ()) {
  const Site site = property::draw_site();
  Site later = site;
  const auto turned_off = [&](std::size_t airway) {
    return leanside::Event{
        site.criteria.horizon * 1.5, leanside::SetAirwayOn{leanside::AirwayIndex{airway}, false}, {}};
  };
  for (auto& each : later.cases) {
    for (std::size_t a = 0; a < site.airways.size(); ++a) each.events.push_back(turned_off(a));
  }
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    const auto one = run(site, c), two = run(later, c);
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      for (std::size_t k = 0; k < site.gases.size(); ++k)
        RC_ASSERT(one.end(SpaceIndex{i}, k) == two.end(SpaceIndex{i}, k));
    }
  }
}

RC_GTEST_PROP(TransientRun, IgnoresEventsWithoutEffect, ()) {
  const Site site = property::draw_site();
  Site idle = site;
  const double at = site.criteria.horizon * 0.01 * *rc::gen::inRange(1, 99);
  auto& events = idle.cases[0].events;
  RC_PRE(events.empty());
  for (std::size_t a = 0; a < site.airways.size(); ++a) {
    events.push_back({at, leanside::SetAirwayOn{leanside::AirwayIndex{a}, site.airways[a].on}, {}});
  }
  RC_ASSERT(end_alike(site, run(site), run(idle)));
}

RC_GTEST_PROP(TransientRun, StartsTheSameWithALongerHorizon, ()) {
  const Site site = property::draw_site(6);
  Site longer = site;
  longer.criteria.horizon *= 0.1 * *rc::gen::inRange(11, 50);
  const auto one = property::assessment(site), two = property::assessment(longer);
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      const auto &a = one.cases[c].spaces[i], &b = two.cases[c].spaces[i];
      RC_ASSERT(b.peak.lfl_fraction >= a.peak.lfl_fraction * (1.0 - 1e-6) - 1e-9);
      RC_ASSERT(b.flammable_time >= a.flammable_time - 1e-5 * site.criteria.horizon);
      RC_ASSERT(b.crossings.size() >= a.crossings.size());
    }
  }
}

RC_GTEST_PROP(TransientRun, IsDelayedByLaterReleases, ()) {
  Site site = property::draw_site();
  site.cases.resize(1);
  site.cases[0].events.clear();
  for (auto& space : site.spaces) space.initial.clear();
  Site late = site;
  const double delay = site.criteria.horizon * 0.01 * *rc::gen::inRange(1, 300);
  for (auto& release : late.releases) release.start += delay;
  late.criteria.horizon += delay;
  const auto before = run(late);
  // In a sealed vessel the fans raise the pressure before the release starts.
  RC_PRE(before.pressures.empty());
  RC_ASSERT(end_alike(site, run(site), before));
}

RC_GTEST_PROP(TransientRun, IsTheSameForAReleaseSplitIntoTwo, ()) {
  const Site site = property::draw_site();
  RC_PRE(!site.releases.empty());
  const auto drawn = *rc::gen::inRange<std::size_t>(0, site.releases.size());
  const double share = 0.01 * *rc::gen::inRange(1, 100);
  Site split = site;
  const auto take = [](leanside::Release& release, double part) {
    if (auto* steady = std::get_if<leanside::SteadyRelease>(&release.kind)) steady->rate *= part;
    if (auto* dump = std::get_if<leanside::DumpRelease>(&release.kind)) dump->amount *= part;
    if (auto* fittings = std::get_if<leanside::FittingsRelease>(&release.kind)) fittings->each *= part;
  };
  auto rest = site.releases[drawn];
  rest.id += "-rest";
  take(split.releases[drawn], share);
  take(rest, 1.0 - share);
  split.releases.push_back(rest);
  for (auto& each : split.cases) {
    std::vector<leanside::Event> events;
    for (const auto& event : each.events) {
      events.push_back(event);
      const auto* on = std::get_if<leanside::SetReleaseOn>(&event.change);
      if (on == nullptr || on->release.value != drawn) continue;
      events.push_back(event);
      std::get<leanside::SetReleaseOn>(events.back().change).release.value = site.releases.size();
    }
    each.events = events;
  }
  for (std::size_t c = 0; c < site.cases.size(); ++c) RC_ASSERT(end_alike(site, run(site, c), run(split, c)));
}

RC_GTEST_PROP(TransientRun, ApproachesTheSteadyState, ()) {
  auto site = property::draw_site(5, [](reference::Recipe& recipe) {
    recipe.stiff = false;
    recipe.events = false;
    recipe.tight_vessels = false;
  });
  for (auto& release : site.releases) {
    if (auto* steady = std::get_if<leanside::SteadyRelease>(&release.kind)) steady->duration.reset();
  }
  constexpr double long_enough = 1e15;  // s: some of these sites take centuries
  const auto steady = property::steady_state(site, CaseIndex{0}, leanside::gas_tracers(site));
  const auto last = leanside::solve_transient(site, CaseIndex{0}, leanside::gas_tracers(site), long_enough, {});
  RC_PRE(std::holds_alternative<leanside::TransientResult>(last));
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    for (std::size_t k = 0; steady.reached[i] && k < site.gases.size(); ++k) {
      RC_ASSERT(property::agree(steady.fractions(SpaceIndex{i}, k),
                                std::get<leanside::TransientResult>(last).end(SpaceIndex{i}, k)));
    }
  }
}

RC_GTEST_PROP(TransientRun, ChangesLittleWithSmallChanges, ()) {
  const Site site = property::draw_site();
  Site near = site;
  constexpr double little = 1e-9;
  for (auto& space : near.spaces) space.volume *= 1.0 + little;
  for (auto& release : near.releases) {
    if (auto* steady = std::get_if<leanside::SteadyRelease>(&release.kind)) steady->rate *= 1.0 + little;
  }
  const auto one = run(site), two = run(near);
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    // The composition of a junction without an airflow of its own depends on the tiniest release.
    if (site.spaces[i].kind == leanside::SpaceKind::junction) continue;
    for (std::size_t k = 0; k < site.gases.size(); ++k) {
      const double a = one.end(SpaceIndex{i}, k), b = two.end(SpaceIndex{i}, k);
      RC_ASSERT(std::abs(a - b) <= 1e-5 * std::max(a, b) + 1e-9);
    }
  }
}

RC_GTEST_PROP(TransientRun, HasAlternatingCrossingsWithinTheHorizon, ()) {
  const Site site = property::draw_site();
  const auto answer = property::assessment(site);
  for (const auto& one : answer.cases) {
    for (const auto& space : one.spaces) {
      RC_ASSERT(space.flammable_time >= 0.0);
      RC_ASSERT(space.flammable_time <= site.criteria.horizon * (1.0 + 1e-12));
      if (space.flammable_time > 0.0) RC_ASSERT(space.flammable_from.has_value());
      for (const auto threshold : {leanside::Threshold::note, leanside::Threshold::warn, leanside::Threshold::lfl}) {
        double free_from = 0.0;
        for (const auto& crossing : space.crossings) {
          if (crossing.threshold != threshold) continue;
          RC_ASSERT(crossing.up >= free_from);
          free_from = crossing.down.value_or(site.criteria.horizon);
          RC_ASSERT(free_from >= crossing.up);
          RC_ASSERT(free_from <= site.criteria.horizon);
        }
        const double level = threshold == leanside::Threshold::note   ? site.criteria.note_at
                             : threshold == leanside::Threshold::warn ? site.criteria.warn_at
                                                                      : 1.0;
        const bool passed = std::any_of(space.crossings.begin(), space.crossings.end(),
                                        [&](const auto& crossing) { return crossing.threshold == threshold; });
        if (space.peak.lfl_fraction > level * (1.0 + 1e-6)) RC_ASSERT(passed);
        if (space.peak.lfl_fraction < level * (1.0 - 1e-6)) RC_ASSERT(!passed);
      }
    }
  }
}

}  // namespace
