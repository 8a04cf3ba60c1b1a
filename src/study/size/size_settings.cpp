// SPDX-License-Identifier: Apache-2.0
#include "study/size/size_settings.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include "leanside/advanced/fans.hpp"
#include "leanside/study/size.hpp"

namespace leanside::study {

namespace {

constexpr double unlimited = std::numeric_limits<double>::infinity();

/// The spaces with a volume that a side of a fan is, or that junctions there lead to.
std::vector<SpaceIndex> aired_from(const Site& site, const Side& side) {
  if (!side) return {};
  std::vector<SpaceIndex> found, seen{*side};
  for (std::size_t k = 0; k < seen.size(); ++k) {
    if (site.spaces[seen[k].value].volume > 0.0) {
      found.push_back(seen[k]);
      continue;
    }
    for (const Airway& airway : site.airways) {
      const Side a = first_side(airway), b = second_side(airway);
      if (a != Side{seen[k]} && b != Side{seen[k]}) continue;
      const Side other = a == Side{seen[k]} ? b : a;
      if (other && std::find(seen.begin(), seen.end(), *other) == seen.end()) seen.push_back(*other);
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

/// What a fan airs, and whether it draws from there.
struct Aired {
  std::vector<SpaceIndex> spaces;
  bool draws = true;
  friend bool operator==(const Aired&, const Aired&) = default;
};

Aired aired_by(const Site& site, AirwayIndex fan) {
  const auto& kind = std::get<Fan>(site.airways[fan.value].kind);
  Aired out{aired_from(site, kind.from), true};
  if (out.spaces.empty()) out = {aired_from(site, kind.to), false};
  return out;
}

double volume_of(const Site& site, const std::vector<SpaceIndex>& spaces) {
  double volume = 0.0;
  for (const SpaceIndex space : spaces) volume += site.spaces[space.value].volume;
  return volume;
}

}  // namespace

Site with_flows(const Site& site, const std::vector<AirwayIndex>& fans, const std::vector<double>& flows) {
  Site changed = site;
  for (std::size_t k = 0; k < fans.size(); ++k) std::get<Fan>(changed.airways[fans[k].value].kind).flow = flows[k];
  set_return_air(changed);
  return changed;
}

void set_events(Site& site, const EventPlaces& events, double flow) {
  for (const auto& [case_index, place] : events) {
    if (auto* set = std::get_if<SetAirwayFlow>(&site.cases[case_index.value].events[place].change)) set->flow = flow;
  }
}

std::vector<double> most_sensible(const Site& site, const std::vector<AirwayIndex>& fans) {
  std::vector<double> out;
  for (const AirwayIndex fan : fans) {
    const Aired aired = aired_by(site, fan);
    const double now = std::get<Fan>(site.airways[fan.value].kind).flow;
    if (aired.spaces.empty()) {
      out.push_back(unlimited);
      continue;
    }
    double together = 0.0;
    for (std::size_t i = 0; i < site.airways.size(); ++i) {
      const auto* beside = std::get_if<Fan>(&site.airways[i].kind);
      if (beside == nullptr || (!site.airways[i].on && AirwayIndex{i} != fan)) continue;
      if (aired_by(site, AirwayIndex{i}) == aired) together += beside->flow;
    }
    const double most = most_air_changes / 3600.0 * volume_of(site, aired.spaces);
    out.push_back(std::max(now, together > 0.0 ? most * now / together : most));
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
