// SPDX-License-Identifier: Apache-2.0
#include "input/site/cylinder_content.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "input/site/held_gas.hpp"
#include "input/site/site_sources.hpp"

namespace leanside::input {
namespace {

/// A cylinder of a gas that can be liquefied holds liquid until it is nearly empty: from this share of the dew pressure
/// on, a reading on a colder day explains the pressure better than a cylinder without liquid. Common practice, no
/// source.
constexpr double likely_liquid = 0.5;
/// Where the label gives no pressure: that of most cylinders of compressed gas. Common practice, no source.
constexpr double usual_pressure = 200e5;
/// Of a full cylinder of acetylene at about 15 degC, and what its water volume holds: common practice, no source.
constexpr double acetylene_pressure = 19e5, acetylene_density = 0.2e3;
/// A liquefied gas hardly comes out where its vapour pressure is that of the air; it is not taken for less than this
/// over it.
constexpr double least_excess = 1.05;
/// What boils above this is a liquid, K.
constexpr double highest_boiling = zero_celsius + 40.0;

/// kg/m3 of the liquid; empty where a part has no equation at that temperature.
std::optional<double> density_of(const std::vector<GasPart>& parts, double temperature) {
  double volume = 0.0, mass = 0.0;
  for (const GasPart& part : parts) {
    const auto density = liquid_density(*part.substance, temperature);
    if (!density) return {};
    mass += part.fraction * part.substance->molar_mass.value;
    volume += part.fraction * part.substance->molar_mass.value / *density;
  }
  return mass / volume;
}

/// kg/m3 of water volume that a cylinder may be filled with: 0.95 of the density of the liquid at 50 degC; of a gas
/// that is above its critical temperature at 65 degC, what brings it to 250 bar there. Source: UN Model Regulations,
/// packing instruction P200 (the first rule; ADR 4.3.3.2.2 read; the second from memory).
std::optional<double> filling(const CylinderContent& content) {
  constexpr double hot = zero_celsius + 50.0, test = zero_celsius + 65.0, test_pressure = 250e5;
  if (const auto density = density_of(content.parts, hot)) {
    if (density_of(content.parts, test)) return 0.95 * *density;
  }
  const auto z = compressibility(content.parts, test, test_pressure);
  if (!z) return {};
  return test_pressure * content.gas.molar_mass / (*z * gas_constant * test);
}

double z_of(const CylinderContent& content, double pressure) {
  return compressibility(content.parts, content.gas.temperature, pressure).value_or(1.0);
}

double held_at(const CylinderContent& content, double pressure) {
  return pressure * content.volume / (z_of(content, pressure) * gas_constant * content.gas.temperature);
}

std::string kilograms(double moles, const HeldGas& gas, UnitSystem units) {
  const double mass = moles * gas.molar_mass;
  return format_quantity(mass, mass < 1.0 ? "g" : "kg", 3, units);
}

/// The values of the table, as far as they are there and right.
struct Label {
  std::optional<double> contents, volume, pressure;  // mol, m3, Pa
  double filled = 1.0;
  UnitSystem units = UnitSystem::si;  // of what people read
};

Label read_label(const TableReader& table, const Release& release, const Site& site) {
  Label label;
  label.units = site.conditions.units;
  if (const auto contents = table.quantity("contents", amount_dimensions, Sign::positive)) {
    label.contents = moles(*contents, release.gas, site);
  }
  label.volume = table.quantity("water_volume", Dimension::volume, Sign::positive);
  if (label.volume && *label.volume > 5.0) {
    table.value_notice("water_volume",
                       fmt::format("{} is the water volume of a tank rather than of a cylinder; is it that, and not "
                                   "the volume of the gas set free?",
                                   table.faults().amount(*label.volume, "m3")));
  }
  if (table.has("pressure")) label.pressure = read_held_pressure(table, site.conditions.pressure);
  label.filled = table.fraction("filled").value_or(1.0);
  if (!(label.filled > 0.0)) {
    table.value_error("filled", "must be more than 0: leave an empty cylinder out");
    label.filled = 1.0;
  }
  return label;
}

bool says_how_much(const TableReader& table) {
  if (table.has("contents") || table.has("water_volume")) return true;
  return table.require("contents", "\"13 kg\" or \"10 m3\" of gas, from its label, or water_volume and pressure");
}

void liquefied(const Label& label, double bubble_pressure, double ambient, CylinderContent& content) {
  content.pressure = std::max(bubble_pressure, least_excess * ambient);
  content.gas.compressibility = std::min(1.0, z_of(content, content.pressure));
  content.density = density_of(content.parts, content.gas.temperature).value_or(0.0);
  std::string basis = "as labelled";
  if (label.contents) {
    content.amount = *label.contents * label.filled;
  } else if (const auto full = filling(content)) {
    content.amount = *full * *label.volume / content.gas.molar_mass * label.filled;
    basis = fmt::format("the most that its water volume may be filled with{}",
                        label.filled < 1.0 ? ", less what is out" : "");
  } else {
    content.amount = 0.0;
    return;
  }
  content.remark =
      fmt::format("holds {} of liquefied gas, {}", kilograms(content.amount, content.gas, label.units), basis);
  content.remark += content.liquid_out
                        ? "; liquid comes out, as fast as it can without boiling in the hole, and is vapour at once"
                        : fmt::format(
                              "; its gas comes out at {}, the vapour pressure, until it is empty (a real one "
                              "cools and slows down)",
                              format_quantity(content.pressure, "bar", 3, label.units));
}

void dissolved(const Label& label, CylinderContent& content) {
  content.pressure = label.pressure.value_or(acetylene_pressure) * (label.pressure ? label.filled : 1.0);
  content.gas.compressibility = std::min(1.0, z_of(content, content.pressure));
  content.amount =
      label.filled * (label.contents ? *label.contents : acetylene_density * *label.volume / content.gas.molar_mass);
  content.remark = fmt::format("holds {} of dissolved gas, {}; it comes out at {} until it is empty",
                               kilograms(content.amount, content.gas, label.units),
                               label.contents ? "as labelled" : "0.2 kg for each litre of its water volume",
                               format_quantity(content.pressure, "bar", 3, label.units));
}

/// The pressure, Pa, at which the volume holds `amount` mol.
double pressure_of(const CylinderContent& content, double amount) {
  double low = 1.0, high = 1e8;
  for (int k = 0; k < 80; ++k) {
    const double middle = std::sqrt(low * high);
    (held_at(content, middle) < amount ? low : high) = middle;
  }
  return high;
}

void compressed(const Label& label, double ambient, CylinderContent& content) {
  content.known = compressibility(content.parts, content.gas.temperature, usual_pressure).has_value();
  content.pressure = label.pressure.value_or(usual_pressure);
  if (label.volume) {
    content.volume = *label.volume;
    if (!label.pressure && label.contents) content.pressure = pressure_of(content, *label.contents);
  } else {
    content.volume =
        *label.contents * z_of(content, content.pressure) * gas_constant * content.gas.temperature / content.pressure;
  }
  if (!label.pressure && !(label.volume && label.contents)) {
    content.remark =
        fmt::format("is at {} when full, as most are", format_quantity(usual_pressure, "bar", 3, label.units));
  }
  // One that is nearly empty still lets a little out, but none holds more than its label says.
  content.pressure = std::max(content.pressure * label.filled, std::min(content.pressure, least_excess * ambient));
  content.amount = held_at(content, content.pressure);
  content.gas.compressibility = std::min(1.0, z_of(content, content.pressure));
  const std::string holds = "holds " + kilograms(content.amount, content.gas, label.units);
  content.remark = content.remark.empty() ? holds : content.remark + " and " + holds;
}

bool read_position(const TableReader& table) {
  const auto* position = table.text_at("position");
  if (position == nullptr || *position == "upright") return false;
  if (*position == "lying" || *position == "inverted") return true;
  table.value_error("position",
                    fmt::format("found {}; expected \"upright\", \"lying\" or \"inverted\"", shown(*position)));
  return false;
}

/// Whether it boils so high that it is a liquid to be spilled; with a fault.
bool is_a_liquid(const TableReader& table, const CylinderContent& content, double bubble_pressure, double ambient) {
  if (bubble_pressure >= ambient) return false;
  const bool boils = std::ranges::any_of(content.parts, [](const GasPart& part) {
    return !part.substance->boiling_point || part.substance->boiling_point->value < highest_boiling;
  });
  if (boils) return false;
  table.value_error("gas", "is a liquid that does not come out of a cylinder by itself; give it as a 'spill'");
  return true;
}

}  // namespace

std::optional<CylinderContent> read_content(const TableReader& table, const Release& release, const HeldGas& gas,
                                            const Draft& draft) {
  const Site& site = draft.site;
  const double ambient = site.conditions.pressure;
  CylinderContent content;
  content.gas = gas;
  content.parts = parts_of(release, site);
  const bool lies = read_position(table);
  const bool enough = says_how_much(table);
  const Label label = read_label(table, release, site);
  if (!enough || (!label.contents && !label.volume) || (table.has("pressure") && !label.pressure)) return {};
  const Condensation condensed = condensation(content.parts, gas.temperature);
  const bool condenses = condensed.known && !content.parts.empty() && std::isfinite(condensed.bubble_pressure);
  const bool acetylene = content.parts.size() == 1 && content.parts.front().substance->id == "acetylene";
  if (acetylene) {
    content.kind = Content::dissolved;
    dissolved(label, content);
  } else if (condenses && (!label.pressure || *label.pressure > likely_liquid * condensed.dew_pressure)) {
    if (is_a_liquid(table, content, condensed.bubble_pressure, ambient)) return {};
    content.kind = Content::liquefied;
    content.liquid_out = lies;
    liquefied(label, condensed.bubble_pressure, ambient, content);
  } else {
    compressed(label, ambient, content);
    content.known = content.known && condensed.known;
    if (!label.contents && !label.pressure) {
      table.require("pressure", "\"200 bar\", beside water_volume, or contents = \"10 m3\" from its label");
      return {};
    }
  }
  if (content.amount > 0.0) return content;
  table.value_error("water_volume", fmt::format("how much of {} that holds is not known; give contents, its mass, from "
                                                "the label",
                                                shown(release.gas.name)));
  return {};
}

CylinderRelease leaking(const CylinderContent& content, const Hole& hole, double ambient) {
  CylinderRelease cylinder;
  cylinder.held = content.gas;
  cylinder.hole = hole;
  cylinder.ambient = ambient;
  cylinder.pressure = content.pressure;
  cylinder.water_volume = content.volume;
  if (content.kind == Content::compressed) {
    if (content.known) {
      cylinder.course = real_gas_outflow(content.parts, content.gas, hole, content.volume, content.pressure, ambient);
    }
    return cylinder;
  }
  constexpr double at_once = 60.0;  // s, where the density of a liquid is not known
  double rate = discharge_rate(content.gas, hole, content.pressure, ambient);
  if (content.liquid_out) {
    rate = content.density > 0.0
               ? liquid_discharge(hole, content.density, content.gas.molar_mass, content.pressure, ambient)
               : content.amount / at_once;
  }
  cylinder.course = Outflow{{{content.amount, rate, rate, content.pressure}}};
  return cylinder;
}

}  // namespace leanside::input
