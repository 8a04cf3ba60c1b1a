// SPDX-License-Identifier: Apache-2.0
/// What the file has in store, where it could get to, and what should be kept apart.
#include <algorithm>
#include <cmath>

#include "base/graph/graph.hpp"
#include "hazard/judge.hpp"
#include "leanside/advanced/release.hpp"

namespace leanside {
namespace {

/// Whether a release is a stock that can get out: a cylinder, a bottle, a charge.
bool is_stored(const Release& release) {
  if (release.happens_to) return false;  // counted with the cylinder that it happens to
  return std::holds_alternative<DumpRelease>(release.kind) || std::holds_alternative<CylinderRelease>(release.kind) ||
         std::holds_alternative<SpillRelease>(release.kind) || std::holds_alternative<BoilingRelease>(release.kind);
}

class Storage {
 public:
  explicit Storage(const Site& site) : site_{site} {
    const SiteState state = state_at(site, CaseIndex{0}, 0.0);
    for (std::size_t i = 0; i < site.airways.size(); ++i) {
      const Side a = first_side(site.airways[i]), b = second_side(site.airways[i]);
      if (!a || !b) continue;
      const int from = static_cast<int>(a->value), to = static_cast<int>(b->value);
      joined_.emplace_back(from, to);
      if (!state.airway_on[i]) continue;
      ways_.push_back({from, to});
      if (!std::holds_alternative<Fan>(site.airways[i].kind)) ways_.push_back({to, from});
    }
  }

  Stock run() {
    Stock stock;
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      const Release& release = site_.releases[r];
      if (!is_stored(release)) continue;
      StoredGas gas = sorted(release.gas.shares, release.count * total_amount(release), release.into);
      gas.release = ReleaseIndex{r};
      gas.space = release.into;
      if (gas.fuel + gas.oxidiser + gas.inert > 0.0) stock.held.push_back(placed(gas));
    }
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      StoredGas gas = sorted(site_.spaces[i].initial, moles_held(site_.spaces[i], site_.conditions), SpaceIndex{i});
      gas.space = SpaceIndex{i};
      if (gas.fuel + gas.oxidiser + gas.inert > 0.0) stock.held.push_back(placed(gas));
    }
    for (const StoredGas& first : stock.held) {
      if (first.oxidiser > 0.0) {
        for (const StoredGas& second : stock.held) beside(first, second, stock);
      }
      displaces(first, stock);
    }
    count(stock);
    return stock;
  }

 private:
  /// How much of `total` mol burns, feeds a fire, or does neither. Limits are those at the temperature of `space`.
  StoredGas sorted(const std::vector<GasShare>& shares, double total, SpaceIndex space) const {
    StoredGas gas;
    const auto fuels = fuels_at(site_, site_.spaces[space.value].temperature);
    double at_limit = 0.0, all = 0.0;  // mol of mixture at the lower limit; mol of gas
    for (const GasShare& share : shares) {
      const Gas& kind = site_.gases[share.gas.value];
      const double amount = share.fraction * total;
      all += amount;
      if (const auto& fuel = fuels[share.gas.value]) {
        gas.fuel += amount;
        at_limit += amount / fuel->lower;
      } else if (kind.substance.oxidiser()) {
        gas.oxidiser += amount;
      } else {
        gas.inert += amount;
      }
    }
    const double volume = gas_constant * site_.conditions.temperature / site_.conditions.pressure;
    gas.air_to_limit = std::max(0.0, at_limit - all) * volume;
    return gas;
  }

  StoredGas placed(StoredGas gas) const {
    gas.space_volume = site_.spaces[gas.space.value].volume;
    const int source[] = {static_cast<int>(gas.space.value)};
    const auto reached = network::reachable(static_cast<int>(site_.spaces.size()), ways_, source);
    for (std::size_t i = 0; i < reached.size(); ++i) {
      if (reached[i]) gas.reach_volume += site_.spaces[i].volume;
    }
    return gas;
  }

  bool adjoining(SpaceIndex a, SpaceIndex b) const {
    const auto one = static_cast<int>(a.value), other = static_cast<int>(b.value);
    return std::any_of(joined_.begin(), joined_.end(), [&](const auto& pair) {
      return (pair.first == one && pair.second == other) || (pair.first == other && pair.second == one);
    });
  }

