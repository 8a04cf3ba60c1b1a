// SPDX-License-Identifier: Apache-2.0
// Whatever the bytes: no crash, and either an error or a site that keeps its promises. Seeded, so that a failure comes
// again.
#include <cmath>
#include <random>
#include <set>

#include <gtest/gtest.h>

#include "leanside/site_file.hpp"

namespace leanside {
namespace {

const std::string& seed_text() {
  static const std::string text = [] {
    std::string out{built_in_site()};
    out += "\n[[gas]]\nid = \"town\"\nsource = \"x\"\nparts = { hydrogen = 0.5, methane = \"50 %\" }\n";
    out += "[[gas]]\nid = \"own\"\nsource = \"x\"\nmolar_mass = \"20 g/mol\"\nlfl = \"4 %\"\nufl = \"20 %\"\n";
    const std::string into = "\ninto = \"prep-room\"\n";
    out += "[[release]]\nid = \"s1\"\nkind = \"orifice\"" + into;
    out += "gas = \"methane\"\npressure = \"25 mbarg\"\nhole = \"1 mm\"\ndischarge = 0.6\n";
    out += "[[release]]\nid = \"s2\"\nkind = \"cylinder\"" + into;
    out += "gas = \"hydrogen\"\nwater_volume = \"10 L\"\npressure = \"200 bar\"\nhole = \"1 mm\"\n";
    out += "[[release]]\nid = \"s3\"\nkind = \"spill\"" + into;
    out += "gas = \"acetone\"\namount = \"500 mL\"\narea = \"1 m2\"\nair_speed = \"0.2 m/s\"\n";
    out += "[[release]]\nid = \"s4\"\nkind = \"reaction\"\nreaction = \"zinc-hydrochloric-acid\"" + into;
    out += "amounts = { zinc = \"2 g\", hydrochloric-acid = [\"50 mL\", \"2 mol/L\"] }\nover = \"5 min\"\n";
    out += "[[release]]\nid = \"s5\"\nkind = \"charging\"" + into;
    out += "cells = 12\nbattery = \"vented-lead\"\nregime = \"boost\"\ncapacity = \"100 Ah\"\n";
    return out;
  }();
  return text;
}

template <class I>
std::set<std::string> ids_of(const std::vector<I>& things) {
  std::set<std::string> out;
  for (const auto& thing : things) out.insert(thing.id);
  return out;
}

void check_shares(const std::vector<GasShare>& shares, const Site& site) {
  double sum = 0.0;
  for (const auto& share : shares) {
    ASSERT_LT(share.gas.value, site.gases.size());
    ASSERT_GE(share.fraction, 0.0);
    sum += share.fraction;
  }
  ASSERT_LE(sum, 1.0 + 1e-12);
}

void check_side(Side side, const Site& site) { ASSERT_LT(side ? side->value : 0, site.spaces.size()); }

struct CheckEvent {
  const Site& site;
  void operator()(const SetAirwayOn& e) const { ASSERT_LT(e.airway.value, site.airways.size()); }
  void operator()(const SetAirwayFlow& e) const {
    ASSERT_LT(e.airway.value, site.airways.size());
    ASSERT_FALSE(std::holds_alternative<Opening>(site.airways[e.airway.value].kind));
    ASSERT_TRUE(std::isfinite(e.flow) && e.flow >= 0.0);
  }
  void operator()(const SetAirwayOpen& e) const {
    ASSERT_LT(e.airway.value, site.airways.size());
    ASSERT_TRUE(e.open >= 0.0 && e.open <= 1.0);
  }
  void operator()(const SetSpaceTemperature& e) const {
    ASSERT_LT(e.space.value, site.spaces.size());
    ASSERT_TRUE(std::isfinite(e.temperature) && e.temperature > 0.0);
  }
  void operator()(const SetReleaseOn& e) const { ASSERT_LT(e.release.value, site.releases.size()); }
  void operator()(const SetAirwayKind& e) const {
    ASSERT_LT(e.airway.value, site.airways.size());
    ASSERT_NE(e.kind, nullptr);
    ASSERT_EQ(e.kind->index(), site.airways[e.airway.value].kind.index());
  }
  void operator()(const SetSystem& e) const { ASSERT_LT(e.system.value, site.systems.size()); }
};

struct CheckRelease {
  void operator()(const SteadyRelease& r) const { ASSERT_TRUE(std::isfinite(r.rate) && r.rate >= 0.0); }
  void operator()(const DumpRelease& r) const {
    ASSERT_TRUE(std::isfinite(r.amount) && r.amount >= 0.0 && std::isfinite(r.over) && r.over > 0.0);
  }
  void operator()(const FittingsRelease& r) const {
    ASSERT_TRUE(std::isfinite(r.count) && r.count > 0.0 && std::isfinite(r.each) && r.each >= 0.0);
  }
  void operator()(const OrificeRelease& r) const {
    ASSERT_TRUE(std::isfinite(r.pressure) && r.pressure > r.ambient && r.hole.diameter > 0.0);
    ASSERT_GT(r.held.heat_capacity_ratio, 1.0);
  }
  void operator()(const CylinderRelease& r) const {
    ASSERT_TRUE(std::isfinite(r.pressure) && r.pressure > r.ambient && r.hole.diameter > 0.0 && r.water_volume > 0.0);
    ASSERT_GT(r.held.heat_capacity_ratio, 1.0);
  }
  void operator()(const SpillRelease& r) const {
    ASSERT_TRUE(std::isfinite(r.amount) && r.amount > 0.0 && r.pool.area > 0.0 && r.pool.transfer > 0.0);
    ASSERT_TRUE(r.pool.vapour_pressure > 0.0 && r.pool.vapour_pressure < r.ambient);
  }
  void operator()(const ReactionRelease& r) const {
    ASSERT_TRUE(std::isfinite(r.amount) && r.amount >= 0.0 && r.over.has_value() != r.half_time.has_value());
    ASSERT_NE(find_reaction(r.reaction), nullptr);
  }
  void operator()(const ChargingRelease& r) const {
    ASSERT_TRUE(std::isfinite(r.current) && r.current >= 0.0 && r.cells >= 1.0);
  }
  void operator()(const BoilingRelease& r) const {
    ASSERT_TRUE(std::isfinite(r.course.stock()) && r.course.stock() > 0.0 && r.area > 0.0 && r.boiling > 0.0);
  }
};

/// The invariants that site.hpp promises.
void check(const Site& site) {
  ASSERT_FALSE(site.spaces.empty());
  ASSERT_EQ(ids_of(site.spaces).size(), site.spaces.size());
  ASSERT_EQ(ids_of(site.airways).size(), site.airways.size());
  ASSERT_EQ(ids_of(site.releases).size(), site.releases.size());
  ASSERT_EQ(ids_of(site.cases).size(), site.cases.size());
  for (const auto& space : site.spaces) {
    ASSERT_FALSE(space.id.empty());
    ASSERT_NE(space.id, "outside");
    ASSERT_TRUE(std::isfinite(space.volume));
    ASSERT_EQ(space.volume > 0.0, space.kind != SpaceKind::junction) << space.id;
    ASSERT_GE(space.mixing_factor, 1.0);
    ASSERT_GE(space.air_changes, 0.0);
    ASSERT_GT(space.temperature, 0.0);
    check_shares(space.initial, site);
  }
  for (const auto& airway : site.airways) {
    check_side(first_side(airway), site);
    check_side(second_side(airway), site);
    ASSERT_NE(first_side(airway), second_side(airway));
  }
  for (const auto& release : site.releases) {
    ASSERT_LT(release.into.value, site.spaces.size());
    ASSERT_GE(release.start, 0.0);
    check_shares(release.gas.shares, site);
    std::visit(CheckRelease{}, release.kind);
  }
  ASSERT_EQ(site.cases.at(0).id, "normal");
  for (const auto& one : site.cases) {
    double before = 0.0;
    for (const auto& event : one.events) {
      ASSERT_GE(event.at, before);
      before = event.at;
      std::visit(CheckEvent{site}, event.change);
    }
  }
  ASSERT_GT(site.criteria.horizon, 0.0);
  ASSERT_LE(site.criteria.note_at, site.criteria.warn_at);
}

void read_and_check(const std::string& text, int& usable) {
  const auto reading = parse_site(text, "fuzz", built_in_substances());
  ASSERT_EQ(reading.usable() != nullptr, !has_error(reading.diagnostics));
  for (const auto& d : reading.diagnostics) {
    ASSERT_FALSE(d.message.empty());
    ASSERT_LT(d.message.size(), 4000u) << d.message;
    ASSERT_GE(d.place.line, 0);
    ASSERT_GE(d.place.column, 0);
  }
  if (const auto* site = reading.usable()) {
    ++usable;
    check(*site);
  }
}

std::string mutated(std::string text, std::mt19937& random) {
  const auto up_to = [&](std::size_t n) { return std::uniform_int_distribution<std::size_t>{0, n - 1}(random); };
  const auto line_at = [&](std::size_t at) {
    const auto begin = text.rfind('\n', at) == std::string::npos ? 0 : text.rfind('\n', at) + 1;
    const auto end = std::min(text.find('\n', at), text.size() - 1);
    return std::pair{begin, end + 1 - begin};
  };
  constexpr std::string_view scraps[] = {"nan", "-1",      "\"\"",  "[[",       "]]",  "{",  "}",     "=",       "\"",
                                         "'''", "# ",      "0 m3",  "1e999",    "inf", "\n", "\r\n",  "outside", "true",
                                         ".",   "\\u0000", "event", "\xC3\x28", "-0",  ",",  "normal"};
  const auto count = 1 + up_to(4);
  for (std::size_t i = 0; i < count; ++i) {
    const auto at = up_to(text.size());
    switch (up_to(6)) {
      case 0:
        text.at(at) = static_cast<char>(up_to(256));
        break;
      case 1:
        text.erase(at, 1 + up_to(20));
        break;
      case 2:
        text.insert(at, scraps[up_to(std::size(scraps))]);
        break;
      case 3: {  // a line is lost
        const auto [begin, length] = line_at(at);
        text.erase(begin, length);
        break;
      }
      case 4: {  // a line comes twice, or somewhere else
        const auto [begin, length] = line_at(at);
        text.insert(line_at(up_to(text.size())).first, text.substr(begin, length));
        break;
      }
      default: {  // two values change places
        const auto a = text.find("= ", at), b = text.find("= ", up_to(text.size()));
        if (a == std::string::npos || b == std::string::npos || a >= b) break;
        const auto a_end = text.find('\n', a), b_end = text.find('\n', b);
        if (a_end == std::string::npos || b_end == std::string::npos || a_end >= b) break;
        const auto first = text.substr(a, a_end - a), second = text.substr(b, b_end - b);
        text.replace(b, second.size(), first);
        text.replace(a, first.size(), second);
      }
    }
    if (text.empty()) text.push_back('x');
  }
  return text;
}

TEST(SiteFileFuzz, SeedIsValid) {
  int usable = 0;
  read_and_check(seed_text(), usable);
  EXPECT_EQ(usable, 1);
}

TEST(SiteFileFuzz, MutationsGiveAnErrorOrASoundSite) {
  std::mt19937 random{20260101};
  int usable = 0;
  for (int i = 0; i < 3000 && !HasFatalFailure(); ++i) read_and_check(mutated(seed_text(), random), usable);
  EXPECT_GT(usable, 50);  // or the mutations would only ever test the parser
  EXPECT_LT(usable, 2950);
}

TEST(SiteFileFuzz, TruncationsGiveAnErrorOrASoundSite) {
  int usable = 0;
  const auto& text = seed_text();
  for (std::size_t end = 0; end < text.size() && !HasFatalFailure(); end += 7)
    read_and_check(text.substr(0, end), usable);
  EXPECT_GT(usable, 0);
}

TEST(SiteFileFuzz, NoiseIsAnError) {
  std::mt19937 random{7};
  int usable = 0;
  for (int i = 0; i < 500 && !HasFatalFailure(); ++i) {
    std::string text(random() % 400, ' ');
    for (auto& c : text) c = static_cast<char>(i % 2 ? random() % 256 : 32 + random() % 95);
    read_and_check(text, usable);
  }
  EXPECT_EQ(usable, 0);
}

}  // namespace
}  // namespace leanside
