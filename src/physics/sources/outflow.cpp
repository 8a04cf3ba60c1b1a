// SPDX-License-Identifier: Apache-2.0
/// Stocks that come out by a known course: real gas, liquefied gas, boiling pools.
#include <algorithm>
#include <cassert>
#include <cmath>
#include <limits>
#include <numbers>
#include <utility>

#include "leanside/advanced/sources.hpp"
#include "leanside/substance.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace {

/// Rates that differ by less than this are one constant rate.
constexpr double same = 1e-9;

bool constant(const OutflowPiece& piece) { return std::abs(piece.first - piece.last) <= same * piece.first; }

/// 1/s by which the rate of a piece decays.
double decay(const OutflowPiece& piece) { return (piece.first - piece.last) / piece.amount; }

double duration_of(const OutflowPiece& piece) {
  return constant(piece) ? piece.amount / piece.first : std::log(piece.first / piece.last) / decay(piece);
}

}  // namespace

Outflow::Outflow(std::vector<OutflowPiece> pieces) : pieces_{std::move(pieces)} {
  double age = 0.0, out = 0.0;
  for (const OutflowPiece& piece : pieces_) {
    assert(piece.amount > 0.0 && piece.first > 0.0 && piece.last > 0.0);
    ends_.push_back(age += duration_of(piece));
    out_.push_back(out += piece.amount);
  }
}

const OutflowPiece* Outflow::running(double age, double& into, double& before) const {
  const auto end = std::upper_bound(ends_.begin(), ends_.end(), std::max(age, 0.0));
  if (end == ends_.end()) return nullptr;
  const auto k = static_cast<std::size_t>(end - ends_.begin());
  into = std::max(age, 0.0) - (k > 0 ? ends_[k - 1] : 0.0);
  before = k > 0 ? out_[k - 1] : 0.0;
  return &pieces_[k];
}

double Outflow::stock() const { return out_.empty() ? 0.0 : out_.back(); }

double Outflow::duration() const { return ends_.empty() ? 0.0 : ends_.back(); }

double Outflow::rate_at(double age) const {
  double into = 0.0, before = 0.0;
  const OutflowPiece* piece = running(age, into, before);
  if (piece == nullptr) return 0.0;
  return constant(*piece) ? piece->first : piece->first * std::exp(-decay(*piece) * into);
}

double Outflow::amount_out(double age) const {
  if (age <= 0.0) return 0.0;
  double into = 0.0, before = 0.0;
  const OutflowPiece* piece = running(age, into, before);
  if (piece == nullptr) return stock();
  return before +
         (constant(*piece) ? piece->first * into : -std::expm1(-decay(*piece) * into) * piece->first / decay(*piece));
}

double Outflow::pressure_at(double age) const {
  double into = 0.0, before = 0.0;
  const OutflowPiece* piece = running(age, into, before);
  return piece != nullptr ? piece->pressure : 0.0;
}

std::vector<double> Outflow::joints() const {
  return ends_.empty() ? std::vector<double>{} : std::vector<double>(ends_.begin(), ends_.end() - 1);
}

double Outflow::time_scale(double age) const {
  double into = 0.0, before = 0.0;
  const OutflowPiece* piece = running(age, into, before);
  if (piece == nullptr || constant(*piece)) return std::numeric_limits<double>::infinity();
  return 1.0 / std::abs(decay(*piece));
}

Outflow Outflow::at_share(double share) const {
  std::vector<OutflowPiece> pieces = pieces_;
  for (OutflowPiece& piece : pieces) {
    piece.first *= share;
    piece.last *= share;
  }
  return Outflow{std::move(pieces)};
}

Outflow real_gas_outflow(std::span<const GasPart> parts, const HeldGas& gas, const Hole& hole, double volume,
                         double pressure, double ambient) {
  assert(pressure > ambient && ambient > 0.0 && volume > 0.0);
  constexpr double dense = 0.5, least_excess = 0.05;
  const double rt = gas_constant * gas.temperature;
  const auto steps = std::max(1.0, std::ceil(2.0 * std::log2((pressure - ambient) / (least_excess * ambient))));
  std::vector<OutflowPiece> pieces;
  double held = 0.0, rate = 0.0, at = 0.0;
  for (int k = 0; k <= static_cast<int>(steps) + 1; ++k) {
    const bool last = k > static_cast<int>(steps);
    const double p = last ? ambient : ambient + (pressure - ambient) * std::exp2(-0.5 * k);
    const auto z = compressibility(parts, gas.temperature, p);
    if (!z) return {};
    HeldGas here = gas;
    here.compressibility = std::min(1.0, *z);
    const double content = p * volume / (*z * rt);
    const double out = *z < dense ? liquid_discharge(hole, p * gas.molar_mass / (*z * rt), gas.molar_mass, p, ambient)
                                  : discharge_rate(here, hole, p, ambient);
    // The flow ends like a square root of what is left, in twice the time that its first rate would take.
    const OutflowPiece piece{held - content, last ? 0.5 * rate : rate, last ? 0.5 * rate : out, at};
    // An excess that is lost in rounding gives nothing.
    if (k > 0 && piece.amount > 0.0 && piece.first > 0.0 && piece.last > 0.0) pieces.push_back(piece);
    held = content;
    rate = out;
    at = p;
  }
  return Outflow{std::move(pieces)};
}

double liquid_discharge(const Hole& hole, double density, double molar_mass, double pressure, double ambient) {
  if (pressure <= ambient) return 0.0;
  return hole.discharge * hole.area() * std::sqrt(2.0 * density * (pressure - ambient)) / molar_mass;
}

double flash_fraction(double heat_capacity, double heat, double temperature, double boiling) {
  if (temperature <= boiling) return 0.0;
  return heat > 0.0 ? std::min(1.0, heat_capacity * (temperature - boiling) / heat) : 1.0;
}

// n(t) = 2 b sqrt(t) from the floor, so that the rate at n is 2 b^2 / n; the film caps it at the start. Pieces of equal
// ratio in n lie at most 2 % above the curve.
Outflow boiling_pool(double amount, double area, double excess, double heat, const WarmFloor& floor) {
  assert(amount > 0.0 && area > 0.0 && excess > 0.0 && heat > 0.0);
  const double root =
      floor.convection * area * floor.conductivity * excess / (heat * std::sqrt(std::numbers::pi * floor.diffusivity));
  const double most = floor.film * area / heat;
  const double capped = 2.0 * root * root / most;  // mol out when the floor falls below the film
  if (capped >= amount) return Outflow{{{amount, most, most, 0.0}}};
  std::vector<OutflowPiece> pieces{{capped, most, most, 0.0}};
  constexpr double most_ratio = 1.3;
  const int count = std::max(1, static_cast<int>(std::ceil(std::log(amount / capped) / std::log(most_ratio))));
  const double ratio = std::pow(amount / capped, 1.0 / count);
  double out = capped;
  for (int k = 0; k < count; ++k) {
    const double next = k + 1 == count ? amount : out * ratio;
    if (next > out) pieces.push_back({next - out, 2.0 * root * root / out, 2.0 * root * root / next, 0.0});
    out = next;
  }
  return Outflow{std::move(pieces)};
}

}  // namespace leanside
