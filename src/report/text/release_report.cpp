// SPDX-License-Identifier: Apache-2.0
/// Each release as it is understood, in the user's words and units.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include "base/text/plain.hpp"
#include "hazard/release_facts.hpp"
#include "leanside/advanced/release.hpp"
#include "leanside/report.hpp"
#include "leanside/substance_file.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;
using hazard::air_to_limit;
using hazard::ReleaseFacts;
using hazard::volume_of;

std::string volume_words(const Site& site, double cubic_metres) {
  constexpr double small = 0.1;
  return cubic_words(site, cubic_metres, small, 3);
}

std::string rate_words(const Site& site, const ReleaseFacts& facts) {
  const double flow = volume_of(site, facts.peak), mass = facts.peak * facts.molar_mass;
  constexpr double small_flow = 1.0 / 3600.0, small_mass = 1e-4 / 60.0;
  std::string out = format_quantity(flow, flow < small_flow ? "L/min" : "m3/h", 3, site.conditions.units) + " (" +
                    format_quantity(mass, mass < small_mass ? "g/h" : "g/min", 3, site.conditions.units) + ")";
  return out;
}

std::string amount_words(const Site& site, const ReleaseFacts& facts, double moles) {
  const double mass = moles * facts.molar_mass;
  return volume_words(site, volume_of(site, moles)) + " of gas (" +
         format_quantity(mass, mass < 1.0 ? "g" : "kg", 3, site.conditions.units) + ")";
}

/// Lines of text with a label before each.
class Lines {
 public:
  explicit Lines(std::size_t width) : width_{width} {}
  void put(const std::string& name, const std::string& text) {
    constexpr std::size_t column = 12;
    const std::string head = "    " + name + std::string(column > name.size() ? column - name.size() : 1, ' ');
    out_ += wrapped(text, head, width_, head.size());
  }
  const std::string& text() const { return out_; }

 private:
  std::size_t width_;
  std::string out_;
};

std::string when_words(const Release& release) {
  std::string out = release.start > 0.0 ? "from " + format_duration(release.start) + " on" : "from the start";
  if (!release.on) out = "only when an event turns it on";
  return out;
}

std::string lasting_words(const Release& release, const ReleaseFacts& facts) {
  const bool spill = follows_vapour(release);
  std::string out;
  if (std::isinf(facts.lasts)) {
    out = "for ever, as far as the file says";
  } else if (spill) {
    out = "dry after " + format_duration(facts.lasts) + " at the soonest, in clean air";
  } else {
    out = format_duration(facts.lasts);
  }
  if (const auto* reaction = std::get_if<ReactionRelease>(&release.kind); reaction && reaction->half_time) {
    constexpr double to_one_percent = 6.643856189774724;  // half times: log2(100)
    out = "half of it in " + format_duration(*reaction->half_time) + ", 99 % in " +
          format_duration(to_one_percent * *reaction->half_time);
  }
  if (spill && facts.spent) out += "; here after " + format_duration(*facts.spent);
  if (spill && !facts.spent && facts.given > 0.0 && release.on) {
    out += "; here not within the run, in which " + percent(facts.given / facts.total, 2) + " of it evaporates";
  }
  return out;
}

std::string air_words(const Site& site, const Release& release, const ReleaseFacts& facts) {
  if (!facts.lower) return "does not burn";
  const Space& space = site.spaces[release.into.value];
  const bool endless = std::isinf(facts.total);
  constexpr double hour = 3600.0;
  const double air = air_to_limit(site, facts, endless ? facts.peak * hour : facts.total);
  std::string out = (endless ? "an hour of it would bring " : "all of it would bring ") + volume_words(site, air) +
                    " of air to the lower limit (" + percent(*facts.lower) + ")";
  if (space.volume > 0.0) {
    out += ", " + format_number(air / space.volume, 2) + " times what " + label(site, release.into) + " holds";
  }
  return out;
}

std::string dilution_words(const Site& site, const Release& release, const ReleaseFacts& facts) {
  const double target = site.criteria.warn_at * *facts.lower;
  const double flow = volume_of(site, facts.peak) * (1.0 / target - 1.0);
  return hourly(site, flow, true) + " of fresh air hold it at " + percent(site.criteria.warn_at) +
         " of the lower limit" + (rate_varies(release) ? " at its strongest" : "") + ", well mixed";
}

