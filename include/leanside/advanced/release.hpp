// SPDX-License-Identifier: Apache-2.0
/// How much gas enters, as a function of time: releases with their starts, ends and the events that turn them on and
/// off.
#pragma once

#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "leanside/site.hpp"

namespace leanside {

/// A stretch of time in which a release emits.
struct EmissionSpan {
  double begin = 0.0;  ///< s
  double end = std::numeric_limits<double>::infinity();
  double rate = 0.0;  ///< mol/s of the whole gas, > 0; of a release whose rate varies (see rate_varies) its highest
  double age = 0.0;   ///< s for which it had emitted before `begin`
};

/// When and how fast `release` emits, ordered and not overlapping. A release emits while it is on and its start has
/// come; time switched off does not count against its duration or stock, so that a dump always delivers its whole
/// amount. A spill ends when it is dry, which depends on the vapour already there: its spans are those in which it may
/// emit.
std::vector<EmissionSpan> emission(const Release& release, ReleaseIndex index, std::span<const Event> events);

/// Whether it never stops once everything has happened: only such a release counts in the steady state.
bool lasts(const Release& release);

/// All of what it can give, mol; infinite for one that never stops.
double total_amount(const Release& release);

/// Whether its rate changes while it emits: a cylinder, a spill, a reaction with a half time.
bool rate_varies(const Release& release);

/// Whether its rate depends on how much of its gas its space holds: a spill.
bool follows_vapour(const Release& release);

/// mol/s of a release that has emitted for `age` s, into a space where its gas has `partial_pressure` Pa. The rate
/// of every kind of release, as one function; a spill is taken as fresh.
double emission_rate(const Release& release, double age, double partial_pressure = 0.0);

/// What a spill is while `left` mol of it are left: of a mixture the stage that it is in.
struct SpillNow {
  Pool pool;
  std::vector<GasShare> vapour;  ///< the composition of what it gives off
  double left = 0.0;             ///< mol that are left of the stage
  double later = 0.0;            ///< mol that are left when the stage is over
};
SpillNow spill_now(const Release& spill, double left);

/// mol of one gas in the first `amount` mol that a release gives: of a pool of a mixture more of a light part than its
/// share, otherwise its share.
double gas_in_first(const Release& release, GasIndex gas, double amount);

/// Momentum, N, of the jet that a release is when it has emitted for `age` s: as given, else that of its hole, else 0.
double jet_momentum(const Release& release, double age);

/// mol that a release which does not follow its vapour has given when it has emitted for `age` s.
double amount_emitted(const Release& release, double age);

/// For how many s it emits before its stock is spent; infinite where it never stops. Of a spill: against clean
/// air, the shortest that it can take.
double emission_time(const Release& release);

/// Ages, s, at which the rate of a release is not smooth: where the flow from a cylinder ceases to be choked.
std::vector<double> breakpoints(const Release& release);

/// The shortest time, s, in which the rate of a varying release changes much; infinite for a constant one.
double time_scale(const Release& release, double age);

}  // namespace leanside
