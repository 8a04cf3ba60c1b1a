// SPDX-License-Identifier: Apache-2.0
// Properties of answers: text, JSON and CSV agree, a stricter margin gives a stricter answer, and remedies help.
#include <algorithm>
#include <cmath>
#include <set>
#include <sstream>
#include <string>
#include <tuple>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "leanside/report.hpp"
#include "leanside/study/compare.hpp"
#include "property/draw.hpp"
#include "support/build_site.hpp"

namespace {

using leanside::CaseIndex;
using leanside::Severity;
using leanside::Site;
using leanside::SpaceIndex;

std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells;
  std::istringstream in{line};
  for (std::string cell; std::getline(in, cell, ',');) cells.push_back(cell);
  return cells;
}

/// The severity that a warning is ranked by.
Severity place_of(const leanside::Warning& warning) {
  const bool tenth = warning.toxic && warning.toxic->tenth_of_limit;
  return tenth ? std::max(warning.severity, Severity::margin) : warning.severity;
}

RC_GTEST_PROP(EveryAnswer, IsTheSameInTextJsonAndCsv, ()) {
  const Site site = property::draw_site(6);
  const auto answer = property::assessment(site);
  const auto json = nlohmann::json::parse(leanside::json_report(site, answer, {}));
  const std::string text = leanside::text_report(site, answer, {}, {100, false, false});

  std::istringstream csv{leanside::csv_report(site, answer)};
  std::string line;
  std::getline(csv, line);
  const auto header = cells_of(line);
  const auto column = [&](const std::string& name) {
    const auto at = std::find(header.begin(), header.end(), name);
    if (at == header.end()) RC_FAIL("no column " + name);
    return static_cast<std::size_t>(at - header.begin());
  };
  for (const auto& one : json.at("cases")) {
    for (const auto& space : one.at("spaces")) {
      RC_ASSERT(static_cast<bool>(std::getline(csv, line)));
      const auto row = cells_of(line);
      RC_ASSERT(row.at(column("case")) == one.at("id").get<std::string>());
      RC_ASSERT(row.at(column("space")) == space.at("id").get<std::string>());
      RC_ASSERT(std::stod(row.at(column("peak_lfl_fraction"))) == space.at("peak").at("lfl_fraction").get<double>());
      RC_ASSERT(row.at(column("peak_state")) == space.at("peak").at("state").get<std::string>());
      RC_ASSERT(std::stod(row.at(column("flammable_s"))) == space.at("flammable_s").get<double>());
    }
  }
  RC_ASSERT(!std::getline(csv, line));

  RC_ASSERT(json.at("warnings").size() == answer.warnings.size());
  // The text lists the warnings in the same order, each with its number, severity and space.
  std::istringstream lines{text};
  for (std::size_t k = 0; k < answer.warnings.size(); ++k) {
    const auto& warning = json.at("warnings").at(k);
    const std::string number = std::to_string(k + 1), space = warning.at("space").get<std::string>();
    std::string word = warning.at("severity").get<std::string>();
    bool found = false;
    while (!found && std::getline(lines, line)) {
      std::istringstream words{line};
      std::string first, second, third;
      words >> first >> second >> third;
      std::transform(second.begin(), second.end(), second.begin(), [](unsigned char c) { return std::tolower(c); });
      found = first == number && second == word && third == space;
    }
    if (!found) RC_FAIL(number + " " + word + " " + space + " is not in\n" + text);
  }
}

RC_GTEST_PROP(EveryAnswer, RanksItsWarnings, ()) {
  const auto answer = property::assessment(property::draw_site());
  for (std::size_t k = 0; k + 1 < answer.warnings.size(); ++k) {
    RC_ASSERT(place_of(answer.warnings[k]) <= place_of(answer.warnings[k + 1]));
  }
  std::set<std::tuple<std::size_t, std::size_t, Severity, leanside::Subject, std::size_t>> seen;
  for (const auto& warning : answer.warnings) {
    if (warning.storage) continue;  // a note on what is stored may stand beside one on what was computed
    const std::size_t about = warning.toxic    ? warning.toxic->gas.value
                              : warning.source ? warning.source->release.value
                                               : 0;
    RC_ASSERT(seen.emplace(warning.case_index.value, warning.space.value, warning.severity, subject_of(warning), about)
                  .second);
  }
}