/// A vessel that is filled by pushing out what it held: volumes of gas until it is too rich to burn.
void put_filling(Lines& lines, const Site& site, const Release& release, const ReleaseFacts& facts) {
  const Space& space = site.spaces[release.into.value];
  const auto& shares = release.gas.shares;
  if (space.kind != SpaceKind::vessel || !facts.lower || shares.size() != 1 || follows_vapour(release)) return;
  const auto fuels = fuels_at(site, space.temperature);
  const auto& fuel = fuels[shares.front().gas.value];
  if (!fuel || fuel->upper >= 1.0 - 1e-9) return;
  // Well mixed, the air left after n volumes is e^-n of what there was.
  const double over = -std::log(1.0 - fuel->upper), with_margin = over - std::log(site.criteria.warn_at);
  std::string text = "where it pushes the air of " + label(site, release.into) + " out: over its upper limit (" +
                     percent(fuel->upper) + ") after " + format_number(over, 3) +
                     " volumes, well mixed, and with no more than " + percent(site.criteria.warn_at) +
                     " of that air after " + format_number(with_margin, 3);
  if (fuel->limiting_oxygen && *fuel->limiting_oxygen < site.conditions.oxygen_in_air) {
    text += "; oxygen under the least that lets it burn (" + percent(*fuel->limiting_oxygen) + ") after " +
            format_number(std::log(site.conditions.oxygen_in_air / *fuel->limiting_oxygen), 3);
  }
  text += ". Gas that lies over or under the air without mixing does with less, down to " +
          format_number(fuel->upper, 2) + "; corners that it does not reach are never clear";
  if (!std::isinf(facts.total) && space.volume > 0.0) {
    text += ". This release has " + format_number(volume_of(site, facts.total) / space.volume, 3) + " volumes";
  }
  lines.put("filling", text);
}

void put_charging(Lines& lines, const Site& site, const Assessment& assessment, const Release& release) {
  const auto* charging = std::get_if<ChargingRelease>(&release.kind);
  if (charging == nullptr) return;
  const double flow = charging_airflow_of_standard(charging->cells, charging->current);
  std::string text = "IEC 62485-2 asks for " + hourly(site, flow) + " of air for " +
                     format_quantity(charging->current, charging->current < 1.0 ? "mA" : "A", 3) + " making gas in " +
                     format_number(charging->cells) + " cells; without a fan that takes two openings of " +
                     format_quantity(charging_opening_of_standard(flow), "cm2", 3, site.conditions.units) +
                     " each, one low and one high, far apart and never shut";
  if (!assessment.cases.empty()) {
    const SpaceResult& space = assessment.cases[0].spaces[release.into.value];
    if (space.steady.reached) {
      text += "; with the air of this file " + label(site, release.into) + " settles at " +
              percent_of_limit(site, space.steady.at.lfl_fraction) + " of the lower limit";
    } else {
      text += "; in this file the gas has no way out of " + label(site, release.into);
    }
  }
  lines.put("standard", text);
}

void put_reaction(Lines& lines, const Release& release) {
  const auto* kind = std::get_if<ReactionRelease>(&release.kind);
  const Reaction* reaction = kind != nullptr ? find_reaction(kind->reaction) : nullptr;
  if (reaction == nullptr) return;
  lines.put("reaction", reaction->equation);
  lines.put("used up", reaction->reagents[kind->limiting].name + " (" +
                           format_number(kind->reagents[kind->limiting], 3) + " mol) is used up first");
  if (!reaction->note.empty()) lines.put("note", reaction->note);
}

std::string release_text(const Site& site, const Assessment& assessment, ReleaseIndex index, const TextStyle& style) {
  const Release& release = site.releases[index.value];
  const ReleaseFacts facts = hazard::release_facts(site, assessment, index);
  const std::string title = label(site, index);
  std::string out = (style.colour ? "\x1b[1m" + title + "\x1b[0m" : title) +
                    (release.name.empty() ? "" : " (" + plain_text(release.id) + ")") + "\n";
  Lines lines(style.width);
  lines.put("gas", plain_text(release.gas.name) + " into " + label(site, release.into) + ", " + when_words(release));
  if (!release.as_written.empty()) lines.put("as written", plain_text(release.as_written));
  put_reaction(lines, release);
  lines.put(rate_varies(release) ? "at most" : "rate", rate_words(site, facts));
  if (!std::isinf(facts.total)) lines.put("in all", amount_words(site, facts, facts.total));
  lines.put("lasts", lasting_words(release, facts));
  lines.put("air", air_words(site, release, facts));
  if (facts.lower && facts.peak > 0.0) lines.put("fresh air", dilution_words(site, release, facts));
  put_filling(lines, site, release, facts);
  put_charging(lines, site, assessment, release);
  return out + lines.text();
}

}  // namespace

std::string release_report(const Site& site, const Assessment& assessment, std::optional<ReleaseIndex> only,
                           const TextStyle& style) {
  std::string out = plain_text(site.title) + "\n";
  const auto asked = hazard::releases_asked_for(site, only);
  if (asked.empty()) out += "\nThe file names no release.\n";
  for (const ReleaseIndex index : asked) out += "\n" + release_text(site, assessment, index, style);
  out += "\n" + wrapped("Volumes are at site conditions. " + std::string{caution()}, "", style.width, 0);
  return style.unicode ? out : ascii_only(out);
}

std::string reaction_list(const TextStyle& style) {
  std::string out;
  for (const Reaction& reaction : built_in_reactions()) {
    out += (style.colour ? "\x1b[1m" + reaction.id + "\x1b[0m" : reaction.id) + "\n";
    std::string text = reaction.equation + "; amounts of ";
    for (std::size_t i = 0; i < reaction.reagents.size(); ++i) {
      text += (i > 0 ? ", " : "") + reaction.reagents[i].id;
    }
    out += wrapped(text + (reaction.note.empty() ? "" : ". " + reaction.note), "    ", style.width, 4);
  }
  return style.unicode ? out : ascii_only(out);
}

}  // namespace leanside
