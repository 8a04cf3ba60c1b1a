// SPDX-License-Identifier: Apache-2.0
/// What is switched how at one moment, and what a space holds.
#include "second_opinion/flows.hpp"

namespace second_opinion {

namespace {
constexpr Real gas_constant = 8.31446261815324L;
}

Moment first_moment(const Site& site) {
  Moment m;
  for (const Airway& a : site.airways) {
    m.airway_on.push_back(a.on);
    m.flow.push_back(a.flow.si);
    m.open.push_back(a.open);
  }
  for (const Release& r : site.releases) m.release_on.push_back(r.on);
  for (std::size_t i = 0; i < site.spaces.size(); ++i) m.temperature.push_back(site.temperature_of(i));
  return m;
}

void apply(const Event& e, Moment& m) {
  switch (e.change) {
    case Change::airway_on:
      m.airway_on[e.target] = e.on;
      break;
    case Change::airway_flow:
      m.flow[e.target] = e.value.si;
      break;
    case Change::airway_open:
      m.open[e.target] = e.value.si;
      break;
    case Change::release_on:
      m.release_on[e.target] = e.on;
      break;
    case Change::temperature:
      m.temperature[e.target] = e.value.si;
      break;
  }
}

Real holds(const Site& site, const Moment& moment, std::size_t space) {
  if (site.spaces[space].kind == Kind::junction) return 0;
  return Real(site.pressure) * Real(site.spaces[space].volume.si) / (gas_constant * Real(moment.temperature[space]));
}

}  // namespace second_opinion
