// SPDX-License-Identifier: Apache-2.0
/// What can be ignited at its source, what poisons, and what the answer leaves open, in words.
#include <algorithm>
#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

/// Names in a sentence: the first ones, then how many more.
constexpr std::size_t most_named = 3;

std::string some_of(Told site, const std::vector<std::string>& names) {
  if (names.size() <= most_named) return site.listed(names);
  std::string first;
  for (std::size_t i = 0; i < most_named; ++i) first += (i > 0 ? ", " : "") + names[i];
  return site.tell(P::list_more, {{"list", first}, {"n", std::to_string(names.size() - most_named)}});
}

std::string single_quoted(const std::string& text) { return "'" + text + "'"; }

/// `what` with the space as a whole, as a further sentence; nothing of a gas whose limits are not known.
std::string with_average(Told site, const Warning& warning, const std::string& what) {
  if (!(warning.lfl_fraction > 0.0)) return what;
  return site.tell(P::average, {{"what", what}, {"level", limit_words(site, warning.lfl_fraction)}});
}

std::string liquid_words(Told site, const NearSource& source) {
  const auto degrees = [&](double t) { return format_quantity(t, "degC", 3, site->conditions.units); };
  const std::string gas = plain_text(site->releases[source.release.value].gas.name);
  const std::string temperature = degrees(source.temperature);
  if (source.flash_point && source.temperature >= *source.flash_point) {
    return site.tell(P::liquid_flash,
                     {{"gas", gas}, {"temperature", temperature}, {"flash", degrees(*source.flash_point)}});
  }
  return site.tell(
      P::liquid_saturated,
      {{"gas", gas}, {"temperature", temperature}, {"level", limit_words(site, source.surface_lfl_fraction)}});
}

std::string hot_liquid_words(Told site, const Warning& warning) {
  const NearSource& source = *warning.source;
  std::vector<std::string> sources;
  for (const std::string& name : site->spaces[warning.space.value].ignition) sources.push_back(plain_text(name));
  const std::string name = label(site, source.release), when = when_words(site, warning);
  const std::string liquid = liquid_words(site, source);
  const std::string out =
      sources.empty()
          ? site.tell(P::vapour_ignited, {{"source", name}, {"when", when}, {"liquid", liquid}})
          : site.tell(sources.size() == 1 ? P::vapour_ignited_by_one : P::vapour_ignited_by,
                      {{"ignition", some_of(site, sources)}, {"source", name}, {"when", when}, {"liquid", liquid}});
  return with_average(site, warning, out);
}

std::string pyrophoric_words(Told site, const Warning& warning) {
  const ReleaseIndex release = warning.source->release;
  return with_average(site, warning,
                      site.tell(P::pyrophoric, {{"source", label(site, release)},
                                                {"gas", spoken(site->releases[release.value].gas.name)},
                                                {"when", when_words(site, warning)}}));
}

/// Gas that has not yet mixed with the air of the space.
std::string zone_hazard_words(Told site, const Warning& warning) {
  const SourceZone& zone = *warning.source->zone;
  const std::string what = site.tell(P::zone_hazard, {{"source", label(site, zone.release)},
                                                      {"gas", spoken(site->releases[zone.release.value].gas.name)},
                                                      {"zone", zone_words(site, zone)},
                                                      {"when", when_words(site, warning)}});
  return site.tell(P::zone_hazard_limits,
                   {{"what", with_average(site, warning, what)}, {"limits", capital(zone_limits(site, zone))}});
}

std::string threshold_words(Told site, const NotJudged& open) {
  switch (*open.threshold) {
    case RisingTo::note:
      return site.tell(P::level, {{"percent", percent(site->criteria.note_at)}});
    case RisingTo::warn:
      return the_margin(site);
    case RisingTo::lfl:
      return site.tell(P::threshold_lower);
    case RisingTo::idlh:
      return site.tell(P::threshold_idlh, {{"gas", gas_name(site, *open.gas)}});
    case RisingTo::oxygen:
      return site.tell(P::threshold_oxygen);
    case RisingTo::pressure:
      break;
  }
  return site.tell(P::threshold_pressure);
}

