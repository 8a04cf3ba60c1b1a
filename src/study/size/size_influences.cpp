// SPDX-License-Identifier: Apache-2.0
#include "study/size/size_influences.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace leanside::study {

void find_influences(const Site& site, Sizing& out) {
  const auto of_fuel = [](const Constraint& c) { return c.subject == Subject::fuel && !c.starved; };
  auto on = std::find_if(out.before.begin(), out.before.end(),
                         [&](const Constraint& c) { return of_fuel(c) && c.is_steady; });
  if (on == out.before.end()) on = std::find_if(out.before.begin(), out.before.end(), of_fuel);
  if (on == out.before.end()) return;
  const auto found = derivatives(site, on->case_index, on->space);
  const auto* given = std::get_if<std::optional<Derivatives>>(&found);
  if (given == nullptr || !*given) return;
  const SiteState state = state_at(site, on->case_index, std::numeric_limits<double>::infinity());
  for (std::size_t i = 0; i < site.airways.size(); ++i) {
    const double d = (*given)->by_flow[i];
    const double one_percent = 0.01 * d * state.airway_flow[i];
    if (one_percent != 0.0) out.influences.push_back({*on, AirwayIndex{i}, std::nullopt, d, one_percent});
  }
  for (std::size_t r = 0; r < site.releases.size(); ++r) {
    const double d = (*given)->by_release[r];
    const double one_percent = 0.01 * d * state.release_rate[r];
    if (one_percent != 0.0) out.influences.push_back({*on, std::nullopt, ReleaseIndex{r}, d, one_percent});
  }
  std::stable_sort(out.influences.begin(), out.influences.end(), [](const Influence& a, const Influence& b) {
    return std::abs(a.of_one_percent) > std::abs(b.of_one_percent);
  });
  if (out.influences.size() > 10) out.influences.resize(10);
}

std::string nothing_cured(const Sizing& sizing) {
  const auto any = [&](const auto& holds) {
    return std::any_of(sizing.remaining.begin(), sizing.remaining.end(), holds);
  };
  const bool too_much = any([](const Remaining& r) { return r.why == Obstacle::too_much_air; });
  const bool only_starved = !any([](const Remaining& r) { return !r.warning.starved; });
  const auto switched_off = [&](const Remaining& r) {
    return std::any_of(sizing.events.begin(), sizing.events.end(), [&](const EventSize& event) {
      return event.switches_off &&
             std::find(event.cases.begin(), event.cases.end(), r.warning.case_index) != event.cases.end();
    });
  };
  if (sizing.fans.empty()) {
    return too_much
               ? "these openings would have to be larger than is sensible; reduce the source instead"
               : "larger openings, up to the areas below, end none of the warnings; reduce the source or use a fan";
  }
  if (too_much) {
    return "more than 60 air changes an hour would be needed, which is not practical; reduce the source instead";
  }
  if (!sizing.remaining.empty() && std::all_of(sizing.remaining.begin(), sizing.remaining.end(), switched_off)) {
    return "an event switches fans off wherever there is a warning (see below), and while they stand no flow of theirs "
           "helps; keep air moving there, or reduce the source";
  }
  return only_starved ? "the fans get too little air whatever they are set to; openings are missing"
                      : "more air through these fans, up to 60 air changes an hour, ends none of the warnings; reduce "
                        "the source";
}

}  // namespace leanside::study
