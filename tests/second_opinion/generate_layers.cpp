// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "second_opinion/generator.hpp"

namespace second_opinion {
namespace {

constexpr double gas_constant = 8.31446261815324;

class LayeredMaker {
 public:
  LayeredMaker(std::uint64_t seed, const Recipe& recipe) : dice_{seed}, recipe_{recipe} {
    site_.title = fmt::format("Invented layers {}", seed);
  }

  Site make() {
    conditions();
    gases();
    spaces();
    prescribed();
    if (recipe_.pressures) openings();
    releases();
    events(site_.events, dice_.below(3));
    if (dice_.chance(0.3)) {
      site_.cases.push_back({"case-1", {}});
      events(site_.cases.back().events, 1 + dice_.below(3));
    }
    return std::move(site_);
  }

 private:
  void conditions() {
    const Value horizon = written_time(dice_, dice_.spread(300, 3 * 86400.0));
    site_.horizon = horizon.si;
    site_.criteria = fmt::format("horizon = \"{}\"\n", horizon.text);
    if (dice_.chance(0.3)) {
      const Value t = written_temperature(dice_, dice_.between(5, 35));
      site_.temperature = t.si;
      site_.conditions += fmt::format("temperature = \"{}\"\n", t.text);
    }
    site_.outside_temperature = site_.temperature;
    if (recipe_.pressures && dice_.chance(0.3)) {
      const Value t = written_temperature(dice_, site_.temperature - 273.15 + dice_.between(-3, 3));
      site_.outside_temperature = t.si;
      site_.conditions += fmt::format("outside_temperature = \"{}\"\n", t.text);
    }
    for (int k = 0; k < 3; ++k) times_.push_back(written_time(dice_, site_.horizon * dice_.spread(1e-2, 0.9)));
    times_.push_back({0.0, "0 s"});
  }

  void gases() {
    light_ = dice_.chance(0.6);
    const std::vector<std::string> light{"hydrogen", "methane"}, heavy{"propane", "carbon-dioxide", "n-butane"};
    gas_ = dice_.of(light_ ? light : heavy);
    gas_index(site_, gas_);
  }

  void spaces() {
    const std::size_t n = 1 + dice_.below(recipe_.most_spaces);
    for (std::size_t i = 0; i < n; ++i) {
      Space s;
      s.id = fmt::format("s{}", i);
      s.height = written(dice_, dice_.spread(1, 12), {{"m", 1}, {"cm", 0.01}});
      s.floor_area = written(dice_, dice_.chance(0.2) ? dice_.spread(0.05, 2) : dice_.spread(3, 1000), {{"m2", 1}});
      s.volume.si = s.floor_area.si * s.height->si;
      s.layered = i == 0 || dice_.chance(0.5);
      if (s.layered) {
        if (dice_.chance(0.3)) s.entrainment = std::round(dice_.between(0.05, 0.2) * 100) / 100;
      } else {
        s.volume = written(dice_, s.volume.si, {{"m3", 1}});
      }
      if (dice_.chance(0.2)) s.air_changes = written(dice_, dice_.spread(1e-3, 3) / 3600, {{"/h", 1.0 / 3600}});
      if (recipe_.pressures && dice_.chance(0.3)) s.elevation = written(dice_, dice_.between(-1, 1), {{"m", 1}});
      site_.spaces.push_back(s);
    }
  }

  bool layered(int side) const { return side != outside && site_.spaces[static_cast<std::size_t>(side)].layered; }

  struct Reach {
    double low = 0, high = 0;
  };
  /// Heights above the floor of the first-named room at which both sides exist.
  Reach common(int first, int second) const {
    Reach out{-1e9, 1e9};
    double floor = 0;
    for (const int side : {second, first}) {
      if (side == outside) continue;
      const Space& s = site_.spaces[static_cast<std::size_t>(side)];
      floor = s.elevation ? s.elevation->si : 0;
      out.low = std::max(out.low, floor);
      out.high = std::min(out.high, floor + s.height->si);
    }
    if (first == outside) return common(second, first);
    return {out.low - floor, out.high - floor};
  }

  Value any_height(int first, int second) {
    const Reach reach = common(first, second);
    const double where = dice_.chance(0.2) ? 1e-4 : dice_.chance(0.2) ? 0.9999 : dice_.between(1e-4, 0.9999);
    if (where == 1e-4 && reach.low == 0) return {0.0, "0 m"};
    return written(dice_, reach.low + (reach.high - reach.low) * where, {{"m", 1}});
  }

  int anywhere(double out_of_doors) {
    return dice_.chance(out_of_doors) ? outside : static_cast<int>(dice_.below(site_.spaces.size()));
  }

