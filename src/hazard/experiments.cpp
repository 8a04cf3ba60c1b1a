// SPDX-License-Identifier: Apache-2.0
#include "hazard/experiments.hpp"

#include <algorithm>
#include <cmath>

#include "hazard/experiment_gas.hpp"
#include "hazard/filling.hpp"
#include "hazard/judge.hpp"
#include "leanside/advanced/bench_feed.hpp"

namespace leanside {

namespace hazard {
namespace {

constexpr std::size_t course_points = 60;
/// A vessel larger than this, m3, is no apparatus on a bench unless its openings are given. Common practice, no source.
constexpr double largest_on_a_bench = 0.25;

/// The gas space of a vessel with its openings counted from its bottom, which is the surface of the liquid.
BenchVessel bench_vessel(const Space& space) {
  const Apparatus& given = space.apparatus;
  const double whole = space.volume + given.liquid, height = given.inner_height.value_or(0.0);
  const double surface = whole > 0.0 ? height * given.liquid / whole : 0.0;
  BenchVessel vessel{space.volume, height - surface, given.diameter.value_or(0.0), {}, given.stirred};
  for (const VesselOpening& hole : given.openings) {
    vessel.openings.push_back({hole.diameter, std::max(0.0, hole.height - surface), hole.neck, hole.facing});
  }
  return vessel;
}

class OneExperiment {
 public:
  OneExperiment(const Site& site, const CaseResult& result, const MixtureModel& model, SpaceIndex index)
      : site_{site},
        result_{result},
        model_{model},
        space_{site.spaces[index.value]},
        filling_{site, result.case_index, index, model},
        fed_{site, result.case_index, index, filling_.before()} {
    out_.space = index;
  }

  std::optional<Experiment> find() {
    out_.pressure = site_.conditions.pressure;
    out_.temperature = space_.temperature;
    out_.held = out_.pressure * space_.volume / (gas_constant * out_.temperature);
    const auto group = closed_group(site_, result_.case_index, out_.space);
    out_.sealed = !group.empty();
    out_.fed_by = filling_.before();
    out_.gas_in = fed_.total();
    out_.fed = fed_.end() > site_.criteria.horizon;
    out_.left_alone = out_.fed ? 0.0 : fed_.end();  // air gets in against a flow that goes on, too
    const SpaceResult& space = result_.spaces[out_.space.value];
    out_.content = space.end.fraction;
    out_.oxygen = space.end.oxygen;
    for (const std::size_t k : model_.fuel_gas) out_.fuel += out_.content[k];
    const bool gains = over_pressure(space_, space).has_value();
    if (!(out_.gas_in > 0.0) && !(space.peak.lfl_fraction > 0.0) && !gains) return std::nullopt;
    find_burning();
    find_air();
    find_flame();
    if (out_.sealed) find_harmless(group);
    if (!out_.sealed) find_passing();
    find_poison();
    return out_;
  }

 private:
  /// Where the content, thinned with air, is inside the range; and where it gives off the most heat.
  void find_burning() {
    const std::vector<double>& content = out_.content;
    const auto [rich, lean] = range_of_shares(model_, content);
    out_.rich_share = rich;
    out_.lean_share = lean;
    double demand = 0.0;
    for (const std::size_t k : model_.fuel_gas) {
      demand += content[k] * model_.demand[k];
      out_.heat_of_all += out_.held * content[k] * heat_of(site_.gases[k].substance);
    }
    if (out_.fuel > 0.0 && demand > 0.0) {
      out_.oxygen_demand = demand / out_.fuel;
      if (out_.oxygen > no_oxygen) out_.oxygen_per_fuel = out_.oxygen / out_.fuel;
    }
    if (!(rich > 0.0)) return;
    // The worst lies where the oxygen is just enough, if that is inside the range; else at one of its ends. The oxygen
    // goes in a line with the share.
    const double air = model_.oxygen_in_air, own = model_.oxidiser_of(content);
    const double enough = demand - own + air > 0.0 ? air / (demand - own + air) : rich;
    for (const double share : {lean, rich, std::clamp(enough, lean, rich)}) {
      const double oxygen = air + share * (own - air), needed = share * demand;
      const double burnt = needed > 0.0 ? std::min(1.0, oxygen / needed) : 1.0;
      const double heat = out_.heat_of_all * share * burnt;
      if (heat < out_.heat) continue;
      out_.heat = heat;
      out_.worst_fuel = out_.fuel * share;
      out_.worst_oxygen = oxygen;
    }
    std::vector<double> richest = content;
    for (double& x : richest) x *= rich;
    out_.with_oxygen = model_.oxidiser_of(richest) > site_.criteria.oxygen_high;
    find_closed_pressure();
  }

