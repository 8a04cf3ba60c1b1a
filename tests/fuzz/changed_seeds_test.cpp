// SPDX-License-Identifier: Apache-2.0
/// Almost valid files: seeds, examples and known faults with spans removed, doubled or exchanged, or with words of the
/// dictionary inserted. This is a minute of what the fuzzers do for hours, with any compiler. Every run makes the same
/// tries, unless LEANSIDE_CHANGES sets another seed.
#include <array>
#include <charconv>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <random>
#include <sstream>

#include <gtest/gtest.h>

#include "fuzz/files.hpp"
#include "fuzz/targets.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study/spread.hpp"
#include "leanside/study/sweep.hpp"
#include "leanside/study/tracer.hpp"
#include "support/paths.hpp"

namespace leanside::fuzz {
namespace {

namespace fs = std::filesystem;

std::vector<std::string> texts_of(const std::vector<std::string>& folders) {
  std::vector<std::string> texts;
  for (const std::string& folder : folders) {
    for (const fs::path& file : files_of(folder)) texts.push_back(bytes_of(file));
  }
  return texts;
}

/// Decodes a word of the dictionary, given without its quotes: \" \\ and \xNN.
std::string plain_word(std::string_view written) {
  std::string word;
  for (std::size_t i = 0; i < written.size(); ++i) {
    if (written[i] != '\\') {
      word += written[i];
    } else if (written.at(++i) == 'x') {
      int code = 0;
      std::from_chars(written.data() + i + 1, written.data() + i + 3, code, 16);
      word += static_cast<char>(code);
      i += 2;
    } else {
      word += written[i];
    }
  }
  return word;
}

std::vector<std::string> dictionary() {
  std::istringstream lines{bytes_of(leanside::testing::source_path("tests/fuzz/words.dict"))};
  std::vector<std::string> words;
  for (std::string line; std::getline(lines, line);) {
    if (!line.empty() && line.front() == '"') words.push_back(plain_word(line.substr(1, line.size() - 2)));
  }
  return words;
}

/// Changes texts at random. A seed gives the same texts everywhere: the standard fixes the numbers of the engine. It
/// does not fix those of distributions, so none is used.
class Changes {
 public:
  Changes(std::vector<std::string> texts, unsigned seed) : texts_{std::move(texts)}, random_{seed} {}

  std::string next() {
    std::string text = texts_[below(texts_.size())];
    // Half of them change only whole lines or values, so that many pass the parser.
    const bool with_care = below(2) == 0;
    for (std::size_t left = 1 + below(4); left > 0; --left) with_care ? change_line(text) : change(text);
    constexpr std::size_t longest = 20'000;
    if (text.size() > longest) text.resize(longest);
    return text;
  }

 private:
  std::size_t below(std::size_t n) { return random_() % n; }

  /// A span of up to 40 bytes; sometimes a whole line or more.
  std::string span(const std::string& text) {
    const std::size_t from = below(text.size() + 1);
    return text.substr(from, 1 + below(below(4) == 0 ? 400 : 40));
  }

  void change(std::string& text) {
    const std::size_t at = below(text.size() + 1);
    switch (below(7)) {
      case 0:
        text.erase(at, 1 + below(40));
        break;
      case 1:
        text.insert(at, span(text));
        break;
      case 2:
        text.insert(at, span(texts_[below(texts_.size())]));
        break;
      case 3:
        text.insert(at, words_[below(words_.size())]);
        break;
      case 4:
        text.replace(at, 1 + below(12), words_[below(words_.size())]);
        break;
      case 5:
        text.insert(at, 1, static_cast<char>(below(256)));
        break;
      default:
        change_digit(text, at);
    }
  }

  /// The line around `at`: its start, and its length including the line break.
  static std::pair<std::size_t, std::size_t> line_at(const std::string& text, std::size_t at) {
    const std::size_t before = at == 0 ? std::string::npos : text.rfind('\n', at - 1), after = text.find('\n', at);
    const std::size_t from = before == std::string::npos ? 0 : before + 1;
    return {from, (after == std::string::npos ? text.size() : after + 1) - from};
  }

  std::string line(const std::string& text) {
    const auto [from, length] = line_at(text, below(text.size() + 1));
    return text.substr(from, length);
  }

