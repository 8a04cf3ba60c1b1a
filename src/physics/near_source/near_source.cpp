// SPDX-License-Identifier: Apache-2.0
#include "leanside/advanced/near_source.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "leanside/units.hpp"

namespace leanside {
namespace {

constexpr double pi = std::numbers::pi;

/// Pa s; hydrogen has 8.9e-6, methane 1.1e-5, propane 8e-6 at 25 degC (from memory). It only tells laminar from
/// turbulent.
constexpr double viscosity_of_gas = 1e-5;
/// m2/s of air at 20 degC, and of a vapour that diffuses slowly in it, which makes a laminar jet long (from memory).
constexpr double viscosity_of_air = 1.5e-5;
constexpr double slow_diffusivity = 1.0e-5;

/// The mean fraction in the cloud above C is this many times C: half the limit in the mean means C = limit/(2 m).
/// Closed forms of the profiles: docs/methods.md.
constexpr double jet_mean = 1.5, plume_mean = 2.25;

double reduced_gravity(const SourceJet& source) {
  return standard_gravity * std::abs(source.ambient_density - source.density) / source.ambient_density;
}

bool is_jet(const SourceJet& source) {
  return (source.exit && source.exit->speed > 0.0 && source.diameter > 0.0) ||
         (source.momentum && *source.momentum > 0.0);
}

double reach_of_jet(const SourceJet& source, double fraction) {
  const double mass = mass_fraction(fraction, source.molar_mass, source.air_molar_mass);
  if (source.exit && source.diameter > 0.0) {
    return jet_reach(source.exit->density, source.diameter, source.ambient_density, mass);
  }
  return jet_reach_of_momentum(source.flow * source.density, *source.momentum, source.ambient_density, mass);
}

double reach_of_plume(const SourceJet& source, double flow, double fraction) {
  // Gas of the density of air neither rises nor sinks: a plume of a hundredth of its weight goes far enough.
  constexpr double least_gravity = 0.01 * standard_gravity;
  return plume_reach(flow, std::max(reduced_gravity(source), least_gravity), fraction);
}

/// m3/s up to which what leaves the source may be laminar; without a jet any flow may.
double laminar_flow(const SourceJet& source) {
  if (!is_jet(source)) return source.flow;
  if (!(source.diameter > 0.0)) return 0.0;
  return std::min(source.flow, 0.25 * pi * turbulent_reynolds * source.diameter * viscosity_of_gas / source.density);
}

/// m to where the mean on the axis is at `fraction`. A jet never reaches less far than the laminar leak that the same
/// hole gives at a lower pressure: a stronger leak is not judged more kindly.
double reach_to(const SourceJet& source, double fraction) {
  double reach = is_jet(source) ? reach_of_jet(source, fraction) : 0.0;
  const double flow = laminar_flow(source);
  if (!(flow > 0.0)) return reach;
  reach = std::max(reach, laminar_reach(flow, slow_diffusivity, viscosity_of_air, fraction));
  return std::max(reach, reach_of_plume(source, flow, fraction));
}

/// No zone holds more gas than there is.
void keep_to_amount(double amount, double fraction, double mean, Zone& zone) {
  const double most = amount / (mean * fraction);
  if (zone.volume > most) {
    const double share = std::cbrt(most / zone.volume);
    zone.volume = most;
    zone.reach *= share;
    zone.keep_out *= share;
  }
  zone.cloud = std::min(zone.cloud, amount / (0.5 * fraction));
}

}  // namespace

std::string_view word_of(ZoneShape shape) {
  switch (shape) {
    case ZoneShape::jet:
      return "jet";
    case ZoneShape::plume:
      return "plume";
    case ZoneShape::pool:
      break;
  }
  return "pool";
}

double mass_fraction(double fraction, double molar_mass, double air_molar_mass) {
  const double mass = fraction * molar_mass;
  return mass / (mass + (1.0 - fraction) * air_molar_mass);
}

ExitPlane exit_plane(double density, double pressure, double ratio, double ambient) {
  if (!(pressure > ambient)) return {ambient, density, 0.0};
  const double k = ratio;
  const double critical = std::pow(0.5 * (k + 1.0), k / (k - 1.0));
  if (pressure >= critical * ambient) {
    const double exit_density = density * std::pow(2.0 / (k + 1.0), 1.0 / (k - 1.0));
    const double exit_pressure = pressure / critical;
    return {exit_pressure, exit_density, std::sqrt(k * exit_pressure / exit_density)};
  }
  const double fall = -std::expm1((k - 1.0) / k * std::log(ambient / pressure));
  return {ambient, density * std::pow(ambient / pressure, 1.0 / k),
          std::sqrt(2.0 * k / (k - 1.0) * pressure / density * fall)};
}

double jet_reach(double exit_density, double diameter, double ambient_density, double mass_fraction) {
  return jet_decay * std::sqrt(exit_density / ambient_density) * diameter / mass_fraction;
}

double jet_reach_of_momentum(double mass_flow, double momentum, double ambient_density, double mass_fraction) {
  return jet_decay * 2.0 * mass_flow / std::sqrt(pi * ambient_density * momentum) / mass_fraction;
}

double jet_volume(double reach) { return pi * reach * reach * reach / (9.0 * jet_spread); }

double plume_reach(double flow, double reduced_gravity, double fraction) {
  return std::pow(plume_decay / fraction, 0.6) * std::pow(flow, 0.4) * std::pow(reduced_gravity, -0.2);
}

double plume_volume(double reach) { return 5.0 * pi * reach * reach * reach / (27.0 * plume_spread); }

double laminar_reach(double flow, double diffusivity, double viscosity, double fraction) {
  const double schmidt = viscosity / diffusivity;
  return std::min(laminar_length, (2.0 * schmidt + 1.0) * flow / (8.0 * pi * viscosity * fraction));
}

double fraction_over_background(double fraction, double background) {
  return background >= fraction ? 0.0 : (fraction - background) / (1.0 - background);
}

std::optional<Zone> zone_of(const SourceJet& source, double limit, double background) {
  if (!(source.flow > 0.0) || !(limit > 0.0) || limit >= 1.0) return std::nullopt;
  const double fresh = fraction_over_background(limit, background);
  if (!(fresh > 0.0)) return std::nullopt;
  Zone zone;
  zone.shape = is_jet(source) ? ZoneShape::jet : ZoneShape::plume;
  const auto volume = [&](double reach) {
    return zone.shape == ZoneShape::jet ? jet_volume(reach) : plume_volume(reach);
  };
  zone.reach = reach_to(source, fresh);
  zone.volume = volume(zone.reach);
  const double mean = zone.shape == ZoneShape::jet ? jet_mean : plume_mean;
  // Where the end of a laminar stretch decides, what is beyond it is turbulent and thins out as a plume does.
  zone.keep_out = std::max(reach_to(source, 0.5 * fresh), std::pow(2.0, 0.6) * zone.reach);
  zone.cloud = std::max(volume(reach_to(source, 0.5 * fresh / mean)), std::pow(2.0 * plume_mean, 1.8) * zone.volume);
  if (source.amount) keep_to_amount(*source.amount, fresh, mean, zone);
  return zone;
}

}  // namespace leanside
