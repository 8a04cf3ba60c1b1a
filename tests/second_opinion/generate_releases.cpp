// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include <fmt/format.h>

#include "leanside/substance.hpp"
#include "leanside/substance_file.hpp"
#include "second_opinion/generator.hpp"
#include "second_opinion/sources.hpp"

namespace second_opinion {
namespace {

constexpr double gas_constant = 8.31446261815324;
constexpr double mass_of_air = 0.0289655;  ///< kg/mol

std::optional<double> value_of(const std::optional<leanside::Sourced>& from) {
  return from ? std::optional<double>{from->value} : std::nullopt;
}

std::size_t from_table(Site& site, const std::string& id) {
  for (std::size_t k = 0; k < site.gases.size(); ++k) {
    if (site.gases[k].id == id) return k;
  }
  const leanside::Substance& entry = *leanside::built_in_substances().find(id);
  Gas gas;
  gas.id = id;
  gas.molar_mass = entry.molar_mass.value;
  for (const auto& pair : entry.limits) {
    if (pair.lower) gas.lower = std::min(gas.lower.value_or(1), *pair.lower);
    if (pair.upper) gas.upper = std::max(gas.upper.value_or(0), *pair.upper);
  }
  gas.least_oxygen = value_of(entry.limiting_oxygen);
  gas.nitrogen_equivalent = value_of(entry.nitrogen_equivalent);
  gas.demand = value_of(entry.oxygen_demand);
  gas.heat = value_of(entry.net_heat);
  gas.heat_ratio = value_of(entry.heat_capacity_ratio);
  gas.diffusivity = value_of(entry.diffusivity_in_air);
  gas.oxygen = id == "oxygen";
  site.gases.push_back(gas);
  return site.gases.size() - 1;
}

Gas of_file(Dice& dice) {
  Gas gas;
  gas.id = "lab-gas";
  gas.molar_mass = std::round(dice.between(2, 80)) / 1000;
  gas.in_file = fmt::format("\n[[gas]]\nid = \"lab-gas\"\nsource = \"invented\"\nmolar_mass = \"{} g/mol\"\n",
                            std::round(gas.molar_mass * 1000));
  const auto add = [&](const char* key, double share) {
    gas.in_file += fmt::format("{} = {}\n", key, share);
    return share;
  };
  gas.lower = add("lfl", std::round(dice.between(0.01, 0.1) * 1000) / 1000);
  gas.upper = add("ufl", std::round(dice.between(0.12, 0.9) * 1000) / 1000);
  if (dice.chance(0.6)) gas.demand = add("oxygen_demand", std::round(dice.between(0.5, 8) * 2) / 2);
  if (gas.demand && dice.chance(0.6)) gas.least_oxygen = add("loc", std::round(dice.between(0.04, 0.12) * 1000) / 1000);
  return gas;
}

double molar_mass(const Site& site, const Blend& blend) {
  double air = 1, sum = 0;
  for (const Share& s : blend.shares) {
    air -= s.fraction;
    sum += s.fraction * site.gases[s.gas].molar_mass;
  }
  return sum + air * mass_of_air;
}

Blend any_blend(Dice& dice, Site& site) {
  const double kind = dice.unit();
  if (kind < 0.04) return {"air", {}, ""};
  if (kind < 0.12) {
    return {"lpg", {{from_table(site, "propane"), 0.7}, {from_table(site, "n-butane"), 0.3}}, ""};
  }
  if (kind < 0.25 && !site.blends.empty()) return dice.of(site.blends);
  const std::size_t k = dice.below(site.gases.size());
  return {site.gases[k].id, {{k, 1.0}}, ""};
}

std::string line(const char* key, const std::string& text) { return fmt::format("{} = \"{}\"\n", key, text); }

class ReleaseMaker {
 public:
  ReleaseMaker(Dice& dice, Site& site) : dice_{dice}, site_{site} {}

  Value rate(Release& r, double volume_rate) {
    const double moles = site_.pressure * volume_rate / (gas_constant * site_.temperature);
    if (dice_.chance(0.25)) {
      const double mass = molar_mass(site_, r.gas);
      Value v = written(dice_, moles * mass, {{"g/min", 1e-3 / 60}, {"kg/h", 1.0 / 3600}});
      v.si /= mass;
      return v;
    }
    if (dice_.chance(0.25)) return written(dice_, moles, {{"mol/s", 1}, {"mmol/min", 1e-3 / 60}});
    Value v = written_flow(dice_, volume_rate);
    v.si *= site_.pressure / (gas_constant * site_.temperature);
    return v;
  }

