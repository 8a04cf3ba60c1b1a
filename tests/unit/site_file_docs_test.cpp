// SPDX-License-Identifier: Apache-2.0
// docs/site-file.md says what the code does.
#include <cstdlib>
#include <map>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "leanside/site_file.hpp"
#include "support/paths.hpp"

namespace leanside {
namespace {

std::string page() {
  const auto text = read_text_file(leanside::testing::source_path("docs/site-file.md").string());
  EXPECT_TRUE(std::holds_alternative<std::string>(text));
  return std::holds_alternative<std::string>(text) ? std::get<std::string>(text) : "";
}

/// The words between backticks of a line.
std::vector<std::string> code_words(const std::string& line) {
  std::vector<std::string> out;
  for (std::size_t at = 0; (at = line.find('`', at)) != std::string::npos;) {
    const auto end = line.find('`', at + 1);
    if (end == std::string::npos) break;
    out.push_back(line.substr(at + 1, end - at - 1));
    at = end + 1;
  }
  return out;
}

/// The rows of the table whose header begins with `header`.
std::vector<std::string> table(const std::string& header) {
  std::istringstream lines{page()};
  std::string line;
  while (std::getline(lines, line) && !line.starts_with(header)) {
  }
  std::getline(lines, line);
  std::vector<std::string> rows;
  while (std::getline(lines, line) && line.starts_with("|")) rows.push_back(line);
  EXPECT_FALSE(rows.empty()) << header;
  return rows;
}

TEST(SiteFilePage, ListsEveryUnitInTheOrderOfTheCodeAndNoOther) {
  std::map<std::string, std::vector<std::string>> in_code, on_page;
  for (const auto& unit : units()) {
    in_code[std::string{name_of(unit.dimension)}].emplace_back(unit.symbol);
  }
  for (const auto& row : table("| value | units |")) {
    const auto name = row.substr(2, row.find(" |", 2) - 2);
    for (const std::string& word : code_words(row)) on_page[name].push_back(word);
  }
  EXPECT_EQ(on_page, in_code);
}

TEST(SiteFilePage, TellsWhatUnitsAreWorthToTheDigitsPrinted) {
  std::set<std::string> told;
  for (const auto& row : table("| unit | in SI |")) {
    const auto symbol = code_words(row).at(0);
    told.insert(symbol);
    const auto number = std::strtod(row.c_str() + row.find('|', 2) + 1, nullptr);
    const auto quantity = std::get<Quantity>(parse_quantity("1 " + symbol));
    EXPECT_NEAR(quantity.si / number, 1.0, 5e-7) << row;
  }
  for (const auto symbol : {"in", "ft", "gal", "lb", "atm", "psi", "mmHg", "cfm"}) EXPECT_TRUE(told.contains(symbol));
}

TEST(SiteFilePage, NamesEveryGaugeUnit) {
  const auto text = page();
  std::string gauges;
  for (const auto& unit : units()) {
    if (unit.gauge) gauges += (gauges.empty() ? "`" : ", `") + std::string{unit.symbol} + "`";
  }
  EXPECT_NE(text.find("(" + gauges + ")"), std::string::npos) << gauges;
}

TEST(SiteFilePage, ItsExamplesAreReadWithoutFault) {
  std::istringstream lines{page()};
  std::vector<std::string> blocks;
  std::string line;
  bool inside = false;
  while (std::getline(lines, line)) {
    if (line == "```toml") {
      inside = true;
      blocks.emplace_back();
    } else if (line.starts_with("```")) {
      inside = false;
    } else if (inside) {
      blocks.back() += line + "\n";
    }
  }
  ASSERT_GE(blocks.size(), 3u);
  for (auto text : blocks) {
    if (text.find("title") == std::string::npos) {
      text = "title = \"x\"\n[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"3 m3\"\n" + text;
    }
    const auto reading = parse_site(text, "page", built_in_substances());
    EXPECT_TRUE(reading.usable()) << text;
    for (const auto& d : reading.diagnostics) {
      if (d.message.find("may gather") == std::string::npos) ADD_FAILURE() << to_text(d);
    }
  }
}

TEST(SiteFilePage, ItsErrorsAreThoseOfTheProgram) {
  const std::string wrong =
      "title = \"Gas store\"\n\n\n[[space]]\nid = \"store\"\nkind = \"room\"\n"
      "volume = \"30 m^3\"\n[[airway]]\nid = \"extract\"\nkind = \"fan\"\nfrom = \"stroe\"\n"
      "to = \"outside\"\nflow = 150 m3/h\n";
  const auto reading = parse_site(wrong, "store.toml", built_in_substances());
  ASSERT_EQ(reading.diagnostics.size(), 3u);
  const auto text = page();
  for (const auto& d : reading.diagnostics) EXPECT_NE(text.find(to_text(d) + "\n"), std::string::npos) << to_text(d);
}

TEST(SiteFilePage, ItsDefaultsAreThoseOfTheCode) {
  const auto reading = parse_site("title = \"x\"\n[[space]]\nid = \"a\"\nkind = \"room\"\nvolume = \"3 m3\"\n", "f",
                                  built_in_substances());
  ASSERT_TRUE(reading.usable());
  const auto& site = *reading.usable();
  std::map<std::string, std::string> on_page;
  std::istringstream lines{page()};
  bool inside = false;  // a table of defaults
  for (std::string line; std::getline(lines, line);) {
    inside = line.starts_with("| key | if left out |") || (inside && line.starts_with("|"));
    const auto words = code_words(line);
    if (inside && words.size() >= 2) on_page[words[0]] = words[1];
  }
  const auto si = [&](const std::string& key) {
    auto text = on_page[key];
    std::erase(text, '"');
    const auto parsed = parse_quantity(text);
    return std::holds_alternative<Quantity>(parsed) ? std::get<Quantity>(parsed).si : -1.0;
  };
  EXPECT_DOUBLE_EQ(si("temperature"), site.conditions.temperature);
  EXPECT_DOUBLE_EQ(si("pressure"), site.conditions.pressure);
  EXPECT_DOUBLE_EQ(si("oxygen_in_air"), site.conditions.oxygen_in_air);
  EXPECT_DOUBLE_EQ(si("warn_at"), site.criteria.warn_at);
  EXPECT_DOUBLE_EQ(si("note_at"), site.criteria.note_at);
  EXPECT_DOUBLE_EQ(si("horizon"), site.criteria.horizon);
  EXPECT_EQ(on_page["limits"], "\"" + site.criteria.limits + "\"");
}

}  // namespace
}  // namespace leanside
