// SPDX-License-Identifier: Apache-2.0
/// The leakage that is assumed of spaces without a way outside, and what a fan can draw through it. Pure functions.
#pragma once

#include <optional>
#include <span>
#include <vector>

#include "leanside/advanced/airflow.hpp"

namespace leanside::airflow {

/// Effective leakage area (at 4 Pa) assumed of each m2 of floor of a space without a way outside, m2/m2: 1 cm2 to each
/// m2. A cautious round number, common practice, no source: few rooms are as airtight.
inline constexpr double leakage_per_floor = 1e-4;
/// Its flow exponent. Common practice, no source.
inline constexpr double leakage_exponent = 0.65;
/// Pressure, Pa, up to which a fan of given flow keeps its flow against an assumed leak; over the next `fan_fade` Pa
/// the flow falls to nothing. Common practice, no source: what a small extract fan reaches.
inline constexpr double fan_pressure = 100.0;
inline constexpr double fan_fade = 1.0;

/// Floor area, m2: as given, else volume/2.5 m, else (below 15 m3) that of a cube.
double floor_area_of(const Space& space);

/// Effective leakage area assumed of a space, m2.
double assumed_leakage(const Space& space);

/// Effective leakage area, m2, of exponent `leakage_exponent` that passes at `fan_pressure` what an opening passes when
/// it stands open as the file describes it; empty where it has no size (an opening).
std::optional<double> leakage_of_opening(const Airway& airway);

/// m3/s of air of `density`, kg/m3, through an assumed leakage area, m2, at `fan_pressure`.
double flow_at_fan_pressure(double leakage_area, double density);

/// A shut opening, or a space, that is assumed to leak between two places.
struct AssumedGap {
  Side a, b;
  std::optional<AirwayIndex> airway;  ///< the shut opening; empty: `a` leaks by itself
  double leakage_area = 0.0;          ///< m2
  double z = 0.0;                     ///< m above the datum
};

/// Gaps, doorways and openings that are shut. A part of an opening of a layered room that only lies beside the layer is
/// not.
std::vector<AirwayIndex> shut_openings(const Site& site, const SiteState& state);

/// Area of each of `gaps`, m2, which a group shares: what its spaces leak by assumption (`leakage` m2 in all), but not
/// more than its smallest shut opening, the same for every gap. With the smallest, and not the sum, a group that is
/// shut completely never passes more than it did through the last opening that stood open.
void share_leakage(const Site& site, double leakage, std::span<AssumedGap> gaps);

}  // namespace leanside::airflow