std::string value_words(Told site, const NotJudged& open) {
  switch (*open.threshold) {
    case RisingTo::idlh:
      return concentration_words(open.value);
    case RisingTo::oxygen:
      return site.tell(P::also_oxygen_here, {{"percent", percent_of_oxygen(site, open.value)}});
    case RisingTo::pressure:
      return format_quantity(open.value, "kPa", 4, site->conditions.units);
    default:
      return limit_words(site, open.value);
  }
}

std::string rising_words(Told site, const NotJudged& open) {
  std::string where = label(site, *open.space);
  if (open.case_index && open.case_index->value != 0) {
    where = site.tell(P::rising_case, {{"space", where}, {"case", label(site, *open.case_index)}});
  }
  const std::string horizon = format_duration(site->criteria.horizon), value = value_words(site, open);
  const std::string threshold = threshold_words(site, open);
  if (!open.time) {
    return site.tell(P::rising_later,
                     {{"where", where}, {"horizon", horizon}, {"value", value}, {"threshold", threshold}});
  }
  return site.tell(P::rising, {{"where", where},
                               {"horizon", horizon},
                               {"value", value},
                               {"threshold", threshold},
                               {"time", format_duration(*open.time)}});
}

/// Of each space and case the worst that it still rises towards among those of one kind, which come worst first.
std::vector<const NotJudged*> worst_rising(const Assessment& assessment) {
  std::vector<const NotJudged*> out;
  const auto is_of_fuel = [](const NotJudged& open) {
    return open.threshold == RisingTo::lfl || open.threshold == RisingTo::warn || open.threshold == RisingTo::note;
  };
  for (const NotJudged& open : assessment.not_judged) {
    if (open.kind != OpenQuestion::still_rising) continue;
    const bool told = std::any_of(out.begin(), out.end(), [&](const NotJudged* other) {
      return other->space == open.space && other->case_index == open.case_index && is_of_fuel(*other) &&
             is_of_fuel(open);
    });
    if (!told) out.push_back(&open);
  }
  return out;
}

std::vector<std::string> names_of(Told site, const Assessment& assessment, OpenQuestion kind) {
  std::vector<std::string> names;
  for (const NotJudged& open : assessment.not_judged) {
    if (open.kind != kind) continue;
    std::string name = open.release ? single_quoted(label(site, *open.release))
                       : open.gas   ? gas_name(site, *open.gas)
                                    : single_quoted(label(site, *open.space));
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(std::move(name));
  }
  return names;
}

}  // namespace

std::string concentration_words(double fraction) {
  constexpr double of_hundred = 0.01;
  if (fraction >= of_hundred) return percent(fraction, 3);
  return format_number(1e6 * fraction, 3) + " ppm";
}

std::string near_source_words(Told site, const Warning& warning) {
  switch (warning.source->hazard) {
    case SourceHazard::pyrophoric:
      return pyrophoric_words(site, warning);
    case SourceHazard::hot_liquid:
      return hot_liquid_words(site, warning);
    case SourceHazard::zone:
      break;
  }
  return zone_hazard_words(site, warning);
}

std::string toxic_words(Told site, const Warning& warning) {
  const ToxicGas& toxic = *warning.toxic;
  const double times = toxic.worst / toxic.idlh;
  constexpr double hardly_more = 1.1;
  std::string worst = concentration_words(toxic.worst);
  if (!(times < hardly_more)) {
    worst = site.tell(P::times_idlh, {{"worst", worst}, {"times", format_number(times, 2)}});
  }
  return site.tell(toxic.tenth_of_limit ? P::exceeds_tenth : P::exceeds_idlh,
                   {{"gas", gas_name(site, toxic.gas)},
                    {"idlh", concentration_words(toxic.idlh)},
                    {"when", when_words(site, warning)},
                    {"worst", worst}});
}

