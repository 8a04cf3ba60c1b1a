// SPDX-License-Identifier: Apache-2.0
/// Which airways follow pressures, and the density of the gas that drives them.
#include <utility>

#include "second_opinion/pressures.hpp"

namespace second_opinion {

namespace {
constexpr Real gas_constant = 8.31446261815324L, mass_of_air = 0.0289655L;
}

bool is_driven(const Site& site, const Moment& moment, std::size_t i) {
  const Airway& a = site.airways[i];
  if (!moment.airway_on[i]) return false;
  return a.way == Way::gap || a.way == Way::curve || (a.way == Way::doorway && moment.open[i] > 0);
}

std::vector<bool> driven_ways(const Site& site, const Moment& moment, const Vector& released) {
  const std::size_t n = site.spaces.size(), outdoors = n;
  const auto place = [&](int side) { return side == outside ? outdoors : static_cast<std::size_t>(side); };
  std::vector<bool> source(n + 1, true);
  for (std::size_t i = 0; i < n; ++i)
    source[i] = site.spaces[i].kind != Kind::junction || released(static_cast<Eigen::Index>(i)) > 0;
  std::vector<std::pair<std::size_t, std::size_t>> ways;
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const Airway& a = site.airways[i];
    if (!moment.airway_on[i] || (a.way == Way::doorway && moment.open[i] <= 0)) continue;
    const bool works = a.way == Way::curve || a.way == Way::fan || a.way == Way::exchange;
    if (works && a.way != Way::curve && moment.flow[i] <= 0) continue;
    ways.emplace_back(place(a.first), place(a.second));
    if (works) source[place(a.first)] = source[place(a.second)] = true;
  }
  const auto gets_anything = [&](std::size_t junction, std::size_t without) {
    std::vector<bool> seen(n + 1, false);
    seen[junction] = true;
    for (bool again = true; again;) {
      again = false;
      for (const auto& [a, b] : ways) {
        if (seen[a] == seen[b] || a == without || b == without) continue;
        seen[a] = seen[b] = again = true;
      }
    }
    for (std::size_t v = 0; v <= n; ++v) {
      if (seen[v] && source[v]) return true;
    }
    return false;
  };
  std::vector<bool> dead(n + 1, false), out;
  for (std::size_t j = 0; j < n; ++j) {
    if (site.spaces[j].kind != Kind::junction) continue;
    for (std::size_t v = 0; v <= n; ++v) dead[j] = dead[j] || (v != j && !gets_anything(j, v));
  }
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const Airway& a = site.airways[i];
    out.push_back(is_driven(site, moment, i) &&
                  (a.way == Way::curve || (!dead[place(a.first)] && !dead[place(a.second)])));
  }
  return out;
}

Vector densities(const Site& site, const Moment& moment, const Matrix& x) {
  Vector out(x.rows());
  for (Eigen::Index i = 0; i < x.rows(); ++i) {
    Real mass = mass_of_air * (1 - x.row(i).sum());
    for (Eigen::Index k = 0; k < x.cols(); ++k)
      mass += x(i, k) * Real(site.gases[static_cast<std::size_t>(k)].molar_mass);
    out(i) = Real(site.pressure) * mass / (gas_constant * Real(moment.temperature[static_cast<std::size_t>(i)]));
  }
  return out;
}

bool follows_pressures(const Site& site, const Moment& moment) {
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    if (is_driven(site, moment, i)) return true;
  }
  return false;
}

}  // namespace second_opinion
