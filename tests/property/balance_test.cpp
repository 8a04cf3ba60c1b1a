// SPDX-License-Identifier: Apache-2.0
// The balance of gas of every kind of cylinder and liquid, on random sites that are new in each run.
// LEANSIDE_BALANCE_SEED=S draws the sites of an earlier run again, LEANSIDE_BALANCE_SITES=N draws N of each kind.
#include <cmath>
#include <cstdlib>
#include <random>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "leanside/leanside.hpp"

namespace {

enum class Stored { liquefied, dissolved, dewar, boiling, mixture, petroleum, mist, rated };
constexpr const char* words[] = {"liquefied", "dissolved", "dewar", "boiling", "mixture", "petroleum", "mist", "rated"};

std::uint64_t from_environment(const char* name, std::uint64_t otherwise) {
  const char* text = std::getenv(name);
  return text == nullptr ? otherwise : std::strtoull(text, nullptr, 10);
}

class Writer {
 public:
  Writer(std::uint64_t seed, Stored kind) : random_{seed}, kind_{kind} {}

  std::string text() {
    out_ =
        fmt::format("title = \"{}\"\n[conditions]\ntemperature = \"{:.4g} degC\"\n[criteria]\nhorizon = \"{:.5g} h\"\n",
                    words[static_cast<int>(kind_)], between(8, 34), spread(0.05, 200));
    spaces_ = 1 + below(3);
    for (std::size_t i = 0; i < spaces_; ++i) space(i);
    const std::size_t releases = kind_ == Stored::rated ? 1 : 1 + below(2);
    for (std::size_t r = 0; r < releases; ++r) release(r);
    return out_;
  }

 private:
  double unit() { return std::uniform_real_distribution<>{}(random_); }
  double between(double low, double high) { return low + (high - low) * unit(); }
  double spread(double low, double high) { return low * std::pow(high / low, unit()); }
  std::size_t below(std::size_t count) { return std::min(count - 1, static_cast<std::size_t>(unit() * double(count))); }
  std::string of(const std::vector<std::string>& from) { return from[below(from.size())]; }

  void space(std::size_t i) {
    const bool vessel = kind_ == Stored::rated && i == 0;
    const bool cabinet = !vessel && unit() < 0.3;
    out_ += fmt::format("[[space]]\nid = \"s{}\"\nkind = \"{}\"\nvolume = \"{:.5g} m3\"\n", i,
                        vessel    ? "vessel"
                        : cabinet ? "cabinet"
                                  : "room",
                        vessel ? spread(0.001, 5) : spread(0.1, 500));
    if (vessel) out_ += fmt::format("rated_pressure = \"{:.4g} barg\"\n", spread(0.05, 5));
    if (cabinet) out_ += "stands_in = \"outside\"\n";
    if (!vessel && unit() < 0.3) out_ += fmt::format("mixing_factor = {:.3f}\n", between(1, 6));
    if (vessel && unit() < 0.7) return;  // sealed
    exchange(fmt::format("x{}", i), fmt::format("s{}", i), "outside");
    out_ += fmt::format("[[airway]]\nid = \"o{0}\"\nkind = \"opening\"\nbetween = [\"s{0}\", \"outside\"]\n", i);
    if (i > 0 && (kind_ != Stored::rated || i > 1))
      exchange(fmt::format("y{}", i), fmt::format("s{}", i), fmt::format("s{}", i - 1));
  }

  void exchange(const std::string& id, const std::string& from, const std::string& to) {
    out_ += fmt::format(
        "[[airway]]\nid = \"{}\"\nkind = \"exchange\"\nbetween = [\"{}\", \"{}\"]\nflow = \"{:.5g} m3/h\"\n", id, from,
        to, spread(1e-3, 300));
  }

