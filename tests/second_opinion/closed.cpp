// SPDX-License-Identifier: Apache-2.0
#include "second_opinion/closed.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include "second_opinion/leak_sizes.hpp"
#include "second_opinion/places.hpp"

namespace second_opinion {
namespace {

constexpr Real gas_constant = 8.31446261815324L;
constexpr Real nothing = 1e-13L;

bool is_fan(const Airway& a) { return a.way == Way::fan || a.way == Way::curve; }
class Writer {
 public:
  Writer(const Site& site, const Moment& moment, const std::vector<bool>& moves, const Vector& given, bool bursting)
      : old_{site}, moves_{moves}, given_{given}, bursting_{bursting}, n_{site.spaces.size()} {
    out_.site = site;
    out_.moment = moment;
    out_.promoted.assign(site.airways.size(), false);
    out_.breathes.assign(n_, false);
    out_.leak = Vector::Zero(static_cast<Eigen::Index>(n_));
    solved_.assign(n_, false);
    beyond_.assign(n_, false);
    draws_.assign(n_, false);
  }

  Closed go() {
    regroup();
    note_closed();
    while (promote()) {
      regroup();
      note_closed();
    }
    if (!bursting_) refuse();
    const Closed before = out_;
    while (open_shut(false)) regroup();
    if (!bursting_ && find_solved(before)) {
      out_ = before;
      regroup();
      limit_fans();
      while (open_shut(true)) regroup();
      while (open_shut(false)) regroup();
    }
    leak_outdoors();
    for (std::size_t i = 0; i < old_.airways.size(); ++i) {
      Airway& a = out_.site.airways[i];
      if (a.way != Way::curve || limited(i) || left_to_pressures(a)) continue;
      out_.moment.flow[i] = a.points.front().second.si;
      a.way = Way::fan;
    }
    return std::move(out_);
  }

 private:
  std::size_t place(int side) const { return side == outside ? n_ : static_cast<std::size_t>(side); }
  bool on(std::size_t i) const { return out_.moment.airway_on[i]; }
  Kind kind(std::size_t i) const { return old_.spaces[i].kind; }

  void regroup() {
    places_ = Places{n_ + 1};
    for (std::size_t i = 0; i < out_.site.airways.size(); ++i) {
      const Airway& a = out_.site.airways[i];
      const bool old = i < old_.airways.size();
      const bool opening =
          a.way == Way::opening || ((a.way == Way::gap || a.way == Way::doorway) && (!old || moves_[i]));
      if ((on(i) && opening) || (old && out_.promoted[i])) places_.join(place(a.first), place(a.second));
    }
    for (std::size_t i = 0; i < n_; ++i) {
      if (out_.breathes[i]) places_.join(i, n_);
    }
  }

  void note_closed() {
    closed_before_.clear();
    for (std::size_t i = 0; i < n_; ++i) closed_before_.push_back(closed(i));
  }
  bool closed(std::size_t at) const { return !places_.together(at, n_); }
  std::set<std::size_t> closed_groups() const { return places_.groups_without(n_); }
  std::vector<std::size_t> members(std::size_t g) const { return places_.members(g, n_); }
  bool has(std::size_t g, Kind what) const {
    const auto all = members(g);
    return std::any_of(all.begin(), all.end(), [&](std::size_t i) { return kind(i) == what; });
  }

  /// mol/s that a fan moves by itself.
  Real moved(std::size_t i) const {
    const Airway& a = out_.site.airways[i];
    const double t = a.first == outside ? old_.outside_temperature : out_.moment.temperature[place(a.first)];
    const double flow = a.way == Way::fan ? out_.moment.flow[i] : a.points.front().second.si;
    return Real(old_.pressure) * Real(flow) / (gas_constant * Real(t));
  }

