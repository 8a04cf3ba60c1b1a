// SPDX-License-Identifier: Apache-2.0
/// The arithmetic of one space, step by step.
#include <algorithm>
#include <cmath>

#include "hazard/mixture.hpp"
#include "leanside/advanced/bench.hpp"
#include "leanside/advanced/release.hpp"
#include "leanside/explain.hpp"

namespace leanside {
namespace {

constexpr double nothing = 1e-12;  ///< mol/mol below which a gas is not there

class Arithmetic {
 public:
  Arithmetic(const Site& site, const CaseResult& result, SpaceIndex index, const SteadyFractions& steady)
      : site_{site},
        result_{result},
        index_{index},
        space_{site.spaces[index.value]},
        steady_{steady},
        state_{state_at(site, result.case_index, HUGE_VAL)},
        models_{hazard::mixture_models(site, result.case_index)} {}

  SpaceArithmetic run() {
    out_.case_index = result_.case_index;
    out_.space = index_;
    out_.pressure = site_.conditions.pressure;
    out_.temperature = state_.temperature[index_.value];
    out_.volume = space_.volume;
    if (space_.volume > 0.0) {
      out_.moles = site_.conditions.pressure * space_.volume / (gas_constant * out_.temperature);
    }
    out_.horizon = site_.criteria.horizon;
    out_.peak = result_.spaces[index_.value].peak;
    find_yields();
    for (const Experiment& one : result_.experiments) {
      if (one.space == index_) out_.experiment = one;
    }
    if (!steady_.reached[index_.value]) {
      out_.no_steady = steady_.reason[index_.value];
      return out_;
    }
    collect_streams();
    collect_releases();
    find_fractions();
    find_limits();
    find_oxygen();
    find_times();
    return out_;
  }

 private:
  void add(ExplainedStream::Kind kind, std::optional<AirwayIndex> airway, Side other, bool into, double rate) {
    if (!(rate > 0.0)) return;
    const Side from = into ? other : Side{index_};
    const double t = from ? state_.temperature[from->value] : site_.conditions.outside_temperature;
    out_.streams.push_back({kind, airway, other, into, rate, t, rate * gas_constant * t / site_.conditions.pressure});
  }

  /// The gas of reactions and of electrolysis, by amount and volume.
  void find_yields() {
    const double pressure = site_.conditions.pressure;
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      const Release& release = site_.releases[r];
      if (release.into != index_) continue;
      ExplainedYield one;
      one.release = ReleaseIndex{r};
      if (const auto* reaction = std::get_if<ReactionRelease>(&release.kind)) {
        one.gas = reaction->amount;
        one.time = reaction->half_time ? *reaction->half_time : *reaction->over;
      } else if (const auto* steady = std::get_if<SteadyRelease>(&release.kind);
                 steady != nullptr && steady->current && steady->duration) {
        one.gas = steady->rate * *steady->duration;
        one.time = *steady->duration;
      } else {
        continue;
      }
      one.volume = one.gas * gas_constant * out_.temperature / pressure;
      if (water_vapour_pressure(out_.temperature) < pressure) {
        one.wet_volume = volume_over_water(one.gas, out_.temperature, pressure);
      }
      if (space_.volume > 0.0) one.volumes = one.volume / space_.volume;
      out_.yields.push_back(one);
    }
  }

  void collect_streams() {
    using Kind = ExplainedStream::Kind;
    const FlowField& flows = steady_.flows;
    const Side here{index_};
    for (std::size_t i = 0; i < site_.airways.size() && i < flows.airways.size(); ++i) {
      const Side a = first_side(site_.airways[i]), b = second_side(site_.airways[i]);
      const AirwayIndex airway{i};
      if (a == here) {
        add(Kind::airway, airway, b, false, flows.airways[i].forward);
        add(Kind::airway, airway, b, true, flows.airways[i].backward);
      } else if (b == here) {
        add(Kind::airway, airway, a, true, flows.airways[i].forward);
        add(Kind::airway, airway, a, false, flows.airways[i].backward);
      }
    }
    const double changes = molar_flow(space_.air_changes * space_.volume, site_.conditions.pressure, out_.temperature);
    add(Kind::air_changes, {}, {}, true, changes);
    add(Kind::air_changes, {}, {}, false, changes);
    for (const AssumedLeak& leak : flows.leaks) {
      if (leak.space == index_) add(Kind::assumed_leak, {}, leak.other, leak.rate > 0.0, std::abs(leak.rate));
      if (leak.other == here) add(Kind::assumed_leak, {}, leak.space, leak.rate < 0.0, std::abs(leak.rate));
    }
    std::stable_partition(out_.streams.begin(), out_.streams.end(),
                          [](const ExplainedStream& stream) { return stream.into; });
    for (const ExplainedStream& stream : out_.streams) (stream.into ? out_.inflow : out_.outflow) += stream.rate;
  }

