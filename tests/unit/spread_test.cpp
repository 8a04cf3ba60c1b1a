// SPDX-License-Identifier: Apache-2.0
/// Values given as ranges: against a room whose course is known in closed form, and against files without ranges.
#include "leanside/study/spread.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "leanside/assess.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study/sweep.hpp"
#include "support/paths.hpp"

namespace leanside {
namespace {

RangedSite ranged(const std::string& text) {
  RangedReading reading = parse_ranged_site(text, "site.toml", built_in_substances());
  for (const Diagnostic& d : reading.diagnostics) {
    if (d.gravity == Gravity::error) ADD_FAILURE() << to_text(d);
  }
  return *reading.site;
}

SpreadStudy spread(const RangedSite& site, const SpreadOptions& options) {
  auto outcome = study_spread(site, options);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) ADD_FAILURE() << fault->message;
  return std::get<SpreadStudy>(outcome);
}

// One room of V m3 with an exchange Q and a release G, both m3/s: x = G / (Q + G) (1 - exp(-(Q + G) t / V)).
constexpr double volume = 30.0, exchange = 30.0 / 3600.0, horizon = 2.0 * 3600.0, lower_limit = 0.04;

double fraction(double rate, double time) {
  return rate / (exchange + rate) * -std::expm1(-(exchange + rate) * time / volume);
}
double time_to(double share, double rate) {
  return -std::log1p(-share * lower_limit * (exchange + rate) / rate) * volume / (exchange + rate);
}
/// The rate whose fraction comes to `share` of the limit just at the horizon.
double rate_for(double share) {
  double low = 0.0, high = 1.0;
  for (int i = 0; i < 200; ++i) {
    const double middle = 0.5 * (low + high);
    (fraction(middle, horizon) < share * lower_limit ? low : high) = middle;
  }
  return low;
}
double triangle_share(double x, double low, double best, double high) {
  if (x <= low) return 0.0;
  if (x >= high) return 1.0;
  return x <= best ? (x - low) * (x - low) / ((high - low) * (best - low))
                   : 1.0 - (high - x) * (high - x) / ((high - low) * (high - best));
}

const std::string one_room =
    "title = \"One room\"\n[criteria]\nhorizon = \"2 h\"\n"
    "[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"30 m3\"\nair_changes = \"1 /h\"\n"
    "[[release]]\nid = \"leak\"\nkind = \"steady\"\ninto = \"room\"\ngas = \"hydrogen\"\n"
    "rate = { low = \"1 L/min\", best = \"4 L/min\", high = \"12 L/min\" }\n";
constexpr double litre_a_minute = 1e-3 / 60.0;

TEST(Spread, PercentilesAndChancesOfOneRoomAreThoseInClosedForm) {
  const RangedSite site = ranged(one_room);
  ASSERT_EQ(site.best().gases.front().limits->lower, lower_limit);
  SpreadOptions options;
  options.draws = 12000;
  const SpreadStudy study = spread(site, options);
  ASSERT_EQ(study.spaces.size(), 1u);
  const SpreadSpace& room = study.spaces.front();
  const Range& rate = site.best().ranges.front();
  EXPECT_EQ(rate.name, "release leak: rate");
  for (std::size_t p = 0; p < std::size(spread_percents); ++p) {
    const double u = spread_percents[p] / 100.0;
    // The peak rises with the rate, the time falls.
    const double expected = fraction(quantile(rate, options.shape, u), horizon) / lower_limit;
    EXPECT_NEAR(room.worst[p], expected, 2e-3 * expected) << p;
    const double high_rate = quantile(rate, options.shape, 1.0 - u);
    if (high_rate > 1.001 * rate_for(0.25)) {
      ASSERT_TRUE(room.time[p]) << p;
      EXPECT_NEAR(*room.time[p], time_to(0.25, high_rate), 5e-3 * time_to(0.25, high_rate)) << p;
    } else {
      EXPECT_FALSE(room.time[p]) << p;
    }
  }
  const double over = 1.0 - triangle_share(rate_for(0.25), rate.low, rate.best, rate.high);
  ASSERT_GT(over, 0.05);
  ASSERT_LT(over, 0.95);
  EXPECT_NEAR(room.over_warn.value, over, 2e-3);
  EXPECT_GT(room.over_warn.error, 0.0);
  EXPECT_NEAR(room.at_best, fraction(rate.best, horizon) / lower_limit, 1e-6);
  EXPECT_LE(room.largest, fraction(rate.high, horizon) / lower_limit + 1e-9);
  // A single value is the cause of everything.
  EXPECT_NEAR(room.sensitivity.first.at(0).value, 1.0, 0.02);
  EXPECT_NEAR(room.sensitivity.total.at(0).value, 1.0, 0.01);
}

TEST(Spread, TwoPieceAndLongRun) {
  const RangedSite site = ranged(one_room);
  SpreadOptions options;
  options.shape = SpreadShape::two_piece;
  options.steady_only = true;
  const SpreadStudy study = spread(site, options);
  const SpreadSpace& room = study.spaces.front();
  const Range& rate = site.best().ranges.front();
  for (std::size_t p = 0; p < std::size(spread_percents); ++p) {
    const double g = quantile(rate, options.shape, spread_percents[p] / 100.0);
    const double expected = g / (exchange + g) / lower_limit;
    EXPECT_NEAR(room.worst[p], expected, 2e-3 * expected) << p;
  }
  EXPECT_NEAR(room.worst[2], room.at_best, 2e-3 * room.at_best) << "best is the middle of the two pieces";
}

TEST(Spread, ChanceOfTheLimitItself) {
  // Twice the rates: part of the draws reach the limit.
  std::string text = one_room;
  text.replace(text.find("rate = "), std::string::npos,
               "rate = { low = \"5 L/min\", best = \"20 L/min\", high = \"60 L/min\" }\n");
  const RangedSite site = ranged(text);
  const SpreadStudy study = spread(site, {});
  const Range& rate = site.best().ranges.front();
  const double over = 1.0 - triangle_share(rate_for(1.0), rate.low, rate.best, rate.high);
  ASSERT_GT(over, 0.05);
  ASSERT_LT(over, 0.95);
  EXPECT_NEAR(study.spaces.front().over_limit.value, over, 2e-3);
}

TEST(Spread, WhatMattersFollowsFromTheProduct) {
  // In the long run of a small leak x = G / Q: with G and Q spread alike, 1/Q varies more than G, and both are all.
  std::string text = one_room;
  const std::string from = "air_changes = \"1 /h\"";
  text.replace(text.find(from), from.size(), "air_changes = { low = \"0.5 /h\", best = \"1 /h\", high = \"1.5 /h\" }");
  text.replace(text.find("rate = "), std::string::npos,
               "rate = { low = \"0.5 mL/min\", best = \"1 mL/min\", high = \"1.5 mL/min\" }\n");
  const RangedSite site = ranged(text);
  SpreadOptions options;
  options.steady_only = true;
  const SpreadStudy study = spread(site, options);
  const Sensitivity& found = study.spaces.front().sensitivity;
  // Moments by the closed form of the symmetric triangle on [1/2, 3/2]: E[G] = 1, E[G^2] = 1 + 1/24;
  // E[1/Q] = integral = 4 (1/2 ln... ) evaluated below by a fine sum that shares no code with the study.
  const auto moment = [](int power) {
    constexpr int steps = 2'000'000;
    double sum = 0.0;
    for (int i = 0; i < steps; ++i) {
      const double q = 0.5 + (i + 0.5) / steps;
      sum += 4.0 * (0.5 - std::abs(q - 1.0)) * std::pow(q, power) / steps;
    }
    return sum;
  };
  const double g2 = 1.0 + 1.0 / 24.0, h1 = moment(-1), h2 = moment(-2);
  const double all = g2 * h2 - h1 * h1, of_g = (g2 - 1.0) * h1 * h1, of_q = h2 - h1 * h1;
  ASSERT_EQ(site.best().ranges[0].name, "space room: air_changes");
  EXPECT_NEAR(found.first[0].value, of_q / all, 0.02);
  EXPECT_NEAR(found.first[1].value, of_g / all, 0.02);
  EXPECT_NEAR(found.total[0].value, 1.0 - of_g / all, 0.02);
  EXPECT_NEAR(found.total[1].value, 1.0 - of_q / all, 0.02);
}

bool same(const SpreadStudy& a, const SpreadStudy& b) {
  if (a.spaces.size() != b.spaces.size()) return false;
  for (std::size_t i = 0; i < a.spaces.size(); ++i) {
    const SpreadSpace &x = a.spaces[i], &y = b.spaces[i];
    if (x.space != y.space || x.which != y.which || x.worst != y.worst || x.time != y.time) return false;
    if (x.over_warn.value != y.over_warn.value || x.over_warn.error != y.over_warn.error) return false;
    for (std::size_t k = 0; k < x.sensitivity.first.size(); ++k) {
      const auto equal = [](const Uncertain& u, const Uncertain& v) {
        return u.value == v.value && u.error == v.error;
      };
      if (!equal(x.sensitivity.first[k], y.sensitivity.first[k])) return false;
      if (!equal(x.sensitivity.total[k], y.sensitivity.total[k])) return false;
    }
  }
  return true;
}

TEST(Spread, IsTheSameOnAnyNumberOfThreadsAndForTheSameSeed) {
  const auto text = read_text_file(leanside::testing::source_path("examples/uncertain-store.toml").string());
  const RangedSite site = ranged(std::get<std::string>(text));
  SpreadOptions options;
  options.draws = 600;
  options.threads = 1;
  const SpreadStudy one = spread(site, options);
  for (const unsigned threads : {2u, 3u}) {
    options.threads = threads;
    EXPECT_TRUE(same(one, spread(site, options))) << threads;
  }
  options.seed = 2;
  EXPECT_FALSE(same(one, spread(site, options)));
  options.seed = 1;
  EXPECT_TRUE(same(one, spread(site, options)));
}

/// Every place where a range may stand, "@low|best|high@" each.
const std::string everywhere = R"(title = "Ranges everywhere"
[criteria]
horizon = "3 h"
[conditions]
temperature = @18 degC|20 degC|26 degC@
pressure = @98 kPa|101 kPa|103 kPa@
outside_temperature = @-5 degC|10 degC|30 degC@
wind_speed = @0 m/s|2 m/s|6 m/s@
oxygen_in_air = @20.8 %|20.95 %|21 %@
[[gas]]
id = "mystery"
source = "invented"
molar_mass = @30 g/mol|40 g/mol|50 g/mol@
lfl = @1.5 %|2 %|2.5 %@
ufl = @8 %|9 %|10 %@
heat_capacity_ratio = @#1.1|#1.2|#1.3@
critical_temperature = @200 K|210 K|220 K@
critical_pressure = @40 bar|45 bar|50 bar@
acentric_factor = @#0.1|#0.15|#0.2@
[[space]]
id = "hall"
kind = "room"
floor_area = @20 m2|24 m2|30 m2@
height = @2.4 m|2.6 m|3 m@
elevation = @0 m|0.2 m|0.5 m@
mixing_factor = @#1|#2|#4@
air_changes = @0.3 /h|0.5 /h|1 /h@
initial = { mystery = @0 %|0.1 %|0.4 %@ }
[[space]]
id = "warm"
kind = "room"
volume = @25 m3|30 m3|33 m3@
temperature = @20 degC|24 degC|30 degC@
[[space]]
id = "box"
kind = "cabinet"
volume = "1 m3"
[[airway]]
id = "extract"
kind = "fan"
from = "hall"
to = "outside"
flow = @60 m3/h|90 m3/h|100 m3/h@
[[airway]]
id = "inlet"
kind = "relief"
between = ["outside", "hall"]
[[airway]]
id = "holes"
kind = "exchange"
between = ["box", "hall"]
flow = @2 m3/h|4 m3/h|5 m3/h@
[[airway]]
id = "crack"
kind = "gap"
between = ["warm", "outside"]
leakage_area = @10 cm2|20 cm2|60 cm2@
exponent = @#0.5|#0.6|#0.7@
height = @0 m|0.1 m|0.2 m@
wind_coefficient = @#-0.3|#0.2|#0.6@
[[airway]]
id = "upper-crack"
kind = "gap"
between = ["warm", "outside"]
leakage_area = "30 cm2"
height = "2 m"
[[airway]]
id = "door"
kind = "doorway"
between = ["warm", "outside"]
width = @0.5 m|0.8 m|0.9 m@
height = @1.8 m|2 m|2.1 m@
sill = @0 m|0.1 m|0.2 m@
open = @2 %|10 %|30 %@
discharge = @#0.5|#0.6|#0.7@
[[airway]]
id = "blower"
kind = "fan"
from = "outside"
to = "warm"
curve = [[@0 Pa|1 Pa|2 Pa@, @35 m3/h|40 m3/h|50 m3/h@], ["30 Pa", "0 m3/h"]]
[[release]]
id = "steady"
kind = "steady"
into = "hall"
gas = "mystery"
rate = @1 L/min|2 L/min|4 L/min@
duration = @1 h|2 h|9 h@
start = @0 s|5 min|1 h@
[[release]]
id = "dump"
kind = "dump"
into = "box"
gas = "methane"
amount = @1 L|5 L|9 L@
over = @1 min|5 min|9 min@
[[release]]
id = "fittings"
kind = "fittings"
into = "box"
gas = "methane"
count = 3
each = @1 g/h|2 g/h|4 g/h@
[[release]]
id = "orifice"
kind = "orifice"
into = "warm"
gas = "mystery"
pressure = @20 mbarg|25 mbarg|60 mbarg@
hole = @0.2 mm|0.5 mm|1 mm@
discharge = @#0.6|#0.8|#0.9@
temperature = @15 degC|20 degC|30 degC@
[[release]]
id = "cylinder"
kind = "cylinder"
into = "warm"
gas = "hydrogen"
water_volume = @1 L|2 L|4 L@
pressure = @50 bar|100 bar|150 bar@
hole = @0.1 mm|0.2 mm|0.3 mm@
[[release]]
id = "bottle"
kind = "cylinder"
into = "warm"
gas = "propane"
contents = @5 kg|11 kg|13 kg@
filled = @20 %|80 %|100 %@
hole = @0.1 mm|0.2 mm|0.3 mm@
[[release]]
id = "spare"
kind = "cylinder"
into = "warm"
gas = "carbon-dioxide"
contents = @5 kg|11 kg|13 kg@
[[release]]
id = "dewar"
kind = "dewar"
into = "warm"
gas = "nitrogen"
contents = @5 L|11 L|13 L@
holding_time = @5 d|11 d|13 d@
[[release]]
id = "spill"
kind = "spill"
into = "hall"
gas = "acetone"
amount = @100 mL|300 mL|500 mL@
area = @0.1 m2|0.4 m2|1 m2@
air_speed = @0.1 m/s|0.2 m/s|0.4 m/s@
[[release]]
id = "reaction"
kind = "reaction"
into = "hall"
reaction = "magnesium-hydrochloric-acid"
amounts = { magnesium = @1 g|2 g|3 g@, hydrochloric-acid = [@40 mL|50 mL|80 mL@, @1 mol/L|2 mol/L|3 mol/L@] }
half_time = @1 min|2 min|9 min@
[[release]]
id = "charging"
kind = "charging"
into = "hall"
cells = 12
battery = "vented-lead"
regime = "boost"
capacity = @50 Ah|80 Ah|90 Ah@
duration = @1 h|3 h|5 h@
[[case]]
id = "later"
event = [
  { at = @10 min|30 min|2 h@, airway = "extract", flow = @10 m3/h|20 m3/h|30 m3/h@ },
  { at = "1 h", airway = "door", open = @0 %|5 %|50 %@ },
  { at = "2 h", space = "warm", temperature = @15 degC|22 degC|28 degC@ },
]
)";

