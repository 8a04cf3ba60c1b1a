// SPDX-License-Identifier: Apache-2.0
/// Liquefied gas, pools of mixtures and of petroleum, liquids that boil, dewars, cylinders that merely stand there.
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "leanside/substance_file.hpp"
#include "second_opinion/generator.hpp"
#include "second_opinion/liquids.hpp"
#include "second_opinion/sources.hpp"

namespace second_opinion {
namespace {

constexpr double pi = 3.14159265358979323846;
/// m2 of the holes that a standing cylinder is given.
constexpr double typical_fitting = 0.1e-6, broken_hose = 1.2566370614e-5;

std::string line(const char* key, const std::string& text) { return fmt::format("{} = \"{}\"\n", key, text); }

class LiquidMaker {
 public:
  LiquidMaker(Dice& dice, Site& site, Release& release) : dice_{dice}, site_{site}, r_{release} {}

  void any() {
    const bool floor = site_.spaces[r_.into].volume.si > 0;
    const double kind = dice_.unit();
    if (kind < 0.25 || (!floor && kind < 0.8)) return cylinder(true);
    if (kind < 0.6) return pool();
    if (kind < 0.8) return boiling();
    if (kind < 0.9) return dewar();
    cylinder(false);
  }

 private:
  void consist_of(const std::string& id, const std::vector<std::pair<std::string, double>>& parts) {
    r_.gas.id = id;
    for (const auto& [gas, share] : parts) r_.gas.shares.push_back({gas_index(site_, gas), share});
  }

  void pure(const std::vector<std::string>& ids) {
    const std::string id = dice_.of(ids);
    consist_of(id, {{id, 1.0}});
  }

  double moles_of(double kilograms) const { return kilograms / double(molar_mass_of(site_, r_)); }

  /// Liquefied gas by its mass or by the water volume; with a hole, or standing there.
  void cylinder(bool leaks) {
    r_.source = leaks ? Source::cylinder : Source::standing;
    r_.temperature = site_.temperature_of(r_.into);
    if (!leaks && dice_.chance(0.4)) return compressed();
    if (dice_.chance(0.3)) {
      consist_of("lpg", {{"propane", 0.7}, {"n-butane", 0.3}});
    } else {
      pure({"propane", "n-butane", "ammonia", "isobutane", "propylene", "dimethyl-ether"});
    }
    if (dice_.chance(0.3)) {
      const Value t = written_temperature(dice_, dice_.between(0, 45));
      r_.temperature = t.si;
      r_.keys += line("temperature", t.text);
    }
    if (dice_.chance(0.6)) {
      const Value mass = written(dice_, dice_.spread(0.05, 20), {{"kg", 1}, {"g", 1e-3}});
      r_.amount = moles_of(mass.si);
      r_.keys += line("contents", mass.text);
    } else {
      const Value water = written(dice_, dice_.spread(1e-4, 0.05), {{"L", 1e-3}});
      r_.amount = moles_of(0.95 * double(liquid_density(site_, r_, 323.15L)) * water.si);
      r_.keys += line("water_volume", water.text);
    }
    if (dice_.chance(0.3)) {
      const double filled = std::round(dice_.between(0.05, 1) * 100) / 100;
      r_.amount *= filled;
      r_.keys += fmt::format("filled = {}\n", filled);
    }
    if (dice_.chance(0.3)) {
      r_.liquid_out = true;
      r_.keys += line("position", dice_.chance(0.5) ? "lying" : "inverted");
    }
    finish();
  }

  void compressed() {
    pure({"hydrogen", "methane", "nitrogen", "helium"});
    const Value pressure = written(dice_, dice_.spread(5e5, 2e7), {{"bar", 1e5}, {"MPa", 1e6}});
    const Value water = written(dice_, dice_.spread(1e-3, 0.05), {{"L", 1e-3}});
    r_.pressure = pressure.si;
    r_.volume = water.si;
    r_.keys += line("pressure", pressure.text) + line("water_volume", water.text);
    finish();
  }

  void finish() {
    r_.discharge = 0.85;
    if (dice_.chance(0.2)) r_.keys += fmt::format("count = {}\n", 1 + dice_.below(6));
    if (r_.source == Source::standing) {
      r_.on = false;
      r_.hole_area = broken_hose;
      find_course(site_, r_);
      const double all = double(content_above_ambient(r_));
      r_.lasts = 60;
      r_.rate = all / 60;
      return;
    }
    if (dice_.chance(0.3)) {
      r_.hole_area = typical_fitting;
      r_.keys += line("hole", "typical fitting");
    } else {
      const Value diameter = written(dice_, dice_.spread(5e-5, 3e-3), {{"mm", 1e-3}});
      r_.hole_area = pi / 4 * diameter.si * diameter.si;
      r_.keys += line("hole", diameter.text);
    }
    find_course(site_, r_);
  }

  void spilled(double heaviest, double widest) {
    const Value mass = written(dice_, dice_.spread(1e-3, heaviest), {{"kg", 1}, {"g", 1e-3}});
    const Value area = written(dice_, dice_.spread(1e-3, widest) * std::min(1.0, site_.spaces[r_.into].volume.si),
                               {{"m2", 1}, {"cm2", 1e-4}});
    r_.amount = moles_of(mass.si);
    r_.pool_area = area.si;
    r_.keys += line("amount", mass.text) + line("area", area.text);
  }

