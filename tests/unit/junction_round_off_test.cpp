// SPDX-License-Identifier: Apache-2.0
/// Two junctions that exchange far more air than passes through them: their fractions follow from small differences of
/// large flows.
#include <fmt/format.h>
#include <gtest/gtest.h>

#include "leanside/leanside.hpp"

namespace leanside {
namespace {

constexpr const char* ducts = R"(title = "Two ducts"
[criteria]
horizon = "24 min"
[[space]]
id = "hall"
kind = "room"
volume = "4000 m3"
[[space]]
id = "near"
kind = "junction"
[[space]]
id = "far"
kind = "junction"
[[airway]]
id = "between"
kind = "exchange"
between = ["near", "far"]
flow = "5000 L/min"
[[airway]]
id = "door"
kind = "opening"
between = ["outside", "hall"]
[[airway]]
id = "out-of-near"
kind = "opening"
between = ["near", "hall"]
[[airway]]
id = "out-of-far"
kind = "opening"
between = ["far", "hall"]
)";

TEST(JunctionRoundOff, DoesNotShortenTheStepsForEver) {
  for (const char* current : {"39 A", "390 mA", "39 mA", "3.9 mA", "0.39 mA", "0.2 mA", "0.039 mA"}) {
    const std::string text = fmt::format(
        "{}[[release]]\nid = \"charging\"\nkind = \"charging\"\ninto = \"far\"\ncells = 75\ncurrent = \"{}\"\n", ducts,
        current);
    const auto reading = parse_site(text, "ducts.toml", built_in_substances());
    ASSERT_NE(reading.usable(), nullptr);
    const auto answer = assess(*reading.usable());
    ASSERT_TRUE(std::holds_alternative<Assessment>(answer)) << current << ": " << std::get<Fault>(answer).message;
    const auto& spaces = std::get<Assessment>(answer).cases[0].spaces;
    // Nothing but hydrogen comes into the ducts. Rounding grows with the exchange over what passes through: 5e7 times.
    EXPECT_NEAR(spaces[1].end.fraction[0], 1.0, 1e-7) << current;
    EXPECT_NEAR(spaces[2].end.fraction[0], 1.0, 1e-7) << current;
  }
}

}  // namespace
}  // namespace leanside
