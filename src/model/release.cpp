// SPDX-License-Identifier: Apache-2.0
#include "leanside/advanced/release.hpp"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include "base/units/overloaded.hpp"

namespace leanside {
namespace {

constexpr double forever = std::numeric_limits<double>::infinity();

/// A first-order reaction counts as spent after this many half times: less than 1e-12 of the gas is left in it.
constexpr double half_times_to_spent = 40.0;

Blowdown blowdown_of(const CylinderRelease& r) { return {r.held, r.hole, r.water_volume, r.pressure, r.ambient}; }

/// The course of a stock that comes out by one; null for every other release.
const Outflow* course_of(const Release& release) {
  if (const auto* boiling = std::get_if<BoilingRelease>(&release.kind)) return &boiling->course;
  const auto* cylinder = std::get_if<CylinderRelease>(&release.kind);
  return cylinder != nullptr && !cylinder->course.empty() ? &cylinder->course : nullptr;
}

/// The pool of a stage.
Pool pool_of(const SpillRelease& spill, const PoolStage& stage) {
  Pool pool = spill.pool;
  pool.vapour_pressure = stage.vapour_pressure;
  pool.transfer = stage.transfer;
  return pool;
}

/// s in which it dries in clean air.
double drying_time(const SpillRelease& spill) {
  const auto time = [](double amount, const Pool& pool) {
    const double rate = evaporation_rate(pool, 0.0);
    return rate > 0.0 ? amount / rate : forever;
  };
  if (spill.stages.empty()) return time(spill.amount, spill.pool);
  double sum = 0.0;
  for (const PoolStage& stage : spill.stages) sum += time(stage.amount, pool_of(spill, stage));
  return sum;
}

double decay_rate(const ReactionRelease& r) { return std::numbers::ln2 / *r.half_time; }

}  // namespace

double emission_rate(const Release& release, double age, double partial_pressure) {
  return std::visit(Overloaded{
                        [](const SteadyRelease& r) { return r.rate; },
                        [](const DumpRelease& r) { return r.amount / r.over; },
                        [](const FittingsRelease& r) { return r.count * r.each; },
                        [](const OrificeRelease& r) { return discharge_rate(r.held, r.hole, r.pressure, r.ambient); },
                        [&](const CylinderRelease& r) {
                          return r.course.empty() ? blowdown_of(r).rate_at(age) : r.course.rate_at(age);
                        },
                        [&](const SpillRelease& r) { return evaporation_rate(r.pool, partial_pressure); },
                        [&](const ReactionRelease& r) {
                          return r.half_time ? r.amount * decay_rate(r) * std::exp(-decay_rate(r) * age)
                                             : r.amount / *r.over;
                        },
                        [](const ChargingRelease& r) { return charging_hydrogen(r.cells, r.current); },
                        [&](const BoilingRelease& r) { return r.course.rate_at(age); },
                    },
                    release.kind);
}

double emission_time(const Release& release) {
  return std::visit(
      Overloaded{
          [](const SteadyRelease& r) { return r.duration.value_or(forever); },
          [](const DumpRelease& r) { return r.over; },
          [](const FittingsRelease&) { return forever; },
          [](const OrificeRelease& r) { return r.duration.value_or(forever); },
          [](const CylinderRelease& r) { return r.course.empty() ? blowdown_of(r).duration() : r.course.duration(); },
          [](const SpillRelease& r) { return drying_time(r); },
          [](const ReactionRelease& r) { return r.half_time ? half_times_to_spent * *r.half_time : *r.over; },
          [](const ChargingRelease& r) { return r.duration.value_or(forever); },
          [](const BoilingRelease& r) { return r.course.duration(); },
      },
      release.kind);
}

std::vector<EmissionSpan> emission(const Release& release, ReleaseIndex index, std::span<const Event> events) {
  std::vector<EmissionSpan> spans;
  const double rate = emission_rate(release, 0.0);
  const double lasting = follows_vapour(release) ? forever : emission_time(release);
  double left = lasting, age = 0.0;
  bool on = release.on;
  double since = 0.0;
  const auto emit_until = [&](double until) {
    const double begin = std::max(since, release.start);
    if (!on || until <= begin || left <= 0.0 || rate <= 0.0) return;
    const double end = std::min(until, begin + left);
    left = end < until ? 0.0 : left - (end - begin);  // what rounding leaves is not let out at a later event
    if (!spans.empty() && spans.back().end == begin) {
      spans.back().end = end;
    } else {
      spans.push_back({begin, end, rate, age});
    }
    age += end - begin;
  };
  for (const Event& event : events) {
    const auto* change = std::get_if<SetReleaseOn>(&event.change);
    if (change == nullptr || change->release != index) continue;
    emit_until(event.at);
    on = change->on;
    since = event.at;
  }
  emit_until(forever);
  return spans;
}

SpillNow spill_now(const Release& release, double left) {
  const auto& spill = std::get<SpillRelease>(release.kind);
  SpillNow now{spill.pool, release.gas.shares, left, 0.0};
  // From the last stage backwards: the first whose later stages hold less than what is left is the one that it is in.
  for (std::size_t k = spill.stages.size(); k-- > 0;) {
    const PoolStage& stage = spill.stages[k];
    if (k > 0 && now.later + stage.amount < left) {
      now.later += stage.amount;
      continue;
    }
    now.pool = pool_of(spill, stage);
    for (std::size_t i = 0; i < now.vapour.size(); ++i) now.vapour[i].fraction = stage.share[i];
    break;
  }
  now.left = left - now.later;
  return now;
}

double gas_in_first(const Release& release, GasIndex gas, double amount) {
  const auto* spill = std::get_if<SpillRelease>(&release.kind);
  const auto& shares = release.gas.shares;
  double sum = 0.0;
  for (std::size_t i = 0; i < shares.size(); ++i) {
    if (shares[i].gas != gas) continue;
    if (spill == nullptr || spill->stages.empty()) {
      sum += shares[i].fraction * amount;
      continue;
    }
    double rest = amount;
    for (const PoolStage& stage : spill->stages) {
      const double taken = std::min(rest, stage.amount);
      sum += taken * stage.share[i];
      rest -= taken;
    }
  }
  return sum;
}

bool follows_vapour(const Release& release) { return std::holds_alternative<SpillRelease>(release.kind); }

bool rate_varies(const Release& release) {
  if (const auto* reaction = std::get_if<ReactionRelease>(&release.kind)) return reaction->half_time.has_value();
  return follows_vapour(release) || std::holds_alternative<CylinderRelease>(release.kind) ||
         std::holds_alternative<BoilingRelease>(release.kind);
}

bool lasts(const Release& release) { return !follows_vapour(release) && emission_time(release) == forever; }

double total_amount(const Release& release) {
  return std::visit(
      Overloaded{
          [](const DumpRelease& r) { return r.amount; },
          [](const CylinderRelease& r) { return r.course.empty() ? blowdown_of(r).stock() : r.course.stock(); },
          [](const BoilingRelease& r) { return r.course.stock(); },
          [](const SpillRelease& r) { return r.amount; },
          [](const ReactionRelease& r) { return r.amount; },
          [&](const auto&) {
            const double rate = emission_rate(release, 0.0);
            return rate > 0.0 ? rate * emission_time(release) : 0.0;
          },
      },
      release.kind);
}

double jet_momentum(const Release& release, double age) {
  if (release.momentum) return *release.momentum;
  if (const auto* orifice = std::get_if<OrificeRelease>(&release.kind)) {
    return jet_momentum(orifice->held, orifice->hole, orifice->pressure, orifice->ambient);
  }
  if (const auto* cylinder = std::get_if<CylinderRelease>(&release.kind)) {
    const double pressure = age >= emission_time(release) ? cylinder->ambient
                            : cylinder->course.empty()    ? blowdown_of(*cylinder).pressure_at(age)
                                                          : cylinder->course.pressure_at(age);
    return jet_momentum(cylinder->held, cylinder->hole, pressure, cylinder->ambient);
  }
  return 0.0;
}

double amount_emitted(const Release& release, double age) {
  assert(!follows_vapour(release));
  if (age <= 0.0) return 0.0;
  if (const Outflow* course = course_of(release)) return course->amount_out(age);
  if (const auto* cylinder = std::get_if<CylinderRelease>(&release.kind)) return blowdown_of(*cylinder).amount_out(age);
  if (const auto* reaction = std::get_if<ReactionRelease>(&release.kind); reaction && reaction->half_time) {
    return -std::expm1(-decay_rate(*reaction) * age) * reaction->amount;
  }
  return emission_rate(release, 0.0) * std::min(age, emission_time(release));
}

std::vector<double> breakpoints(const Release& release) {
  if (const Outflow* course = course_of(release)) return course->joints();
  const auto* cylinder = std::get_if<CylinderRelease>(&release.kind);
  if (cylinder == nullptr) return {};
  const double choked = blowdown_of(*cylinder).choked_until();
  return choked > 0.0 ? std::vector<double>{choked} : std::vector<double>{};
}

double time_scale(const Release& release, double age) {
  if (const Outflow* course = course_of(release)) return course->time_scale(age);
  if (const auto* cylinder = std::get_if<CylinderRelease>(&release.kind)) {
    const Blowdown blowdown = blowdown_of(*cylinder);
    return age < blowdown.choked_until() ? blowdown.time_constant()
                                         : 0.5 * (blowdown.duration() - blowdown.choked_until());
  }
  if (const auto* reaction = std::get_if<ReactionRelease>(&release.kind); reaction && reaction->half_time) {
    return 1.0 / decay_rate(*reaction);
  }
  return forever;
}

}  // namespace leanside
