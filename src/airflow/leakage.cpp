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

std::optional<double> leakage_of_opening(const Airway& airway) {
  // Flows through different openings compare alike whatever the density.
  constexpr double any_density = 1.0;
  const double of_unit_area = flow_at_fan_pressure(1.0, any_density);
  if (const auto* gap = std::get_if<Gap>(&airway.kind)) {
    return gap_flow(gap->leakage_area, gap->exponent, fan_pressure, any_density, any_density).value / of_unit_area;
  }
  if (const auto* door = std::get_if<Doorway>(&airway.kind)) {
    const TwoWayFlow flow =
        doorway_flow(door->width, door->height, door->discharge, fan_pressure, fan_pressure, any_density, any_density);
    return flow.forward.value / of_unit_area;
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
                         std::holds_alternative<Relief>(kind);
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
