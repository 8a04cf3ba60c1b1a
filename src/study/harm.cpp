// SPDX-License-Identifier: Apache-2.0
#include "study/harm.hpp"

#include <algorithm>
#include <cmath>

namespace leanside::study {
namespace {

int about(Severity severity) { return severity == Severity::oxygen ? 1 : severity == Severity::pressure ? 2 : 0; }

bool near(double a, double b) { return std::abs(a - b) <= 1e-6 * std::max(std::abs(a), std::abs(b)) + 1e-9; }
bool near(const std::optional<double>& a, const std::optional<double>& b) {
  if (!a || !b) return a.has_value() == b.has_value();
  return std::abs(*a - *b) <= 1.0 + 1e-4 * std::max(*a, *b);
}

bool equal(const Harm& a, const Harm& b) {
  return a.space == b.space && a.severity == b.severity && near(a.lfl_fraction, b.lfl_fraction) &&
         near(a.oxygen, b.oxygen) && near(a.pressure, b.pressure) && near(a.time, b.time);
}

}  // namespace

Harm brief(const Warning& w) { return {w.space, w.severity, w.lfl_fraction, w.oxygen, w.pressure, w.time}; }

std::vector<Harm> brief(const std::vector<Warning>& warnings) {
  std::vector<Harm> out;
  for (const Warning& w : warnings) out.push_back(brief(w));
  return out;
}

bool worse(const Harm& a, const Harm& b, double oxygen_in_air) {
  if (a.severity != b.severity) return a.severity < b.severity;
  if (!near(a.time, b.time) && a.time.value_or(forever) < b.time.value_or(forever)) return true;
  if (about(a.severity) == 1) {
    const double da = std::abs(a.oxygen - oxygen_in_air), db = std::abs(b.oxygen - oxygen_in_air);
    return !near(a.oxygen, b.oxygen) && da > db;
  }
  if (about(a.severity) == 2) return !near(a.pressure, b.pressure) && a.pressure > b.pressure;
  return !near(a.lfl_fraction, b.lfl_fraction) && a.lfl_fraction > b.lfl_fraction && a.severity != Severity::rich;
}

const Harm* same_thing(const std::vector<Harm>& harms, const Harm& h) {
  for (const Harm& other : harms) {
    if (other.space == h.space && about(other.severity) == about(h.severity)) return &other;
  }
  return nullptr;
}

bool equal(const FailureOutcome& a, const FailureOutcome& b) {
  return a.fault == b.fault && a.gone == b.gone && a.unreached == b.unreached && a.starved == b.starved &&
         std::equal(a.harms.begin(), a.harms.end(), b.harms.begin(), b.harms.end(),
                    [](const Harm& x, const Harm& y) { return equal(x, y); });
}

std::vector<AirwayIndex> newly_starved(const std::vector<StarvedFan>& found, const std::vector<StarvedFan>& before) {
  std::vector<AirwayIndex> out;
  for (const StarvedFan& fan : found) {
    const auto same =
        std::find_if(before.begin(), before.end(), [&](const StarvedFan& other) { return other.fan == fan.fan; });
    constexpr double clearly = 0.999;
    const bool worse = same == before.end() || fan.carried < clearly * same->carried ||
                       clearly * fan.pressure.value_or(0.0) > same->pressure.value_or(0.0);
    if (worse) out.push_back(fan.fan);
  }
  return out;
}

}  // namespace leanside::study
