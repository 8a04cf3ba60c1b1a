// SPDX-License-Identifier: Apache-2.0
/// What can be ignited at its source, what poisons, and what the answer leaves open, in words.
#include <algorithm>
#include <string>
#include <vector>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// Names in a sentence: the first ones, then how many more.
constexpr std::size_t most_named = 3;

std::string listed(const std::vector<std::string>& names) {
  std::string out;
  const std::size_t shown = std::min(names.size(), most_named);
  const bool more = shown < names.size();
  for (std::size_t i = 0; i < shown; ++i) {
    out += i == 0 ? "" : i + 1 == shown && !more ? " and " : ", ";
    out += names[i];
  }
  if (more) out += " and " + std::to_string(names.size() - shown) + " more";
  return out;
}

std::string single_quoted(const std::string& text) { return "'" + text + "'"; }

std::string when(const Site& site, const Warning& warning) {
  if (warning.time) return after_words(*warning.time);
  const std::string later = warning.later ? " (after " + format_duration(*warning.later) + ")" : "";
  return "in steady state" + later + ", though not within the first " + format_duration(site.criteria.horizon);
}

/// The space as a whole, as a further sentence; nothing of a gas whose limits are not known.
std::string average_words(const Site& site, const Warning& warning) {
  if (!(warning.lfl_fraction > 0.0)) return {};
  return ". The space as a whole reaches " + limit_words(warning.lfl_fraction, site.criteria);
}

std::string hot_liquid_words(const Site& site, const Warning& warning) {
  const NearSource& source = *warning.source;
  const auto& ignition = site.spaces[warning.space.value].ignition;
  std::vector<std::string> sources;
  for (const std::string& name : ignition) sources.push_back(plain_text(name));
  const std::string by = sources.empty()       ? "a flame, a spark or a hot surface can ignite"
                         : sources.size() == 1 ? "an ignition source in this space (" + sources.front() + ") can ignite"
                                               : "ignition sources in this space (" + listed(sources) + ") can ignite";
  std::string out = by + " the vapour at the surface of \"" + label(site, source.release) + "\" " +
                    when(site, warning) + ": the liquid (" + plain_text(site.releases[source.release.value].gas.name) +
                    ") is at " + format_quantity(source.temperature, "degC", 3, site.conditions.units);
  if (source.flash_point && source.temperature >= *source.flash_point) {
    out += ", its flash point is " + format_quantity(*source.flash_point, "degC", 3, site.conditions.units);
  } else {
    out += ", where saturated air reaches " + limit_words(source.surface_lfl_fraction, site.criteria);
  }
  return out + average_words(site, warning);
}

std::string pyrophoric_words(const Site& site, const Warning& warning) {
  return "gas from \"" + label(site, warning.source->release) + "\" (" +
         spoken(site.releases[warning.source->release.value].gas.name) +
         ") ignites by itself when it meets air, without any ignition source, " + when(site, warning) +
         average_words(site, warning);
}

/// Gas that has not yet mixed with the air of the space.
std::string zone_hazard_words(const Site& site, const Warning& warning) {
  const SourceZone& zone = *warning.source->zone;
  return "gas from \"" + label(site, zone.release) + "\" (" + spoken(site.releases[zone.release.value].gas.name) +
         ") can be ignited " + zone_words(site, zone) + ", " + when(site, warning) + average_words(site, warning) +
         ". " + capital(zone_limits(zone));
}

std::string times_words(double times) {
  return times < 1.1 ? std::string{} : " (" + format_number(times, 2) + " times the IDLH)";
}

std::string threshold_words(const Site& site, const NotJudged& open) {
  switch (*open.threshold) {
    case RisingTo::note:
      return percent(site.criteria.note_at) + " of the lower flammable limit";
    case RisingTo::warn:
      return "the margin of " + percent(site.criteria.warn_at);
    case RisingTo::lfl:
      return "the lower flammable limit";
    case RisingTo::idlh:
      return "the IDLH of " + gas_name(site, *open.gas);
    case RisingTo::oxygen:
      return "an oxygen criterion";
    case RisingTo::pressure:
      break;
  }
  return "10 % more pressure than outside";
}

std::string value_words(const Site& site, const NotJudged& open) {
  switch (*open.threshold) {
    case RisingTo::idlh:
      return concentration_words(open.value);
    case RisingTo::oxygen:
      return percent_of_oxygen(open.value, site.criteria) + " oxygen";
    case RisingTo::pressure:
      return format_quantity(open.value, "kPa", 4, site.conditions.units);
    default:
      return limit_words(open.value, site.criteria);
  }
}

