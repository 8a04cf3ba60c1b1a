// SPDX-License-Identifier: Apache-2.0
/// Drawing sites from ranges.
#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "leanside/assess.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"

namespace leanside {
namespace {

RangedSite ranged(const std::string& text) {
  RangedReading reading = parse_ranged_site(text, "site.toml", built_in_substances());
  for (const Diagnostic& d : reading.diagnostics) {
    if (d.level == DiagnosticLevel::error) ADD_FAILURE() << to_text(d);
  }
  return *reading.site;
}

const std::string one_room =
    "title = \"One room\"\n[criteria]\nhorizon = \"2 h\"\n"
    "[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"30 m3\"\nair_changes = \"1 /h\"\n"
    "[[release]]\nid = \"leak\"\nkind = \"steady\"\ninto = \"room\"\ngas = \"hydrogen\"\n"
    "rate = { low = \"1 L/min\", best = \"4 L/min\", high = \"12 L/min\" }\n";

constexpr double litre_a_minute = 1e-3 / 60.0;

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
kind = "opening"
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

/// `end`: -1, 0, 1 for low, best and high of every range; 2 for the ranges themselves.
std::string with_values(const std::string& pattern, int end) {
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
    out += end == 2 ? "{ low = " + parts[0] + ", best = " + parts[1] + ", high = " + parts[2] + " }"
                    : parts[static_cast<std::size_t>(end + 1)];
    at = close + 1;
  }
  return out + pattern.substr(at);
}

/// Everything that is computed of a site, as numbers.
std::vector<double> computed(const Site& site) {
  AssessOptions options;
  options.explain = false;
  const auto outcome = assess(site, options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) {
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
  for (const int end : {-1, 0, 1, -1}) {
    std::vector<double> values;
    for (const Range& range : site.best().ranges) {
      values.push_back(end < 0 ? range.low : end > 0 ? range.high : range.best);
    }
    const Site* drawn = draws.at(values);
    ASSERT_NE(drawn, nullptr) << draws.faults().front().message;
    const auto plain = parse_site(with_values(pattern, end), "site.toml", built_in_substances());
    ASSERT_NE(plain.usable(), nullptr) << to_text(plain.diagnostics.front());
    EXPECT_EQ(computed(*drawn), computed(*plain.usable())) << end;
  }
}

TEST(RangedSite, DrawsMatchFilesWithTheseValues) { expect_draws_as_from_files(everywhere); }

TEST(RangedSite, PartialDrawsMatchFullOnes) {
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

TEST(RangedSite, SingleValuesMatchTheFile) {
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

TEST(RangedSite, TakesBestValuesAndSaysSo) {
  const auto reading = parse_site(one_room, "site.toml", built_in_substances());
  ASSERT_NE(reading.usable(), nullptr);
  const Site& site = *reading.usable();
  ASSERT_EQ(site.ranges.size(), 1u);
  EXPECT_EQ(site.ranges[0].low_text, "1 L/min");
  EXPECT_NEAR(site.ranges[0].best, 4.0 * litre_a_minute, 1e-15);
  const Assumption& best = site.assumptions.back();
  EXPECT_EQ(best.kind, AssumptionKind::best_values);
  EXPECT_EQ(best.names, std::vector<std::string>{"release leak: rate"});
  EXPECT_NEAR(best.values.at(0), 4.0 * litre_a_minute, 1e-15);
  EXPECT_EQ(assumption_sentence(site, best),
            "a value is given as a range, and its best one is taken: release leak: rate 4 L/min (1 L/min to 12 L/min). "
            "A study of the spread of these values tells what the ranges do");
  EXPECT_EQ(site.releases[0].as_written, "4 L/min (range 1 L/min to 12 L/min)");
  std::string alone = one_room;
  alone.replace(alone.find("rate = "), std::string::npos, "rate = \"4 L/min\"\n");
  EXPECT_EQ(computed(site), computed(*parse_site(alone, "site.toml", built_in_substances()).usable()));
}

TEST(UsualRanges, AreTakenWhereTheFileGivesNone) {
  const std::string text =
      "title = \"Plain\"\n[[space]]\nid = \"room\"\nkind = \"room\"\nvolume = \"30 m3\"\nair_changes = \"1 /h\"\n"
      "[[airway]]\nid = \"fan\"\nkind = \"fan\"\nfrom = \"room\"\nto = \"outside\"\nflow = \"50 m3/h\"\n"
      "[[release]]\nid = \"leak\"\nkind = \"steady\"\ninto = \"room\"\ngas = \"hydrogen\"\nrate = \"4 L/min\"\n";
  const auto usual = parse_ranged_site(text, "site.toml", built_in_substances(), UsualRanges::where_none_is_given);
  ASSERT_TRUE(usual.site);
  const auto& ranges = usual.site->best().ranges;
  ASSERT_EQ(ranges.size(), 3u);
  for (const Range& range : ranges) {
    const double factor = range.name.find("fan") != std::string::npos ? 0.8 : 0.5;
    EXPECT_NEAR(range.low / range.best, factor, 1e-9) << range.name;
  }
  RangedSite::Draws draws{*usual.site};
  std::vector<double> values;
  for (const Range& range : ranges) values.push_back(range.high);
  ASSERT_NE(draws.at(values), nullptr);
  EXPECT_NEAR(std::get<SteadyRelease>(draws.at(values)->releases[0].kind).rate,
              2.0 * std::get<SteadyRelease>(usual.site->best().releases[0].kind).rate, 1e-12);
  EXPECT_TRUE(parse_ranged_site(text, "site.toml", built_in_substances()).site->best().ranges.empty());
  EXPECT_EQ(ranged(one_room).best().ranges.size(), 1u) << "a range of the file stands alone";
}

}  // namespace
}  // namespace leanside