  void find_closed_pressure() {
    constexpr double trace = 0.01;
    for (const std::size_t k : model_.fuel_gas) {
      if (out_.content[k] < trace * out_.fuel || !site_.gases[k].flame) continue;
      const FlameProperties& flame = *site_.gases[k].flame;
      const auto& known = out_.with_oxygen && flame.explosion_pressure_oxygen ? flame.explosion_pressure_oxygen
                                                                              : flame.explosion_pressure;
      if (!known) continue;
      const double reached = leanside::closed_pressure(known->value, out_.pressure, out_.temperature);
      out_.closed_pressure = std::max(reached, out_.closed_pressure.value_or(0.0));
    }
  }

  void find_air() {
    if (space_.apparatus.openings.empty() || !(out_.fuel > 0.0)) return;
    const BenchVessel vessel = bench_vessel(space_);
    const BenchGas gas = bench_gas();
    out_.way = way_in(vessel, gas);
    out_.air_flow = air_flow(vessel, gas, 1.0, Bound::usual);
    out_.density = gas.inside;
    out_.surrounding_density = gas.outside;
    out_.trapped = trapped_volume(vessel, gas);
    if (!(out_.rich_share > 0.0)) return;
    out_.keeps_out =
        std::max(flow_that_keeps(vessel, gas, out_.rich_share), outflow_against_air(vessel, gas, Bound::quick));
    find_counterflow(vessel, gas);
    if (out_.fed && fed_.rate() * gas_constant * out_.temperature / out_.pressure >= *out_.keeps_out) return;
    out_.window = flame_window(vessel, gas, out_.rich_share, out_.lean_share);
    if (!out_.window) return;
    const bool inside = out_.counterflow && out_.counterflow->from && !out_.counterflow->until;
    if (out_.fed) {
      // It may come into the range, and nothing makes it lean again.
      if (inside) out_.window->from = std::min(out_.window->from, *out_.counterflow->from);
      // The run lets no air in, which is the other bound.
      const auto& run = result_.spaces[out_.space.value].flammable_from;
      if (run) out_.window->from = std::min(out_.window->from, *run);
      out_.window->at_latest = out_.window->from;
      out_.window->until = HUGE_VAL;
    } else if (inside) {
      out_.window->from = 0.0;
    }
    find_course(vessel, gas);
  }

  /// Air that gets in against gas that goes on leaving, as if it mixed at once: the quick value, so the worse.
  void find_counterflow(const BenchVessel& vessel, const BenchGas& gas) {
    if (!filling_.is_known()) return;
    Counterflow against;
    against.outflow = filling_.least_flow();
    against.air = out_.air_flow;
    against.keeps_out = *out_.keeps_out;
    against.kept_out = against.outflow >= against.keeps_out;
    if (!against.kept_out) {
      const Filled filled = filling_.run(end_of_feed(), air_of(vessel, gas, Bound::quick));
      for (const std::size_t k : model_.fuel_gas) against.settles += filled.points.back().mixture[k];
      against.from = filled.from;
      against.until = filled.until;
      against.flammable_time = filled.flammable_time;
    }
    out_.counterflow = against;
  }

  double end_of_feed() const { return out_.fed ? site_.criteria.horizon : out_.left_alone; }

  Filling::Air air_of(const BenchVessel& vessel, const BenchGas& gas, Bound bound) const {
    return [this, vessel, gas, bound](const std::vector<double>& mixture, double outflow) {
      BenchGas now = gas;
      now.inside = density_of(mixture);
      return air_against(vessel, now, outflow, bound);
    };
  }

  /// What passes through it, and the states that it goes through.
  void find_passing() {
    out_.collection = fed_.collection(out_, space_, model_);
    if (!out_.collection) {
      out_.sweeping = GasLetIn(site_, result_.case_index, out_.space, out_.fed_by, GasLetIn::Which::with_fuel)
                          .sweeping(out_, model_);
    }
    find_states();
    if (out_.fed_by.empty() || !filling_.is_known() || !(out_.collection || out_.sweeping)) return;
    const Filled course = filling_.run(end_of_feed());
    if (out_.collection) fed_.collect_behind(*out_.collection, out_, model_, course);
    if (out_.sweeping) fed_.sweep_behind(*out_.sweeping, out_, model_, course);
  }

