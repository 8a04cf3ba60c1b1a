// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <clocale>
#include <cmath>
#include <cstdlib>
#include <cstring>
#include <limits>
#include <random>
#include <set>
#include <stdexcept>

#include <gtest/gtest.h>

#include "leanside/units.hpp"

namespace leanside {
namespace {

Quantity read(std::string_view text) {
  const auto parsed = parse_quantity(text);
  if (const auto* fault = std::get_if<QuantityFault>(&parsed)) {
    ADD_FAILURE() << fault->message;
    return {std::numeric_limits<double>::quiet_NaN(), {}, false};
  }
  return std::get<Quantity>(parsed);
}

std::string fault_of(std::string_view text, Dimension allowed) {
  const auto parsed = parse_quantity(text, allowed);
  const auto* fault = std::get_if<QuantityFault>(&parsed);
  return fault ? fault->message : "no fault";
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

TEST(ParseQuantity, ReadsNumberAndUnit) {
  EXPECT_DOUBLE_EQ(read("150 m3/h").si, 150.0 / 3600.0);
  EXPECT_EQ(read("150 m3/h").dimension, Dimension::volume_flow);
  EXPECT_DOUBLE_EQ(read("10 L/min").si, 0.01 / 60.0);
  EXPECT_DOUBLE_EQ(read("0.5 mm").si, 0.5e-3);
  EXPECT_DOUBLE_EQ(read("8 h").si, 28800.0);
  EXPECT_DOUBLE_EQ(read("25 %").si, 0.25);
  EXPECT_DOUBLE_EQ(read("250 ppm").si, 250e-6);
  EXPECT_DOUBLE_EQ(read("0.5 /h").si, 0.5 / 3600.0);
  EXPECT_DOUBLE_EQ(read("1.5e3 g").si, 1.5);
  EXPECT_DOUBLE_EQ(read("-20 degC").si, 253.15);
}

TEST(ParseQuantity, SpaceBeforeTheUnitIsOptionalAndSpaceAroundIsIgnored) {
  for (const auto text : {"150m3/h", "150 m3/h", "150   m3/h", "  150 m3/h\t", "150\u00A0m3/h", "150\u202Fm3/h"}) {
    EXPECT_DOUBLE_EQ(read(text).si, 150.0 / 3600.0) << text;
  }
  EXPECT_DOUBLE_EQ(read("0.5/h").si, 0.5 / 3600.0);
  EXPECT_DOUBLE_EQ(read("25%").si, 0.25);
}

TEST(ParseQuantity, TakesSuperscriptsDegreeAndMicroSigns) {
  EXPECT_DOUBLE_EQ(read("5 m\u00B3/h").si, 5.0 / 3600.0);
  EXPECT_DOUBLE_EQ(read("5 cm\u00B2").si, 5e-4);
  EXPECT_DOUBLE_EQ(read("20 \u00B0C").si, 293.15);
  EXPECT_DOUBLE_EQ(read("20 \u2103").si, 293.15);
  EXPECT_DOUBLE_EQ(read("30 \u00B5m").si, 30e-6);
  EXPECT_DOUBLE_EQ(read("\u22125 degC").si, 268.15);  // a minus sign proper
}

TEST(ParseQuantity, TakesSignsAndPointsAsPeopleWriteThem) {
  EXPECT_DOUBLE_EQ(read("+5 L").si, 5e-3);
  EXPECT_DOUBLE_EQ(read(".5 L").si, 0.5e-3);
  EXPECT_DOUBLE_EQ(read("5. L").si, 5e-3);
}

TEST(ParseQuantity, ConvertsTemperaturesWithTheirOffset) {
  EXPECT_DOUBLE_EQ(read("0 degC").si, 273.15);
  EXPECT_NEAR(read("32 degF").si, 273.15, 1e-12);
  EXPECT_NEAR(read("212 degF").si, 373.15, 1e-12);
  EXPECT_DOUBLE_EQ(read("300 K").si, 300.0);
}

TEST(ParseQuantity, MarksGaugePressures) {
  EXPECT_TRUE(read("3 barg").gauge);
  EXPECT_TRUE(read("30 psig").gauge);
  EXPECT_TRUE(read("5 kPag").gauge);
  EXPECT_FALSE(read("3 bar").gauge);
  EXPECT_FALSE(read("30 psi").gauge);
  EXPECT_DOUBLE_EQ(read("3 barg").si, 3e5);  // what is above ambient
}

TEST(ParseQuantity, LookAlikeUnitsAreDifferent) {
  EXPECT_EQ(read("5 m").dimension, Dimension::length);
  EXPECT_EQ(read("5 min").dimension, Dimension::time);
  EXPECT_EQ(read("5 mA").dimension, Dimension::current);
  EXPECT_EQ(read("5 Ah").dimension, Dimension::charge);
  EXPECT_DOUBLE_EQ(read("5 MPa").si, 5e6);
  EXPECT_DOUBLE_EQ(read("5 mbar").si, 500.0);
  EXPECT_EQ(read("5 m2/s").dimension, Dimension::diffusivity);
  EXPECT_EQ(read("5 m/s").dimension, Dimension::velocity);
}

TEST(ParseQuantity, RefusesWhatIsNotANumberWithAUnit) {
  for (const auto text : {"",
                          " ",
                          "abc",
                          "m3/h",
                          "nan m3/h",
                          "NaN m3/h",
                          "inf m3/h",
                          "-inf m3/h",
                          "infinity m3/h",
                          "5",
                          "5.0",
                          "--5 m3/h",
                          "+-5 m3/h",
                          "-",
                          ".",
                          "5 m3/h extra",
                          "5 m3/h 6",
                          "5 5 m3/h",
                          "1e400 m3/h",
                          "0x10 m3/h",
                          "1,5 m3/h",
                          "1_000 m3/h",
                          "1 500 m3/h",
                          "5 l/min",
                          "5 M3/H"}) {
    EXPECT_TRUE(std::holds_alternative<QuantityFault>(parse_quantity(text))) << text;
  }
  EXPECT_TRUE(std::holds_alternative<QuantityFault>(parse_quantity(std::string_view{"5 m3/h\0", 7})));
  EXPECT_TRUE(std::holds_alternative<QuantityFault>(parse_quantity("1e308 d")));  // finite, but not in seconds
  EXPECT_TRUE(std::holds_alternative<QuantityFault>(parse_quantity("-300 degC")));
}

TEST(QuantityFault, NamesTheDimensionFoundAndTheUnitsThatFit) {
  const auto text = fault_of("5 kg", Dimension::time);
  EXPECT_TRUE(has(text, "\"5 kg\"")) << text;
  EXPECT_TRUE(has(text, "a mass")) << text;
  EXPECT_TRUE(has(text, "a time (s, min, h, d)")) << text;
}

TEST(QuantityFault, OffersTheUnitThatWasMeant) {
  const std::array<std::array<std::string_view, 2>, 16> cases{{{"10 l/min", "\"10 L/min\""},
                                                               {"10 litres per minute", "\"10 L/min\""},
                                                               {"10 lpm", "\"10 L/min\""},
                                                               {"150 m3/hr", "\"150 m3/h\""},
                                                               {"150 m^3/h", "\"150 m3/h\""},
                                                               {"150 cubic metres per hour", "\"150 m3/h\""},
                                                               {"150 CFM", "\"150 cfm\""},
                                                               {"150 cubic feet per minute", "\"150 ft3/min\""},
                                                               {"2 hours", "\"2 h\""},
                                                               {"20 C", "\"20 degC\""},
                                                               {"20 deg C", "\"20 degC\""},
                                                               {"3 bar(g)", "\"3 barg\""},
                                                               {"3 psia", "\"3 psi\""},
                                                               {"6 air changes per hour", "\"6 /h\""},
                                                               {"6 ACH", "\"6 /h\""},
                                                               {"6 1/h", "\"6 /h\""}}};
  for (const auto& [text, offer] : cases) {
    const auto parsed = parse_quantity(text);
    ASSERT_TRUE(std::holds_alternative<QuantityFault>(parsed)) << text;
    EXPECT_TRUE(has(std::get<QuantityFault>(parsed).message, offer)) << std::get<QuantityFault>(parsed).message;
  }
}

TEST(QuantityFault, ExplainsMarksAndSpacesInsideNumbers) {
  EXPECT_TRUE(has(fault_of("0,5 mm", Dimension::length), "0.5 with a point"));
  EXPECT_TRUE(has(fault_of("1_000 L", Dimension::volume), "mark inside the number"));
  EXPECT_TRUE(has(fault_of("1 500 L", Dimension::volume), "space inside the number"));
}

TEST(QuantityFault, OffersNothingForAnUnlikeUnit) {
  const auto text = fault_of("5 xyzzy", Dimension::length);
  EXPECT_FALSE(has(text, "did you mean")) << text;
  EXPECT_TRUE(has(text, "m, cm, mm")) << text;
}

TEST(QuantityFault, RefusesStandardVolumes) {
  // They differ by several per cent: the choice is the user's.
  for (const auto text : {"5 sccm", "5 slpm"}) {
    EXPECT_FALSE(has(fault_of(text, Dimension::volume_flow), "\"5 mL/min\"")) << text;
    EXPECT_FALSE(has(fault_of(text, Dimension::volume_flow), "\"5 L/min\"")) << text;
  }
}

TEST(QuantityFault, ShowsLongAndUnprintableTextSafely) {
  const auto text = fault_of("\x1B[31m" + std::string(500, 'x'), Dimension::length);
  EXPECT_EQ(text.find('\x1B'), std::string::npos);
  EXPECT_LT(text.size(), 300u);
}

TEST(ParseQuantity, AcceptsSeveralDimensions) {
  constexpr Dimension rates[] = {Dimension::volume_flow, Dimension::mass_flow, Dimension::amount_flow};
  EXPECT_TRUE(std::holds_alternative<Quantity>(parse_quantity("5 g/h", rates)));
  EXPECT_TRUE(std::holds_alternative<Quantity>(parse_quantity("5 L/min", rates)));
  const auto parsed = parse_quantity("5 L", rates);
  ASSERT_TRUE(std::holds_alternative<QuantityFault>(parsed));
  const auto& text = std::get<QuantityFault>(parsed).message;
  for (const auto part : {"a volume;", "a volume flow (", "a mass flow (", "a molar flow ("}) {
    EXPECT_TRUE(has(text, part)) << text;
  }
}

TEST(ParseQuantity, DoesNotDependOnTheLocale) {
  // Where the machine has no locale with a decimal comma this still checks the "C" one.
  const std::string before = std::setlocale(LC_ALL, nullptr);
  for (const auto locale : {"de_DE.UTF-8", "fr_FR.UTF-8", "C.UTF-8", "C"}) {
    if (!std::setlocale(LC_ALL, locale)) continue;
    EXPECT_DOUBLE_EQ(read("0.5 m").si, 0.5) << locale;
    EXPECT_EQ(format_number(0.5), "0.5") << locale;
    EXPECT_EQ(format_exact(0.5), "0.5") << locale;
  }
  std::setlocale(LC_ALL, before.c_str());
}

TEST(Units, SymbolsAreUniqueAndGroupedByDimension) {
  std::set<std::string_view> symbols;
  std::set<Dimension> finished;
  Dimension now = units().front().dimension;
  for (const auto& unit : units()) {
    EXPECT_TRUE(symbols.insert(unit.symbol).second) << unit.symbol << " is there twice";
    EXPECT_GT(unit.factor, 0.0) << unit.symbol;
    if (unit.dimension != now) {
      finished.insert(now);
      now = unit.dimension;
    }
    EXPECT_FALSE(finished.contains(unit.dimension)) << unit.symbol << " stands apart from its dimension";
    EXPECT_FALSE(unit.gauge && unit.dimension != Dimension::pressure) << unit.symbol;
  }
}

TEST(Units, EveryDimensionHasANameAndAUnit) {
  for (int i = 0; i <= static_cast<int>(Dimension::force); ++i) {
    const auto dimension = static_cast<Dimension>(i);
    EXPECT_FALSE(name_of(dimension).empty()) << i;
    EXPECT_FALSE(units_that_fit(dimension).empty()) << name_of(dimension);
  }
}

TEST(FormatNumber, KeepsTheDigitsAskedForAndNoMore) {
  EXPECT_EQ(format_number(0.0), "0");
  EXPECT_EQ(format_number(-0.0), "0");
  EXPECT_EQ(format_number(150.0), "150");
  EXPECT_EQ(format_number(149.96), "150");
  EXPECT_EQ(format_number(999.6), "1000");
  EXPECT_EQ(format_number(0.1 + 0.2), "0.3");
  EXPECT_EQ(format_number(1234567.0), "1230000");
  EXPECT_EQ(format_number(1234567.0, 7), "1234567");
  EXPECT_EQ(format_number(0.00012345), "0.000123");
  EXPECT_EQ(format_number(-2.5), "-2.5");
  EXPECT_EQ(format_number(1e-9), "1e-9");
  EXPECT_EQ(format_number(-1.5e15), "-1.5e15");
}

TEST(FormatNumber, AcceptsEveryDouble) {
  EXPECT_EQ(format_number(std::numeric_limits<double>::quiet_NaN()), "not a number");
  EXPECT_EQ(format_number(std::numeric_limits<double>::infinity()), "infinite");
  EXPECT_FALSE(format_number(std::numeric_limits<double>::denorm_min()).empty());
  EXPECT_FALSE(format_number(std::numeric_limits<double>::max(), 400).empty());
}

TEST(FormatQuantity, WritesInTheUnitAskedFor) {
  EXPECT_EQ(format_quantity(150.0 / 3600.0, "m3/h"), "150 m3/h");
  EXPECT_EQ(format_quantity(293.15, "degC"), "20 degC");
  EXPECT_EQ(format_quantity(293.15, "degF"), "68 degF");
  EXPECT_EQ(format_quantity(0.044, "%"), "4.4 %");
}

TEST(FormatQuantity, ThrowsForAnUnknownUnit) { EXPECT_THROW(format_quantity(1.0, "furlong"), std::logic_error); }

TEST(FormatDuration, UsesTheUnitsThatPeopleUse) {
  EXPECT_EQ(format_duration(0.0), "0 s");
  EXPECT_EQ(format_duration(0.25), "0.25 s");
  EXPECT_EQ(format_duration(9.97), "10 s");
  EXPECT_EQ(format_duration(45.0), "45 s");
  EXPECT_EQ(format_duration(59.7), "1 min");
  EXPECT_EQ(format_duration(510.0), "8 min 30 s");
  EXPECT_EQ(format_duration(3599.7), "1 h");
  EXPECT_EQ(format_duration(7500.0), "2 h 5 min");
  EXPECT_EQ(format_duration(28800.0), "8 h");
  EXPECT_EQ(format_duration(3.5 * 86400.0), "3.5 days");
  EXPECT_EQ(format_duration(400.0 * 86400.0), "400 days");
  EXPECT_EQ(format_duration(std::numeric_limits<double>::infinity()), "for ever");
}

TEST(RoundTrip, FormatExactReadsBackToTheSameDouble) {
  std::mt19937_64 random{1};
  int tried = 0;
  while (tried < 20000) {
    const auto bits = random();
    double value;
    static_assert(sizeof bits == sizeof value);
    std::memcpy(&value, &bits, sizeof value);
    if (!std::isfinite(value)) continue;
    ++tried;
    ASSERT_EQ(std::strtod(format_exact(value).c_str(), nullptr), value);
  }
}

TEST(RoundTrip, ReadsBackWhatItFormatsInEveryUnit) {
  std::mt19937_64 random{2};
  std::uniform_real_distribution<double> exponent{-8.0, 8.0};
  for (const auto& unit : units()) {
    for (int i = 0; i < 200; ++i) {
      const double si = std::pow(10.0, exponent(random)) + unit.offset;
      const auto text = format_quantity(si, unit.symbol, 17);
      const auto back = read(text);
      EXPECT_NEAR(back.si, si, 1e-14 * std::abs(si) + 1e-13 * unit.offset) << text;
      EXPECT_EQ(back.dimension, unit.dimension);
      EXPECT_EQ(back.gauge, unit.gauge);
    }
  }
}

TEST(RoundTrip, SignificantFiguresBoundTheErrorOfANumber) {
  std::mt19937_64 random{3};
  std::uniform_real_distribution<double> exponent{-20.0, 20.0};
  for (int digits = 1; digits <= 15; ++digits) {
    for (int i = 0; i < 500; ++i) {
      const double value = (i % 2 ? -1.0 : 1.0) * std::pow(10.0, exponent(random));
      const double back = std::strtod(format_number(value, digits).c_str(), nullptr);
      EXPECT_LE(std::abs(back - value), 0.5001 * std::pow(10.0, 1 - digits) * std::abs(value)) << value;
    }
  }
}

TEST(Units, TwoQuantitiesInOneAreOfferedAsTheirSum) {
  for (const auto& [text, sum] : {std::pair{"8 ft 2 in", "\"8.167 ft\""},
                                  {"8ft 2in", "\"8.167 ft\""},
                                  {"1 h 30 min", "\"1.5 h\""},
                                  {"2 kg 500 g", "\"2.5 kg\""}}) {
    const auto read = parse_quantity(text);
    ASSERT_TRUE(std::holds_alternative<QuantityFault>(read)) << text;
    const std::string& message = std::get<QuantityFault>(read).message;
    EXPECT_NE(message.find("two quantities"), std::string::npos) << message;
    EXPECT_NE(message.find(sum), std::string::npos) << message;
  }
  // A sum that nobody can mean is not offered.
  for (const auto& [text, dimension] : {std::pair{"8 ft 2 in", Dimension::volume},
                                        {"5 ft 3 kg", Dimension::volume},
                                        {"20 degC 5 K", Dimension::temperature}}) {
    const auto read = parse_quantity(text, dimension);
    ASSERT_TRUE(std::holds_alternative<QuantityFault>(read)) << text;
    const std::string& message = std::get<QuantityFault>(read).message;
    EXPECT_NE(message.find("which is two quantities; expected a "), std::string::npos) << message;
    EXPECT_EQ(message.find("did you mean"), std::string::npos) << message;
  }
  const auto misspelt = parse_quantity("5 m 3/h", Dimension::volume_flow);
  ASSERT_TRUE(std::holds_alternative<QuantityFault>(misspelt));
  EXPECT_NE(std::get<QuantityFault>(misspelt).message.find("did you mean \"5 m3/h\"?"), std::string::npos);
  std::string many = "1";
  for (int i = 0; i < 100000; ++i) many += " s 1";
  EXPECT_TRUE(std::holds_alternative<QuantityFault>(parse_quantity(many)));
}

TEST(Units, StandardAndNormalFlowsAreAmounts) {
  // One normal litre and one standard cubic foot by the ideal gas law.
  const double normal_litre = standard_atmosphere * 1e-3 / (gas_constant * zero_celsius);
  const double standard_foot =
      standard_atmosphere * 0.3048 * 0.3048 * 0.3048 / (gas_constant * ((60.0 + 459.67) / 1.8));
  EXPECT_NEAR(normal_litre, 0.04462, 5e-6);
  EXPECT_NEAR(standard_foot, 1.195, 5e-4);
  const auto rate = [](const char* text) {
    return std::get<Quantity>(parse_quantity(text, Dimension::amount_flow)).si;
  };
  EXPECT_NEAR(rate("5 nL/min"), 5.0 * normal_litre / 60.0, 1e-12);
  EXPECT_NEAR(rate("2 Nm3/h"), 2000.0 * normal_litre / 3600.0, 1e-12);
  EXPECT_NEAR(rate("3 scfm"), 3.0 * standard_foot / 60.0, 1e-12);
  EXPECT_NEAR(rate("180 scfh"), rate("3 scfm"), 1e-12);
  const auto read = parse_quantity("5 slpm", Dimension::volume_flow);
  ASSERT_TRUE(std::holds_alternative<QuantityFault>(read));
  EXPECT_NE(std::get<QuantityFault>(read).message.find("0.04462 mol/min"), std::string::npos);
}

TEST(Units, AreShownInThoseOfTheReader) {
  EXPECT_EQ(format_quantity(100.0 / 3600.0, "m3/h", 3, UnitSystem::si), "100 m3/h");
  EXPECT_EQ(format_quantity(100.0 / 3600.0, "m3/h", 3, UnitSystem::us), "58.9 cfm");
  EXPECT_EQ(format_quantity(300.0, "K", 3, UnitSystem::us), "300 K") << "what has no counterpart stays";
  EXPECT_EQ(format_quantity(zero_celsius + 20.0, "degC", 3, UnitSystem::us), "68 degF");
  EXPECT_EQ(format_quantity(249.0889, "Pa", 3, UnitSystem::us), "1 in. w.c.");
  EXPECT_EQ(format_quantity(1.0, "m", 4, UnitSystem::us), "3.281 ft");
  for (const Unit& unit : units()) {
    const auto other = counterpart(unit.symbol, UnitSystem::us);
    const auto found = std::find_if(units().begin(), units().end(), [&](const Unit& u) { return u.symbol == other; });
    ASSERT_NE(found, units().end()) << unit.symbol;
    EXPECT_EQ(found->dimension, unit.dimension) << unit.symbol;
  }
}

TEST(Units, ColumnsOfWaterArePressures) {
  EXPECT_NEAR(std::get<Quantity>(parse_quantity("200 mmH2O")).si, 200.0 * standard_gravity, 1e-9);
  EXPECT_NEAR(std::get<Quantity>(parse_quantity("1 inH2O")).si, 25.4 * standard_gravity, 1e-9);
  const auto read = parse_quantity("0.5 in w.c.", Dimension::pressure);
  ASSERT_TRUE(std::holds_alternative<QuantityFault>(read));
  EXPECT_NE(std::get<QuantityFault>(read).message.find("0.5 inH2O"), std::string::npos);
}

}  // namespace
}  // namespace leanside
