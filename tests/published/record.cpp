// SPDX-License-Identifier: Apache-2.0
#include "published/record.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <limits>
#include <sstream>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "leanside/substance.hpp"
#include "leanside/substance_file.hpp"
#include "support/paths.hpp"

namespace published {
namespace {

struct Kept {
  std::string what;
  double computed, published, allowed, percent;
  Side side;
};

/// The comparisons under one heading.
struct Check {
  std::string file, heading, source;
  std::vector<Kept> figures;
};

struct Record {
  std::string test;  ///< the running test, as Suite.Name
  std::string heading, source;
  std::vector<Check> checks;
};

Record& record() {
  static Record it;
  return it;
}

std::string running_test() {
  const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
  return info ? std::string{info->test_suite_name()} + "." + info->name() : std::string{};
}

struct Topic {
  std::string_view file, title;
};
constexpr std::array topics{
    Topic{"stoichiometry", "Stoichiometry"},
    Topic{"limits", "Limits of mixtures, limiting oxygen concentration"},
    Topic{"range", "Flammable range with inert gas and oxygen"},
    Topic{"temperature", "Limits and temperature"},
    Topic{"vapour_pressure", "Vapour pressure"},
    Topic{"properties", "Properties of gases and vapours"},
    Topic{"thermophysical", "Boiling, vaporisation and density"},
    Topic{"dilution", "Dilution by fresh air"},
    Topic{"room", "Build-up and decay in rooms"},
    Topic{"oxygen", "Oxygen displacement"},
    Topic{"purge", "Sweeping vessels"},
    Topic{"purging_cycles", "Purging by cycles"},
    Topic{"discharge", "Gas flow through holes"},
    Topic{"real_gas", "Gases under pressure, liquefied gases, petroleum"},
    Topic{"evaporation", "Evaporation"},
    Topic{"liquids", "Liquids and their mixtures"},
    Topic{"reactions", "Gas from reactions"},
    Topic{"charging", "Batteries on charge"},
    Topic{"natural_ventilation", "Openings, stack effect, natural ventilation"},
    Topic{"near_source", "Near a release"},
    Topic{"near_source_constants", "Near a release: constants and examples"},
    Topic{"layer", "Plumes and layers"},
    Topic{"layered_rooms", "Layered rooms"},
    Topic{"measured_layers", "Layers compared with measurement"},
    Topic{"measured_doorways", "Doorways compared with measurement"},
    Topic{"measured_burner_room", "A ventilated room compared with measurement"},
    Topic{"measured_two_rooms", "Two rooms aired out, and build-up in one, compared with measurement"},
    Topic{"measured_flows", "Doors, vents and plumes compared with measurement"},
    Topic{"tracer", "Air change from a tracer gas"},
    Topic{"units", "Units"},
    Topic{"bench", "Vessels on a bench"},
    Topic{"flames", "Flames, and what the program takes by itself"},
};

std::string_view stem_of(std::string_view file) {
  file = file.substr(file.rfind('/') + 1);
  return file.substr(0, file.rfind("_test."));
}

std::string title_of(std::string_view stem) {
  const auto* topic = std::find_if(topics.begin(), topics.end(), [&](const Topic& t) { return t.file == stem; });
  return topic != topics.end() ? std::string{topic->title} : std::string{stem};
}

/// Smaller differences do not matter and vary between machines.
constexpr double least_percent = 0.01;

std::string difference_of(const Kept& figure) {
  const double difference = figure.computed - figure.published;
  const double percent = 100.0 * difference / std::abs(figure.published);
  if (figure.side != Side::both) return fmt::format("{:+.0f} %", percent);
  if (std::abs(percent) < least_percent) return fmt::format("< {} %", least_percent);
  return std::isnan(figure.percent) ? fmt::format("{:+.2g}", difference) : fmt::format("{:+.2f} %", percent);
}

std::string computed_of(const Kept& figure) {
  return std::abs(figure.computed) < 1e5 ? fmt::format("{:.5g}", figure.computed)
                                         : fmt::format("{:.0f}", figure.computed);
}

std::string allowed_of(const Kept& figure) {
  if (figure.side != Side::both) return figure.side == Side::above ? "not less" : "not more";
  if (figure.allowed <= 1e-8 * std::abs(figure.published)) return "rounding";
  return std::isnan(figure.percent) ? fmt::format("{:.3g}", figure.allowed) : fmt::format("{:.3g} %", figure.percent);
}

/// The words of a paragraph in lines of at most 110 characters. A word that Markdown would take for a list marker at
/// the start of a line stays on the line before.
std::string wrapped(const std::string& text) {
  constexpr std::size_t width = 107, longest_marker = 3;
  std::istringstream words(text);
  std::string word, result;
  std::size_t column = 0;
  while (words >> word) {
    if (column > 0) {
      const bool marker = word == "-" || word == "+" || word == "*" || word == "1." || word == "1)";
      const bool fits = column + 1 + word.size() <= width + (marker ? longest_marker : 0);
      result += fits ? ' ' : '\n';
      column = fits ? column + 1 : 0;
    }
    result += word;
    column += word.size();
  }
  return result + '\n';
}

void write_check(std::ostream& out, const Check& check) {
  out << wrapped("**" + check.heading + ".** " + check.source)
      << "\n| value | published | leanside | difference | allowed |\n"
      << "|---|---|---|---|---|\n";
  for (const Kept& figure : check.figures) {
    out << fmt::format("| {} | {:.6g} | {} | {} | {} |\n", figure.what, figure.published, computed_of(figure),
                       difference_of(figure), allowed_of(figure));
  }
  out << '\n';
}

std::string text_of(const std::string& path) {
  std::ifstream in(path);
  return {std::istreambuf_iterator<char>{in}, {}};
}

constexpr std::string_view preface =
    "{} values in {} checks, {} of them with something from memory. Each table sets what a source prints next to what "
    "leanside computes from the same inputs. \"Allowed\" is the largest difference at which the test still passes: the "
    "rounding of the printed values, in its unit or as a percentage, or more for the stated reason; where no reason is "
    "stated, it is that rounding, carried through the formula. \"Rounding\" means "
    "that only the rounding of the computer is allowed; \"not less\" and \"not more\" that leanside takes a bound, "
    "which has to lie on that side. Where the text says \"our inputs\" or \"no source of its "
    "own\", the published value is the result of a formula of the source, or of the sources named with it.";

/// Writes the document: the hand-written part, then every check by topic.
void write_document(const std::string& path) {
  const std::vector<Check>& checks = record().checks;
  std::size_t figures = 0;
  for (const Check& check : checks) figures += check.figures.size();
  const auto recalled = std::count_if(checks.begin(), checks.end(), [](const Check& check) {
    return check.source.find("from memory") != std::string::npos;
  });
  std::ofstream out(path);
  out << text_of(leanside::testing::source_path("tests/published/validation.md").string())
      << "\n## Published values\n\n"
      << wrapped(fmt::format(preface, figures, checks.size(), recalled)) << "\n";
  std::vector<std::string> stems;  // each once
  for (const Topic& topic : topics) stems.emplace_back(topic.file);
  for (const Check& check : checks) {
    if (std::find(stems.begin(), stems.end(), check.file) == stems.end()) stems.push_back(check.file);
  }
  for (const std::string& stem : stems) {
    const auto of_topic = [&](const Check& check) { return check.file == stem; };
    if (std::none_of(checks.begin(), checks.end(), of_topic)) continue;
    out << "### " << title_of(stem) << "\n\n";
    for (const Check& check : checks) {
      if (of_topic(check)) write_check(out, check);
    }
  }
}

class WhenAllHaveRun : public ::testing::Environment {
 public:
  void TearDown() override {
    if (const char* path = std::getenv("LEANSIDE_VALIDATION")) write_document(path);
  }
};
const auto* const at_the_end = ::testing::AddGlobalTestEnvironment(new WhenAllHaveRun);

void keep(Kept figure) {
  Record& all = record();
  const auto* info = ::testing::UnitTest::GetInstance()->current_test_info();
  if (info == nullptr || all.test != running_test()) return;  // no source was cited
  if (figure.what.empty()) ADD_FAILURE() << "a value under \"" << all.heading << "\" has no label";
  const bool known = !all.checks.empty() && all.checks.back().heading == all.heading;
  if (!known) all.checks.push_back({std::string{stem_of(info->file())}, all.heading, all.source, {}});
  all.checks.back().figures.push_back(std::move(figure));
}

}  // namespace

std::string plain(std::string_view id) {
  const auto* substance = leanside::built_in_substances().find(id);
  std::string name{substance != nullptr ? std::string_view{substance->name} : id};
  std::transform(name.begin(), name.end(), name.begin(),
                 [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  return name;
}

void cite(std::string_view heading, std::string_view source) {
  record().test = running_test();
  record().heading = heading;
  record().source = source;
}

Comparison::Comparison(double computed, double published, double allowed, double percent, std::string_view what,
                       SourceLocation where, Side side)
    : computed_{computed}, published_{published}, allowed_{allowed}, percent_{percent}, side_{side}, where_{where} {
  what_ << what;
}

Comparison::~Comparison() {
  const double over = computed_ - published_;
  const bool good = side_ == Side::above   ? over >= 0.0
                    : side_ == Side::below ? over <= 0.0
                                           : std::abs(over) <= allowed_;
  if (!good) {
    ADD_FAILURE_AT(where_.file, where_.line)
        << what_.str() << ": published " << published_ << ", computed " << computed_ << ", allowed "
        << allowed_of({{}, computed_, published_, allowed_, percent_, side_});
  }
  keep({what_.str(), computed_, published_, allowed_, percent_, side_});
}

Comparison expect_within(double computed, double published, double percent, std::string_view what,
                         SourceLocation where) {
  return {computed, published, std::abs(published) * percent / 100.0, percent, what, where};
}

Comparison expect_near(double computed, double published, double allowed, std::string_view what, SourceLocation where) {
  return {computed, published, allowed, std::numeric_limits<double>::quiet_NaN(), what, where};
}

Comparison expect_at_least(double computed, double published, std::string_view what, SourceLocation where) {
  return {computed, published, 0.0, std::numeric_limits<double>::quiet_NaN(), what, where, Side::above};
}

Comparison expect_at_most(double computed, double published, std::string_view what, SourceLocation where) {
  return {computed, published, 0.0, std::numeric_limits<double>::quiet_NaN(), what, where, Side::below};
}

}  // namespace published
