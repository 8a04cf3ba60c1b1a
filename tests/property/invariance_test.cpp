// SPDX-License-Identifier: Apache-2.0
// Changes that must not alter an answer (names, order, scale, one airway split into two), and one that may alter it
// only in one direction (fresh air).
#include <algorithm>
#include <random>
#include <set>
#include <string>
#include <tuple>

#include <gtest/gtest.h>

#include "property/draw.hpp"
#include "support/build_site.hpp"

namespace {

using leanside::AirwayIndex;
using leanside::CaseIndex;
using leanside::ReleaseIndex;
using leanside::Side;
using leanside::Site;
using leanside::SpaceIndex;
using leanside::testing::SiteBuilder;

/// New position of each old element.
using Order = std::vector<std::size_t>;

Order shuffled(std::size_t size, std::mt19937_64& engine) {
  Order order(size);
  for (std::size_t i = 0; i < size; ++i) order[i] = i;
  for (std::size_t i = size; i > 1; --i) std::swap(order[i - 1], order[engine() % i]);
  return order;
}

template <class T>
std::vector<T> reordered(const std::vector<T>& old, const Order& order) {
  std::vector<T> result(old.size());
  for (std::size_t i = 0; i < old.size(); ++i) result[order[i]] = old[i];
  return result;
}

/// The same site with other names and in another order.
Site renamed(const Site& site, const Order& spaces, const Order& airways, const Order& releases) {
  Site result = site;
  result.spaces = reordered(site.spaces, spaces);
  result.airways = reordered(site.airways, airways);
  result.releases = reordered(site.releases, releases);
  for (auto& space : result.spaces) space.id = "other-" + space.id;
  for (auto& airway : result.airways) airway.id = "other-" + airway.id;
  for (auto& release : result.releases) release.id = "other-" + release.id;
  const auto move = [&](Side& side) {
    if (side) side = SpaceIndex{spaces[side->value]};
  };
  for (auto& airway : result.airways) {
    if (auto* fan = std::get_if<leanside::Fan>(&airway.kind)) {
      move(fan->from), move(fan->to);
    } else if (auto* exchange = std::get_if<leanside::Exchange>(&airway.kind)) {
      move(exchange->first), move(exchange->second);
    } else {
      auto& opening = std::get<leanside::Opening>(airway.kind);
      move(opening.first), move(opening.second);
    }
  }
  for (auto& release : result.releases) release.into = SpaceIndex{spaces[release.into.value]};
  for (auto& each : result.cases) {
    for (auto& event : each.events) {
      if (auto* on = std::get_if<leanside::SetAirwayOn>(&event.change))
        on->airway = AirwayIndex{airways[on->airway.value]};
      if (auto* flow = std::get_if<leanside::SetAirwayFlow>(&event.change)) {
        flow->airway = AirwayIndex{airways[flow->airway.value]};
      }
      if (auto* release = std::get_if<leanside::SetReleaseOn>(&event.change)) {
        release->release = ReleaseIndex{releases[release->release.value]};
      }
    }
  }
  return result;
}

RC_GTEST_PROP(Answers, DoNotDependOnNamesAndOrder, ()) {
  const Site site = property::draw_site();
  std::mt19937_64 engine{*rc::gen::noShrink(rc::gen::arbitrary<std::uint64_t>())};
  const auto spaces = shuffled(site.spaces.size(), engine);
  const Site other =
      renamed(site, spaces, shuffled(site.airways.size(), engine), shuffled(site.releases.size(), engine));
  const auto one = property::assessment(site), two = property::assessment(other);
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      const auto& a = one.cases[c].spaces[i];
      const auto& b = two.cases[c].spaces[spaces[i]];
      RC_ASSERT(a.steady.reached == b.steady.reached);
      for (std::size_t k = 0; k < site.gases.size(); ++k) {
        RC_ASSERT(property::agree(a.end.fraction[k], b.end.fraction[k]));
        if (a.steady.reached) RC_ASSERT(property::agree(a.steady.at.fraction[k], b.steady.at.fraction[k]));
      }
      RC_ASSERT(property::agree(a.peak.lfl_fraction, b.peak.lfl_fraction));
      RC_ASSERT(std::abs(a.flammable_time - b.flammable_time) <= 1e-5 * site.criteria.horizon);
      RC_ASSERT(a.crossings.size() == b.crossings.size());
    }
  }
  const auto said = [](const leanside::Assessment& assessment, const Order* moved) {
    std::multiset<std::tuple<leanside::Severity, std::size_t, std::size_t>> result;
    for (const auto& w : assessment.warnings) {
      result.emplace(w.severity, w.case_index.value, moved ? (*moved)[w.space.value] : w.space.value);
    }
    return result;
  };
  RC_ASSERT(said(one, &spaces) == said(two, nullptr));
}

// Not where fans starve: the leakage that is then assumed follows the floor area, which is not that of a cube of twice
// the volume.
RC_GTEST_PROP(SteadyFractions, AreTheSameInASiteTwiceAsLarge, ()) {
  const Site site = property::draw_site(8, [](reference::Recipe& recipe) { recipe.ample_leaks = true; });
  Site large = site;
  for (auto& space : large.spaces) space.volume *= 2.0;
  for (auto& airway : large.airways) {
    if (auto* fan = std::get_if<leanside::Fan>(&airway.kind)) fan->flow *= 2.0;
    if (auto* exchange = std::get_if<leanside::Exchange>(&airway.kind)) exchange->flow *= 2.0;
  }
  for (auto& release : large.releases) {
    if (auto* steady = std::get_if<leanside::SteadyRelease>(&release.kind)) steady->rate *= 2.0;
    if (auto* dump = std::get_if<leanside::DumpRelease>(&release.kind)) dump->amount *= 2.0;
    if (auto* fittings = std::get_if<leanside::FittingsRelease>(&release.kind)) fittings->each *= 2.0;
  }
  for (auto& each : large.cases) {
    for (auto& event : each.events) {
      if (auto* flow = std::get_if<leanside::SetAirwayFlow>(&event.change)) flow->flow *= 2.0;
    }
  }
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    const auto one = property::steady_state(site, CaseIndex{c}, leanside::gas_tracers(site));
    const auto two = property::steady_state(large, CaseIndex{c}, leanside::gas_tracers(large));
    RC_ASSERT(one.reached == two.reached);
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      for (std::size_t k = 0; one.reached[i] && k < site.gases.size(); ++k) {
        RC_ASSERT(property::agree(one.fractions(SpaceIndex{i}, k), two.fractions(SpaceIndex{i}, k)));
      }
    }
  }
}

