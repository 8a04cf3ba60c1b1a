// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/layers.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace second_opinion {
namespace {

constexpr Real gravity = 9.80665L, mass_of_air = 0.0289655L;
constexpr Real thinnest = 1e-3L, thin = 1e-2L;  ///< shares of the room
constexpr Real emptying_time = 600;             ///< s

Real molar_mass(const Site& site, const Blend& blend) {
  Real air = 1, sum = 0;
  for (const Share& s : blend.shares) {
    air -= Real(s.fraction);
    sum += Real(s.fraction) * Real(site.gases[s.gas].molar_mass);
  }
  return sum + air * mass_of_air;
}

Real floor_of(const Site& site, int side) {
  const Space& s = site.spaces[static_cast<std::size_t>(side)];
  return s.elevation ? Real(s.elevation->si) : Real(0);
}

/// 1 for the thinnest layer, falling to 0 for a thin one.
Real handed_over(Real share) {
  const Real u = std::clamp((share - thinnest) / (thin - thinnest), Real(0), Real(1));
  return 1 - u * u * (3 - 2 * u);
}

struct Reach {
  Real low = 0, high = 0;
};

/// The height range of an airway that has none of its own: a twentieth of the room height, shifted to lie within the
/// room.
Reach counts_as(Real height, Real z) {
  const Real half = height / 40, middle = std::clamp(z, half, height - half);
  return {middle - half, middle + half};
}

}  // namespace

Layers layers_of(const Site& site) {
  Layers out;
  const std::size_t n = site.spaces.size();
  out.ambient.assign(n, outside);
  out.above.assign(n, false);
  out.edge.assign(n, 0);
  out.height.assign(n, 0);
  for (std::size_t i = 0; i < n; ++i) {
    if (!site.spaces[i].layered) continue;
    out.ambient[i] = static_cast<int>(n + out.rooms.size());
    out.rooms.push_back(i);
    out.height[i] = site.spaces[i].height->si;
    for (const Release& r : site.releases) {
      if (r.into == i && molar_mass(site, r.gas) < mass_of_air) out.above[i] = true;
    }
  }
  out.cells = n + out.rooms.size();
  put_edges(out, Vector::Constant(static_cast<Eigen::Index>(out.rooms.size()), thinnest));
  return out;
}

void put_edges(Layers& layers, const Vector& share) {
  for (std::size_t k = 0; k < layers.rooms.size(); ++k) {
    const std::size_t i = layers.rooms[k];
    const Real part = share(static_cast<Eigen::Index>(k));
    layers.edge[i] = layers.height[i] * (layers.above[i] ? 1 - part : part);
  }
}

std::vector<Piece> cut(const Site& site, const Layers* layers, std::size_t airway) {
  const Airway& a = site.airways[airway];
  const int named = a.first != outside ? a.first : a.second;
  Piece whole;
  whole.first = a.first;
  whole.second = a.second;
  const bool doorway = a.way == Way::doorway;
  if ((a.assumed || a.way == Way::opening) && layers != nullptr) {
    for (int* const cell : {&whole.first, &whole.second}) {
      if (layers->is_layered(*cell)) *cell = layers->ambient[static_cast<std::size_t>(*cell)];
    }
    return {whole};
  }
  whole.low = floor_of(site, named) + Real(doorway ? a.sill.si : a.height.si);
  whole.high = whole.low + Real(doorway ? a.tall.si : 0);
  std::vector<Piece> out{whole};
  for (const bool first : {true, false}) {
    const int side = first ? a.first : a.second;
    if (layers == nullptr || !layers->is_layered(side)) continue;
    const Real edge = layers->edge[static_cast<std::size_t>(side)], floor = floor_of(site, side);
    std::vector<Piece> finer;
    for (const Piece& piece : out) {
      Reach s{piece.low - floor, piece.high - floor};
      if (!doorway) s = counts_as(layers->height[static_cast<std::size_t>(side)], s.low);
      const Real below = std::clamp((edge - s.low) / (s.high - s.low), Real(0), Real(1));
      for (const bool low : {true, false}) {
        Piece part = piece;
        (first ? part.first : part.second) = low ? layers->lower(side) : layers->upper(side);
        part.share *= low ? below : 1 - below;
        if (part.share <= 0) continue;
        if (doorway) (low ? part.high : part.low) = piece.low + below * (piece.high - piece.low);
        finer.push_back(part);
      }
    }
    out = std::move(finer);
  }
  return out;
}

std::vector<Real> levels(const Site& site, const Layers& layers, std::size_t room) {
  const Real height = layers.height[room], floor = floor_of(site, static_cast<int>(room));
  std::vector<Real> out{thin * height, (1 - thin) * height};
  for (const Release& r : site.releases) {
    if (r.into == room) out.push_back(r.height.si);
  }
  for (const Airway& a : site.airways) {
    if (a.first != static_cast<int>(room) && a.second != static_cast<int>(room)) continue;
    const Real foot = floor_of(site, a.first != outside ? a.first : a.second) - floor;
    const bool doorway = a.way == Way::doorway;
    const Reach s = doorway ? Reach{foot + Real(a.sill.si), foot + Real(a.sill.si) + Real(a.tall.si)}
                            : counts_as(height, foot + Real(a.height.si));
    out.push_back(s.low);
    out.push_back(s.high);
  }
  return out;
}

