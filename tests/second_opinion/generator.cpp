// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/generator.hpp"

#include <algorithm>
#include <cstdlib>
#include <numeric>

#include <fmt/format.h>

namespace second_opinion {
namespace {

class Maker {
 public:
  Maker(std::uint64_t seed, const Recipe& recipe) : dice_{seed}, recipe_{recipe} {
    site_.title = fmt::format("Invented site {}", seed);
  }

  Site make() {
    conditions();
    criteria();
    add_gases(dice_, site_);
    spaces();
    airways();
    if (!recipe_.joined) steady_junctions();
    if (recipe_.pressures) openings();
    if (recipe_.joined) without_loops();
    stand_cabinets();
    for (int k = 0; k < 4; ++k) times_.push_back(written_time(dice_, site_.horizon * dice_.spread(1e-4, 0.9)));
    times_.push_back({0.0, "0 s"});
    if (dice_.chance(0.3)) times_.push_back(written_time(dice_, site_.horizon * 1.5));
    add_releases(dice_, site_, recipe_, times_);
    events(site_.events, dice_.chance(0.3) ? 1 : 0);
    const std::size_t cases = dice_.below(3);
    for (std::size_t c = 0; c < cases; ++c) {
      site_.cases.push_back({fmt::format("case-{}", c + 1), {}});
      events(site_.cases.back().events, 1 + dice_.below(5));
    }
    add_what_may_happen(site_);
    return std::move(site_);
  }

 private:
  void conditions() {
    if (dice_.chance(0.4)) put_temperature("temperature", site_.temperature, dice_.between(5, 35));
    site_.outside_temperature = site_.temperature;
    if (dice_.chance(0.4)) put_temperature("outside_temperature", site_.outside_temperature, dice_.between(-15, 40));
    if (dice_.chance(0.3)) {
      const Value p = written(dice_, dice_.between(70e3, 108e3), {{"Pa", 1}, {"kPa", 1e3}, {"mbar", 100}});
      site_.pressure = p.si;
      site_.conditions += fmt::format("pressure = \"{}\"\n", p.text);
    }
    if (dice_.chance(0.2)) {
      site_.oxygen_in_air = std::round(dice_.between(0.2, 0.215) * 1e4) / 1e4;
      site_.conditions += fmt::format("oxygen_in_air = {}\n", site_.oxygen_in_air);
    }
    if (recipe_.pressures && dice_.chance(0.5)) {
      const Value v = written(dice_, dice_.between(0, 8), {{"m/s", 1}});
      site_.wind_speed = v.si;
      site_.conditions += fmt::format("wind_speed = \"{}\"\n", v.text);
    }
  }

  void put_temperature(const char* key, double& to, double celsius) {
    const Value t = written_temperature(dice_, celsius);
    to = t.si;
    site_.conditions += fmt::format("{} = \"{}\"\n", key, t.text);
  }

  void criteria() {
    const Value horizon = written_time(dice_, dice_.spread(60, 30 * 86400.0));
    site_.horizon = horizon.si;
    site_.criteria = fmt::format("horizon = \"{}\"\n", horizon.text);
    if (dice_.chance(0.3)) {
      site_.warn_at = std::round(dice_.between(0.1, 0.5) * 100) / 100;
      site_.note_at = std::round(site_.warn_at * 50) / 100;
      site_.criteria += fmt::format("warn_at = {}\nnote_at = {}\n", site_.warn_at, site_.note_at);
    }
  }

