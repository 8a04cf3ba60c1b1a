// SPDX-License-Identifier: Apache-2.0
/// What the file has in store, where it could get to, and what should be kept apart.
#include <algorithm>
#include <cmath>

#include "base/graph/graph.hpp"
#include "hazard/judge.hpp"
#include "hazard/stock_classes.hpp"
#include "leanside/advanced/release.hpp"

namespace leanside {
namespace {

bool is_liquid(const Release& release) {
  return std::holds_alternative<SpillRelease>(release.kind) || std::holds_alternative<BoilingRelease>(release.kind);
}

bool has_class(const StoredGas& gas, StorageClass of) {
  return std::find(gas.classes.begin(), gas.classes.end(), of) != gas.classes.end();
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
      if (!hazard::is_stored(release)) continue;
      StoredGas gas = sorted(release.gas.shares, release.count * total_amount(release), release.into);
      gas.release = ReleaseIndex{r};
      gas.space = release.into;
      if (is_liquid(release)) {
        gas.liquid = true;
        gas.liquid_volume = hazard::liquid_volume(site_, release.gas.shares, gas.mass);
      }
      if (gas.fuel + gas.oxidiser + gas.inert > 0.0) stock.held.push_back(placed(gas));
    }
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      StoredGas gas = sorted(site_.spaces[i].initial, moles_held(site_.spaces[i], site_.conditions), SpaceIndex{i});
      gas.space = SpaceIndex{i};
      if (gas.fuel + gas.oxidiser + gas.inert > 0.0) stock.held.push_back(placed(gas));
    }
    for (const StoredGas& first : stock.held) {
      for (const StoredGas& second : stock.held) beside(first, second, stock);
    }
    for (const StoredGas& gas : stock.held) {
      poisons(gas, stock);
      displaces(gas, stock);
      alone(gas, stock);
    }
    count(stock);
    total(stock);
    std::stable_sort(stock.findings.begin(), stock.findings.end(),
                     [](const StorageFinding& a, const StorageFinding& b) { return a.concern < b.concern; });
    return stock;
  }

 private:
  /// How much of `total` mol burns, feeds a fire, or does neither. Limits are those at the temperature of `space`, and
  /// in nitrous oxide where that may leak too.
  StoredGas sorted(const std::vector<GasShare>& shares, double total, SpaceIndex space) const {
    StoredGas gas;
    const auto fuels =
        hazard::fuels_beside(site_, site_.spaces[space.value].temperature, hazard::beside_nitrous_oxide(site_, space));
    double at_limit = 0.0, all = 0.0;  // mol of mixture at the lower limit; mol of gas
    for (const GasShare& share : shares) {
      const Gas& kind = site_.gases[share.gas.value];
      const double amount = share.fraction * total;
      all += amount;
      gas.mass += amount * kind.substance.molar_mass.value;
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
    gas.classes = hazard::storage_classes(site_, shares, gas.fuel > 0.0);
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

  void beside(const StoredGas& first, const StoredGas& second, Stock& stock) const {
    if (&first == &second) return;
    const bool together = first.space == second.space;
    if (!together && !adjoining(first.space, second.space)) return;
    StorageFinding found;
    found.first = first;
    found.second = second;
    if (first.oxidiser > 0.0 && second.fuel > 0.0) {
      found.concern = together ? StorageConcern::oxidiser_with_fuel : StorageConcern::oxidiser_beside_fuel;
      add(found, stock);
    }
    if (together && has_class(first, StorageClass::pyrophoric) && !has_class(second, StorageClass::pyrophoric) &&
        second.fuel + second.oxidiser > 0.0) {
      found.concern = StorageConcern::pyrophoric_with_others;
      add(found, stock);
    }
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
    const bool by_oxidiser = found.concern != StorageConcern::pyrophoric_with_others;
    const auto first = [&](const StoredGas& gas) { return by_oxidiser ? gas.oxidiser : gas.fuel; };
    const auto second = [&](const StoredGas& gas) { return by_oxidiser ? gas.fuel : gas.fuel + gas.oxidiser; };
    if (first(found.first) > first(known->first)) known->first = found.first;
    if (second(found.second) > second(known->second)) known->second = found.second;
  }

  /// One finding for all stores of the same gas in one space: the largest stands for them.
  void add_alone(StorageFinding found, Stock& stock) const {
    const auto name = [&](const StoredGas& gas) { return site_.releases[gas.release->value].gas.name; };
    const auto known = std::find_if(stock.findings.begin(), stock.findings.end(), [&](const StorageFinding& f) {
      return f.concern == found.concern && f.first.space == found.first.space && name(f.first) == name(found.first);
    });
    if (known == stock.findings.end()) {
      stock.findings.push_back(std::move(found));
      return;
    }
    found.more_first = known->more_first + 1;
    if (found.first.mass > known->first.mass)
      *known = std::move(found);
    else
      known->more_first = found.more_first;
  }

  /// How many more stores there are than those that are named.
  static void count(Stock& stock) {
    for (StorageFinding& f : stock.findings) {
      if (!concerns_two(f.concern)) continue;
      const bool pyrophoric = f.concern == StorageConcern::pyrophoric_with_others;
      for (const StoredGas& gas : stock.held) {
        const bool burns_alone = has_class(gas, StorageClass::pyrophoric);
        const bool is_first = pyrophoric ? burns_alone : gas.oxidiser > 0.0;
        const bool is_second = pyrophoric ? !burns_alone && gas.fuel + gas.oxidiser > 0.0 : gas.fuel > 0.0;
        if (gas.space == f.first.space && is_first) ++f.more_first;
        if (gas.space == f.second.space && is_second) ++f.more_second;
      }
      --f.more_first;
      --f.more_second;
    }
  }

  /// What each space holds in all.
  void total(Stock& stock) const {
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      SpaceStock sum;
      sum.space = SpaceIndex{i};
      std::vector<StorageClass> classes;
      for (const StoredGas& gas : stock.held) {
        if (gas.space != sum.space) continue;
        sum.containers += gas.release ? site_.releases[gas.release->value].count : 0.0;
        sum.fuel += gas.fuel;
        sum.oxidiser += gas.oxidiser;
        sum.inert += gas.inert;
        sum.mass += gas.mass;
        sum.air_to_limit += gas.air_to_limit;
        if (gas.fuel > 0.0) sum.liquid_volume += gas.liquid_volume;
        classes.insert(classes.end(), gas.classes.begin(), gas.classes.end());
      }
      if (sum.mass <= 0.0) continue;
      sum.classes = hazard::in_order(std::move(classes));
      stock.spaces.push_back(std::move(sum));
    }
  }

  bool holds_people_or_air(SpaceIndex space) const {
    const SpaceKind kind = site_.spaces[space.value].kind;
    return kind == SpaceKind::room || kind == SpaceKind::cabinet;
  }

  /// What is left of the air of a space where `amount` mol gets in, mixing as it displaces: exp(-n/N).
  double air_left(SpaceIndex space, double amount) const {
    return std::exp(-amount / moles_held(site_.spaces[space.value], site_.conditions));
  }

  /// Inert gas that could take the oxygen of the room that it stands in.
  void displaces(const StoredGas& gas, Stock& stock) const {
    if (!gas.release || gas.inert <= gas.fuel + gas.oxidiser || !holds_people_or_air(gas.space)) return;
    const double oxygen = site_.conditions.oxygen_in_air * air_left(gas.space, gas.inert + gas.fuel);
    if (oxygen < site_.criteria.oxygen_low) {
      StorageFinding found;
      found.first = gas;
      found.oxygen = oxygen;
      add_alone(found, stock);
    }
  }

  /// Toxic gas of which all would bring its space above the IDLH.
  void poisons(const StoredGas& gas, Stock& stock) const {
    if (!gas.release || !has_class(gas, StorageClass::toxic) || !holds_people_or_air(gas.space)) return;
    const double share = 1.0 - air_left(gas.space, gas.fuel + gas.oxidiser + gas.inert);
    StorageFinding found;
    found.concern = StorageConcern::poisons_room;
    found.first = gas;
    found.times_idlh = share * hazard::times_idlh(site_, site_.releases[gas.release->value].gas.shares);
    if (found.times_idlh >= 1.0) add_alone(found, stock);
  }

  /// What is a danger by the way it is kept, or by itself.
  void alone(const StoredGas& gas, Stock& stock) const {
    if (!gas.release) return;
    StorageFinding found;
    found.first = gas;
    if (has_class(gas, StorageClass::decomposing)) {
      found.concern = StorageConcern::decomposes;
      add_alone(found, stock);
    }
    if (gas.liquid && gas.fuel > 0.0 && hazard::is_cold_cabinet(site_, gas.space) &&
        hazard::burns_when_as_warm_as(site_, site_.releases[gas.release->value].gas.shares, gas.space)) {
      found.concern = StorageConcern::cold_liquid;
      add_alone(found, stock);
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
    // A toxic leak is a case of its own; that a gas decomposes is said of the gas, not of the site.
    if (finding.concern == StorageConcern::poisons_room || finding.concern == StorageConcern::decomposes) continue;
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
