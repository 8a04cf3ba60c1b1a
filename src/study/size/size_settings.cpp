// SPDX-License-Identifier: Apache-2.0
#include "study/size/size_settings.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>
#include <string>
#include <utility>

#include "leanside/advanced/fans.hpp"
#include "leanside/study/failures.hpp"
#include "leanside/study/size.hpp"

namespace leanside::study {

namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

/// What a fan airs, and whether it draws from there.
struct Aired {
  std::vector<SpaceIndex> spaces;
  bool draws = true;
  friend bool operator==(const Aired&, const Aired&) = default;
};

/// Which spaces airways lead to. A large site has thousands of fans on a tree of ducts: each duct is followed once.
class Airing {
 public:
  explicit Airing(const Site& site) : site_{site}, others_(site.spaces.size()), from_(site.spaces.size()) {
    for (const Airway& airway : site.airways) {
      const Side a = first_side(airway), b = second_side(airway);
      if (!a || !b) continue;
      others_[a->value].push_back(*b);
      others_[b->value].push_back(*a);
    }
  }

  /// The spaces with a volume that a side of a fan is, or that junctions there lead to.
  const std::vector<SpaceIndex>& from(const Side& side) {
    static const std::vector<SpaceIndex> none;
    if (!side) return none;
    auto& known = from_[side->value];
    if (!known) known = followed(*side);
    return *known;
  }

  Aired by(AirwayIndex fan) {
    const auto& kind = std::get<Fan>(site_.airways[fan.value].kind);
    Aired out{from(kind.from), true};
    if (out.spaces.empty()) out = {from(kind.to), false};
    return out;
  }

 private:
  std::vector<SpaceIndex> followed(SpaceIndex start) const {
    std::vector<SpaceIndex> found, seen{start};
    std::vector<bool> known(site_.spaces.size(), false);
    known[start.value] = true;
    for (std::size_t k = 0; k < seen.size(); ++k) {
      if (site_.spaces[seen[k].value].volume > 0.0) {
        found.push_back(seen[k]);
        continue;
      }
      for (const SpaceIndex other : others_[seen[k].value]) {
        if (known[other.value]) continue;
        known[other.value] = true;
        seen.push_back(other);
      }
    }
    std::sort(found.begin(), found.end());
    return found;
  }

  const Site& site_;
  std::vector<std::vector<SpaceIndex>> others_;               ///< by space
  std::vector<std::optional<std::vector<SpaceIndex>>> from_;  ///< by space, as they are asked for
};

double volume_of(const Site& site, const std::vector<SpaceIndex>& spaces) {
  double volume = 0.0;
  for (const SpaceIndex space : spaces) volume += site.spaces[space.value].volume;
  return volume;
}

double most_of_opening(const Site& site, AirwayIndex opening, Airing& airing) {
  constexpr double share_of_side = 0.25;
  double smaller = unlimited;
  for (const Side& side : {first_side(site.airways[opening.value]), second_side(site.airways[opening.value])}) {
    for (const SpaceIndex space : airing.from(side)) smaller = std::min(smaller, site.spaces[space.value].volume);
  }
  return share_of_side * std::pow(smaller, 2.0 / 3.0);
}

/// The flows of the fans that air the same spaces from the same side, together; by these.
using Together = std::map<std::pair<std::vector<SpaceIndex>, bool>, double>;

Together together(const Site& site, Airing& airing) {
  Together out;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const auto* fan = std::get_if<Fan>(&site.airways[i].kind);
    if (fan == nullptr || !site.airways[i].on) continue;
    const Aired aired = airing.by(AirwayIndex{i});
    out[{aired.spaces, aired.draws}] += fan->flow;
  }
  return out;
}

double most_of_fan(const Site& site, AirwayIndex fan, Airing& airing, const Together& running) {
  const Aired aired = airing.by(fan);
  if (aired.spaces.empty()) return unlimited;
  const Airway& airway = site.airways[fan.value];
  const auto known = running.find({aired.spaces, aired.draws});
  double flow = known == running.end() ? 0.0 : known->second;
  if (!airway.on) flow += size_of(airway);
  const double most = most_air_changes / 3600.0 * volume_of(site, aired.spaces);
  return flow > 0.0 ? most * size_of(airway) / flow : most;
}

}  // namespace