  struct Sum {
    Real surplus = 0, released = 0, scale = 0;
    bool nought() const { return std::abs(surplus) <= nothing * scale; }
  };
  Sum sum_of(std::size_t g) const {
    Sum out;
    for (const std::size_t i : members(g)) {
      const Real here = given_(static_cast<Eigen::Index>(i));
      out.surplus += here;
      out.scale += std::abs(here);
      if (!bursting_) out.released += here;
      if (!bursting_) out.scale += 2 * Real(old_.spaces[i].air_changes.si) * holds(old_, out_.moment, i);
    }
    for (std::size_t i = 0; i < old_.airways.size() && !bursting_; ++i) {
      const Airway& a = out_.site.airways[i];
      if (!on(i)) continue;
      const bool in = places_.group[place(a.second)] == g, from = places_.group[place(a.first)] == g;
      if (a.way == Way::exchange) {
        const double t = a.first == outside ? old_.outside_temperature : out_.moment.temperature[place(a.first)];
        const Real moles = Real(old_.pressure) * Real(out_.moment.flow[i]) / (gas_constant * Real(t));
        out.scale += 2 * moles * (Real(in) + Real(from));
      }
      // A fan with a curve between places that lead outside is left to the pressures.
      if (!is_fan(a) || limited(i) || left_to_pressures(a)) continue;
      if (in) out.surplus += moved(i);
      if (from) out.surplus -= moved(i);
      if (in || from) out.scale += moved(i);
    }
    return out;
  }
  bool left_to_pressures(const Airway& a) const {
    return a.way == Way::curve && !closed_before(a.first) && !closed_before(a.second);
  }
  /// Before anything was assumed.
  bool closed_before(int side) const { return side != outside && closed_before_[place(side)]; }
  bool limited(std::size_t i) const { return i < limited_.size() && limited_[i]; }

  bool promote() {
    bool any = false;
    for (const std::size_t g : closed_groups()) {
      if (has(g, Kind::room) || (!has(g, Kind::cabinet) && !has(g, Kind::vessel)) || sum_of(g).nought()) continue;
      for (std::size_t i = 0; i < old_.airways.size(); ++i) {
        const Airway& a = old_.airways[i];
        if (a.way != Way::exchange || !on(i) || out_.moment.flow[i] <= 0 || out_.promoted[i]) continue;
        if (places_.group[place(a.first)] == g || places_.group[place(a.second)] == g) out_.promoted[i] = any = true;
      }
      for (const std::size_t i : members(g)) {
        if (old_.spaces[i].air_changes.si > 0 && !out_.breathes[i]) out_.breathes[i] = any = true;
      }
    }
    return any;
  }

  /// Ducts and vessels that nothing balances.
  void refuse() {
    for (const std::size_t g : closed_groups()) {
      if (has(g, Kind::room) || has(g, Kind::cabinet)) continue;
      const Sum sum = sum_of(g);
      const bool keeps =
          has(g, Kind::vessel) && sum.surplus > 0 && std::abs(sum.surplus - sum.released) <= nothing * sum.scale;
      if (!sum.nought() && !keeps) out_.fault = "nothing balances " + old_.spaces[members(g).front()].id;
    }
  }

  bool is_shut(std::size_t i) const {
    const Airway& a = old_.airways[i];
    if (a.way == Way::doorway) return !on(i) || out_.moment.open[i] <= 0;
    return (a.way == Way::gap || a.way == Way::opening) && !on(i);
  }

  std::vector<std::size_t> shut_ways(std::size_t g) const {
    std::vector<std::size_t> out;
    for (std::size_t i = 0; i < old_.airways.size(); ++i) {
      const Airway& a = old_.airways[i];
      const bool first = places_.group[place(a.first)] == g, second = places_.group[place(a.second)] == g;
      if (!is_shut(i) || first == second) continue;
      const std::size_t own = place(first ? a.first : a.second), other = place(first ? a.second : a.first);
      if (kind(own) == Kind::vessel) continue;
      if (other != n_ && (kind(other) == Kind::vessel || (kind(other) == Kind::junction && closed(other)))) continue;
      out.push_back(i);
    }
    return out;
  }

  /// Where cabinets stand that nothing says it of: with the only room that an airway joins them to.
  std::optional<int> stands_in(std::size_t cabinet) const {
    if (old_.spaces[cabinet].stands_in) return *old_.spaces[cabinet].stands_in;
    std::set<int> rooms;
    const int me = static_cast<int>(cabinet);
    for (const Airway& a : old_.airways) {
      for (const auto& [one, two] : {std::pair{a.first, a.second}, {a.second, a.first}}) {
        if (one == me && two != outside && kind(place(two)) == Kind::room) rooms.insert(two);
      }
    }
    return rooms.size() == 1 ? std::optional<int>{*rooms.begin()} : std::nullopt;
  }

