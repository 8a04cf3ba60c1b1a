// SPDX-License-Identifier: Apache-2.0
#include "support/reference_sites.hpp"

#include <algorithm>
#include <cmath>
#include <random>
#include <stdexcept>
#include <string>

#include "support/build_site.hpp"
#include "support/reference_solver.hpp"

namespace reference {

using leanside::Side;
using leanside::Site;
using leanside::SpaceIndex;
using leanside::SpaceKind;

namespace {

/// Draws that are the same with every standard library.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_{seed} {}
  double uniform(double low, double high) {
    return low + (high - low) * static_cast<double>(engine_() >> 11) * 0x1.0p-53;
  }
  double logarithmic(double low, double high) { return std::exp(uniform(std::log(low), std::log(high))); }
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(engine_() % n); }
  bool chance(double p) { return uniform(0.0, 1.0) < p; }

 private:
  std::mt19937_64 engine_;
};

Side any_side(Dice& dice, std::size_t spaces, double outside) {
  if (dice.chance(outside)) return std::nullopt;
  return SpaceIndex{dice.below(spaces)};
}

Side other_side(Dice& dice, std::size_t spaces, Side one, double outside) {
  for (;;) {
    const Side other = any_side(dice, spaces, outside);
    if (other != one) return other;
  }
}

leanside::Composition random_gas(Dice& dice, const Site& site) {
  leanside::Composition result;
  result.name = "mixed";
  if (dice.chance(0.6)) {
    result.shares.push_back({leanside::GasIndex{dice.below(site.gases.size())}, 1.0});
    return result;
  }
  double left = dice.chance(0.5) ? 1.0 : dice.uniform(0.2, 0.9);  // the rest is air
  for (std::size_t k = 0; k < site.gases.size(); ++k) {
    const double share = k + 1 == site.gases.size() ? left : dice.uniform(0.0, left);
    result.shares.push_back({leanside::GasIndex{k}, share});
    left -= share;
  }
  return result;
}

std::string numbered(const char* what, std::size_t number) { return what + std::to_string(number); }

/// Flows of airways, m3/s.
struct FlowRange {
  double least = 0.0, most = 0.0;
};
FlowRange flows_of(const Recipe& recipe) { return {recipe.stiff ? 1e-7 : 1e-3, recipe.stiff ? 0.3 : 0.05}; }

void draw_spaces(Dice& dice, const Recipe& recipe, std::size_t n, leanside::testing::SiteBuilder& build) {
  auto& site = build.site;
  for (std::size_t i = 0; i < n; ++i) {
    const double die = dice.uniform(0.0, 1.0);
    auto kind = SpaceKind::room;
    if (die > 0.45) kind = SpaceKind::cabinet;
    if (die > 0.6) kind = SpaceKind::vessel;
    if (die > 0.8 && recipe.junctions) kind = SpaceKind::junction;
    const double volume = kind == SpaceKind::room      ? dice.logarithmic(8.0, 400.0)
                          : kind == SpaceKind::cabinet ? dice.logarithmic(0.05, 3.0)
                                                       : dice.logarithmic(recipe.stiff ? 2e-4 : 2e-2, 0.5);
    build.space(numbered("space-", i), kind == SpaceKind::junction ? 0.0 : volume, kind);
    auto& space = site.spaces.back();
    if (recipe.ample_leaks) space.floor_area = 1e6;
    if (kind == SpaceKind::cabinet) {
      const bool in_room = i % 2 == 1 && site.spaces[0].kind == SpaceKind::room;
      space.stands_in = leanside::StandsIn{in_room ? Side{SpaceIndex{0}} : Side{}, false};
    }
    if (recipe.temperatures) space.temperature = dice.uniform(275.0, 325.0);
    if (kind == SpaceKind::junction) continue;
    if (recipe.mixing && dice.chance(0.25)) space.mixing_factor = dice.uniform(1.0, 8.0);
    if (dice.chance(kind == SpaceKind::vessel ? 0.1 : 0.4)) space.air_changes = dice.logarithmic(0.02, 5.0) / 3600.0;
    if (dice.chance(0.25)) {
      double left = 1.0;
      for (std::size_t k = 0; k < site.gases.size(); ++k) {
        if (!dice.chance(0.6)) continue;
        const double part = dice.chance(0.2) ? left : dice.uniform(0.0, left);
        space.initial.push_back({leanside::GasIndex{k}, part});
        left -= part;
      }
    }
  }
}

void draw_airways(Dice& dice, const Recipe& recipe, std::size_t n, leanside::testing::SiteBuilder& build) {
  auto& site = build.site;
  const FlowRange range = flows_of(recipe);
  for (std::size_t i = 0; i < n; ++i) {  // a duct piece needs something that balances it
    if (site.spaces[i].kind == SpaceKind::junction) {
      build.opening(numbered("duct-", i), SpaceIndex{i}, other_side(dice, n, SpaceIndex{i}, 0.3));
    }
  }
  const std::size_t ways = n + dice.below(2 * n);
  for (std::size_t k = 0; k < ways; ++k) {
    const Side one = any_side(dice, n, 0.15), other = other_side(dice, n, one, 0.15);
    const double flow = dice.logarithmic(range.least, range.most), die = dice.uniform(0.0, 1.0);
    if (die < 0.4) {
      build.fan(numbered("way-", k), one, other, flow);
    } else if (die < 0.75) {
      build.exchange(numbered("way-", k), one, other, flow);
    } else {
      build.opening(numbered("way-", k), one, other);
    }
    site.airways.back().on = dice.chance(0.9);
  }
}