  void release(std::size_t r) {
    const std::size_t into = kind_ == Stored::rated ? 0 : below(spaces_);
    const auto start = [&](const char* kind, const std::string& gas) {
      out_ +=
          fmt::format("[[release]]\nid = \"r{}\"\nkind = \"{}\"\ninto = \"s{}\"\ngas = \"{}\"\n", r, kind, into, gas);
    };
    const auto kilograms = [&](const char* key, double low, double high) {
      out_ += fmt::format("{} = \"{:.5g} kg\"\n", key, spread(low, high));
    };
    switch (kind_) {
      case Stored::liquefied:
        start("cylinder", of({"propane", "lpg", "n-butane", "ammonia", "carbon-dioxide", "nitrous-oxide"}));
        kilograms("contents", 0.05, 30);
        out_ += fmt::format("position = \"{}\"\nhole = \"{:.4g} mm\"\n", of({"upright", "lying", "inverted"}),
                            spread(0.05, 4));
        return;
      case Stored::dissolved:
        start("cylinder", "acetylene");
        kilograms("contents", 0.05, 10);
        out_ += fmt::format("hole = \"{:.4g} mm\"\n", spread(0.05, 4));
        return;
      case Stored::dewar:
        start("dewar", of({"nitrogen", "oxygen", "helium", "argon"}));
        kilograms("contents", 0.1, 100);
        out_ += fmt::format("holding_time = \"{:.5g} h\"\n", spread(1, 500));
        return;
      case Stored::boiling:
        start("spill", of({"nitrogen", "propane", "oxygen", "ammonia"}));
        return pool();
      case Stored::mixture:
        start("spill", "thinner");
        return pool();
      case Stored::petroleum:
        start("spill", of({"gasoline", "white-spirit", "kerosene", "diesel", "petroleum-ether"}));
        return pool();
      case Stored::mist:  // more vapour than air can hold
        start("steady", r == 0 ? "water-vapour" : of({"ethanol", "toluene", "n-heptane"}));
        out_ += fmt::format("rate = \"{:.4g} L/min\"\n", spread(1, 100));
        return;
      case Stored::rated:
        start("cylinder", of({"propane", "hydrogen", "nitrogen", "lpg"}));
        kilograms("contents", 0.005, 2);
        out_ += fmt::format("hole = \"{:.4g} mm\"\n", spread(0.05, 1));
    }
  }

  void pool() {
    out_ += fmt::format("amount = \"{:.5g} kg\"\narea = \"{:.5g} m2\"\n", spread(1e-3, 5), spread(1e-3, 0.02));
    if (kind_ != Stored::boiling) out_ += fmt::format("air_speed = \"{:.3g} m/s\"\n", between(0.05, 1));
  }

  std::mt19937_64 random_;
  Stored kind_;
  std::string out_;
  std::size_t spaces_ = 1;
};

TEST(GasBalance, HoldsForEveryKindOfCylinderAndLiquid) {
  const std::uint64_t first = from_environment("LEANSIDE_BALANCE_SEED", std::random_device{}());
  const std::uint64_t count = from_environment("LEANSIDE_BALANCE_SITES", 6);
  fmt::print("LEANSIDE_BALANCE_SEED={}\n", first);
  for (int kind = 0; kind < int(std::size(words)); ++kind) {
    double worst = 0.0;
    std::size_t solved = 0;
    for (std::uint64_t seed = first; seed < first + count; ++seed) {
      const std::string text = Writer{seed, Stored(kind)}.text();
      const auto reading = leanside::parse_site(text, "site.toml", leanside::built_in_substances());
      ASSERT_NE(reading.usable(), nullptr) << text << leanside::to_text(reading.diagnostics.front());
      leanside::AssessOptions options;
      options.explain = false;
      const auto result = leanside::assess(*reading.usable(), options);
      const auto* answer = std::get_if<leanside::Assessment>(&result);
      ASSERT_NE(answer, nullptr) << text << std::get<leanside::Fault>(result).message;
      ++solved;
      worst = std::max(worst, answer->balance_error);
      EXPECT_LT(answer->balance_error, 1e-9) << text;
    }
    EXPECT_EQ(solved, count);
    fmt::print("{}: {} sites, the largest error of the balance is {:.2g}\n", words[kind], solved, worst);
  }
}

}  // namespace
