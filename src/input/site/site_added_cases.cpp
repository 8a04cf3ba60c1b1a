// SPDX-License-Identifier: Apache-2.0
/// Cases that the file does not have but that an answer must not leave out: what a release does that is off.
#include <algorithm>
#include <cctype>
#include <set>

#include <fmt/format.h>

#include "input/site/site_draft.hpp"

namespace leanside::input {
namespace {

/// Every case is a computation of its own.
constexpr std::size_t most_added = 200;
/// s after which a release starts that is on top of what others have gathered by then: four air changes at one an hour.
constexpr double gathered = 4.0 * 3600.0;

/// Releases that the file as it stands, or a case, turns on.
std::vector<bool> turned_on(const Site& site) {
  std::vector<bool> on;
  for (const Release& release : site.releases) on.push_back(release.on);
  for (const Case& each : site.cases) {
    for (const Event& event : each.events) {
      const auto* set = std::get_if<SetReleaseOn>(&event.change);
      if (set && set->on) on[set->release.value] = true;
    }
  }
  return on;
}

/// Whether a name already says what happens: "Regulator hose breaks".
bool is_clause(std::string_view name) {
  static const std::set<std::string, std::less<>> verbs{"breaks", "bursts", "comes",  "cracks", "drips", "escapes",
                                                        "fails",  "falls",  "leaks",  "left",   "opens", "open",
                                                        "seeps",  "slips",  "spills", "splits", "tears"};
  std::string word;
  for (const char c : std::string{name} + " ") {
    if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
      word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    } else {
      if (verbs.contains(word)) return true;
      word.clear();
    }
  }
  return false;
}

std::string clause_of(const Release& release) {
  const std::string name = release.name.empty() ? release.id : release.name;
  if (is_clause(name)) return name;
  if (std::holds_alternative<SpillRelease>(release.kind)) return name + " is spilled";
  if (std::holds_alternative<ReactionRelease>(release.kind)) return name + " runs";
  if (std::holds_alternative<ChargingRelease>(release.kind)) return name + " is charged";
  return name + " leaks";
}

std::string free_id(const Draft& draft, const std::string& release) {
  std::string id = "if-" + release;
  const auto taken = [&] {
    return std::ranges::any_of(draft.site.cases, [&](const Case& known) { return known.id == id; });
  };
  while (taken()) id += "-starts";
  return id;
}

}  // namespace

void add_cases_of_releases(Draft& draft) {
  Site& site = draft.site;
  const std::vector<bool> on = turned_on(site);
  const bool any_on = std::ranges::any_of(on, [](bool is_on) { return is_on; });
  const double later = site.criteria.open_ended ? gathered : std::min(gathered, 0.5 * site.criteria.horizon);
  std::vector<std::string> names;
  for (std::size_t r = 0; r < on.size() && names.size() < most_added; ++r) {
    if (on[r]) continue;
    const Release& release = site.releases[r];
    Case made{free_id(draft, release.id), "if " + clause_of(release), site.cases.front().events};
    Event start;
    // A release with a start of its own waits for that anyway.
    start.at = any_on && !(release.start > 0.0) ? later : 0.0;
    start.change = SetReleaseOn{{r}, true};
    start.place = release.place;
    made.events.push_back(start);
    std::ranges::stable_sort(made.events, {}, &Event::at);
    made.added_for = ReleaseIndex{r};
    site.cases.push_back(std::move(made));
    names.push_back(release.id);
  }
  if (names.empty()) return;
  constexpr std::size_t most_named = 4;
  const std::size_t count = names.size();
  if (count > most_named) names.resize(most_named);
  draft.defaults.push_back(stated(fmt::format(
      "no case turns on {}{}: a case was added for {}, in which it starts {}", listed(names),
      count > most_named ? fmt::format(" and {} more", count - most_named) : "", count == 1 ? "it" : "each of them",
      any_on
          ? fmt::format("after {}, when the other releases have gathered (or at its own start)", format_duration(later))
          : "at once (or at its own start)")));
}

}  // namespace leanside::input
