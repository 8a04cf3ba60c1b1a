// SPDX-License-Identifier: Apache-2.0
/// Values given as ranges: against a room whose course is known in closed form, and against files without ranges.
#include "leanside/study/spread.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "leanside/site_file.hpp"
#include "leanside/study/sweep.hpp"
#include "support/paths.hpp"

namespace leanside {
namespace {

RangedSite ranged(const std::string& text) {
  RangedReading reading = parse_ranged_site(text, "site.toml", built_in_substances());
  for (const Diagnostic& d : reading.diagnostics) {
    if (d.level == DiagnosticLevel::error) ADD_FAILURE() << to_text(d);
  }
  return *reading.site;
}

SpreadStudy spread(const RangedSite& site, const SpreadOptions& options) {
  auto outcome = study_spread(site, options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) ADD_FAILURE() << fault->message;
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

TEST(Spread, TwoPieceAndSteadyState) {
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

TEST(Spread, IndicesMatchTheClosedForm) {
  // In the steady state of a small leak x = G / Q: with G and Q spread alike, 1/Q varies more than G, and both are all.
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
    if (x.space != y.space || x.case_index != y.case_index || x.worst != y.worst || x.time != y.time) return false;
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

TEST(Spread, IsIndependentOfThreads) {
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

TEST(Spread, RefusesWhatCannotBeDrawn) {
  const auto message = [](const RangedSite& site, const SpreadOptions& options) {
    const auto outcome = study_spread(site, options);
    const auto* fault = std::get_if<Fault>(&outcome);
    return fault != nullptr && fault->is_bad_input() ? fault->message : std::string{"no fault"};
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
  const auto* stopped = std::get_if<Fault>(&outcome);
  ASSERT_NE(stopped, nullptr);
  EXPECT_EQ(stopped->kind, FaultKind::stopped);
  EXPECT_TRUE(stopped->message.ends_with(" of 9999 runs")) << stopped->message;
}

TEST(Spread, ShardsAddUpToTheWhole) {
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