  void spaces() {
    const std::size_t n = 2 + dice_.below(recipe_.most_spaces - 1);
    for (std::size_t i = 0; i < n; ++i) {
      Space s;
      s.id = fmt::format("s{}", i);
      const double kind = dice_.unit();
      s.kind = i > 0 && recipe_.joined && kind >= 0.55      ? (kind < 0.75 ? Kind::vessel : Kind::junction)
               : i == 0 || recipe_.pressures || kind < 0.45 ? Kind::room
               : kind < 0.6                                 ? Kind::cabinet
               : kind < 0.82 && recipe_.vessels             ? Kind::vessel
                                                            : Kind::junction;
      if (s.kind == Kind::junction) {
        site_.spaces.push_back(s);
        continue;
      }
      const bool vessel = s.kind == Kind::vessel;
      s.volume = written(dice_, vessel ? dice_.spread(1e-5, 10) : dice_.spread(dice_.chance(0.2) ? 1e-3 : 1, 2e4),
                         {{"m3", 1}, {"L", 1e-3}});
      if (dice_.chance(0.4)) s.temperature = written_temperature(dice_, dice_.between(-10, 60));
      if (!vessel && dice_.chance(0.25)) s.mixing = std::round(dice_.between(1, 10) * 100) / 100;
      if (dice_.chance(vessel ? 0.05 : 0.25)) {
        s.air_changes = written(dice_, dice_.spread(dice_.chance(0.3) ? 1e-9 : 1e-3, 20) / 3600, {{"/h", 1.0 / 3600}});
      }
      if (recipe_.pressures && dice_.chance(0.3)) s.elevation = written(dice_, dice_.between(-3, 6), {{"m", 1}});
      fill(s);
      site_.spaces.push_back(s);
    }
  }

  void fill(Space& s) {
    if (!dice_.chance(0.25)) return;
    double left = 1.0;
    for (std::size_t k = 0; k < site_.gases.size() && k < 2; ++k) {
      const double share = dice_.chance(0.2) ? left : std::round(left * dice_.between(0.001, 0.9) * 1e4) / 1e4;
      if (share <= 0) continue;
      s.initial.push_back({k, share});
      left = std::round((left - share) * 1e6) / 1e6;
    }
  }

  int anywhere(double out_of_doors) {
    return dice_.chance(out_of_doors) ? outside : static_cast<int>(dice_.below(site_.spaces.size()));
  }

  bool closed(int side) const {
    return side != outside && site_.spaces[static_cast<std::size_t>(side)].kind == Kind::vessel;
  }

  void airways() {
    const double top = dice_.spread(1e-3, 1),
                 widest = dice_.chance(0.3) ? recipe_.widest : std::min(recipe_.widest, 1e4);
    const std::size_t n = site_.spaces.size(), count = n / 2 + dice_.below(2 * n);
    const bool little_air = dice_.chance(0.2);
    for (std::size_t i = 0; i < count; ++i) {
      Airway a;
      a.id = fmt::format("a{}", i);
      const double kind = dice_.unit();
      a.way = kind < 0.35 ? Way::fan : kind < 0.65 ? Way::exchange : Way::opening;
      a.first = anywhere(0.25);
      a.second = anywhere(a.first == outside ? 0 : 0.3);
      if (a.first == a.second) continue;
      if (a.way == Way::fan && (closed(a.first) || closed(a.second)) && dice_.chance(0.7)) a.way = Way::exchange;
      double flow = top / dice_.spread(1, widest);
      if (little_air && (a.first == outside || a.second == outside)) flow = top / widest * dice_.spread(0.1, 10);
      if (a.way != Way::opening) a.flow = written_flow(dice_, flow);
      a.on = !dice_.chance(0.15);
      site_.airways.push_back(a);
      if (dice_.chance(0.08)) {
        a.id += "-again";
        site_.airways.push_back(a);
      }
    }
    if (n > 2 && dice_.chance(0.15)) loop(top);
    if (dice_.chance(0.03)) {
      for (Airway& a : site_.airways) a.on = false;
    }
  }