  /// A mixture of the file, thinner, or a fraction of petroleum.
  void pool() {
    r_.source = Source::spill;
    const double kind = dice_.unit();
    if (kind < 0.25) {
      pure({"gasoline", "white-spirit", "kerosene", "diesel"});
    } else if (kind < 0.45) {
      consist_of("thinner", {{"toluene", 0.5}, {"acetone", 0.25}, {"n-butyl-acetate", 0.1}, {"ethanol", 0.15}});
    } else {
      mixture();
    }
    spilled(1, 1);
    r_.air_speed = 0.2;
    if (dice_.chance(0.4)) {
      const Value speed = written(dice_, dice_.between(0.05, 1), {{"m/s", 1}});
      r_.air_speed = speed.si;
      r_.keys += line("air_speed", speed.text);
    }
    // No liquid here is solid at 8 degC, and none boils there. One that is warmer than its boiling point is heated by
    // somebody, which is not tried here.
    Value t = written_temperature(dice_, dice_.between(8, 35));
    if (double(bubble_pressure(site_, r_, t.si)) > 0.98 * site_.pressure) t = written_temperature(dice_, 8);
    r_.temperature = t.si;
    r_.keys += line("temperature", t.text);
    const double around = site_.temperature_of(r_.into);
    if (around < 283 || double(bubble_over(around)) < site_.pressure) return;
    r_.source = Source::boiling;
    find_course(site_, r_);
  }

  /// As bubble_pressure; a fraction of petroleum has its line above its range too.
  Real bubble_over(double temperature) const {
    Real sum = 0;
    for (const Share& s : r_.gas.shares) {
      const auto& e = *leanside::built_in_substances().find(site_.gases[s.gas].id)->vapour_pressure;
      const Real t = temperature;
      sum += Real(s.fraction) * std::exp(e.c1 + e.c2 / t + e.c3 * std::log(t) + e.c4 * std::pow(t, Real(e.c5)));
    }
    return sum;
  }

  void mixture() {
    std::vector<std::string> ids{"acetone",  "toluene",  "ethanol",   "n-hexane",      "n-heptane",
                                 "methanol", "o-xylene", "n-pentane", "ethyl-acetate", "cyclohexane"};
    const std::size_t count = 2 + dice_.below(3);
    std::vector<std::pair<std::string, double>> parts;
    double left = 1;
    for (std::size_t k = 0; k < count; ++k) {
      const std::size_t at = dice_.below(ids.size());
      const double share = k + 1 == count ? left : std::round(left * dice_.between(0.02, 0.9) * 1e4) / 1e4;
      left = std::round((left - share) * 1e6) / 1e6;
      parts.emplace_back(ids[at], share);
      ids.erase(ids.begin() + std::ptrdiff_t(at));
    }
    const std::string id = fmt::format("liquid-{}", site_.blends.size() + 1);
    std::string text;
    for (const auto& [gas, share] : parts) text += fmt::format("{}{} = {}", text.empty() ? "" : ", ", gas, share);
    consist_of(id, parts);
    r_.gas.in_file = fmt::format("\n[[gas]]\nid = \"{}\"\nsource = \"invented\"\nparts = {{ {} }}\n", id, text);
    site_.blends.push_back(r_.gas);
  }

  /// A liquid that boils below the temperature of its space.
  void boiling() {
    r_.source = Source::boiling;
    pure({"propane", "nitrogen", "ammonia", "propylene", "oxygen", "n-butane"});
    const std::string& id = r_.gas.id;
    const double boils = double(boiling_point(site_, id)), around = site_.temperature_of(r_.into);
    if (around < boils + 5) {  // too cold to boil by itself
      r_.gas.shares.clear();
      return pool();
    }
    spilled(3, 2);
    r_.temperature = boils;
    if (dice_.chance(0.3) && boils > 230 && around > boils + 10) {
      const Value t = written_temperature(dice_, boils - 273.15 + dice_.between(2, 9));
      r_.temperature = t.si;
      r_.keys += line("temperature", t.text);
    }
    find_course(site_, r_);
  }

  void dewar() {
    r_.source = Source::dewar;
    pure({"nitrogen", "argon", "oxygen", "helium"});
    const Value mass = written(dice_, dice_.spread(0.1, 100), {{"kg", 1}, {"g", 1e-3}});
    const Value time = written_time(dice_, dice_.spread(3600, 20 * 86400.0));
    r_.amount = moles_of(mass.si);
    r_.lasts = time.si;
    r_.rate = r_.amount / time.si;
    r_.keys = line("contents", mass.text) + line("holding_time", time.text);
  }

  Dice& dice_;
  Site& site_;
  Release& r_;
};

}  // namespace

void make_liquid(Dice& dice, Site& site, Release& release) { LiquidMaker{dice, site, release}.any(); }

void add_what_may_happen(Site& site) {
  const std::size_t written = site.releases.size();
  std::vector<Case> cases;
  for (std::size_t k = 0; k < written; ++k) {
    if (site.releases[k].source != Source::standing) continue;
    const auto in_a_case = [&](std::size_t release, const std::string& id) {
      Event start;
      start.at = site.releases[k].start;
      start.change = Change::release_on;
      start.target = release;
      cases.push_back({id, {start}, true});
    };
    const std::string id = site.releases[k].id;
    for (const auto& [suffix, area] : {std::pair{":seep", typical_fitting}, {":break", broken_hose}}) {
      Release leak = site.releases[k];
      leak.id += suffix;
      leak.source = Source::cylinder;
      leak.hole_area = area;
      leak.added = true;
      find_course(site, leak);
      in_a_case(site.releases.size(), leak.id);
      site.releases.push_back(leak);
    }
    in_a_case(k, id + ":all");
  }
  site.cases.insert(site.cases.end(), cases.begin(), cases.end());
}

}  // namespace second_opinion