  void beside(const StoredGas& oxidiser, const StoredGas& fuel, Stock& stock) const {
    if (fuel.fuel <= 0.0 || &oxidiser == &fuel) return;
    const bool together = oxidiser.space == fuel.space;
    if (!together && !adjoining(oxidiser.space, fuel.space)) return;
    StorageFinding found;
    found.concern = together ? StorageConcern::oxidiser_with_fuel : StorageConcern::oxidiser_beside_fuel;
    found.first = oxidiser;
    found.second = fuel;
    add(found, stock);
  }

  /// One finding for two spaces, with the largest store of each kind.
  static void add(StorageFinding found, Stock& stock) {
    const auto known = std::find_if(stock.findings.begin(), stock.findings.end(), [&](const StorageFinding& f) {
      return f.concern == found.concern && f.first.space == found.first.space && f.second.space == found.second.space;
    });
    if (known == stock.findings.end()) {
      stock.findings.push_back(found);
      return;
    }
    if (found.first.oxidiser > known->first.oxidiser) known->first = found.first;
    if (found.second.fuel > known->second.fuel) known->second = found.second;
  }

  /// How many more stores there are than those that are named.
  static void count(Stock& stock) {
    for (StorageFinding& f : stock.findings) {
      if (f.concern == StorageConcern::displaces_oxygen) continue;
      for (const StoredGas& gas : stock.held) {
        if (gas.space == f.first.space && gas.oxidiser > 0.0) ++f.more_first;
        if (gas.space == f.second.space && gas.fuel > 0.0) ++f.more_second;
      }
      --f.more_first;
      --f.more_second;
    }
  }

  /// Inert gas that could take the oxygen of the room that it stands in: x = 1 - exp(-n/N), mixing as it displaces.
  void displaces(const StoredGas& gas, Stock& stock) const {
    const Space& space = site_.spaces[gas.space.value];
    if (!gas.release || gas.inert <= gas.fuel + gas.oxidiser) return;
    if (space.kind != SpaceKind::room && space.kind != SpaceKind::cabinet) return;
    const double oxygen =
        site_.conditions.oxygen_in_air * std::exp(-(gas.inert + gas.fuel) / moles_held(space, site_.conditions));
    if (oxygen < site_.criteria.oxygen_low) {
      StorageFinding found;
      found.first = gas;
      found.oxygen = oxygen;
      stock.findings.push_back(found);
    }
  }

  const Site& site_;
  std::vector<std::pair<int, int>> joined_;
  std::vector<network::Edge> ways_;
};

/// The stores that a finding names, by amount.
std::vector<Cause> stores_named(const StorageFinding& finding) {
  const auto amount = [](const StoredGas& gas) { return gas.fuel + gas.oxidiser + gas.inert; };
  const double whole = amount(finding.first) + amount(finding.second);
  std::vector<Cause> causes;
  for (const StoredGas* gas : {&finding.first, &finding.second}) {
    if (amount(*gas) <= 0.0) continue;
    Cause cause;
    cause.release = gas->release;
    if (!gas->release) cause.initial_of = gas->space;
    cause.share = amount(*gas) / whole;
    causes.push_back(cause);
  }
  std::stable_sort(causes.begin(), causes.end(), [](const Cause& a, const Cause& b) { return a.share > b.share; });
  return causes;
}

}  // namespace

Stock stock_of(const Site& site) { return Storage(site).run(); }

std::vector<Warning> hazard::storage_notes(const Stock& stock, const std::vector<Warning>& known) {
  std::vector<Warning> notes;
  for (const StorageFinding& finding : stock.findings) {
    const bool told =
        finding.concern == StorageConcern::displaces_oxygen &&
        std::any_of(known.begin(), known.end(), [&](const Warning& w) {
          return w.severity == Severity::oxygen && w.case_index == CaseIndex{0} && w.space == finding.first.space;
        });
    if (told) continue;
    Warning note;
    note.severity = Severity::note;
    note.space = finding.first.space;
    note.storage = finding;
    note.causes = stores_named(finding);
    notes.push_back(std::move(note));
  }
  return notes;
}

}  // namespace leanside