  void add(Airway a, std::optional<std::size_t> shut, bool solved, Real area) {
    if (shut) {
      for (const Extra& known : out_.extras) {
        if (known.shut != shut) continue;
        Value& size = out_.site.airways[known.airway].area;
        size.si = std::min(size.si, static_cast<double>(area));
        return;
      }
    }
    a.way = solved ? Way::gap : Way::opening;
    a.area.si = static_cast<double>(area);
    a.exponent = 0.65;
    a.height = {};
    a.wind.reset();
    a.assumed = true;
    out_.extras.push_back({out_.site.airways.size(), shut, place(a.first)});
    out_.site.airways.push_back(a);
    out_.moment.airway_on.push_back(true);
    out_.moment.flow.push_back(0);
    out_.moment.open.push_back(1);
  }

  /// Gives the closed groups that need it more ways. True where there are any new ones.
  bool open_shut(bool for_solved) {
    const std::size_t before = out_.extras.size();
    for (const std::size_t g : closed_groups()) {
      const auto all = members(g);
      const bool solved = std::any_of(all.begin(), all.end(), [&](std::size_t i) { return bool{solved_[i]}; });
      if (solved != for_solved) continue;
      const bool rooms = has(g, Kind::room), cabinets = has(g, Kind::cabinet);
      const Sum sum = sum_of(g);
      if (!solved && (sum.nought() || (!rooms && !cabinets))) continue;
      if (solved) {
        for (const std::size_t i : all) solved_[i] = true;
      }
      const auto shut = shut_ways(g);
      std::vector<std::pair<std::size_t, int>> stands;
      for (const std::size_t i : all) {
        if (kind(i) != Kind::cabinet || !shut.empty() || rooms) continue;
        if (const auto in = stands_in(i)) stands.emplace_back(i, *in);
      }
      const bool outdoors = shut.empty() && stands.empty();
      Real area = 0;
      for (const std::size_t i : all) {
        if (outdoors ? leaks_outdoors(g, i) : kind(i) == Kind::room || kind(i) == Kind::cabinet)
          area += leakage(old_.spaces[i]);
      }
      for (const std::size_t i : shut) area = std::min(area, size_of(old_.airways[i]).value_or(area));
      const Real wanted = sum.surplus < 0 ? -sum.surplus : std::max(Real(0), sum.surplus - sum.released);
      if (!solved && wanted > most_leak(old_, area) && (!outdoors || rooms)) {
        for (const std::size_t i : all) beyond_[i] = true;
      }
      const Real each = area / Real(std::max<std::size_t>(1, shut.size() + stands.size()));
      for (const std::size_t i : shut) add(old_.airways[i], i, solved, each);
      for (const auto& [cabinet, in] : stands) add(leak_way(cabinet, in), std::nullopt, solved, each);
      for (const std::size_t i : all) {
        if (!solved && !outdoors) draws_[i] = true;
        if (solved && outdoors && leaks_outdoors(g, i))
          add(leak_way(i, outside), std::nullopt, true, leakage(old_.spaces[i]));
      }
    }
    return out_.extras.size() > before;
  }

  /// Rooms that draw through shut openings leave it to the others, where there are any.
  bool leaks_outdoors(std::size_t g, std::size_t room) const {
    if (kind(room) != Kind::room) return false;
    const auto all = members(g);
    return !draws_[room] ||
           std::none_of(all.begin(), all.end(), [&](std::size_t i) { return kind(i) == Kind::room && !draws_[i]; });
  }

  static Airway leak_way(std::size_t from, int to) {
    Airway a;
    a.first = static_cast<int>(from);
    a.second = to;
    return a;
  }

  bool works(std::size_t i) const {
    const Airway& a = old_.airways[i];
    return on(i) && is_fan(a) && (a.way == Way::curve || out_.moment.flow[i] > 0);
  }