RC_GTEST_PROP(EveryAnswer, IsStricterForAStricterMargin, ()) {
  const Site site = property::draw_site();
  Site strict = site;
  strict.criteria.warn_at = site.criteria.note_at + 0.01 * *rc::gen::inRange(1, 14);
  const auto lax = property::assessment(site), careful = property::assessment(strict);
  const auto worst_of = [](const leanside::Assessment& answer, CaseIndex case_index, SpaceIndex space) {
    std::optional<Severity> worst;
    for (const auto& warning : answer.warnings) {
      if (!(warning.case_index == case_index) || !(warning.space == space)) continue;
      if (!worst || warning.severity < *worst) worst = warning.severity;
    }
    return worst;
  };
  for (const auto& warning : lax.warnings) {
    const auto other = worst_of(careful, warning.case_index, warning.space);
    RC_ASSERT(other.has_value());
    RC_ASSERT(*other <= warning.severity);
  }
}

RC_GTEST_PROP(EveryRemedy, OfFreshAirKeepsItsSpaceBelowTheMargin, ()) {
  const Site site = property::draw_site(6);
  const auto answer = property::assessment(site);
  std::size_t tried = 0;
  for (const auto& warning : answer.warnings) {
    if (warning.remedy.kind != leanside::RemedyKind::more_fresh_air || !warning.remedy.extra_air) continue;
    ++tried;
    RC_ASSERT(*warning.remedy.extra_air > 0.0);
    RC_ASSERT(warning.remedy.value_after < site.criteria.warn_at * (1.0 + 1e-9));
    // Apply the remedy as a user would: a supply fan and an extract fan.
    const auto& space = site.spaces[warning.space.value];
    if (space.volume <= 0.0) continue;
    Site aired = site;
    leanside::Airway fan;
    fan.id = "supply";
    fan.kind = leanside::Fan{std::nullopt,
                             warning.space,
                             *warning.remedy.extra_air * site.conditions.outside_temperature / space.temperature,
                             {}};
    aired.airways.push_back(fan);
    fan.id = "extract";
    fan.kind = leanside::Fan{warning.space, std::nullopt, *warning.remedy.extra_air, {}};
    aired.airways.push_back(fan);
    const auto after = leanside::assess(aired, {warning.case_index, true, false, {}, {}, 2});
    RC_ASSERT(std::holds_alternative<leanside::Assessment>(after));
    const auto& result = std::get<leanside::Assessment>(after).cases[0].spaces[warning.space.value];
    RC_ASSERT(result.steady.reached);
    RC_ASSERT(result.steady.at.lfl_fraction < site.criteria.warn_at * (1.0 + 1e-6));
  }
  RC_CLASSIFY(tried > 0, "with remedies");
}

/// The warnings that advice is to end: of the gas, or of the oxygen, in one space.
bool still_warned(const leanside::Assessment& answer, const leanside::Warning& warning) {
  const bool oxygen = warning.severity == Severity::oxygen;
  return std::any_of(answer.warnings.begin(), answer.warnings.end(), [&](const leanside::Warning& left) {
    if (!(left.space == warning.space)) return false;
    if (oxygen) return left.severity == Severity::oxygen;
    return left.severity == Severity::flammable || left.severity == Severity::rich || left.severity == Severity::margin;
  });
}

/// Whether what advice leaves of other dangers is what the changed site is warned of.
void check_others(const leanside::Assessment& answer, const leanside::Warning& warning,
                  const leanside::Outcome& stated) {
  double times_idlh = 0.0;
  bool oxygen = false, fuel = false;
  for (const leanside::Warning& left : answer.warnings) {
    if (!(left.space == warning.space)) continue;
    if (left.severity == Severity::toxic) times_idlh = std::max(times_idlh, left.toxic->worst / left.toxic->idlh);
    oxygen = oxygen || left.severity == Severity::oxygen;
    fuel = fuel || left.severity == Severity::flammable || left.severity == Severity::rich ||
           left.severity == Severity::margin;
  }
  RC_ASSERT(stated.toxic.has_value() == (times_idlh > 0.0));
  if (stated.toxic) RC_ASSERT(std::abs(stated.toxic->worst / stated.toxic->idlh - times_idlh) <= 1e-5 * times_idlh);
  const bool about_oxygen = warning.severity == Severity::oxygen;
  RC_ASSERT(stated.oxygen.has_value() == (oxygen && !about_oxygen));
  RC_ASSERT(stated.fuel.has_value() == (fuel && about_oxygen));
}

