// SPDX-License-Identifier: Apache-2.0
/// Substances for programs, in SI units.
#include "leanside/advanced/flammability.hpp"
#include "leanside/report.hpp"
#include "report/json/json.hpp"

namespace leanside {
namespace {

using namespace report;

Json sourced_json(const Sourced& value) {
  return {{"value", value.value}, {"source", value.source}, {"recalled", value.recalled}};
}

/// Leaves the key out where the value is not known.
void put(Json& out, const char* key, const std::optional<Sourced>& value) {
  if (value) out[key] = sourced_json(*value);
}

Json limits_json(const Substance& substance) {
  Json out = Json::array();
  for (const LimitPair& pair : substance.limits) {
    out.push_back({{"source", pair.source},
                   {"lower", or_null(pair.lower)},
                   {"upper", or_null(pair.upper)},
                   {"recalled", pair.recalled}});
  }
  return out;
}

Json cautious_json(const Substance& substance) {
  const auto chosen = choose_limits(substance, "cautious");
  if (!chosen) return nullptr;
  return {{"lower", chosen->lower},
          {"lower_source", chosen->lower_source},
          {"upper", chosen->upper},
          {"upper_source", chosen->upper_source},
          {"recalled", chosen->recalled}};
}

Json substance_object(const Substance& substance) {
  Json out{{"id", substance.id},           {"name", substance.name}, {"synonyms", substance.synonyms},
           {"formula", substance.formula}, {"cas", substance.cas},   {"classification", substance.classification}};
  out["limits"] = limits_json(substance);
  out["cautious_limits"] = cautious_json(substance);
  out["molar_mass_kg_mol"] = sourced_json(substance.molar_mass);
  out["density_relative_to_air"] = substance.molar_mass.value / molar_mass_of_air;
  put(out, "oxygen_demand_mol_mol", substance.oxygen_demand);
  if (substance.oxygen_demand && substance.oxygen_demand->value > 0.0) {
    out["stoichiometric_fraction"] = stoichiometric_fraction(substance.oxygen_demand->value);
  }
  put(out, "limiting_oxygen", substance.limiting_oxygen);
  put(out, "nitrogen_equivalent", substance.nitrogen_equivalent);
  put(out, "net_heat_j_mol", substance.net_heat);
  put(out, "flash_point_k", substance.flash_point);
  put(out, "autoignition_k", substance.autoignition);
  put(out, "min_ignition_energy_j", substance.min_ignition_energy);
  put(out, "boiling_point_k", substance.boiling_point);
  put(out, "liquid_density_kg_m3", substance.liquid_density);
  put(out, "vapour_pressure_20c_pa", substance.vapour_pressure_20c);
  put(out, "heat_capacity_ratio", substance.heat_capacity_ratio);
  put(out, "diffusivity_in_air_m2_s", substance.diffusivity_in_air);
  put(out, "idlh", substance.idlh);
  put(out, "exposure_limit", substance.exposure_limit);
  put(out, "critical_temperature_k", substance.critical_temperature);
  put(out, "critical_pressure_pa", substance.critical_pressure);
  put(out, "acentric_factor", substance.acentric_factor);
  put(out, "triple_point_k", substance.triple_point);
  put(out, "liquid_heat_j_mol_k", substance.liquid_heat);
  put(out, "boiling_liquid_heat_j_mol_k", substance.boiling_liquid_heat);
  put(out, "gas_heat_j_mol_k", substance.gas_heat);
  return out;
}

Json mixture_object(const Mixture& mixture) {
  Json parts = Json::array();
  for (const MixturePart& part : mixture.parts) {
    parts.push_back({{"substance", part.substance}, {"fraction", part.fraction}});
  }
  return {{"id", mixture.id},   {"name", mixture.name},      {"synonyms", mixture.synonyms},
          {"cas", mixture.cas}, {"parts", std::move(parts)}, {"source", mixture.source}};
}

std::string indented(const Json& json) { return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n"; }

}  // namespace

std::string substance_json(const Substance& substance) { return indented(substance_object(substance)); }

std::string mixture_json(const Mixture& mixture) { return indented(mixture_object(mixture)); }

std::string substance_list_json(const SubstanceTable& table) {
  std::string out = "{\n\"substances\": ";
  {
    JsonList list{out, ""};
    for (const Substance& substance : table.substances()) list.next() += dumped(substance_object(substance));
  }
  out += ",\n\"mixtures\": ";
  {
    JsonList list{out, ""};
    for (const Mixture& mixture : table.mixtures()) list.next() += dumped(mixture_object(mixture));
  }
  return out + "\n}\n";
}

}  // namespace leanside
