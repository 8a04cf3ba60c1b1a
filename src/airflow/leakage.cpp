// SPDX-License-Identifier: Apache-2.0
#include "airflow/leakage.hpp"

#include <algorithm>
#include <cmath>

#include "airflow/openings.hpp"

namespace leanside::airflow {
namespace {

constexpr double usual_height = 2.5;   // m
constexpr double small_volume = 15.0;  // m3

}  // namespace

double floor_area_of(const Space& space) {
  if (space.floor_area) return *space.floor_area;
  return space.volume < small_volume ? std::pow(space.volume, 2.0 / 3.0) : space.volume / usual_height;
}

double assumed_leakage(const Space& space) { return leakage_per_floor * floor_area_of(space); }

// An opening of another exponent counts as a gap of the assumed one that passes no more from 4 Pa, where leakage areas
// are rated, to the highest pressure of a fan.
std::optional<double> leakage_of_opening(const Airway& airway) {
  constexpr double highest = 1000.0;  // Pa
  const auto counts_as = [](double area, double exponent) {
    return area * std::min(1.0, std::pow(highest / leakage_reference, exponent - leakage_exponent));
  };
  if (const auto* gap = std::get_if<Gap>(&airway.kind)) return counts_as(gap->leakage_area, gap->exponent);
  // At one pressure over its height a doorway is a gap of exponent 1/2: C_d W H sqrt(2 dp/rho).
  if (const auto* door = std::get_if<Doorway>(&airway.kind)) {
    const double open = door->open > 0.0 ? door->open : 1.0;
    return counts_as(door->discharge * door->width * open * door->height, 0.5);
  }
  return std::nullopt;
}

double flow_at_fan_pressure(double leakage_area, double density) {
  return gap_flow(leakage_area, leakage_exponent, fan_pressure, density, density).value;
}

std::vector<AirwayIndex> shut_openings(const Site& site, const SiteState& state) {
  std::vector<AirwayIndex> out;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const auto& kind = site.airways[i].kind;
    const bool opening = std::holds_alternative<Gap>(kind) || std::holds_alternative<Doorway>(kind) ||
                         std::holds_alternative<Opening>(kind);
    if (opening && state.airway_shut[i]) out.push_back(AirwayIndex{i});
  }
  return out;
}

void share_leakage(const Site& site, double leakage, std::span<AssumedGap> gaps) {
  for (const AssumedGap& gap : gaps) {
    if (!gap.airway) continue;
    if (const auto own = leakage_of_opening(site.airways[gap.airway->value])) leakage = std::min(leakage, *own);
  }
  for (AssumedGap& gap : gaps) gap.leakage_area = leakage / static_cast<double>(gaps.size());
}

}  // namespace leanside::airflow