void draw_releases(Dice& dice, const Recipe& recipe, std::size_t n, leanside::testing::SiteBuilder& build) {
  auto& site = build.site;
  const std::size_t releases = 1 + dice.below(4);
  for (std::size_t r = 0; r < releases; ++r) {
    const SpaceIndex into{dice.below(n)};
    const double rate = dice.logarithmic(recipe.stiff ? 1e-8 : 1e-4, 0.05), die = dice.uniform(0.0, 1.0);
    std::optional<double> duration;
    if (die > 0.5) duration = dice.uniform(0.05, 0.9) * recipe.horizon;
    const double over = die > 0.65 ? dice.logarithmic(0.001, 0.8) * recipe.horizon : 0.0;
    const double count = die > 0.8 ? static_cast<double>(1 + dice.below(9)) : 0.0;
    const auto kind = [&]() -> decltype(leanside::Release::kind) {
      if (count > 0.0) return leanside::FittingsRelease{count, rate / 5.0};
      if (over > 0.0) return leanside::DumpRelease{rate * over, over};
      return leanside::SteadyRelease{rate, duration};
    }();
    build.release(numbered("release-", r), into, leanside::GasIndex{0}, kind);
    auto& release = site.releases.back();
    release.gas = random_gas(dice, site);
    if (dice.chance(0.4)) release.start = dice.uniform(0.0, 0.7) * recipe.horizon;
    release.on = dice.chance(0.85);
  }
}

/// A second case in which airways and releases are switched.
void draw_events(Dice& dice, const Recipe& recipe, Site& site) {
  const FlowRange range = flows_of(recipe);
  leanside::Case changed{"changed", "", {}};
  const std::size_t events = 1 + dice.below(6);
  double at = 0.0;
  for (std::size_t e = 0; e < events; ++e) {
    if (dice.chance(0.7)) at += dice.uniform(0.0, 0.3) * recipe.horizon;  // else at the same time as the last
    if (at >= 0.95 * recipe.horizon) break;
    leanside::Event event;
    event.at = at;
    if (dice.chance(0.4)) {
      event.change = leanside::SetReleaseOn{{dice.below(site.releases.size())}, dice.chance(0.5)};
    } else {
      const leanside::AirwayIndex airway{dice.below(site.airways.size())};
      const bool flows = !std::holds_alternative<leanside::Opening>(site.airways[airway.value].kind);
      if (flows && dice.chance(0.5)) {
        event.change = leanside::SetAirwayFlow{airway, dice.logarithmic(range.least, range.most)};
      } else {
        event.change = leanside::SetAirwayOn{airway, dice.chance(0.4)};
      }
    }
    changed.events.push_back(std::move(event));
  }
  site.cases.push_back(std::move(changed));
}

Site draw(std::uint64_t seed, const Recipe& recipe) {
  Dice dice{seed};
  leanside::testing::SiteBuilder build;
  build.hydrogen();
  build.methane();
  build.nitrogen();
  auto& site = build.site;
  site.criteria.horizon = recipe.horizon;
  site.conditions.pressure = dice.uniform(90e3, 104e3);
  if (recipe.temperatures) site.conditions.outside_temperature = dice.uniform(268.0, 305.0);
  const auto n = recipe.fewest_spaces + dice.below(recipe.most_spaces - recipe.fewest_spaces + 1);
  draw_spaces(dice, recipe, n, build);
  draw_airways(dice, recipe, n, build);
  draw_releases(dice, recipe, n, build);
  if (recipe.events) draw_events(dice, recipe, site);
  return site;
}

bool touches(const leanside::Airway& airway, std::size_t space) {
  return leanside::first_side(airway) == Side{SpaceIndex{space}} ||
         leanside::second_side(airway) == Side{SpaceIndex{space}};
}

/// Whether every stretch has balanced flows, and none asks what is not defined: a sealed vessel opened under pressure,
/// or short-circuits through a space that has no outlet.
bool is_whole(const Site& site, const Recipe& recipe) {
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    for (const auto& stretch : timeline(site, c, site.criteria.horizon)) {
      const auto flows = balance(site, stretch.state);
      if (!flows || !assemble(site, *flows, stretch.state)) return false;
      for (std::size_t i = 0; i < site.spaces.size(); ++i) {
        if (flows->storage(static_cast<Eigen::Index>(i)) <= 0.0) continue;
        if (!recipe.tight_vessels || site.spaces[i].mixing_factor > 1.0) return false;
        for (const auto& event : site.cases[c].events) {
          std::optional<leanside::AirwayIndex> airway;
          if (const auto* on = std::get_if<leanside::SetAirwayOn>(&event.change)) airway = on->airway;
          if (const auto* flow = std::get_if<leanside::SetAirwayFlow>(&event.change)) airway = flow->airway;
          if (airway && touches(site.airways[airway->value], i)) return false;
        }
      }
    }
    if (!steady(site, c)) return false;
  }
  return true;
}

}  // namespace

Site random_site(std::uint64_t seed, const Recipe& recipe) {
  for (std::uint64_t attempt = 0; attempt < 1000; ++attempt) {
    Site site = draw(seed * 1000003u + attempt, recipe);
    if (is_whole(site, recipe)) return site;
  }
  throw std::logic_error("no whole site found for this seed");
}

}  // namespace reference