  /// Both bounds over time, for the picture: up to a little after the last change.
  void find_states() {
    constexpr double beyond = 1.2, volumes = 6.0;
    const bool ends = out_.window && std::isfinite(out_.window->until);
    double end = beyond * (out_.left_alone + (ends ? out_.window->until : 0.0));
    if (out_.fed) {
      const double held = out_.held, rate = fed_.rate();
      end = std::min(site_.criteria.horizon, rate > 0.0 ? volumes * held / rate : site_.criteria.horizon);
      end = std::max(end, std::min(site_.criteria.horizon, beyond * last_change()));
    }
    if (!(end > 0.0) || (out_.gas_in > 0.0 && !filling_.is_known())) return;
    std::vector<StateSpan> filled = {{0.0, 0.0, state_now(1.0)}};
    if (filling_.is_known()) filled = filling_.run(out_.fed ? end : std::min(end, out_.left_alone)).spans;
    out_.mixed = out_.unmixed = filled;
    if (!out_.window) {
      stretch(out_.mixed, end);
      out_.unmixed.clear();
      return;
    }
    const FlameWindow& window = *out_.window;
    const double start = out_.left_alone;
    const bool diffuses = out_.way == WayIn::diffusion;
    if (filling_.is_known() && !diffuses) {
      out_.mixed = filling_.run(end, air_of(bench_vessel(space_), bench_gas(), Bound::usual)).spans;
    } else {
      add(out_.mixed, start + window.mixed_from, state_now(1.0));
      add(out_.mixed, start + window.mixed_until, FlameState::may_strike);
      add(out_.mixed, end, FlameState::out);
    }
    add(out_.unmixed, start + window.unmixed, state_now(1.0));
    if (diffuses) add(out_.unmixed, start + window.until, FlameState::may_strike);
    add(out_.unmixed, end, FlameState::out);
    stretch(out_.mixed, end);
    stretch(out_.unmixed, end);
  }

  double last_change() const {
    return out_.counterflow && out_.counterflow->from ? out_.counterflow->until.value_or(*out_.counterflow->from) : 0.0;
  }

  /// What the content is when this share of it is left.
  FlameState state_now(double share) const {
    std::vector<double> mixture = out_.content;
    for (double& x : mixture) x *= share;
    const MixtureState state = model_.state(mixture);
    return state == MixtureState::flammable                                ? FlameState::may_strike
           : state == MixtureState::rich || state == MixtureState::inerted ? FlameState::steady
                                                                           : FlameState::out;
  }

  /// Goes on in `state` until `end`.
  static void add(std::vector<StateSpan>& spans, double end, FlameState state) {
    if (!spans.empty() && !(end > spans.back().end)) return;
    if (!spans.empty() && spans.back().state == state) {
      spans.back().end = end;
    } else {
      spans.push_back({spans.empty() ? 0.0 : spans.back().end, end, state});
    }
  }
  static void stretch(std::vector<StateSpan>& spans, double end) {
    while (spans.size() > 1 && spans.back().begin >= end) spans.pop_back();
    std::erase_if(spans, [](const StateSpan& span) { return !(span.end > span.begin); });
    if (!spans.empty()) spans.back().end = end;
  }

  double density_of(const std::vector<double>& mixture) const {
    Composition content;
    for (std::size_t k = 0; k < mixture.size(); ++k) content.shares.push_back({GasIndex{k}, mixture[k]});
    return molar_mass(content, site_.gases) * out_.pressure / (gas_constant * out_.temperature);
  }

  BenchGas bench_gas() const {
    BenchGas gas;
    const double per_mole = out_.pressure / gas_constant;
    gas.inside = density_of(out_.content);
    const Side place = space_.stands_in ? space_.stands_in->place : Side{};
    const double around = place ? site_.spaces[place->value].temperature : site_.conditions.temperature;
    gas.outside = molar_mass_of_air * per_mole / around;
    double known = 0.0;
    for (const std::size_t k : model_.fuel_gas) {
      const auto& diffusivity = site_.gases[k].substance.diffusivity_in_air;
      if (diffusivity && out_.content[k] > 0.0) known = std::max(known, diffusivity->value);
    }
    if (known > 0.0) gas.diffusivity = known;
    return gas;
  }