  /// Flows of up to a few air changes per hour of the smaller side.
  void prescribed() {
    const std::size_t count = dice_.below(site_.spaces.size() * 2);
    for (std::size_t i = 0; i < count; ++i) {
      Airway a;
      a.id = fmt::format("a{}", i);
      a.way = dice_.chance(0.6) ? Way::fan : Way::exchange;
      a.first = anywhere(0.3);
      a.second = anywhere(a.first == outside ? 0 : 0.5);
      if (a.first == a.second) continue;
      double volume = 1e4;
      for (const int side : {a.first, a.second}) {
        if (side != outside) volume = std::min(volume, site_.spaces[static_cast<std::size_t>(side)].volume.si);
      }
      a.flow = written_flow(dice_, volume * dice_.spread(0.01, 10) / 3600);
      a.on = !dice_.chance(0.15);
      if (layered(a.first) || layered(a.second)) a.height = any_height(a.first, a.second);
      site_.airways.push_back(a);
    }
  }

  /// A gap to outside for every room, then gaps and doorways anywhere.
  void openings() {
    const std::size_t n = site_.spaces.size(), more = dice_.below(4);
    for (std::size_t i = 0; i < n + more; ++i) {
      Airway a;
      a.id = fmt::format("{}-{}", i < n ? "way" : "more", i);
      a.first = i < n ? static_cast<int>(i) : anywhere(0);
      a.second = i < n ? outside : anywhere(0.6);
      if (a.first == a.second) continue;
      const Space& s = site_.spaces[static_cast<std::size_t>(a.first)];
      if (i < n || dice_.chance(0.5)) {
        a.way = Way::gap;
        a.area = written(dice_, dice_.spread(1e-4, 1e-2) * std::min(1.0, s.floor_area.si), {{"cm2", 1e-4}});
        if (dice_.chance(0.5)) a.exponent = 0.5;
        a.height = any_height(a.first, a.second);
      } else {
        a.way = Way::doorway;
        const Reach reach = common(a.first, a.second);
        const double room = reach.high - reach.low, tall = room * dice_.between(0.3, 0.9);
        a.tall = written(dice_, tall, {{"m", 1}});
        a.width = written(dice_, dice_.between(0.1, 1), {{"m", 1}});
        if (reach.low > 0 || dice_.chance(0.3)) {
          a.sill = written(dice_, reach.low + (room - tall) * dice_.between(0.01, 0.99), {{"m", 1}});
        }
        a.open = dice_.chance(0.3) ? std::round(dice_.unit() * 100) / 100 : 1;
      }
      a.on = i < n || !dice_.chance(0.2);
      site_.airways.push_back(a);
    }
  }

  /// From almost nothing to more than the room volume within the horizon.
  void releases() {
    const std::size_t count = 1 + dice_.below(3);
    for (std::size_t i = 0; i < count; ++i) {
      Release r;
      r.id = fmt::format("r{}", i);
      r.into = i == 0 ? 0 : dice_.below(site_.spaces.size());
      const Space& s = site_.spaces[r.into];
      r.gas = {gas_, {{0, 1.0}}, ""};
      if (s.layered) r.height = any_height(static_cast<int>(r.into), outside);
      if (dice_.chance(0.3)) r.start = dice_.of(times_);
      r.on = !dice_.chance(0.1);
      const double volume = s.volume.si * dice_.spread(1e-5, 2),
                   moles = site_.pressure / (gas_constant * site_.temperature);
      if (dice_.chance(0.3)) {
        r.source = Source::dump;
        const Value over = written_time(dice_, site_.horizon * dice_.spread(1e-3, 0.5));
        const Value amount = written(dice_, volume, {{"m3", 1}, {"L", 1e-3}});
        r.amount = amount.si * moles;
        r.lasts = over.si;
        r.rate = r.amount / over.si;
        r.keys = fmt::format("amount = \"{}\"\nover = \"{}\"\n", amount.text, over.text);
      } else {
        const Value rate = written_flow(dice_, volume / site_.horizon);
        r.rate = rate.si * moles;
        r.keys = fmt::format("rate = \"{}\"\n", rate.text);
        if (dice_.chance(0.4)) {
          const Value d = written_time(dice_, site_.horizon * dice_.spread(1e-2, 1));
          r.lasts = d.si;
          r.keys += fmt::format("duration = \"{}\"\n", d.text);
        }
      }
      site_.releases.push_back(r);
    }
  }

  void events(std::vector<Event>& to, std::size_t count) {
    for (std::size_t k = 0; k < count; ++k) {
      Event e;
      e.at = dice_.of(times_);
      if (dice_.chance(0.4)) {
        e.change = Change::release_on;
        e.target = dice_.below(site_.releases.size());
        e.on = dice_.chance(0.5);
      } else if (!site_.airways.empty()) {
        e.target = dice_.below(site_.airways.size());
        const Airway& a = site_.airways[e.target];
        if (a.id.starts_with("way-")) continue;
        if (a.way == Way::doorway && dice_.chance(0.6)) {
          e.change = Change::airway_open;
          e.value.si = dice_.chance(0.2) ? 0 : std::round(dice_.unit() * 100) / 100;
        } else {
          e.on = dice_.chance(0.4);
        }
      } else {
        continue;
      }
      to.push_back(e);
    }
  }

  Dice dice_;
  const Recipe& recipe_;
  Site site_;
  std::vector<Value> times_;
  bool light_ = true;
  std::string gas_;
};

}  // namespace

Site make_layered_site(std::uint64_t seed, const Recipe& recipe) { return LayeredMaker{seed, recipe}.make(); }

}  // namespace second_opinion