void check_outcome(const Site& changed, const leanside::Warning& warning,
                   const std::optional<leanside::Outcome>& stated) {
  if (!stated) return;
  leanside::AssessOptions options;
  options.only = warning.case_index;
  options.explain = false;
  const auto answer = property::solved<leanside::Assessment>(leanside::assess(changed, options));
  RC_ASSERT(still_warned(answer, warning) == stated->over);
  check_others(answer, warning, *stated);
  if (warning.severity == Severity::oxygen) return;
  const auto& space = answer.cases[0].spaces[warning.space.value];
  const double steady = space.steady.reached ? space.steady.at.lfl_fraction : 0.0;
  RC_ASSERT(std::abs(std::max(space.peak.lfl_fraction, steady) - stated->worst) <= 1e-5 * stated->worst + 1e-9);
}

Site without(Site site, const std::vector<leanside::ReleaseIndex>& releases) {
  for (const auto release : releases) site.releases[release.value].kind = leanside::SteadyRelease{0.0, {}};
  return site;
}

/// Only the kinds whose size is one number.
std::optional<Site> with_less(Site site, const leanside::Reduction& reduction) {
  for (const auto release : reduction.releases) {
    auto& kind = site.releases[release.value].kind;
    if (auto* steady = std::get_if<leanside::SteadyRelease>(&kind)) {
      steady->rate *= reduction.share;
    } else if (auto* dump = std::get_if<leanside::DumpRelease>(&kind)) {
      dump->amount *= reduction.share;
    } else if (auto* fittings = std::get_if<leanside::FittingsRelease>(&kind)) {
      fittings->count *= reduction.share;
    } else {
      return std::nullopt;
    }
  }
  return site;
}

/// As somebody would do it: a supply fan and an extract fan.
Site aired(Site site, SpaceIndex space, double flow) {
  const double cooled = site.conditions.outside_temperature / site.spaces[space.value].temperature;
  leanside::Airway fan;
  fan.id = "supply";
  fan.kind = leanside::Fan{std::nullopt, space, flow * cooled, {}};
  site.airways.push_back(fan);
  fan.id = "extract";
  fan.kind = leanside::Fan{space, std::nullopt, flow, {}};
  site.airways.push_back(fan);
  return site;
}

RC_GTEST_PROP(EveryRemedy, DoesWhatItSaysOnTheChangedSite, ()) {
  const Site site = property::draw_site(4);
  const auto answer = property::assessment(site);
  std::size_t aired_spaces = 0, reduced = 0, stopped = 0;
  for (const auto& warning : answer.warnings) {
    const auto& remedy = warning.remedy;
    const auto& space = site.spaces[warning.space.value];
    if (warning.severity == Severity::pressure) continue;
    if (remedy.extra_air) {
      ++aired_spaces;
      RC_ASSERT(space.volume >= leanside::least_aired_volume);
      RC_ASSERT(*remedy.extra_air * 3600.0 <= leanside::most_air_changes * space.volume * (1.0 + 1e-9));
      RC_ASSERT(remedy.air_limit == leanside::AirLimit::none);
      check_outcome(aired(site, warning.space, *remedy.extra_air), warning, remedy.after_air);
    }
    if (!remedy.stop.releases.empty()) {
      ++stopped;
      check_outcome(without(site, {remedy.stop.releases.front()}), warning, remedy.stop.after_first);
      check_outcome(without(site, remedy.stop.releases), warning, remedy.stop.after_all);
    }
    if (remedy.reduction) {
      RC_ASSERT(!remedy.reduction->after.over);
      RC_ASSERT(remedy.reduction->share > 0.0 && remedy.reduction->share < 1.0);
      if (const auto less = with_less(site, *remedy.reduction)) {
        ++reduced;
        check_outcome(*less, warning, remedy.reduction->after);
      }
    }
  }
  RC_CLASSIFY(aired_spaces > 0, "with more air");
  RC_CLASSIFY(stopped > 0, "with a source to stop");
  RC_CLASSIFY(reduced > 0, "with less gas");
}

RC_GTEST_PROP(Comparisons, OfASiteWithItselfFindNothing, ()) {
  const Site site = property::draw_site(6);
  const auto answer = property::assessment(site);
  const auto same = leanside::compare(site, answer, site, answer);
  RC_ASSERT(same.changes.empty() && same.warnings.empty() && same.flows.empty() && !same.anything_worse);
}

