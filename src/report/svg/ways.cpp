// SPDX-License-Identifier: Apache-2.0
#include "report/svg/ways.hpp"

#include <cmath>
#include <map>
#include <utility>

#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// Outside comes after every space.
constexpr std::size_t outside = static_cast<std::size_t>(-1);

std::size_t place_of(Side side) { return side ? side->value : outside; }

class Ways {
 public:
  /// `there` m3/s from the first side to the second, `back` the other way.
  Way& add(Side first, Side second, double there, double back) {
    if (place_of(first) > place_of(second)) {
      std::swap(first, second);
      std::swap(there, back);
    }
    Way& way = by_places_.try_emplace({place_of(first), place_of(second)}, Way{*first, second}).first->second;
    way.out += there;
    way.in += back;
    return way;
  }
  std::vector<Way> take() const {
    std::vector<Way> out;
    for (const auto& [places, way] : by_places_) out.push_back(way);
    return out;
  }

 private:
  std::map<std::pair<std::size_t, std::size_t>, Way> by_places_;
};

}  // namespace

std::vector<Way> ways_of(Told site, const CaseResult& result, const PageWords& words) {
  const VolumeFlows air{site, result.case_index};
  Ways ways;
  for (std::size_t i = 0; i < site->airways.size() && i < result.flows.airways.size(); ++i) {
    const Airway& airway = site->airways[i];
    const AirwayFlow& flow = result.flows.airways[i];
    const Side first = first_side(airway), second = second_side(airway);
    ways.add(first, second, air.volume_flow(flow.forward, first), air.volume_flow(flow.backward, second))
        .names.push_back(plain_text(airway.id));
  }
  for (std::size_t i = 0; i < site->spaces.size(); ++i) {
    const double flow = site->spaces[i].air_changes * site->spaces[i].volume;
    if (flow > 0.0) ways.add(SpaceIndex{i}, {}, flow, flow).names.emplace_back(words.air_changes);
  }
  for (const AssumedLeak& leak : result.flows.leaks) {
    const Side from = leak.rate < 0.0 ? Side{leak.space} : leak.other;
    const double flow = air.volume_flow(std::abs(leak.rate), from);
    Way& way = ways.add(leak.space, leak.other, leak.rate < 0.0 ? flow : 0.0, leak.rate < 0.0 ? 0.0 : flow);
    way.assumed += flow;
    way.names.emplace_back(words.assumed_leak);
  }
  return ways.take();
}

std::string flow_number(Told site, double flow) {
  constexpr double least = 0.01 / 3600.0;  // m3/s
  const UnitSystem units = site->conditions.units;
  return flow > 0.0 && flow < least ? "<" + format_quantity(least, "m3/h", 1, units)
                                    : format_quantity(flow, "m3/h", 2, units);
}

std::string flow_words(Told site, const std::string& other, double in, double out, const PageWords& words) {
  const std::string there = flow_number(site, out), back = flow_number(site, in);
  if (!(in > 0.0) && !(out > 0.0)) return said(words.no_flow, other);
  if (!(in > 0.0)) return said(words.flow_to, other, there);
  if (!(out > 0.0)) return said(words.flow_from, other, back);
  if (there == back) return said(words.flow_each_way, other, there);
  return said(words.flow_both, other, back, there);
}

}  // namespace leanside::report