  void collect_releases() {
    gas_in_.assign(site_.gases.size(), 0.0);
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      const Release& release = site_.releases[r];
      const double rate = state_.release_rate[r];
      if (release.into != index_ || !(rate > 0.0)) continue;
      ExplainedRelease one{
          ReleaseIndex{r}, rate, rate * gas_constant * site_.conditions.temperature / site_.conditions.pressure, {}};
      for (const GasShare& share : release.gas.shares) {
        one.parts.push_back({share.gas, share.fraction, share.fraction * rate});
        gas_in_[share.gas.value] += share.fraction * rate;
      }
      out_.released += rate;
      out_.releases.push_back(std::move(one));
    }
  }

  /// What leaves a space: its mixed part where K is 1; else equation (5), its z found from what it is fed with.
  double leaving(Side side, std::size_t gas) const {
    if (!side) return 0.0;
    return leaving_.empty() ? steady_.fractions(*side, gas) : leaving_[side->value * site_.gases.size() + gas];
  }

  /// y of every space; by repetition, since a badly mixed space may feed another. Each turn shrinks the error by the
  /// share that passes by unmixed and comes back.
  void find_leaving() {
    const std::size_t gases = site_.gases.size();
    std::vector<double> y(site_.spaces.size() * gases);
    for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
      for (std::size_t k = 0; k < gases; ++k) y[i * gases + k] = steady_.fractions(SpaceIndex{i}, k);
    }
    leaving_ = y;
    if (std::none_of(site_.spaces.begin(), site_.spaces.end(), [](const Space& s) { return s.mixing_factor > 1.0; })) {
      return;
    }
    std::vector<double> in(site_.spaces.size(), 0.0);
    for (const MolarFlow& flow : steady_.flows.flows) {
      if (flow.to) in[flow.to->value] += flow.rate;
    }
    constexpr int turns = 300;
    for (int turn = 0; turn < turns; ++turn) {
      std::vector<double> carried(y.size(), 0.0);
      for (const MolarFlow& flow : steady_.flows.flows) {
        if (!flow.to || !flow.from) continue;
        for (std::size_t k = 0; k < gases; ++k) {
          carried[flow.to->value * gases + k] += flow.rate * leaving_[flow.from->value * gases + k];
        }
      }
      for (std::size_t i = 0; i < site_.spaces.size(); ++i) {
        const double factor = site_.spaces[i].mixing_factor, release = steady_.flows.release[i];
        if (!(factor > 1.0) || !(in[i] + release > 0.0)) continue;
        for (std::size_t k = 0; k < gases; ++k) {
          leaving_[i * gases + k] =
              ((in[i] / factor + release) * y[i * gases + k] + (1.0 - 1.0 / factor) * carried[i * gases + k]) /
              (in[i] + release);
        }
      }
    }
  }

  bool is_there(std::size_t gas) const { return steady_.fractions(index_, gas) > nothing; }

  void find_fractions() {
    find_leaving();
    const double factor = space_.mixing_factor;
    out_.mixing_factor = factor;
    for (std::size_t k = 0; k < site_.gases.size(); ++k) {
      if (!is_there(k)) continue;
      ExplainedGas one{GasIndex{k}, {}, 0.0, gas_in_[k]};
      for (std::size_t s = 0; s < out_.streams.size(); ++s) {
        const ExplainedStream& stream = out_.streams[s];
        const double there = stream.into ? leaving(stream.other, k) : 0.0;
        if (!(there > 0.0)) continue;
        one.terms.push_back({s, there});
        one.brought += stream.rate * there;
      }
      one.fraction = (one.brought / factor + gas_in_[k]) / (out_.inflow / factor + out_.released);
      one.solved = steady_.fractions(index_, k);
      one.differs = std::abs(one.fraction - one.solved) > 1e-5 * one.solved;
      out_.gases.push_back(std::move(one));
    }
  }

  void find_limits() {
    const hazard::MixtureModel& model = models_.of(index_);
    for (std::size_t k = 0; k < site_.gases.size(); ++k) {
      const Gas& gas = site_.gases[k];
      if (!gas.limits || !is_there(k)) continue;
      out_.limits.push_back({GasIndex{k}, steady_.fractions(index_, k), gas.limits->lower, 1.0 / model.lower[k]});
    }
    if (out_.limits.empty()) return;
    const Criteria& c = site_.criteria;
    const double level = model.lfl_fraction(steady_.fractions.of(index_));
    out_.lfl_fraction = level;
    out_.level = level >= 1.0         ? MixtureState::flammable
                 : level >= c.warn_at ? MixtureState::margin
                 : level >= c.note_at ? MixtureState::note
                                      : MixtureState::clear;
  }

  void find_oxygen() {
    const hazard::MixtureModel& model = models_.of(index_);
    ExplainedOxygen oxygen;
    for (std::size_t k = 0; k < site_.gases.size(); ++k) {
      if (!is_there(k)) continue;
      oxygen.fractions.push_back(steady_.fractions(index_, k));
      // Oxygen itself takes the place of air and is oxygen.
      if (model.oxygen[k] > 0.0) oxygen.added += steady_.fractions(index_, k);
    }
    if (oxygen.fractions.empty()) return;
    oxygen.in_air = site_.conditions.oxygen_in_air;
    oxygen.value = model.oxygen_of(steady_.fractions.of(index_));
    out_.oxygen = std::move(oxygen);
  }

  bool brings_gas(const ExplainedStream& stream) const {
    if (!stream.into || !stream.other) return false;
    for (std::size_t k = 0; k < site_.gases.size(); ++k) {
      if (leaving(stream.other, k) > nothing) return true;
    }
    return false;
  }

  void find_times() {
    const double through = out_.inflow / space_.mixing_factor + out_.released;
    if (!(out_.moles > 0.0) || !(through > 0.0)) return;
    out_.time_constant = out_.moles / through;
    const SpaceResult& space = result_.spaces[index_.value];
    const bool from_clean_air = std::none_of(out_.streams.begin(), out_.streams.end(),
                                             [&](const ExplainedStream& stream) { return brings_gas(stream); });
    if (!from_clean_air || changes_on_the_way() || !space_.initial.empty()) return;
    const double level = models_.of(index_).lfl_fraction(steady_.fractions.of(index_));
    for (const Crossing& crossing : space.crossings) {
      const double mark = crossing.threshold == Threshold::note   ? site_.criteria.note_at
                          : crossing.threshold == Threshold::warn ? site_.criteria.warn_at
                          : crossing.threshold == Threshold::lfl  ? 1.0
                                                                  : 0.0;
      if (!(mark > 0.0) || !(level > mark)) continue;
      out_.passages.push_back({mark, -*out_.time_constant * std::log(1.0 - mark / level), crossing.up});
    }
  }

  /// Whether anything is switched in this case, or gas begins to get in here later, or ends.
  bool changes_on_the_way() const {
    const auto& events = site_.cases[result_.case_index.value].events;
    if (!events.empty()) return true;
    for (std::size_t r = 0; r < site_.releases.size(); ++r) {
      if (site_.releases[r].into != index_) continue;
      for (const EmissionSpan& span : emission(site_.releases[r], ReleaseIndex{r}, events)) {
        if (span.begin > 0.0 || std::isfinite(span.end)) return true;
      }
    }
    return std::any_of(site_.airways.begin(), site_.airways.end(), follows_pressure);
  }

  const Site& site_;
  const CaseResult& result_;
  SpaceIndex index_;
  const Space& space_;
  const SteadyFractions& steady_;
  SiteState state_;
  hazard::MixtureModels models_;
  SpaceArithmetic out_;
  std::vector<double> gas_in_;   ///< mol/s, by GasIndex
  std::vector<double> leaving_;  ///< y, by space and gas
};

}  // namespace

std::string_view word_of(ExplainedStream::Kind kind) {
  switch (kind) {
    case ExplainedStream::Kind::airway:
      return "airway";
    case ExplainedStream::Kind::air_changes:
      return "air_changes";
    case ExplainedStream::Kind::assumed_leak:
      break;
  }
  return "assumed_leak";
}

SpaceArithmetic arithmetic_of(const Site& site, const CaseResult& result, SpaceIndex space,
                              const SteadyFractions& steady) {
  return Arithmetic{site, result, space, steady}.run();
}

}  // namespace leanside