RC_GTEST_PROP(Comparisons, AreReversedWhenTheSitesAreSwapped, ()) {
  const Site before = property::draw_site(6);
  Site after = before;
  for (auto& release : after.releases) {
    if (auto* steady = std::get_if<leanside::SteadyRelease>(&release.kind)) steady->rate *= *rc::gen::inRange(1, 6);
  }
  const auto one = property::assessment(before), two = property::assessment(after);
  const auto forth = leanside::compare(before, one, after, two), back = leanside::compare(after, two, before, one);
  RC_ASSERT(forth.changes.size() == back.changes.size());
  const auto turned = [](leanside::Verdict verdict) {
    if (verdict == leanside::Verdict::worse) return leanside::Verdict::better;
    return verdict == leanside::Verdict::better ? leanside::Verdict::worse : verdict;
  };
  for (const auto& change : forth.changes) {
    const auto found = std::find_if(back.changes.begin(), back.changes.end(), [&](const leanside::SpaceChange& other) {
      return other.space_before == change.space_after && other.case_before == change.case_after;
    });
    RC_ASSERT(found != back.changes.end());
    RC_ASSERT(found->verdict == turned(change.verdict));
    RC_ASSERT(found->lfl_before == change.lfl_after && found->lfl_after == change.lfl_before);
  }
}

RC_GTEST_PROP(OneRoom, IsNeverSaferWithALargerLeak, ()) {
  leanside::testing::SiteBuilder build;
  const auto gas = build.hydrogen();
  const auto room = build.space("room", 0.1 * *rc::gen::inRange(1, 5000));
  build.site.spaces[0].air_changes = 1e-6 * *rc::gen::inRange(1, 5000);
  const double rate = 1e-7 * *rc::gen::inRange(1, 100000);
  const auto leak = build.steady("leak", room, gas, rate);
  const auto peak_of = [&](double factor) {
    auto& kind = std::get<leanside::SteadyRelease>(build.site.releases[leak.value].kind);
    kind.rate = build.molar(rate) * factor;
    const auto answer = property::assessment(build.site);
    const auto& space = answer.cases[0].spaces[0];
    return std::tuple{space.peak.lfl_fraction, space.steady.at.lfl_fraction, space.lowest_oxygen};
  };
  const auto small = peak_of(1.0), large = peak_of(1.0 + 0.01 * *rc::gen::inRange(1, 500));
  RC_ASSERT(std::get<0>(large) >= std::get<0>(small));
  RC_ASSERT(std::get<1>(large) >= std::get<1>(small));
  RC_ASSERT(std::get<2>(large) <= std::get<2>(small) * (1.0 + 1e-12));
}

RC_GTEST_PROP(OneRoom, FillsMoreSlowlyWhenItIsLarger, ()) {
  leanside::testing::SiteBuilder build;
  const auto gas = build.methane();
  const auto room = build.space("room", 0.1 * *rc::gen::inRange(1, 5000));
  build.fan("air", std::nullopt, room, 1e-4 * *rc::gen::inRange(1, 1000));
  build.opening("out", room, std::nullopt);
  build.steady("leak", room, gas, 1e-6 * *rc::gen::inRange(1, 10000));
  const auto end = [&] {
    return property::transient(build.site, CaseIndex{0}, leanside::gas_tracers(build.site)).end(room, gas.value);
  };
  const double small = end();
  build.site.spaces[0].volume *= 1.0 + 0.01 * *rc::gen::inRange(1, 500);
  RC_ASSERT(end() <= small * (1.0 + 1e-9));
}

RC_GTEST_PROP(Answers, DoNotChangeWithAnUnconnectedSpace, ()) {
  const Site site = property::draw_site(6);
  Site more = site;
  more.spaces.push_back({});
  more.spaces.back().id = "elsewhere";
  more.spaces.back().volume = 5.0;
  more.spaces.back().air_changes = 1e-4;
  const auto one = property::assessment(site), two = property::assessment(more);
  RC_ASSERT(one.warnings.size() == two.warnings.size());
  for (std::size_t c = 0; c < site.cases.size(); ++c) {
    for (std::size_t i = 0; i < site.spaces.size(); ++i) {
      RC_ASSERT(property::agree(one.cases[c].spaces[i].peak.lfl_fraction, two.cases[c].spaces[i].peak.lfl_fraction));
      RC_ASSERT(one.cases[c].spaces[i].steady.reached == two.cases[c].spaces[i].steady.reached);
    }
  }
}

}  // namespace
