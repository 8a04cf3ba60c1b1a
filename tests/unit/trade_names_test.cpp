// SPDX-License-Identifier: Apache-2.0
// Gases by the names that people use.
#include <string>
#include <utility>

#include <gtest/gtest.h>

#include "leanside/site_file.hpp"
#include "leanside/substance_file.hpp"

namespace leanside {
namespace {

SiteReading reading_of(const std::string& gas, const std::string& more = {}) {
  return parse_site("title = \"t\"\n" + more +
                        "[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"30 m3\"\n[[release]]\nid = \"r\"\nkind = "
                        "\"steady\"\ninto = \"a\"\nrate = \"2 L/min\"\ngas = \"" +
                        gas + "\"\n",
                    "t.toml", built_in_substances());
}

/// The notices about the gas.
std::string notices_of(const SiteReading& reading) {
  std::string out;
  for (const Diagnostic& d : reading.diagnostics) {
    if (d.message.find("taken as") != std::string::npos) out += to_text(d);
  }
  return out;
}

TEST(TradeNames, FindTheGasAndSaySo) {
  for (const auto& [name, id] : {std::pair{"petrol", "gasoline"},
                                 {"mineral spirits", "white-spirit"},
                                 {"turpentine substitute", "white-spirit"},
                                 {"meths", "ethanol"},
                                 {"Methylated Spirits", "ethanol"},
                                 {"bottled gas", "lpg"},
                                 {"paraffin", "kerosene"},
                                 {"marsh gas", "methane"},
                                 {"CH4", "methane"},
                                 {"74-82-8", "methane"},
                                 {"butane", "n-butane"},
                                 {"IPA", "2-propanol"}}) {
    const SiteReading reading = reading_of(name);
    ASSERT_NE(reading.usable(), nullptr) << name;
    EXPECT_EQ(reading.usable()->releases[0].gas.name, id);
    const std::string told = notices_of(reading);
    EXPECT_NE(told.find(std::string{"'"} + name + "' is taken as '" + id + "'"), std::string::npos) << told;
  }
}

TEST(TradeNames, NeedNoWordWhereOnlyTheSpellingDiffers) {
  for (const auto& [name, id] : {std::pair{"white spirit", "white-spirit"},
                                 {"LPG", "lpg"},
                                 {"Hydrogen", "hydrogen"},
                                 {"carbon dioxide", "carbon-dioxide"},
                                 {"hydrogen", "hydrogen"}}) {
    const SiteReading reading = reading_of(name);
    ASSERT_NE(reading.usable(), nullptr) << name;
    EXPECT_EQ(reading.usable()->releases[0].gas.name, id);
    EXPECT_EQ(notices_of(reading), "") << name;
  }
}

TEST(TradeNames, NeverComeBeforeAGasOfTheFile) {
  const std::string own = "[[gas]]\nid = \"ipa-2\"\nsource = \"data sheet\"\nmolar_mass = \"60 g/mol\"\n";
  const SiteReading near = reading_of("IPA2", own);
  EXPECT_EQ(near.usable(), nullptr);
  const std::string petrol = "[[gas]]\nid = \"petrol\"\nsource = \"data sheet\"\nmolar_mass = \"70 g/mol\"\n";
  const SiteReading named = reading_of("petrol", petrol);
  ASSERT_NE(named.usable(), nullptr);
  EXPECT_EQ(named.usable()->releases[0].gas.name, "petrol");
}

TEST(TradeNames, AreRefusedWhereTheyMeanSeveralGasesOrNone) {
  for (const char* name : {"C4H10", "spirit", "turps", "hydrogn"}) {
    EXPECT_EQ(reading_of(name).usable(), nullptr) << name;
  }
}

}  // namespace
}  // namespace leanside