namespace {

/// Of a release: its buoyancy flux in the direction in which the gas gathers, m4/s3.
Real lift_of(const Site& site, const Layers& layers, std::size_t r, Real rate, Real density_of_ambient,
             Real moles_of_a_m3) {
  const Real density = molar_mass(site, site.releases[r].gas) * moles_of_a_m3;
  const Real sign = layers.above[site.releases[r].into] ? 1 : -1;
  return sign * gravity * (density_of_ambient - density) / density_of_ambient * rate / moles_of_a_m3;
}

Real carried(const Site& site, std::size_t room, Real lift, Real way) {
  if (lift <= 0 || way <= 0) return 0;
  const Real a = site.spaces[room].entrainment.value_or(0.1);
  const Real c = 6 * a / 5 * std::cbrt(9 * a / 10) * std::pow(std::numbers::pi_v<Real>, Real(2) / 3);
  return c * std::cbrt(lift) * std::pow(way, Real(5) / 3);
}

}  // namespace

Real slope_at_edge(Real share, Real gas, Real ambient) {
  const Real outer = std::max(Real(0), ambient), deep = 1 - share;
  if (outer >= gas) return 0;
  const Real throughout = 3 * (gas - outer);
  if (outer - throughout * deep / 6 >= 0) return throughout;
  // How far the gas reaches: what the ambient layer then holds grows with it.
  const auto slope = [&](Real reach) { return gas / (share / 3 + reach / 2); };
  Real low = 0, high = deep;
  for (int k = 0; k < 120; ++k) {
    const Real reach = (low + high) / 2;
    (slope(reach) * reach * reach / 6 < outer * deep ? low : high) = reach;
  }
  return slope(std::max(high, std::min(deep, Real(0.05L))));
}

Real spread_across(const Site& site, const Layers& layers, std::size_t room, Real temperature, Real share, Real gas,
                   Real ambient) {
  Real least = never;
  for (const Release& r : site.releases) {
    if (r.into != room) continue;
    for (const Share& s : r.gas.shares) least = std::min(least, Real(site.gases[s.gas].diffusivity.value_or(0)));
  }
  if (least == never) return 0;
  const Real d = least * std::pow(temperature / 298.15L, 1.75L) * 101325 / Real(site.pressure);
  const Real slope = slope_at_edge(share, gas, ambient);
  const Real times = slope > 0 ? slope / (gas - std::max(Real(0), ambient)) : 3;
  return times * d * Real(site.spaces[room].floor_area.si) / layers.height[room];
}

Vector at_far_end(const Site& site, const Layers& layers, std::size_t room, const std::vector<Real>& rate,
                  Real density_of_ambient, Real moles_of_a_m3, const Vector& gas, const Vector& ambient, Real share) {
  Real e = 0;
  const Release* nearest = nullptr;
  for (std::size_t r = 0; r < rate.size(); ++r) {
    if (site.releases[r].into != room || rate[r] <= 0) continue;
    const Real lift = lift_of(site, layers, r, rate[r], density_of_ambient, moles_of_a_m3);
    if (lift <= 0 || site.releases[r].source == Source::spill) continue;
    const Real up = Real(site.releases[r].height.si), height = layers.height[room];
    const Real volume = rate[r] / moles_of_a_m3;
    const Real here =
        volume / (volume + carried(site, room, lift, std::max(layers.above[room] ? height - up : up, height / 10)));
    if (here <= e) continue;
    e = here;
    nearest = &site.releases[r];
  }
  const Real all = gas.sum(), outer = std::max(Real(0), ambient.sum());
  const Real b = all > outer ? slope_at_edge(share, all, outer) * share / 6 / all * (1 - all) : Real(0);
  Vector out = gas * (1 + b - e / 2);
  if (nearest == nullptr) return out;
  for (const Share& s : nearest->gas.shares) out(static_cast<Eigen::Index>(s.gas)) += Real(s.fraction) * e / 2;
  return out;
}

Real drawn_in(const Site& site, const Layers& layers, std::size_t room, const std::vector<Real>& rate,
              Real density_of_ambient, Real moles_of_a_m3) {
  Real sum = 0;
  for (std::size_t r = 0; r < rate.size(); ++r) {
    if (site.releases[r].into != room || rate[r] <= 0) continue;
    const Real lift = lift_of(site, layers, r, rate[r], density_of_ambient, moles_of_a_m3);
    const Real way = (layers.above[room] ? 1 : -1) * (layers.edge[room] - Real(site.releases[r].height.si));
    sum += carried(site, room, lift, way);
  }
  return sum;
}

Crossing crossing(Real surplus, Real share, Real held, bool fed) {
  Crossing out;
  if (surplus < 0) out.to_gas = -surplus * handed_over(share);
  if (surplus > 0) out.to_ambient = surplus * handed_over(1 - share);
  if (!fed) {
    const Real both = (handed_over(share) + handed_over(1 - share)) * thinnest * held / emptying_time;
    out.to_gas += both;
    out.to_ambient += both;
  }
  return out;
}

Real tumbling(const Site& site, const Layers& layers, std::size_t room, Real density_of_gas, Real density_of_ambient) {
  const Real over = (layers.above[room] ? 1 : -1) * (density_of_gas - density_of_ambient);
  if (over <= 0) return 0;
  return Real(site.spaces[room].floor_area.si) * std::sqrt(gravity * layers.height[room]) * over / density_of_ambient;
}

}  // namespace second_opinion