  void steady(Release& r, double flow) {
    const Value v = rate(r, flow);
    r.rate = v.si;
    r.keys = line("rate", v.text);
    maybe_ends(r);
  }

  void maybe_ends(Release& r) {
    if (!dice_.chance(0.35)) return;
    const Value d = dice_.chance(0.1) ? Value{0.0, "0 s"} : written_time(dice_, site_.horizon * dice_.spread(1e-3, 1));
    r.lasts = d.si;
    r.keys += line("duration", d.text);
  }

  void dump(Release& r, double flow) {
    r.source = Source::dump;
    const Value over = written_time(dice_, site_.horizon * dice_.spread(1e-5, 0.5));
    Value amount = written(dice_, flow * over.si, {{"m3", 1}, {"L", 1e-3}});
    if (amount.si <= 0) amount = {1e-6, "1e-3 L"};
    r.amount = amount.si * site_.pressure / (gas_constant * site_.temperature);
    r.lasts = over.si;
    r.rate = r.amount / over.si;
    r.keys = line("amount", amount.text) + line("over", over.text);
  }

  void fittings(Release& r, double flow) {
    r.source = Source::fittings;
    const auto count = 1 + dice_.below(20);
    const Value each = rate(r, flow / static_cast<double>(count));
    r.rate = each.si * static_cast<double>(count);
    r.keys = fmt::format("count = {}\n", count) + line("each", each.text);
  }

  void charging(Release& r) {
    r.source = Source::charging;
    const auto cells = 1 + dice_.below(100);
    r.gas = {"", {{from_table(site_, "hydrogen"), 1.0}}, ""};
    Value current = written(dice_, dice_.spread(0.01, 100), {{"A", 1}, {"mA", 1e-3}});
    r.keys = fmt::format("cells = {}\n", cells);
    if (dice_.chance(0.5)) {
      const Value capacity = written(dice_, dice_.spread(1, 500), {{"Ah", 1}});
      r.keys += line("battery", "vented-lead") + line("regime", "boost") + line("capacity", capacity.text);
      current.si = 0.020 * capacity.si;
    } else {
      r.keys += line("current", current.text);
    }
    r.rate = static_cast<double>(cells) * current.si / (2 * 96485.33212331);
    maybe_ends(r);
  }

  /// The yield: the smallest amount over coefficient, times the coefficient of the gas.
  void reaction(Release& r, bool even) {
    r.source = even ? Source::even_reaction : Source::reaction;
    r.gas = {"", {{from_table(site_, "hydrogen"), 1.0}}, ""};
    const Value metal = written(dice_, dice_.spread(1e-4, 1), {{"g", 1e-3}, {"kg", 1}});
    const Value acid = written(dice_, dice_.spread(1e-5, 1e-2), {{"mL", 1e-6}, {"L", 1e-3}});
    r.amount = 3 * std::min(metal.si / 0.026982 / 2, acid.si * 2000 / 6);
    r.keys = line("reaction", "aluminium-hydrochloric-acid") +
             fmt::format("amounts = {{ aluminium = \"{}\", hydrochloric-acid = [\"{}\", \"2 mol/L\"] }}\n", metal.text,
                         acid.text);
    const Value t = written_time(dice_, site_.horizon * dice_.spread(1e-3, 0.5));
    r.keys += line(even ? "over" : "half_time", t.text);
    r.half_time = t.si;
    r.lasts = even ? t.si : 40 * t.si;
    r.rate = even ? r.amount / t.si : 0;
  }

  void hole(Release& r, bool cylinder) {
    r.source = cylinder ? Source::cylinder : Source::orifice;
    const std::size_t k =
        from_table(site_, dice_.of(std::vector<std::string>{"hydrogen", "methane", "nitrogen", "helium"}));
    r.gas = {site_.gases[k].id, {{k, 1.0}}, ""};
    const Value pressure = dice_.chance(0.4)
                               ? written(dice_, site_.pressure * dice_.between(1.01, 2.5), {{"bar", 1e5}, {"kPa", 1e3}})
                               : written(dice_, dice_.spread(3e5, 2e7), {{"bar", 1e5}, {"MPa", 1e6}});
    const Value diameter = written(dice_, dice_.spread(1e-5, 2e-3), {{"mm", 1e-3}});
    r.pressure = pressure.si;
    r.hole_area = 3.14159265358979323846 / 4 * diameter.si * diameter.si;
    r.discharge = 0.85;
    r.temperature = site_.temperature_of(r.into);
    r.keys = line("pressure", pressure.text) + line("hole", diameter.text);
    if (dice_.chance(0.3)) {
      r.discharge = 0.6;
      r.keys += "discharge = 0.6\n";
    }
    if (dice_.chance(0.3)) {
      const Value t = written_temperature(dice_, dice_.between(0, 40));
      r.temperature = t.si;
      r.keys += line("temperature", t.text);
    }
    if (cylinder) {
      const Value water = written(dice_, dice_.spread(1e-3, 0.1), {{"L", 1e-3}});
      r.volume = water.si;
      r.keys += line("water_volume", water.text);
      find_course(site_, r);
    } else {
      r.rate = double(through_hole(site_, r, r.pressure));
      maybe_ends(r);
    }
  }

