// SPDX-License-Identifier: Apache-2.0
/// Reads any bytes as a site file. The result is faults with their places, or a site that keeps the promises of
/// site.hpp.
#include <cmath>
#include <set>

#include "fuzz/targets.hpp"
#include "leanside/site_file.hpp"

namespace leanside::fuzz {
namespace {

template <class Things>
void check_ids(const Things& things) {
  std::set<std::string> ids;
  for (const auto& thing : things)
    promise(!thing.id.empty() && ids.insert(thing.id).second, "ids are present and unique");
}

void check_shares(const std::vector<GasShare>& shares, const Site& site) {
  double sum = 0.0;
  for (const GasShare& share : shares) {
    promise(share.gas.value < site.gases.size() && share.fraction >= 0.0, "a share belongs to a gas of the site");
    sum += share.fraction;
  }
  promise(sum <= 1.0 + 1e-12, "shares add up to 1 at most");
}

void check_site(const Site& site) {
  promise(!site.spaces.empty(), "a site has a space");
  check_ids(site.spaces);
  check_ids(site.airways);
  check_ids(site.releases);
  check_ids(site.cases);
  for (const Space& space : site.spaces) {
    promise(std::isfinite(space.volume) && (space.volume > 0.0) == (space.kind != SpaceKind::junction),
            "a space has a volume, a junction has none");
    promise(space.temperature > 0.0 && space.mixing_factor >= 1.0 && space.air_changes >= 0.0,
            "a space has valid values");
    check_shares(space.initial, site);
  }
  for (const Airway& airway : site.airways) {
    const Side first = first_side(airway), second = second_side(airway);
    promise(first != second, "an airway has two sides");
    promise((!first || first->value < site.spaces.size()) && (!second || second->value < site.spaces.size()),
            "an airway connects spaces of the site");
  }
  for (const Release& release : site.releases) {
    promise(release.into.value < site.spaces.size() && release.start >= 0.0, "a release is into a space of the site");
    check_shares(release.gas.shares, site);
  }
  promise(!site.cases.empty() && site.cases[0].id == "normal", "case 0 is `normal`");
  for (const Case& one : site.cases) {
    for (std::size_t i = 1; i < one.events.size(); ++i) {
      promise(one.events[i - 1].at <= one.events[i].at, "events are in order of time");
    }
  }
  promise(site.criteria.horizon > 0.0 && site.criteria.note_at <= site.criteria.warn_at, "criteria are consistent");
}

/// Checks that the file is valid at both ends of each range.
void check_ranges(const RangedSite& site) {
  RangedSite::Draws draws{site};
  std::vector<double> values;
  for (const Range& range : site.best().ranges) {
    promise(range.low <= range.best && range.best <= range.high, "a range is in order");
    values.push_back(range.best);
  }
  constexpr std::size_t most_tried = 8;
  for (std::size_t k = 0; k < std::min(most_tried, values.size()); ++k) {
    const Range& range = site.best().ranges[k];
    for (const double end : {range.low, range.high}) {
      values[k] = end;
      const Site* const drawn = draws.at(values);
      promise(drawn != nullptr, "the file is valid at each end of each range");
      check_site(*drawn);
    }
    values[k] = range.best;
  }
}

}  // namespace

void site_file(std::string_view bytes) {
  const auto reading = parse_site(bytes, "site.toml", built_in_substances());
  promise((reading.usable() != nullptr) == !has_error(reading.diagnostics), "the result is a site or an error");
  for (const Diagnostic& d : reading.diagnostics) {
    promise(!d.message.empty() && d.message.size() < 4000, "a fault has a short message");
    promise(d.place.line >= 0 && d.place.column >= 0, "a fault has a place");
  }
  if (reading.usable() == nullptr) return;
  check_site(*reading.usable());
  const auto ranged = parse_ranged_site(bytes, "site.toml", built_in_substances());
  promise(ranged.site.has_value(), "a site with its best values is a site with ranges");
  check_ranges(*ranged.site);
}

}  // namespace leanside::fuzz