  void change_line(std::string& text) {
    const std::size_t at = below(text.size() + 1);
    const auto [from, length] = line_at(text, at);
    const std::string other = line(texts_[below(texts_.size())]);
    switch (below(5)) {
      case 0:
        text.erase(from, length);
        break;
      case 1:
        text.insert(from, other);
        break;
      case 2: {  // the value of another line
        const std::size_t here = text.find("= ", from), there = other.find("= ");
        if (here < from + length && there != std::string::npos) text.replace(here, from + length - here, other, there);
        break;
      }
      default:
        change_digit(text, at);
    }
  }

  /// Replaces the next digit by another number: numbers stay numbers, and grow.
  void change_digit(std::string& text, std::size_t at) {
    constexpr std::array values{"0", "1", "9", "-1", "1e9", "1e-9", "1e308", "1e-320", "0.5", "99999999999999999999"};
    const std::size_t digit = text.find_first_of("0123456789", at);
    if (digit != std::string::npos) text.replace(digit, 1, values[below(values.size())]);
  }

  std::vector<std::string> texts_;
  std::vector<std::string> words_ = dictionary();
  std::mt19937 random_;
};

bool is_quantity(std::string_view text) { return std::holds_alternative<Quantity>(parse_quantity(text)); }
bool is_site(std::string_view text) {
  return parse_site(text, "changed.toml", built_in_substances()).usable() != nullptr;
}
bool is_table(std::string_view text) {
  return std::holds_alternative<SubstanceTable>(parse_substances(text, "changed.toml"));
}
bool is_part(std::string_view text) { return std::holds_alternative<SweepPart>(parse_part(text)); }
bool are_readings(std::string_view text) {
  return std::holds_alternative<TracerData>(parse_tracer(text, "changed.csv", three_rooms(), {}));
}

struct Trial {
  Target target;
  bool (*is_valid)(std::string_view text);  ///< whether the text has no fault
  std::vector<std::string> folders;         ///< source folders whose files are changed
  int tries;
};

void PrintTo(const Trial& trial, std::ostream* out) { *out << trial.target.name; }

class ChangedSeeds : public ::testing::TestWithParam<Trial> {};

TEST_P(ChangedSeeds, KeepThePromises) {
  const Trial& trial = GetParam();
  // The current text stays in this file if the program dies.
  const fs::path last = fs::path{::testing::TempDir()} / ("changed_seed_" + std::string{trial.target.name});
  const char* const other = std::getenv("LEANSIDE_CHANGES");
  Changes changes{texts_of(trial.folders), other == nullptr ? 2026U : static_cast<unsigned>(std::atoi(other))};
  int valid = 0;
  for (int i = 0; i < trial.tries; ++i) {
    const std::string text = changes.next();
    std::ofstream{last, std::ios::binary} << text;
    ASSERT_NO_THROW(trial.target.run(text)) << "try " << i << ", saved in " << last;
    valid += trial.is_valid(text) ? 1 : 0;
  }
  fs::remove(last);
  RecordProperty("valid", valid);
  EXPECT_GT(valid, trial.tries / 50) << "too few pass the parser";
  EXPECT_LT(valid, trial.tries / 20 * 19) << "too few have a fault";
}

INSTANTIATE_TEST_SUITE_P(
    Fuzz, ChangedSeeds,
    ::testing::Values(Trial{{"quantity", quantity}, is_quantity, {"tests/fuzz/seeds/quantity"}, 40'000},
                      Trial{{"site_file", site_file}, is_site, {"examples", "configs/start", "tests/cli/bad"}, 50'000},
                      Trial{{"solved_site", solved_site}, is_site, {"examples", "configs/start"}, 400},
                      Trial{{"substances", substances}, is_table, {"tests/fuzz/seeds/substances"}, 20'000},
                      Trial{{"tracer", tracer}, are_readings, {"tests/fuzz/seeds/tracer"}, 20'000},
                      Trial{{"part", part}, is_part, {"tests/fuzz/seeds/part"}, 20'000}),
    [](const auto& trial) { return std::string{trial.param.target.name}; });

}  // namespace
}  // namespace leanside::fuzz