std::string cabinet_air_words(Told site, const Warning& warning) {
  const std::string when = when_words(site, warning);
  if (!warning.toxic) {
    return site.tell(P::unfit_oxygen, {{"oxygen", percent_of_oxygen(site, warning.oxygen)}, {"when", when}});
  }
  return site.tell(P::unfit_toxic, {{"gas", gas_name(site, warning.toxic->gas)},
                                    {"worst", concentration_words(warning.toxic->worst)},
                                    {"idlh", concentration_words(warning.toxic->idlh)},
                                    {"when", when}});
}

std::string span_words(Told site, const Assessment& assessment) {
  if (without_transient(site, assessment)) return site.tell(P::computed_steady_only);
  const bool any = std::any_of(assessment.cases.begin(), assessment.cases.end(), [](const CaseResult& result) {
    return std::any_of(result.spaces.begin(), result.spaces.end(),
                       [](const SpaceResult& space) { return space.steady.reached; });
  });
  return site.tell(any ? P::computed_first : P::computed_first_only,
                   {{"horizon", format_duration(site->criteria.horizon)}});
}

bool can_burn(Told site, const Warning& warning) {
  switch (subject_of(warning)) {
    case Subject::fuel:
    case Subject::source:
      return true;
    case Subject::oxygen:
      return warning.oxygen > site->criteria.oxygen_high;
    default:
      return false;
  }
}

bool is_open(Told site, const Warning& note) {
  if (note.worst_is_steady || note.later) return true;
  for (std::size_t r = 0; r < site->releases.size(); ++r) {
    if (brings_hazard(site, note.case_index, ReleaseIndex{r})) return true;
    bool tried = site->releases[r].on;
    for (std::size_t c = 0; c < site->cases.size(); ++c) {
      for (const Event& event : site->cases[c].events) {
        const auto* turned = std::get_if<SetReleaseOn>(&event.change);
        tried = tried || (turned != nullptr && turned->release.value == r && turned->on);
      }
    }
    if (!tried) return true;
  }
  return false;
}

std::vector<std::string> open_sentences(Told site, const Assessment& assessment) {
  std::vector<std::string> out;
  for (const NotJudged* open : worst_rising(assessment)) out.push_back(rising_words(site, *open));
  if (const auto off = names_of(site, assessment, OpenQuestion::release_off); !off.empty()) {
    out.push_back(site.tell(off.size() == 1 ? P::off_one : P::off_several, {{"releases", some_of(site, off)}}));
  }
  if (const auto rooms = names_of(site, assessment, OpenQuestion::layers_unsolved); !rooms.empty()) {
    out.push_back(site.tell(P::layers_unsolved, {{"rooms", some_of(site, rooms)}}));
  }
  for (const NotJudged& open : assessment.not_judged) {
    if (open.kind != OpenQuestion::unknown_limits) continue;
    const Gas& gas = site->gases[open.gas->value];
    const bool toxic = gas.limits.has_value() || !gas.substance.flammable();
    out.push_back(site.tell(toxic ? P::idlh_unknown : P::limits_unknown, {{"gas", gas_name(site, *open.gas)}}));
  }
  return out;
}

std::string headline_without_warning(Told site, const Assessment& assessment) {
  if (!worst_rising(assessment).empty()) {
    return site.tell(P::headline_rising, {{"horizon", format_duration(site->criteria.horizon)}});
  }
  if (const auto off = names_of(site, assessment, OpenQuestion::release_off); !off.empty()) {
    return site.tell(off.size() == 1 ? P::headline_off_one : P::headline_off_several,
                     {{"releases", some_of(site, off)}});
  }
  if (const auto rooms = names_of(site, assessment, OpenQuestion::layers_unsolved); !rooms.empty()) {
    return site.tell(P::headline_layers, {{"rooms", some_of(site, rooms)}});
  }
  if (const SourceZone* const zone = longest_zone(assessment)) {
    return site.tell(P::headline_zone, {{"zone", site.tell(P::zone_of_gas, {{"source", label(site, zone->release)},
                                                                            {"zone", zone_words(site, *zone)}})}});
  }
  if (const auto gases = names_of(site, assessment, OpenQuestion::unknown_limits); !gases.empty()) {
    return site.tell(P::headline_gases, {{"gases", some_of(site, gases)}});
  }
  return {};
}

}  // namespace leanside::report