  /// A gap for every room, so that none is sealed, then more gaps, doorways and fans with a curve.
  void openings() {
    if (!recipe_.joined) {
      std::erase_if(site_.airways,
                    [](const Airway& a) { return a.way == Way::opening && a.first != outside && a.second != outside; });
    }
    const std::size_t n = site_.spaces.size();
    std::size_t more = 1 + dice_.below(4);
    std::vector<int> twice;  // junctions: they need a second airway
    for (std::size_t i = 0; i < n && recipe_.joined; ++i) {
      if (site_.spaces[i].kind == Kind::junction) twice.push_back(static_cast<int>(i));
    }
    more += twice.size();
    for (std::size_t i = 0; i < n + more; ++i) {
      Airway a;
      a.id = fmt::format("{}-{}", i < n ? "way" : "more", i);
      a.first = i < n ? static_cast<int>(i) : anywhere(0);
      a.second = i < n ? outside : anywhere(0.4);
      if (i >= n && i - n < twice.size()) {
        a.first = twice[i - n];
        a.second = 0;
      }
      if (a.first == a.second) continue;
      const double kind = i < n ? 0 : dice_.unit();
      const std::vector<UnitOf> metres{{"m", 1}, {"cm", 0.01}};
      if (kind < 0.4) {
        a.way = Way::gap;
        a.area = written(dice_, dice_.spread(1e-4, 0.1), {{"cm2", 1e-4}, {"m2", 1}});
        a.height = written(dice_, dice_.between(0, 3), metres);
        if (dice_.chance(0.3)) a.exponent = std::round(dice_.between(0.5, 1) * 100) / 100;
        if (a.second == outside && dice_.chance(0.5)) a.wind = std::round(dice_.between(-0.5, 0.7) * 100) / 100;
      } else if (kind < (recipe_.curves ? 0.5 : 0.8)) {
        a.way = Way::doorway;
        a.width = written(dice_, dice_.between(0.3, 2), metres);
        a.tall = written(dice_, dice_.between(0.3, 2.2), metres);
        if (dice_.chance(0.3)) a.sill = written(dice_, dice_.between(0, 1), metres);
        a.open = dice_.chance(0.3) ? std::round(dice_.unit() * 100) / 100 : 1;
      } else if (is_junction(a.first) || is_junction(a.second)) {
        a.way = Way::opening;
      } else {
        a.way = Way::curve;
        const Value most = written_flow(dice_, dice_.spread(1e-3, 0.3));
        a.points = {{{0.0, "0 Pa"}, most}, {written(dice_, dice_.spread(5, 300), {{"Pa", 1}}), {0.0, "0 m3/h"}}};
        if (recipe_.curves) bend(a);
      }
      a.on = i < n || !dice_.chance(0.2);
      site_.airways.push_back(a);
    }
  }

  /// Adds one to four points, some with the flow of an existing point.
  void bend(Airway& a) {
    const double top = a.points[0].second.si, end = a.points[1].first.si;
    const std::size_t more = 1 + dice_.below(4);
    double pressure = 0, flow = top;
    for (std::size_t k = 0; k < more; ++k) {
      pressure += (end - pressure) * dice_.between(0.02, 0.7);
      if (!dice_.chance(0.2)) flow *= dice_.between(0.2, 0.999);
      const Value p = written(dice_, pressure, {{"Pa", 1}});
      const Value q = flow == top ? a.points[0].second : written(dice_, flow, {{"m3/s", 1}});
      a.points.insert(a.points.end() - 1, {p, q});
      flow = q.si;
    }
  }

  bool is_junction(int side) const {
    return side != outside && site_.spaces[static_cast<std::size_t>(side)].kind == Kind::junction;
  }

  /// In the first room, outside, or where the only room is that an airway joins them to.
  void stand_cabinets() {
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      if (site_.spaces[i].kind != Kind::cabinet) continue;
      std::vector<int> rooms;
      for (const Airway& a : site_.airways) {
        for (const auto& [one, two] : {std::pair{a.first, a.second}, {a.second, a.first}}) {
          if (one != static_cast<int>(i) || two == outside) continue;
          if (site_.spaces[static_cast<std::size_t>(two)].kind == Kind::room) rooms.push_back(two);
        }
      }
      const bool one = !rooms.empty() && std::ranges::count(rooms, rooms.front()) == std::ssize(rooms);
      if (!one || i % 2 == 0) site_.spaces[i].stands_in = i % 3 == 0 ? outside : 0;
    }
  }

  /// Of openings, which have no resistance: what went round would be anything.
  void without_loops() {
    std::vector<std::size_t> part(site_.spaces.size() + 1);
    std::iota(part.begin(), part.end(), std::size_t{0});
    std::erase_if(site_.airways, [&](const Airway& a) {
      if (a.way != Way::opening) return false;
      const auto place = [&](int side) { return side == outside ? part.size() - 1 : static_cast<std::size_t>(side); };
      const std::size_t one = part[place(a.first)], two = part[place(a.second)];
      std::replace(part.begin(), part.end(), one, two);
      return one == two;
    });
  }

