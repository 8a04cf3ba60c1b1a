// SPDX-License-Identifier: Apache-2.0
#include "study/failures/failure_consequence.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace leanside::study {
namespace {

constexpr double forever = std::numeric_limits<double>::infinity();

auto key(const Consequence& h) { return std::tuple(h.severity, h.time.value_or(forever), -h.lfl_fraction, h.space); }

bool near(double a, double b) { return std::abs(a - b) <= 1e-6 * std::max(std::abs(a), std::abs(b)) + 1e-9; }
bool near(const std::optional<double>& a, const std::optional<double>& b) {
  if (!a || !b) return a.has_value() == b.has_value();
  return std::abs(*a - *b) <= 1.0 + 1e-4 * std::max(*a, *b);
}

bool equal(const Consequence& a, const Consequence& b) {
  return a.space == b.space && a.severity == b.severity && a.subject == b.subject && a.gas == b.gas &&
         a.release == b.release && near(a.gas_fraction, b.gas_fraction) && near(a.lfl_fraction, b.lfl_fraction) &&
         near(a.oxygen, b.oxygen) && near(a.pressure, b.pressure) && near(a.time, b.time) && near(a.starts, b.starts);
}

bool equal(const LeakReliance& a, const LeakReliance& b) { return a.space == b.space && near(a.inflow, b.inflow); }

/// What could not be computed may be anything: it stands before what has no consequence.
int group_of(const FailureOutcome& o) {
  if (!o.consequences.empty()) return 0;
  if (!o.fault.empty() || !o.starved.empty()) return 1;
  if (!o.unreached.empty()) return 2;
  return o.leaks.empty() ? 4 : 3;
}

}  // namespace

Consequence brief(const Warning& w) {
  Consequence consequence{w.space, w.severity, w.lfl_fraction, w.oxygen, w.pressure, w.time, subject_of(w)};
  if (w.toxic) {
    consequence.gas = w.toxic->gas;
    consequence.gas_fraction = w.toxic->worst;
  }
  if (w.source) consequence.release = w.source->release;
  return consequence;
}

std::vector<Consequence> brief(const std::vector<Warning>& warnings) {
  std::vector<Consequence> out;
  for (const Warning& w : warnings) out.push_back(brief(w));
  return out;
}

bool ranks_before(const Consequence& a, const Consequence& b) { return key(a) < key(b); }

bool worse(const Consequence& a, const Consequence& b, double oxygen_in_air) {
  if (a.severity != b.severity) return a.severity < b.severity;
  if (!near(a.time, b.time) && a.time.value_or(forever) < b.time.value_or(forever)) return true;
  if (a.subject == Subject::source) return false;
  if (a.subject == Subject::toxic) return !near(a.gas_fraction, b.gas_fraction) && a.gas_fraction > b.gas_fraction;
  if (a.subject == Subject::oxygen) {
    const double da = std::abs(a.oxygen - oxygen_in_air), db = std::abs(b.oxygen - oxygen_in_air);
    return !near(a.oxygen, b.oxygen) && da > db;
  }
  if (a.subject == Subject::pressure) return !near(a.pressure, b.pressure) && a.pressure > b.pressure;
  return !near(a.lfl_fraction, b.lfl_fraction) && a.lfl_fraction > b.lfl_fraction && a.severity != Severity::rich;
}

const Consequence* same_thing(const std::vector<Consequence>& consequences, const Consequence& h) {
  for (const Consequence& other : consequences) {
    const bool same = other.subject == h.subject && other.gas == h.gas && other.release == h.release;
    if (other.space == h.space && same) return &other;
  }
  return nullptr;
}

bool same_effect(const FailureOutcome& a, const FailureOutcome& b) {
  const auto alike = [](const auto& x, const auto& y) {
    return std::equal(x.begin(), x.end(), y.begin(), y.end(), [](const auto& p, const auto& q) { return equal(p, q); });
  };
  return a.in_time == b.in_time && a.fault == b.fault && a.gone == b.gone && a.unreached == b.unreached &&
         a.starved == b.starved && alike(a.leaks, b.leaks) && alike(a.consequences, b.consequences);
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

bool ranks_before(const FailureOutcome& a, const FailureOutcome& b) {
  const auto order = [](const FailureOutcome& o) {
    return std::tuple(group_of(o), key(o.consequences.empty() ? Consequence{} : o.consequences.front()));
  };
  const auto x = order(a), y = order(b);
  if (x != y) return x < y;
  if (a.consequences.size() != b.consequences.size()) return a.consequences.size() > b.consequences.size();
  return a.failures < b.failures;
}

}  // namespace leanside::study