RC_GTEST_PROP(Answers, DoNotChangeWhenAnAirwayIsSplit, ()) {
  // Openings are not split: two carry twice the share of one. Exchanges of vessels and cabinets, and of junctions
  // through which these may release their gas, are not split either: they may have to act as openings.
  const Site site = property::draw_site(8, [](reference::Recipe& recipe) { recipe.tight_vessels = false; });
  Site split = site;
  const auto may_overflow = [&](const Side& side) {
    return side && (site.spaces[side->value].kind == leanside::SpaceKind::vessel ||
                    site.spaces[side->value].kind == leanside::SpaceKind::cabinet ||
                    site.spaces[side->value].kind == leanside::SpaceKind::junction);
  };
  std::vector<std::size_t> twin(site.airways.size(), 0);
  const double share = *rc::gen::map(rc::gen::inRange(1, 100), [](int percent) { return percent / 100.0; });
  for (std::size_t k = 0; k < site.airways.size(); ++k) {
    const auto& airway = site.airways[k];
    if (may_overflow(leanside::first_side(airway)) || may_overflow(leanside::second_side(airway))) continue;
    auto second = airway;
    second.id += "-second";
    auto scale = [](leanside::Airway& a, double factor) {
      if (auto* fan = std::get_if<leanside::Fan>(&a.kind)) return fan->flow *= factor, true;
      if (auto* exchange = std::get_if<leanside::Exchange>(&a.kind)) return exchange->flow *= factor, true;
      return false;
    };
    if (!scale(second, 1.0 - share)) continue;
    scale(split.airways[k], share);
    twin[k] = split.airways.size();
    split.airways.push_back(second);
  }
  for (auto& each : split.cases) {
    std::vector<leanside::Event> events;
    for (auto event : each.events) {
      events.push_back(event);
      if (auto* on = std::get_if<leanside::SetAirwayOn>(&event.change); on && twin[on->airway.value]) {
        on->airway = AirwayIndex{twin[on->airway.value]};
        events.push_back(event);
      }
      if (auto* flow = std::get_if<leanside::SetAirwayFlow>(&event.change); flow && twin[flow->airway.value]) {
        std::get<leanside::SetAirwayFlow>(events.back().change).flow *= share;
        flow->airway = AirwayIndex{twin[flow->airway.value]};
        flow->flow *= 1.0 - share;
        events.push_back(event);
      }
    }
    each.events = events;
  }
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    const auto one = property::transient(site, CaseIndex{c}, leanside::gas_tracers(site));
    const auto two = property::transient(split, CaseIndex{c}, leanside::gas_tracers(split));
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      for (std::size_t k = 0; k < site.gases.size(); ++k) {
        RC_ASSERT(property::agree(one.end(SpaceIndex{i}, k), two.end(SpaceIndex{i}, k)));
      }
    }
  }
}

RC_GTEST_PROP(OneRoom, IsNeverWorseWithMoreFreshAir, ()) {
  const auto logarithmic = [](double low, double high) {
    return *rc::gen::map(rc::gen::inRange(0, 10001),
                         [=](int k) { return low * std::pow(high / low, static_cast<double>(k) / 10000.0); });
  };
  SiteBuilder build;
  const auto gas = build.methane();
  const auto room = build.space("room", logarithmic(0.1, 1000.0));
  auto& space = build.site.spaces[0];
  space.mixing_factor = logarithmic(1.0, 10.0);
  space.temperature = logarithmic(270.0, 320.0);
  space.air_changes = *rc::gen::arbitrary<bool>() ? logarithmic(1e-6, 1e-2) : 0.0;
  build.steady("leak", room, gas, logarithmic(1e-9, 1e-1));
  const double flow = logarithmic(1e-6, 10.0), more = flow * logarithmic(1.0, 100.0);
  const int way = *rc::gen::inRange(0, 3);
  const auto airway = way == 0   ? build.fan("air", room, std::nullopt, flow)
                      : way == 1 ? build.fan("air", std::nullopt, room, flow)
                                 : build.exchange("air", room, std::nullopt, flow);
  if (*rc::gen::arbitrary<bool>()) build.opening("door", std::nullopt, room);
  const auto with = [&](double rate) {
    auto& kind = build.site.airways[airway.value].kind;
    if (auto* fan = std::get_if<leanside::Fan>(&kind)) fan->flow = rate;
    if (auto* exchange = std::get_if<leanside::Exchange>(&kind)) exchange->flow = rate;
    const auto result = property::steady_state(build.site, CaseIndex{0}, leanside::gas_tracers(build.site));
    RC_ASSERT(result.reached[0]);
    return result.fractions(room, gas.value);
  };
  const double little = with(flow), much = with(more);
  RC_ASSERT(much <= little * (1.0 + 1e-12));
  if (way != 0 && more > 1.001 * flow)
    RC_ASSERT(much < little);  // an extract may carry away nothing but the leaked gas
}

}  // namespace