/// `which`: -1, 0, 1 for low, best and high of every range; 2 for the ranges themselves.
std::string with_values(const std::string& pattern, int which) {
  std::string out;
  std::size_t at = 0;
  for (std::size_t open = pattern.find('@'); open != std::string::npos; open = pattern.find('@', at)) {
    out += pattern.substr(at, open - at);
    const std::size_t close = pattern.find('@', open + 1);
    std::string rest = pattern.substr(open + 1, close - open - 1);
    std::vector<std::string> parts;
    for (std::size_t bar = rest.find('|'); bar != std::string::npos; bar = rest.find('|')) {
      parts.push_back(rest.substr(0, bar));
      rest = rest.substr(bar + 1);
    }
    parts.push_back(rest);
    for (std::string& part : parts) part = part[0] == '#' ? part.substr(1) : "\"" + part + "\"";
    out += which == 2 ? "{ low = " + parts[0] + ", best = " + parts[1] + ", high = " + parts[2] + " }"
                      : parts[static_cast<std::size_t>(which + 1)];
    at = close + 1;
  }
  return out + pattern.substr(at);
}

/// Everything that is computed of a site, as numbers.
std::vector<double> computed(const Site& site) {
  AssessOptions how;
  how.explain = false;
  const auto outcome = assess(site, how);
  if (const auto* fault = std::get_if<SolveFault>(&outcome)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  std::vector<double> out;
  for (const CaseResult& result : std::get<Assessment>(outcome).cases) {
    for (const SpaceResult& space : result.spaces) {
      for (const double x : space.peak.fraction) out.push_back(x);
      for (const double x : space.end.fraction) out.push_back(x);
      for (const double x : space.steady.at.fraction) out.push_back(x);
      for (const Crossing& crossing : space.crossings) out.push_back(crossing.up);
      for (const double x : {space.peak.time, space.peak.lfl_fraction, space.peak.oxygen, space.lowest_oxygen}) {
        out.push_back(x);
      }
    }
    for (const ReleaseTrace& release : result.releases) out.push_back(release.amount);
  }
  return out;
}

/// Every range at its low, best and high value at once, and at its low one again.
void expect_draws_as_from_files(const std::string& pattern) {
  const RangedSite site = ranged(with_values(pattern, 2));
  ASSERT_EQ(site.best().ranges.size(), static_cast<std::size_t>(std::count(pattern.begin(), pattern.end(), '@')) / 2);
  RangedSite::Draws draws{site};
  for (const int which : {-1, 0, 1, -1}) {
    std::vector<double> values;
    for (const Range& range : site.best().ranges) {
      values.push_back(which < 0 ? range.low : which > 0 ? range.high : range.best);
    }
    const Site* drawn = draws.at(values);
    ASSERT_NE(drawn, nullptr) << draws.faults().front().message;
    const auto plain = parse_site(with_values(pattern, which), "site.toml", built_in_substances());
    ASSERT_NE(plain.usable(), nullptr) << to_text(plain.diagnostics.front());
    EXPECT_EQ(computed(*drawn), computed(*plain.usable())) << which;
  }
}

TEST(RangedSite, DrawsAreTheSitesThatAFileWithTheseValuesGives) { expect_draws_as_from_files(everywhere); }

TEST(RangedSite, DrawsThatTouchOnlySomeRowsAreTheSameSites) {
  // Without ranges of what holds for all rows ([conditions], [[gas]]) only some rows are made anew for a draw.
  const std::size_t rows = everywhere.find("[[space]]");
  const std::string head = with_values(everywhere.substr(0, rows), 0);
  expect_draws_as_from_files(head + everywhere.substr(rows));
  // A range of a space alone: what is released into it and what leads to it depends on it.
  const std::string volume = "floor_area = @20 m2|24 m2|30 m2@", warm = "temperature = @20 degC|24 degC|30 degC@";
  const std::size_t in_hall = everywhere.find(volume), in_warm = everywhere.find(warm);
  ASSERT_NE(in_hall, std::string::npos);
  ASSERT_NE(in_warm, std::string::npos);
  expect_draws_as_from_files(with_values(everywhere.substr(0, in_hall), 0) + volume +
                             with_values(everywhere.substr(in_hall + volume.size()), 0));
  expect_draws_as_from_files(with_values(everywhere.substr(0, in_warm), 0) + warm +
                             with_values(everywhere.substr(in_warm + warm.size()), 0));
}

TEST(RangedSite, OneValueAtATimeIsThatOfTheFile) {
  // So many runs: a short one each.
  std::string brief = everywhere;
  const std::string horizon = "horizon = \"3 h\"";
  brief.replace(brief.find(horizon), horizon.size(), "horizon = \"40 min\"");
  const RangedSite site = ranged(with_values(brief, 2));
  const auto& ranges = site.best().ranges;
  std::vector<double> best;
  for (const Range& range : ranges) best.push_back(range.best);
  RangedSite::Draws draws{site};
  std::size_t at = 0, moved = 0;
  const auto unmoved = computed(site.best());
  for (std::size_t i = 0; i < ranges.size(); ++i) {
    // The i-th pattern of the text alone at its high value.
    std::string text = brief;
    const std::size_t open = text.find('@', at), close = text.find('@', open + 1);
    at = close + 1;
    const std::string parts = text.substr(open, close + 1 - open);
    const std::string high = parts.substr(parts.rfind('|') + 1, parts.size() - parts.rfind('|') - 2);
    text.replace(open, parts.size(), "@" + high + "|" + high + "|" + high + "@");
    const auto plain = parse_site(with_values(text, 0), "site.toml", built_in_substances());
    ASSERT_NE(plain.usable(), nullptr) << i << to_text(plain.diagnostics.front());
    std::vector<double> values = best;
    const auto named = [&] {  // ranges are in the order in which they are read, not in that of the text
      for (std::size_t k = 0; k < ranges.size(); ++k) {
        if (ranges[k].place.line == 1 + std::count(brief.begin(), brief.begin() + static_cast<long>(open), '\n') &&
            ranges[k].high_text == (high[0] == '#' ? high.substr(1) : high)) {
          return k;
        }
      }
      return ranges.size();
    }();
    ASSERT_LT(named, ranges.size()) << parts;
    values[named] = ranges[named].high;
    const Site* drawn = draws.at(values);
    ASSERT_NE(drawn, nullptr) << parts << draws.faults().front().message;
    const auto found = computed(*drawn);
    EXPECT_EQ(found, computed(*plain.usable())) << parts;
    moved += found != unmoved;
  }
  EXPECT_GT(moved, ranges.size() * 8 / 10) << "hardly any range does anything";
}

TEST(RangedSite, BestValuesAreTakenAndTheAnswerSaysSo) {
  const auto reading = parse_site(one_room, "site.toml", built_in_substances());
  ASSERT_NE(reading.usable(), nullptr);
  const Site& site = *reading.usable();
  ASSERT_EQ(site.ranges.size(), 1u);
  EXPECT_EQ(site.ranges[0].low_text, "1 L/min");
  EXPECT_NEAR(site.ranges[0].best, 4.0 * litre_a_minute, 1e-15);
  EXPECT_EQ(site.assumptions.back(),
            "a value is given as a range, and its best one is taken: release leak: rate 4 L/min (1 L/min to 12 L/min). "
            "`leanside spread` tells what the ranges do");
  EXPECT_EQ(site.releases[0].as_written, "4 L/min (range 1 L/min to 12 L/min)");
  std::string alone = one_room;
  alone.replace(alone.find("rate = "), std::string::npos, "rate = \"4 L/min\"\n");
  EXPECT_EQ(computed(site), computed(*parse_site(alone, "site.toml", built_in_substances()).usable()));
}

TEST(Spread, RefusesWhatCannotBeDrawn) {
  const auto message = [](const RangedSite& site, const SpreadOptions& options) {
    const auto outcome = study_spread(site, options);
    const auto* fault = std::get_if<SolveFault>(&outcome);
    return fault != nullptr && fault->bad_input ? fault->message : std::string{"no fault"};
  };
  std::string alone = one_room;
  alone.replace(alone.find("rate = "), std::string::npos, "rate = \"4 L/min\"\n");
  EXPECT_NE(message(ranged(alone), {}).find("nothing to draw"), std::string::npos);
  SpreadOptions few;
  few.draws = 95;
  EXPECT_EQ(message(ranged(one_room), few), "95 draws are too few for 1 range: at least 96 are needed");
  few.draws = 96;
  EXPECT_EQ(message(ranged(one_room), few), "no fault");
  // Each end of both ranges does by itself, not both together: two gases of which the bottle has up to 60 % each.
  const RangedSite bottle = ranged(
      "title = \"b\"\n[[space]]\nid = \"b\"\nkind = \"vessel\"\nvolume = \"1 L\"\n"
      "initial = { methane = { low = \"10 %\", best = \"30 %\", high = \"60 %\" }, "
      "hydrogen = { low = \"10 %\", best = \"30 %\", high = \"60 %\" } }\n");
  const std::string told = message(bottle, {});
  EXPECT_NE(told.find("do not go together: space b: initial methane "), std::string::npos) << told;
  EXPECT_NE(told.find("more than 100 %"), std::string::npos) << told;
}

TEST(Spread, StopsWhenAsked) {
  Sweep sweep;
  sweep.stop = true;
  SpreadOptions options;
  options.sweep = &sweep;
  const auto outcome = study_spread(ranged(one_room), options);
  const auto* stopped = std::get_if<Stopped>(&outcome);
  ASSERT_NE(stopped, nullptr);
  EXPECT_LE(stopped->done, 6u);
  EXPECT_EQ(stopped->total, 9999u);
}

TEST(Spread, ShardsTogetherAreTheWhole) {
  const RangedSite site = ranged(one_room);
  SpreadOptions options;
  options.draws = 500;
  const auto whole = std::get<SpreadPart>(spread_part(site, options));
  std::vector<SpreadValue> joined;
  options.shard.count = 3;
  for (options.shard.index = 1; options.shard.index <= 3; ++options.shard.index) {
    const auto part = std::get<SpreadPart>(spread_part(site, options));
    EXPECT_EQ(part.rows, whole.rows);
    joined.insert(joined.end(), part.values.begin(), part.values.end());
  }
  ASSERT_EQ(joined.size(), whole.values.size());
  for (std::size_t k = 0; k < joined.size(); ++k) {
    EXPECT_EQ(joined[k].worst, whole.values[k].worst);
    EXPECT_EQ(joined[k].time, whole.values[k].time);
  }
}

}  // namespace
}  // namespace leanside