std::vector<AirwayIndex> fans_of(const Site& site) {
  std::vector<AirwayIndex> out;
  for (const Failure& failure : taken_apart(site, list_failures(site))) {
    if (failure.kind != FailureKind::fan_off) continue;
    // Return air is no fresh air.
    const auto returns = [&](const System& system) { return system.return_fan == failure.airway; };
    if (std::any_of(site.systems.begin(), site.systems.end(), returns)) continue;
    const auto& fan = std::get<Fan>(site.airways[failure.airway->value].kind);
    if (fan.curve.empty() && fan.flow > 0.0) out.push_back(*failure.airway);
  }
  return out;
}

std::vector<AirwayIndex> openings_of(const Site& site) {
  std::vector<AirwayIndex> out;
  for (const Failure& failure : list_failures(site)) {
    if (failure.kind != FailureKind::shut) continue;
    const AirwayKind& kind = site.airways[failure.airway->value].kind;
    const auto* door = std::get_if<Doorway>(&kind);
    const bool made_for_air =
        door != nullptr && (door->form == OpeningForm::louvre || door->form == OpeningForm::window);
    if (made_for_air || std::holds_alternative<Gap>(kind)) out.push_back(*failure.airway);
  }
  return out;
}

bool is_fan(const Site& site, AirwayIndex airway) {
  return std::holds_alternative<Fan>(site.airways[airway.value].kind);
}

double size_of(const Airway& airway) {
  if (const auto* fan = std::get_if<Fan>(&airway.kind)) return fan->flow;
  if (const auto* gap = std::get_if<Gap>(&airway.kind)) return gap->leakage_area;
  const auto& door = std::get<Doorway>(airway.kind);
  return door.width * door.height;
}

Site with_flows(const Site& site, const std::vector<AirwayIndex>& airways, const std::vector<double>& flows) {
  Site changed = site;
  for (std::size_t k = 0; k < airways.size(); ++k) {
    AirwayKind& kind = changed.airways[airways[k].value].kind;
    if (auto* fan = std::get_if<Fan>(&kind)) fan->flow = flows[k];
    if (auto* gap = std::get_if<Gap>(&kind)) gap->leakage_area = flows[k];
    if (auto* door = std::get_if<Doorway>(&kind)) door->width = flows[k] / door->height;
  }
  set_return_air(changed);
  return changed;
}

void set_events(Site& site, const EventPlaces& events, double flow) {
  for (const auto& [case_index, place] : events) {
    if (auto* set = std::get_if<SetAirwayFlow>(&site.cases[case_index.value].events[place].change)) set->flow = flow;
  }
}

std::vector<double> most_sensible(const Site& site, const std::vector<AirwayIndex>& airways) {
  Airing airing{site};
  const Together running = together(site, airing);
  std::vector<double> out;
  for (const AirwayIndex airway : airways) {
    const double most =
        is_fan(site, airway) ? most_of_fan(site, airway, airing, running) : most_of_opening(site, airway, airing);
    out.push_back(std::max(size_of(site.airways[airway.value]), most));
  }
  return out;
}

Site with_release(const Site& site, ReleaseIndex release_index, double factor) {
  Site changed = site;
  Release& release = changed.releases[release_index.value];
  release.on = true;
  if (factor <= 0.0) {
    release.on = false;
    for (Case& c : changed.cases) {
      std::erase_if(c.events, [&](const Event& event) {
        const auto* set = std::get_if<SetReleaseOn>(&event.change);
        return set != nullptr && set->release == release_index;
      });
    }
    return changed;
  }
  if (auto* steady = std::get_if<SteadyRelease>(&release.kind)) {
    steady->rate *= factor;
  } else if (auto* dump = std::get_if<DumpRelease>(&release.kind)) {
    dump->amount *= factor;
  } else if (auto* fittings = std::get_if<FittingsRelease>(&release.kind)) {
    fittings->each *= factor;
  } else if (auto* reaction = std::get_if<ReactionRelease>(&release.kind)) {
    reaction->amount *= factor;
    for (double& reagent : reaction->reagents) reagent *= factor;
  } else {
    const auto copies = static_cast<std::size_t>(std::ceil(factor - 1e-9));
    for (std::size_t k = 1; k < copies; ++k) {
      Release copy = changed.releases[release_index.value];
      copy.id += "#" + std::to_string(k + 1);
      const ReleaseIndex index{changed.releases.size()};
      changed.releases.push_back(std::move(copy));
      for (Case& c : changed.cases) {
        std::vector<Event> events;
        for (const Event& event : c.events) {
          events.push_back(event);
          const auto* set = std::get_if<SetReleaseOn>(&event.change);
          if (set == nullptr || set->release != release_index) continue;
          Event same = event;
          same.change = SetReleaseOn{index, set->on};
          events.push_back(same);
        }
        c.events = std::move(events);
      }
    }
  }
  return changed;
}

}  // namespace leanside::study