  void any(Release& r, const Recipe& recipe, double flow) {
    if (recipe.liquids && dice_.chance(0.7)) return make_liquid(dice_, site_, r);
    if (recipe.varying && dice_.chance(0.6)) {
      const double kind = dice_.unit();
      if (kind < 0.4) return hole(r, true);
      if (kind < 0.65) return reaction(r, false);
      if (site_.spaces[r.into].volume.si > 0) return spill(r);
    }
    r.gas = any_blend(dice_, site_);
    const double kind = dice_.unit();
    if (kind < 0.4) return steady(r, flow);
    if (kind < 0.6) return dump(r, flow);
    if (kind < 0.7) return fittings(r, flow);
    if (kind < 0.8) return charging(r);
    if (kind < 0.9) return reaction(r, true);
    hole(r, false);
  }

  void spill(Release& r) {
    r.source = Source::spill;
    const std::size_t k = from_table(site_, dice_.of(std::vector<std::string>{"acetone", "ethanol", "toluene"}));
    r.gas = {site_.gases[k].id, {{k, 1.0}}, ""};
    const Value amount = written(dice_, dice_.spread(1e-3, 1), {{"kg", 1}, {"g", 1e-3}});
    const Value area = written(dice_, dice_.spread(1e-3, 1) * std::min(1.0, site_.spaces[r.into].volume.si),
                               {{"m2", 1}, {"cm2", 1e-4}});
    r.amount = amount.si / site_.gases[k].molar_mass;
    r.pool_area = area.si;
    r.air_speed = 0.2;
    r.temperature = site_.temperature_of(r.into);
    r.keys = line("amount", amount.text) + line("area", area.text);
    if (dice_.chance(0.4)) {
      const Value speed = written(dice_, dice_.between(0.05, 1), {{"m/s", 1}});
      r.air_speed = speed.si;
      r.keys += line("air_speed", speed.text);
    }
    const Value t = written_temperature(dice_, dice_.between(10, 30));
    r.temperature = t.si;
    r.keys += line("temperature", t.text);
  }

 private:
  Dice& dice_;
  Site& site_;
};

}  // namespace

std::size_t gas_index(Site& site, const std::string& id) { return from_table(site, id); }

void add_gases(Dice& dice, Site& site) {
  const std::vector<std::string> common{"hydrogen", "methane", "propane",        "carbon-monoxide",
                                        "nitrogen", "oxygen",  "carbon-dioxide", "ethane"};
  const std::size_t count = 1 + dice.below(3);
  for (std::size_t k = 0; k < count; ++k) from_table(site, dice.of(common));
  if (dice.chance(0.2)) site.gases.push_back(of_file(dice));
  if (!dice.chance(0.2)) return;
  const double share = std::round(dice.between(0.05, 0.95) * 1000) / 1000;
  Blend blend{"blend", {{0, share}}, ""};
  blend.in_file = fmt::format("\n[[gas]]\nid = \"blend\"\nsource = \"invented\"\nparts = {{ {} = {}, air = {} }}\n",
                              site.gases[0].id, share, std::round((1 - share) * 1000) / 1000);
  site.blends.push_back(blend);
}

void add_releases(Dice& dice, Site& site, const Recipe& recipe, const std::vector<Value>& times) {
  ReleaseMaker maker{dice, site};
  const std::size_t count = dice.below(5) + (recipe.varying ? 1 : 0);
  double largest = 1e-4;
  for (const Airway& a : site.airways) largest = std::max(largest, a.flow.si);
  for (std::size_t i = 0; i < count; ++i) {
    Release r;
    r.id = fmt::format("r{}", i);
    r.into = dice.below(site.spaces.size());
    r.on = !dice.chance(0.15);
    if (dice.chance(0.4)) r.start = dice.of(times);
    maker.any(r, recipe, largest * dice.spread(1e-6, 3));
    site.releases.push_back(r);
  }
}

}  // namespace second_opinion
