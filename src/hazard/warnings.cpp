// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

#include "hazard/experiment_gas.hpp"
#include "hazard/experiments.hpp"
#include "hazard/facts.hpp"
#include "hazard/judge.hpp"
#include "hazard/watch.hpp"

namespace leanside {

std::string_view word_of(Severity severity) {
  switch (severity) {
    case Severity::flammable:
      return "flammable";
    case Severity::pressure:
      return "pressure";
    case Severity::rich:
      return "rich";
    case Severity::near_source:
      return "near-source";
    case Severity::toxic:
      return "toxic";
    case Severity::margin:
      return "margin";
    case Severity::oxygen:
      return "oxygen";
    case Severity::note:
      break;
  }
  return "note";
}

std::string_view word_of(Threshold threshold) {
  switch (threshold) {
    case Threshold::note:
      return "note";
    case Threshold::warn:
      return "warn";
    case Threshold::lfl:
      return "lfl";
    case Threshold::ufl:
      return "ufl";
    case Threshold::stoichiometric:
      break;
  }
  return "stoichiometric";
}

std::string_view word_of(RoomModel room_model) {
  switch (room_model) {
    case RoomModel::mixed:
      return "mixed";
    case RoomModel::layered:
      return "layered";
    case RoomModel::only:
      break;
  }
  return "only";
}

Subject subject_of(const Warning& warning) {
  if (warning.storage) return Subject::storage;
  if (warning.source) return Subject::source;
  if (warning.toxic) return Subject::toxic;
  if (warning.severity == Severity::pressure) return Subject::pressure;
  const bool of_cabinet = warning.remedy.kind == RemedyKind::air_before_opening;
  return warning.severity == Severity::oxygen || of_cabinet ? Subject::oxygen : Subject::fuel;
}

namespace hazard {
namespace {

bool too_rich_to_burn(MixtureState state) { return state == MixtureState::rich || state == MixtureState::inerted; }

/// When a space first passed a threshold.
std::optional<double> first_passage(const SpaceResult& result, Threshold threshold) {
  std::optional<double> first;
  for (const Crossing& crossing : result.crossings) {
    if (crossing.threshold == threshold && (!first || crossing.up < *first)) first = crossing.up;
  }
  return first;
}

/// When a space first had just the oxygen that burns its fuel, from below or, where it starts richer, from above.
std::optional<double> first_stoichiometric(const SpaceResult& result) {
  for (const Crossing& crossing : result.crossings) {
    if (crossing.threshold == Threshold::stoichiometric) {
      return crossing.up > 0.0 ? std::optional{crossing.up} : crossing.down;
    }
  }
  return std::nullopt;
}

/// Whether a space burns more fiercely than in air: inside the range with more oxygen than people may breathe.
bool burns_violently(const Site& site, const SpaceResult& result) {
  return result.flammable_oxygen > site.criteria.oxygen_high;
}

/// Whether a mixture holds just the oxygen that burns its fuel, within a fifth.
bool is_near_stoichiometric(const Site& site, const Instant& at) {
  double demand = 0.0;
  for (std::size_t k = 0; k < at.fraction.size(); ++k) {
    const auto& of_one = site.gases[k].substance.oxygen_demand;
    if (site.gases[k].limits && of_one) demand += at.fraction[k] * of_one->value;
  }
  constexpr double near = 0.2;
  return at.oxygen > 0.0 && std::abs(demand / at.oxygen - 1.0) <= near;
}

/// The warning about what may burn in a space, if there is one: the worst that holds.
std::optional<Warning> fuel_warning(const Site& site, const SpaceResult& result) {
  const Instant* const steady = result.steady.reached ? &result.steady.at : nullptr;
  const WorstOf worst = worst_of(result);
  Warning warning;
  warning.worst_is_steady = worst.is_steady;
  warning.lfl_fraction = worst.lfl_fraction;
  warning.worst_state = worst.at_worst;
  if (result.flammable_from || result.range_ahead || (steady != nullptr && steady->state == MixtureState::flammable)) {
    warning.severity = Severity::flammable;
    warning.violent = burns_violently(site, result);
    warning.near_stoichiometric =
        result.peak.state == MixtureState::flammable && is_near_stoichiometric(site, result.peak);
    warning.time = result.flammable_from;
    warning.flammable_time = result.flammable_time;
    warning.stoichiometric = first_stoichiometric(result);
  } else if (too_rich_to_burn(worst.at_worst)) {
    warning.severity = Severity::rich;
    warning.time = first_passage(result, Threshold::lfl);
  } else if (reached(warning.lfl_fraction, site.criteria.warn_at)) {
    warning.severity = Severity::margin;
    warning.time = first_passage(result, Threshold::warn);
  } else if (reached(warning.lfl_fraction, site.criteria.note_at)) {
    warning.severity = Severity::note;
    warning.time = first_passage(result, Threshold::note);
  } else {
    return std::nullopt;
  }
  return warning;
}

/// Many an IDLH was set at a tenth of the lower limit, for the fire and not for the poison.
bool is_tenth_of_limit(const Gas& gas, double idlh) {
  constexpr double least = 0.08, most = 0.15;
  const bool toxic = gas.substance.is_classed("toxic");
  return gas.limits && !toxic && idlh >= least * gas.limits->lower && idlh <= most * gas.limits->lower;
}

double times_idlh(const Warning& warning) { return warning.toxic ? warning.toxic->worst / warning.toxic->idlh : 0.0; }

/// Of the gases whose IDLH is a tenth of their lower limit the worst alone: what is done against one helps with all.
void keep_worst_tenth(std::vector<Warning>& warnings) {
  const auto worst = std::max_element(warnings.begin(), warnings.end(), [](const Warning& a, const Warning& b) {
    return std::pair(a.toxic->tenth_of_limit, times_idlh(a)) < std::pair(b.toxic->tenth_of_limit, times_idlh(b));
  });
  if (worst == warnings.end()) return;
  const GasIndex kept = worst->toxic->gas;
  std::erase_if(warnings, [&](const Warning& w) { return w.toxic->tenth_of_limit && !(w.toxic->gas == kept); });
}

/// The steady state of what people breathe in a space that has one.
const Instant& breathed_at_rest(const SpaceResult& result) {
  return result.breathed_steady ? *result.breathed_steady : result.steady.at;
}

/// The warnings about gases over their IDLH, one for each gas.
std::vector<Warning> toxic_warnings(const Site& site, const SpaceResult& result) {
  std::vector<Warning> warnings;
  for (const Exposure& exposure : result.exposures) {
    Warning warning;
    ToxicGas toxic{exposure.gas, exposure.idlh, exposure.worst};
    if (result.steady.reached) {
      const double steady = breathed_at_rest(result).fraction[exposure.gas.value];
      warning.worst_is_steady = steady > toxic.worst * (1.0 + 1e-9);
      toxic.worst = std::max(toxic.worst, steady);
    }
    if (!reached(toxic.worst, exposure.idlh)) continue;
    toxic.tenth_of_limit = is_tenth_of_limit(site.gases[exposure.gas.value], exposure.idlh);
    warning.severity = Severity::toxic;
    warning.time = exposure.from;
    warning.toxic = toxic;
    warning.lfl_fraction = result.peak.lfl_fraction;
    warning.worst_state = result.peak.state;
    warnings.push_back(std::move(warning));
  }
  keep_worst_tenth(warnings);
  return warnings;
}

std::optional<Warning> oxygen_warning(const Site& site, const SpaceResult& result) {
  const double low = site.criteria.oxygen_low, high = site.criteria.oxygen_high;
  const auto beyond = [&](double oxygen) { return std::max(low - oxygen, oxygen - high); };
  double worst =
      beyond(result.lowest_oxygen) > beyond(result.highest_oxygen) ? result.lowest_oxygen : result.highest_oxygen;
  bool is_steady = false;
  if (result.steady.reached && beyond(breathed_at_rest(result).oxygen) > beyond(worst) + 1e-12) {
    worst = breathed_at_rest(result).oxygen;
    is_steady = true;
  }
  if (beyond(worst) <= 1e-12) return std::nullopt;
  Warning warning;
  warning.severity = Severity::oxygen;
  warning.oxygen = worst;
  warning.worst_is_steady = is_steady;
  warning.time = result.oxygen_left_criteria;
  warning.lfl_fraction = result.peak.lfl_fraction;
  warning.worst_state = result.peak.state;
  return warning;
}

std::optional<Warning> pressure_warning(const Site& site, SpaceIndex space, const SpaceResult& result) {
  const auto when = over_pressure(site.spaces[space.value], result);
  if (!when) return std::nullopt;
  Warning warning;
  warning.severity = Severity::pressure;
  warning.pressure = result.pressure;
  warning.rated_pressure = site.spaces[space.value].rated_pressure;
  warning.time = when;
  warning.pressure_twice = result.pressure_200;
  warning.lfl_fraction = result.peak.lfl_fraction;
  warning.worst_state = result.peak.state;
  return warning;
}

/// What people would breathe in a space: in a room, or a vessel that they enter, a warning for each gas and for the
/// oxygen; of a cabinet one note for whoever opens it; nothing of what nobody breathes.
std::vector<Warning> breathing_warnings(const Site& site, SpaceIndex space, const SpaceResult& result) {
  const bool entered = site.spaces[space.value].kind == SpaceKind::room || site.spaces[space.value].entered;
  if (!entered && site.spaces[space.value].kind != SpaceKind::cabinet) return {};
  std::vector<Warning> warnings = toxic_warnings(site, result);
  if (auto oxygen = oxygen_warning(site, result)) warnings.push_back(std::move(*oxygen));
  if (entered || warnings.empty()) return warnings;
  Warning note = *std::max_element(warnings.begin(), warnings.end(),
                                   [&](const Warning& a, const Warning& b) { return times_idlh(a) < times_idlh(b); });
  note.severity = Severity::note;
  note.remedy.kind = RemedyKind::air_before_opening;
  return {note};
}

/// J of the fuel that a space holds at the worst instant of a warning: inside the range where it gets there.
double energy_of(const Site& site, const Warning& warning, const SpaceResult& result) {
  const Space& space = site.spaces[warning.space.value];
  const Instant& worst = warning.worst_is_steady ? result.steady.at : result.peak;
  double fuel = 0.0, heat = 0.0;
  for (std::size_t k = 0; k < worst.fraction.size(); ++k) {
    const Substance& substance = site.gases[k].substance;
    if (!site.gases[k].limits) continue;
    fuel += worst.fraction[k];
    heat += worst.fraction[k] * heat_of(substance);
  }
  if (!(fuel > 0.0)) return 0.0;
  const double height = space.height.value_or(1.0);
  const double share = warning.layer && space.height ? (warning.layer->to - warning.layer->from) / height : 1.0;
  double moles = fuel * share * space.volume * site.conditions.pressure / (gas_constant * space.temperature);
  if (warning.severity == Severity::flammable && result.flammable_gas > 0.0) {
    moles = result.flammable_gas * site.conditions.pressure / (gas_constant * site.conditions.temperature);
  }
  return moles * heat / fuel;
}

/// Power of ten of the energy in MJ; the least for none.
int decade_of(double energy) {
  constexpr double mega = 1e6;
  constexpr int none = -100;
  return energy > 0.0 ? std::max(none, static_cast<int>(std::floor(std::log10(energy / mega) + 1e-9))) : none;
}

/// Where what a warning is about can be ignited, when the most of it can, the long run included; of any other warning
/// where the layer is when that of the gas is deepest.
HeightRange layer_of(const Site& site, const LayeredRoom& room, const Warning& warning, const SpaceResult& told) {
  const double height = *site.spaces[room.space.value].height;
  if (warning.severity == Severity::flammable && room.flammable_height) {
    HeightRange range = *room.flammable_height;
    if (!room.steady_interface || !told.steady.reached || told.steady.at.state != MixtureState::flammable) return range;
    range.from = std::min(range.from, room.gas_above ? *room.steady_interface : 0.0);
    range.to = std::max(range.to, room.gas_above ? height : *room.steady_interface);
    return range;
  }
  const double in_the_long_run = room.steady_interface.value_or(room.deepest_interface);
  const double deepest = room.gas_above ? std::min(room.deepest_interface, in_the_long_run)
                                        : std::max(room.deepest_interface, in_the_long_run);
  const double level = told.peak.lfl_fraction;
  const double upper = room.upper.peak.lfl_fraction, lower = room.lower.peak.lfl_fraction;
  const bool of_rest = level == (room.gas_above ? lower : upper) && level != (room.gas_above ? upper : lower);
  return room.gas_above != of_rest ? HeightRange{deepest, height} : HeightRange{0.0, deepest};
}

}  // namespace

std::optional<double> over_pressure(const Space& space, const SpaceResult& result) {
  return space.rated_pressure ? result.pressure_rated : result.pressure_110;
}

std::vector<Warning> warnings_of(const Site& site, CaseIndex case_index, SpaceIndex space, const SpaceResult& result) {
  std::vector<Warning> warnings;
  for (auto warning : {fuel_warning(site, result), pressure_warning(site, space, result)}) {
    if (warning) warnings.push_back(std::move(*warning));
  }
  auto breathing = breathing_warnings(site, space, result);
  std::move(breathing.begin(), breathing.end(), std::back_inserter(warnings));
  for (Warning& warning : warnings) {
    warning.case_index = case_index;
    warning.space = space;
  }
  return warnings;
}

std::vector<Warning> find_warnings(const Site& site, const CaseResult& result) {
  std::vector<Warning> warnings;
  for (std::size_t i = 0; i < result.spaces.size(); ++i) {
    const auto layered = std::find_if(result.layered.begin(), result.layered.end(),
                                      [&](const LayeredRoom& room) { return room.space == SpaceIndex{i}; });
    for (Warning& warning : warnings_of(site, result.case_index, SpaceIndex{i}, result.spaces[i])) {
      if (layered != result.layered.end()) warning.layer = layer_of(site, *layered, warning, result.spaces[i]);
      warnings.push_back(std::move(warning));
    }
  }
  auto sources = near_source_warnings(site, result, warnings);
  std::move(sources.begin(), sources.end(), std::back_inserter(warnings));
  for (Warning& warning : warnings) warning.energy = energy_of(site, warning, result.spaces[warning.space.value]);
  judge_experiments(result, warnings);
  return warnings;
}

void rank(const Site& site, std::vector<Warning>& warnings) {
  // At such an IDLH a tenth of the lower limit is reached: a quarter of it is the worse news.
  const auto severity = [](const Warning& w) {
    return w.toxic && w.toxic->tenth_of_limit ? std::max(w.severity, Severity::margin) : w.severity;
  };
  // A stoppered vessel that makes gas bursts without any ignition source: this comes first among its warnings.
  const auto bursts = [&](const Warning& w) {
    return w.severity == Severity::pressure && w.experiment && w.experiment->fuel > 0.0 &&
           std::any_of(warnings.begin(), warnings.end(), [&](const Warning& other) {
             return other.severity == Severity::flammable && other.space == w.space && other.case_index == w.case_index;
           });
  };
  for (Warning& w : warnings) w.bursts_first = bursts(w);
  const auto key = [&](const Warning& w) {
    return std::tuple(w.bursts_first ? Severity::flammable : severity(w), w.severity != severity(w),
                      w.case_index.value != 0, -decade_of(w.energy), !w.bursts_first,
                      w.time.value_or(std::numeric_limits<double>::infinity()),
                      std::string_view(site.spaces[w.space.value].id), w.case_index.value);
  };
  std::stable_sort(warnings.begin(), warnings.end(),
                   [&](const Warning& a, const Warning& b) { return key(a) < key(b); });
}

std::vector<double> measure_of(const Warning& warning, const MixtureModel& model) {
  if (warning.toxic) {
    std::vector<double> of_gas(model.lower.size(), 0.0);
    of_gas[warning.toxic->gas.value] = 1.0;
    return of_gas;
  }
  if (subject_of(warning) != Subject::oxygen) return model.lower;
  std::vector<double> weights = model.oxygen;
  if (warning.oxygen < model.oxygen_in_air) {
    for (double& w : weights) w = -w;
  }
  return weights;
}

}  // namespace hazard
}  // namespace leanside