  bool find_solved(const Closed& before) {
    out_ = before;
    regroup();
    const auto leaky = [&](std::size_t at) {
      return at != n_ && (has(places_.group[at], Kind::room) || has(places_.group[at], Kind::cabinet));
    };
    std::set<std::size_t> in;
    for (std::size_t i = 0; i < n_; ++i) {
      if (beyond_[i] && closed(i)) in.insert(places_.group[i]);
    }
    for (std::size_t i = 0; i < old_.airways.size(); ++i) {
      if (!works(i) || old_.airways[i].way != Way::curve) continue;
      for (const int side : {old_.airways[i].first, old_.airways[i].second}) {
        if (!closed(place(side)) || !leaky(place(side))) continue;
        in.insert(places_.group[place(side)]);
        const auto all = members(places_.group[place(side)]);
        const bool cabinet =
            !has(places_.group[place(side)], Kind::room) && std::any_of(all.begin(), all.end(), [&](std::size_t k) {
              return kind(k) == Kind::cabinet && stands_in(k).has_value();
            });
        if (!cabinet && shut_ways(places_.group[place(side)]).empty()) continue;
        for (const std::size_t k : all) draws_[k] = true;
      }
    }
    const bool any = !in.empty();
    if (!any) {
      while (open_shut(false)) regroup();
      return false;
    }
    for (bool again = true; again;) {
      again = false;
      for (std::size_t i = 0; i < old_.airways.size(); ++i) {
        const Airway& a = old_.airways[i];
        const std::size_t one = place(a.first), two = place(a.second);
        if (!closed(one) || !closed(two)) continue;
        const bool shut =
            is_shut(i) && leaky(one) && leaky(two) && kind(one) != Kind::vessel && kind(two) != Kind::vessel;
        if (!works(i) && !shut) continue;
        if (in.contains(places_.group[one]) == in.contains(places_.group[two])) continue;
        in.insert(places_.group[one]);
        in.insert(places_.group[two]);
        again = true;
      }
    }
    limited_.assign(old_.airways.size(), false);
    for (std::size_t i = 0; i < n_; ++i) solved_[i] = in.contains(places_.group[i]);
    for (std::size_t i = 0; i < old_.airways.size(); ++i) {
      const Airway& a = old_.airways[i];
      const std::size_t one = place(a.first), two = place(a.second);
      const bool touches =
          (closed(one) && in.contains(places_.group[one])) || (closed(two) && in.contains(places_.group[two]));
      const bool within = one != n_ && two != n_ && places_.group[one] == places_.group[two];
      limited_[i] = works(i) && touches && (a.way == Way::curve || !within);
    }
    return true;
  }

  void limit_fans() {
    for (std::size_t i = 0; i < old_.airways.size(); ++i) {
      Airway& a = out_.site.airways[i];
      if (!limited_[i] || a.way != Way::fan) continue;
      a.way = Way::curve;
      a.points = {{{100.0, ""}, {out_.moment.flow[i], ""}}, {{101.0, ""}, {0.0, ""}}};
    }
  }

  void leak_outdoors() {
    for (const std::size_t g : closed_groups()) {
      const auto all = members(g);
      if (std::any_of(all.begin(), all.end(), [&](std::size_t i) { return bool{solved_[i]}; })) continue;
      const Sum sum = sum_of(g);
      if (sum.nought()) continue;
      if (!has(g, Kind::room)) {
        if (has(g, Kind::cabinet)) out_.fault = "nobody knows where a cabinet stands";
        continue;
      }
      std::vector<std::size_t> rooms;
      std::vector<Real> own;
      Real weights = 0;
      for (const std::size_t i : all) {
        if (!leaks_outdoors(g, i)) continue;
        rooms.push_back(i);
        const Real mine = own_surplus(i);
        own.push_back((mine > 0) == (sum.surplus > 0) && std::abs(mine) > nothing * sum.scale ? std::abs(mine) : 0);
        weights += own.back();
      }
      for (std::size_t k = 0; k < rooms.size(); ++k) {
        const Real share = weights > 0 ? own[k] / weights : Real(1) / Real(rooms.size());
        out_.leak(static_cast<Eigen::Index>(rooms[k])) = -sum.surplus * share;
      }
    }
  }

  Real own_surplus(std::size_t space) const {
    Real out = given_(static_cast<Eigen::Index>(space));
    for (std::size_t i = 0; i < old_.airways.size() && !bursting_; ++i) {
      const Airway& a = out_.site.airways[i];
      if (!on(i) || !is_fan(a) || limited(i) || left_to_pressures(a)) continue;
      if (place(a.second) == space) out += moved(i);
      if (place(a.first) == space) out -= moved(i);
    }
    return out;
  }

  const Site& old_;
  const std::vector<bool>& moves_;
  const Vector& given_;
  bool bursting_;
  std::size_t n_;
  Closed out_;
  Places places_;  ///< outside is the last
  std::vector<bool> solved_, beyond_, draws_, limited_, closed_before_;
};

}  // namespace

Closed write_down(const Site& site, const Moment& moment, const std::vector<bool>& moves, const Vector& surplus,
                  bool bursting) {
  return Writer{site, moment, moves, surplus, bursting}.go();
}

}  // namespace second_opinion