  void find_course(const BenchVessel& vessel, const BenchGas& gas) {
    const FlameWindow& window = *out_.window;
    if (!std::isfinite(window.until)) return;
    std::vector<double> times;
    for (std::size_t k = 0; k <= course_points; ++k) {
      times.push_back(1.2 * window.until * static_cast<double>(k) / course_points);
    }
    const auto shares = mixed_shares(vessel, gas, times);
    for (std::size_t k = 0; k < times.size(); ++k) {
      const FlameState state = times[k] < window.from     ? FlameState::steady
                               : times[k] <= window.until ? FlameState::may_strike
                                                          : FlameState::out;
      const double level = vessel.stirred ? shares[k] : unmixed_level(vessel, gas, times[k], Bound::usual);
      out_.course.push_back({out_.left_alone + times[k], out_.fuel * shares[k], level, state});
    }
  }

  void find_flame() {
    double smallest = HUGE_VAL;
    for (const VesselOpening& hole : space_.apparatus.openings) {
      out_.lit = out_.lit || hole.flame;
      out_.widest = std::max(out_.widest, hole.diameter);
      const double area = 0.25 * 3.141592653589793 * hole.diameter * hole.diameter;
      smallest = std::min(smallest, area);
    }
    if (out_.air_flow > 0.0) out_.outflow_speed = out_.air_flow / smallest;
    const auto least = [](std::optional<double>& kept, const std::optional<Sourced>& value) {
      if (value) kept = std::min(value->value, kept.value_or(value->value));
    };
    bool all_known = true;
    for (const std::size_t k : model_.fuel_gas) {
      if (!(out_.content[k] > 0.0)) continue;
      const auto& flame = site_.gases[k].flame;
      all_known = all_known && flame && flame->safe_gap;
      if (!flame) continue;
      least(out_.quenching_distance, flame->quenching_distance);
      least(out_.safe_gap, flame->safe_gap);
      if (flame->burning_velocity) {
        out_.burning_velocity = std::max(flame->burning_velocity->value, out_.burning_velocity.value_or(0.0));
      }
    }
    // Gases of group IIC pass nearly everything: of them no gap is called safe (IEC 60079-20-1: below 0.5 mm).
    constexpr double group_c = 0.5e-3;
    out_.passes_flame = !all_known || !out_.safe_gap || *out_.safe_gap < group_c || out_.widest > *out_.safe_gap;
  }

  /// What a sealed vessel may get: up to its rating, or a tenth more pressure.
  void find_harmless(const std::vector<SpaceIndex>& group) {
    constexpr double gain = 1.1;
    const double stands = space_.rated_pressure.value_or(gain * out_.pressure);
    double held = 0.0;  // of all vessels that share the gas
    for (const SpaceIndex one : group) {
      const Space& space = site_.spaces[one.value];
      held += out_.pressure * space.volume / (gas_constant * space.temperature);
    }
    out_.harmless_gas = std::max(0.0, stands / out_.pressure - 1.0) * held;
  }

  void find_poison() {
    for (const Exposure& exposure : result_.spaces[out_.space.value].exposures) {
      const double times = exposure.worst / exposure.idlh;
      const auto& classes = site_.gases[exposure.gas.value].substance.classification;
      if (times <= std::max(1.0, out_.poison_times)) continue;
      if (std::find(classes.begin(), classes.end(), "toxic") == classes.end()) continue;
      out_.poison = exposure.gas;
      out_.poison_times = times;
    }
  }

  const Site& site_;
  const CaseResult& result_;
  const MixtureModel& model_;
  const Space& space_;
  Filling filling_;
  GasLetIn fed_;
  Experiment out_;
};

}  // namespace

std::vector<Experiment> find_experiments(const Site& site, const CaseResult& result, const MixtureModels& models) {
  std::vector<Experiment> out;
  for (std::size_t i = 0; i < site.spaces.size(); ++i) {
    const Space& space = site.spaces[i];
    if (space.kind != SpaceKind::vessel || space.entered || !(space.volume > 0.0)) continue;
    if (space.volume > largest_on_a_bench && space.apparatus.openings.empty()) continue;
    const SpaceIndex index{i};
    auto one = OneExperiment(site, result, models.of(index), index).find();
    if (one) out.push_back(std::move(*one));
  }
  return out;
}

}  // namespace hazard
}  // namespace leanside
