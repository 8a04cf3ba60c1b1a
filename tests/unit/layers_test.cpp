// SPDX-License-Identifier: Apache-2.0
/// The order of the house: reads every #include and refuses an upward arrow or a library outside its folder.
#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "support/paths.hpp"

namespace {

namespace fs = std::filesystem;

/// Layers from the ground up, by the name of a public header or of a folder under src. Each may use those of a lower
/// number. src/linalg and src/network serve airflow and transport; src/input is the reader of site_file.
const std::map<std::string, int>& layers() {
  static const std::map<std::string, int> order = {
      {"index", 0},        {"diagnostic", 0}, {"linalg", 0},    {"parallel", 0}, {"quantity", 1},  {"substance", 2},
      {"flammability", 3}, {"source", 3},     {"layer", 3},     {"purge", 4},    {"site", 4},      {"input", 5},
      {"site_file", 5},    {"release", 6},    {"network", 7},   {"airflow", 8},  {"transport", 9}, {"hazard", 10},
      {"study", 11},       {"report", 12},    {"leanside", 13}, {"cli", 14}};
  return order;
}

/// Where each third-party library may be included ("unsupported" comes with Eigen); fmt may be anywhere in a .cpp of
/// src.
const std::map<std::string, std::string>& homes() {
  static const std::map<std::string, std::string> out = {
      {"boost", "network"},   {"Eigen", "linalg"},       {"klu", "linalg"},    {"toml++", "input"},
      {"nlohmann", "report"}, {"unsupported", "linalg"}, {"nettle", "report"}, {"utf8proc", "quantity"}};
  return out;
}

const std::set<std::string>& posix_headers() {
  static const std::set<std::string> out = {"fcntl.h", "signal.h", "sys/ioctl.h", "sys/stat.h", "unistd.h"};
  return out;
}

struct Include {
  std::string name;
  bool quoted = false;
};

std::vector<Include> includes_of(std::istream& in) {
  std::vector<Include> out;
  for (std::string line; std::getline(in, line);) {
    std::istringstream words{line};
    std::string hash;
    words >> hash;
    if (hash == "#") {
      std::string rest;
      words >> rest;
      hash += rest;
    }
    if (hash.rfind("#include", 0) != 0) continue;
    const std::size_t open = line.find_first_of("<\"");
    if (open == std::string::npos) {
      out.push_back({"(not a plain name)", false});
      continue;
    }
    const std::size_t close = line.find(line[open] == '<' ? '>' : '"', open + 1);
    out.push_back({line.substr(open + 1, close - open - 1), line[open] == '"'});
  }
  return out;
}

/// The studies have five public headers.
std::string room_of_header(const std::string& stem) {
  return stem == "purge_replay" || stem == "size" || stem == "spread" || stem == "tracer" ? "study" : stem;
}

/// "src/report/words.cpp" -> "report"; "include/leanside/site.hpp" -> "site"; "src/embedded.hpp" -> "embedded".
std::string room_of(const std::string& file) {
  const fs::path path{file};
  std::vector<std::string> parts(path.begin(), path.end());
  if (parts.size() == 3 && parts[0] == "src") return parts[1];
  return room_of_header(path.stem().string());
}

/// What is wrong with one include of one file (paths from the top of the tree); empty: nothing.
std::string fault(const std::string& file, const Include& include) {
  const bool is_public = file.rfind("include/", 0) == 0;
  const std::string room = room_of(file);
  if (include.quoted) {
    if (include.name == "embedded.hpp") return is_public ? "a public header includes a private one" : "";
    const bool to_public = include.name.rfind("leanside/", 0) == 0;
    if (is_public && !to_public) return "a public header includes a private one";
    const std::string target =
        to_public ? room_of_header(fs::path{include.name}.stem().string()) : room_of("src/" + include.name);
    if (target == room) return "";
    if (room == "cli" && !to_public) return "the program uses the library by its public headers alone";
    const auto from = layers().find(room);
    const auto to = layers().find(target);
    if (from == layers().end()) return "'" + room + "' has no place among the layers";
    if (to == layers().end()) return "'" + target + "' has no place among the layers";
    const bool reader_of_its_own_header = room == "input" && target == "site_file";
    return to->second < from->second || reader_of_its_own_header ? "" : "an upward arrow";
  }
  const std::string& name = include.name;
  if (name.rfind("leanside/", 0) == 0) return "our own headers are included in quotes";
  const bool standard = name.find_first_not_of("abcdefghijklmnopqrstuvwxyz_0123456789") == std::string::npos;
  if (standard) return "";
  if (is_public) return "a public header includes a library";
  if (name.rfind("fmt/", 0) == 0) return file.ends_with(".cpp") ? "" : "fmt belongs in .cpp files";
  if (posix_headers().contains(name)) return room == "cli" || room == "input" ? "" : "the system is for input and cli";
  // Boost is for graphs and for special functions; one engine of it draws quasi-random numbers.
  if (name == "boost/random/sobol.hpp" && room == "study") return "";
  if (name.rfind("boost/math/", 0) == 0) return room == "linalg" ? "" : "a library outside its folder";
  const std::string library = name.substr(0, name.find_first_of("/."));
  // They take seconds to compile, so one file alone includes each.
  if (library == "CLI") return file == "src/cli/command_line.cpp" ? "" : "CLI11 is for command_line.cpp alone";
  if (library == "spdlog") return file == "src/cli/log.cpp" ? "" : "spdlog is for log.cpp alone";
  const auto home = homes().find(library);
  if (home == homes().end()) return "an unknown library";
  return home->second == room ? "" : "a library outside its folder";
}

std::vector<std::string> faults_of_tree() {
  std::vector<std::string> out;
  const fs::path top = leanside::testing::source_path("");
  std::size_t files = 0;
  for (const char* folder : {"include", "src"}) {
    for (const auto& entry : fs::recursive_directory_iterator{top / folder}) {
      const std::string extension = entry.path().extension().string();
      if (extension != ".hpp" && extension != ".cpp") continue;
      ++files;
      const std::string file = fs::relative(entry.path(), top).generic_string();
      std::ifstream in{entry.path()};
      for (const Include& include : includes_of(in)) {
        const std::string wrong = fault(file, include);
        if (!wrong.empty()) out.push_back(file + " includes " + include.name + ": " + wrong);
      }
    }
  }
  if (files < 20) out.push_back("only " + std::to_string(files) + " sources were found");
  return out;
}

TEST(Layers, EveryArrowPointsDown) {
  for (const std::string& line : faults_of_tree()) ADD_FAILURE() << line;
}

TEST(Layers, TheRuleSeesWhatItForbids) {
  const auto quoted = [](const std::string& name) { return Include{name, true}; };
  const auto angled = [](const std::string& name) { return Include{name, false}; };
  EXPECT_NE(fault("include/leanside/site.hpp", quoted("leanside/hazard.hpp")), "");
  EXPECT_NE(fault("include/leanside/site.hpp", angled("fmt/format.h")), "");
  EXPECT_NE(fault("include/leanside/site.hpp", angled("Eigen/Core")), "");
  EXPECT_NE(fault("include/leanside/site.hpp", quoted("report/words.hpp")), "");
  EXPECT_NE(fault("src/hazard/assess.cpp", quoted("leanside/report.hpp")), "");
  EXPECT_NE(fault("src/transport/x.cpp", quoted("hazard/y.hpp")), "");
  EXPECT_NE(fault("src/transport/x.cpp", angled("boost/graph/x.hpp")), "");
  EXPECT_NE(fault("src/report/x.cpp", angled("toml++/toml.h")), "");
  EXPECT_NE(fault("src/linalg/x.hpp", angled("nlohmann/json.hpp")), "");
  EXPECT_NE(fault("src/network/x.cpp", angled("klu.h")), "");
  EXPECT_NE(fault("src/report/x.cpp", angled("curl/curl.h")), "");
  EXPECT_NE(fault("src/hazard/x.cpp", angled("unistd.h")), "");
  EXPECT_NE(fault("src/cli/x.cpp", quoted("report/words.hpp")), "");
  EXPECT_NE(fault("src/cli/x.cpp", angled("CLI/CLI.hpp")), "");
  EXPECT_NE(fault("src/cli/x.cpp", angled("spdlog/spdlog.h")), "");
  EXPECT_NE(fault("src/novelty/x.cpp", quoted("leanside/site.hpp")), "");
  EXPECT_NE(fault("src/study/x.cpp", angled("boost/random/mersenne_twister.hpp")), "");
  EXPECT_NE(fault("src/hazard/x.cpp", angled("boost/random/sobol.hpp")), "");
  EXPECT_NE(fault("src/study/x.cpp", angled("boost/math/distributions/students_t.hpp")), "");
  EXPECT_NE(fault("src/network/x.cpp", angled("boost/math/special_functions/binomial.hpp")), "");
  EXPECT_EQ(fault("src/study/x.cpp", angled("boost/random/sobol.hpp")), "");
  EXPECT_EQ(fault("src/linalg/x.cpp", angled("boost/math/distributions/students_t.hpp")), "");
  EXPECT_EQ(fault("src/hazard/x.cpp", quoted("leanside/transport.hpp")), "");
  EXPECT_EQ(fault("src/network/x.cpp", angled("boost/graph/x.hpp")), "");
  EXPECT_EQ(fault("src/report/x.cpp", angled("fmt/format.h")), "");
  EXPECT_EQ(fault("src/cli/command_line.cpp", angled("CLI/CLI.hpp")), "");
  EXPECT_EQ(fault("src/cli/x.cpp", angled("unistd.h")), "");
}

TEST(Layers, IncludesAreReadHoweverTheyAreWritten) {
  std::istringstream in{"#include <vector>\n  #  include \"a/b.hpp\"\n// no #include here\n#include NAME\n"};
  const auto found = includes_of(in);
  ASSERT_EQ(found.size(), 3u);
  EXPECT_EQ(found[0].name, "vector");
  EXPECT_TRUE(found[1].quoted);
  EXPECT_EQ(found[1].name, "a/b.hpp");
  EXPECT_NE(fault("src/hazard/x.cpp", found[2]), "");
}

}  // namespace