  /// Drives air around three spaces.
  void loop(double flow) {
    const Value v = written_flow(dice_, flow * 10);
    for (int i = 0; i < 3; ++i) {
      Airway a;
      a.id = fmt::format("loop{}", i);
      a.first = i;
      a.second = (i + 1) % 3;
      a.flow = v;
      site_.airways.push_back(a);
    }
  }

  /// Adds the airways that junctions, and vessels with a fan, need for surplus flow.
  void steady_junctions() {
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      const auto me = static_cast<int>(i);
      std::size_t touching = 0;
      bool blown = false;
      for (const Airway& a : site_.airways) {
        if (a.first != me && a.second != me) continue;
        ++touching;
        blown = blown || a.way == Way::fan;
      }
      const bool junction = site_.spaces[i].kind == Kind::junction;
      if (!junction && !(closed(me) && blown && dice_.chance(0.95))) continue;
      for (std::size_t k = 0; k == 0 || (junction && touching + k < 2); ++k) {
        Airway a;
        a.id = fmt::format("way-{}-{}", i, k);
        a.way = Way::opening;
        a.first = me;
        a.second = k == 0 && me != 0 ? 0 : outside;
        site_.airways.push_back(a);
      }
    }
  }

  void events(std::vector<Event>& to, std::size_t count) {
    for (std::size_t k = 0; k < count; ++k) {
      Event e;
      e.at = dice_.of(times_);
      const double kind = dice_.unit();
      if (kind < 0.35 && !site_.releases.empty()) {
        e.change = Change::release_on;
        e.target = dice_.below(site_.releases.size());
        e.on = dice_.chance(0.5);
      } else if (kind < 0.5 && recipe_.temperatures) {
        e.change = Change::temperature;
        e.target = dice_.below(site_.spaces.size());
        if (site_.spaces[e.target].kind == Kind::junction) continue;
        e.value = written_temperature(dice_, dice_.between(-10, 60));
      } else if (!site_.airways.empty()) {
        e.target = dice_.below(site_.airways.size());
        const Airway& a = site_.airways[e.target];
        if (a.id.starts_with("way-") && dice_.chance(0.8)) continue;
        if ((a.way == Way::fan || a.way == Way::exchange) && dice_.chance(0.4)) {
          e.change = Change::airway_flow;
          e.value = written_flow(dice_, dice_.chance(0.1) ? 0 : a.flow.si * dice_.spread(0.01, 10));
        } else if (a.way == Way::doorway && dice_.chance(0.6)) {
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
};

}  // namespace

Value written(Dice& dice, double si, const std::vector<UnitOf>& units) {
  const UnitOf unit = dice.of(units);
  const std::string number = fmt::format("{:.6g}", si / unit.factor);
  return {std::strtod(number.c_str(), nullptr) * unit.factor, number + " " + unit.symbol};
}

Value written_flow(Dice& dice, double si) {
  return written(dice, si, {{"m3/h", 1.0 / 3600}, {"m3/s", 1}, {"L/min", 1e-3 / 60}, {"L/s", 1e-3}});
}

Value written_time(Dice& dice, double si) { return written(dice, si, {{"s", 1}, {"min", 60}, {"h", 3600}}); }

Value written_temperature(Dice& dice, double celsius) {
  const std::string number = fmt::format("{:.4g}", celsius);
  const double c = std::strtod(number.c_str(), nullptr);
  if (dice.chance(0.3)) {
    const std::string kelvin = fmt::format("{:.2f}", c + 273.15);
    return {std::strtod(kelvin.c_str(), nullptr), kelvin + " K"};
  }
  return {c + 273.15, number + " degC"};
}

Site make_site(std::uint64_t seed, const Recipe& recipe) {
  return recipe.layers ? make_layered_site(seed, recipe) : Maker{seed, recipe}.make();
}

}  // namespace second_opinion