std::string rising_words(const Site& site, const NotJudged& open) {
  std::string out = label(site, *open.space);
  if (open.case_index && open.case_index->value != 0) out += " (case \"" + label(site, *open.case_index) + "\")";
  out += " has not settled by the end of the first " + format_duration(site.criteria.horizon) + " (" +
         value_words(site, open) + "): it reaches " + threshold_words(site, open) + " ";
  return out + (open.time ? "after " + format_duration(*open.time) : "later; when was not computed");
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

std::vector<std::string> names_of(const Site& site, const Assessment& assessment, OpenQuestion kind) {
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

std::string near_source_words(const Site& site, const Warning& warning) {
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

std::string toxic_words(const Site& site, const Warning& warning) {
  const ToxicGas& toxic = *warning.toxic;
  return gas_name(site, toxic.gas) + " exceeds its IDLH of " + concentration_words(toxic.idlh) +
         " (immediately dangerous to life or health" +
         (toxic.tenth_of_limit ? "; about a tenth of its lower flammable limit" : "") + ") " + when(site, warning) +
         " and reaches " + concentration_words(toxic.worst) + times_words(toxic.worst / toxic.idlh);
}

std::string cabinet_air_words(const Site& site, const Warning& warning) {
  const std::string what = warning.toxic ? gas_name(site, warning.toxic->gas) + " reaches " +
                                               concentration_words(warning.toxic->worst) + ", above its IDLH of " +
                                               concentration_words(warning.toxic->idlh)
                                         : "oxygen comes to " + percent_of_oxygen(warning.oxygen, site.criteria);
  return "the air inside is not fit to breathe: " + what + ", " + when(site, warning);
}

std::string span_words(const Site& site, const Assessment& assessment) {
  if (without_transient(site, assessment)) return "the steady state only";
  const std::string run = "the first " + format_duration(site.criteria.horizon);
  const bool any = std::any_of(assessment.cases.begin(), assessment.cases.end(), [](const CaseResult& result) {
    return std::any_of(result.spaces.begin(), result.spaces.end(),
                       [](const SpaceResult& space) { return space.steady.reached; });
  });
  return any ? run + " and the steady state" : run + "; there is no steady state";
}

bool can_burn(const Site& site, const Warning& warning) {
  switch (subject_of(warning)) {
    case Subject::fuel:
    case Subject::source:
      return true;
    case Subject::oxygen:
      return warning.oxygen > site.criteria.oxygen_high;
    default:
      return false;
  }
}

bool is_open(const Site& site, const Warning& note) {
  if (note.worst_is_steady || note.later) return true;
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    if (brings_hazard(site, note.case_index, ReleaseIndex{r})) return true;
    bool tried = site.releases[r].on;
    for (std::size_t c = 0; c < site.cases.size(); ++c) {
      for (const Event& event : site.cases[c].events) {
        const auto* turned = std::get_if<SetReleaseOn>(&event.change);
        tried = tried || (turned != nullptr && turned->release.value == r && turned->on);
      }
    }
    if (!tried) return true;
  }
  return false;
}

std::vector<std::string> open_sentences(const Site& site, const Assessment& assessment) {
  std::vector<std::string> out;
  for (const NotJudged* open : worst_rising(assessment)) out.push_back(rising_words(site, *open) + ".");
  if (const auto off = names_of(site, assessment, OpenQuestion::release_off); !off.empty()) {
    out.push_back(listed(off) +
                  (off.size() == 1 ? " is off and no case turns it on: what it"
                                   : " are off and no case turns them on: what they") +
                  " would do was not computed. Add a case that turns " + (off.size() == 1 ? "it" : "each of them") +
                  " on.");
  }
  if (const auto rooms = names_of(site, assessment, OpenQuestion::layers_unsolved); !rooms.empty()) {
    out.push_back("the layers of " + listed(rooms) +
                  " could not be computed: there may be more gas under the ceiling or on the floor than this answer "
                  "says. Only the mixed room was judged.");
  }
  for (const NotJudged& open : assessment.not_judged) {
    if (open.kind != OpenQuestion::unknown_limits) continue;
    const bool toxic =
        site.gases[open.gas->value].limits.has_value() || !site.gases[open.gas->value].substance.flammable();
    out.push_back(gas_name(site, *open.gas) +
                  (toxic
                       ? " is toxic, but its IDLH is not known: whether the air becomes poisonous was not judged."
                       : " burns, but its flammable limits are not known: whether it can be ignited was not judged."));
  }
  return out;
}

std::string headline_without_warning(const Site& site, const Assessment& assessment) {
  if (!worst_rising(assessment).empty()) {
    return "No space reaches the margin within the first " + format_duration(site.criteria.horizon) +
           ", but not every space has settled by then.";
  }
  if (const auto off = names_of(site, assessment, OpenQuestion::release_off); !off.empty()) {
    return "No space reaches the margin, but not every release was tried: " + listed(off) +
           (off.size() == 1 ? " is off and no case turns it on." : " are off and no case turns them on.");
  }
  if (const auto rooms = names_of(site, assessment, OpenQuestion::layers_unsolved); !rooms.empty()) {
    return "No space reaches the margin on average, but the layers of " + listed(rooms) + " could not be computed.";
  }
  if (const SourceZone* const zone = longest_zone(assessment)) {
    return "No space reaches the margin, but gas from \"" + label(site, zone->release) + "\" can be ignited " +
           zone_words(site, *zone) + ".";
  }
  if (const auto gases = names_of(site, assessment, OpenQuestion::unknown_limits); !gases.empty()) {
    return "No space reaches the margin, but the danger from " + listed(gases) + " could not be judged in full.";
  }
  return {};
}

}  // namespace leanside::report
