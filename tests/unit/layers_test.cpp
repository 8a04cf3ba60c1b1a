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

/// The folders of src from the ground up. Each may use those of a lower number. A subfolder that has a number of its
/// own may use the subfolders of its folder that have a lower one.
const std::map<std::string, int>& folders() {
  static const std::map<std::string, int> order = {{"base", 0},    {"physics", 1},   {"model", 2},  {"input", 3},
                                                   {"airflow", 4}, {"transport", 5}, {"hazard", 6}, {"study", 7},
                                                   {"report", 8},  {"page", 9},      {"cli", 10}};
  return order;
}
const std::map<std::string, int>& subfolders() {
  static const std::map<std::string, int> order = {{"base/text", 0},
                                                   {"base/units", 1},
                                                   {"input/toml", 0},
                                                   {"input/substances", 1},
                                                   {"input/site", 2},
                                                   {"input/schedule", 3},
                                                   {"transport/cells", 0},
                                                   {"transport/run", 1},
                                                   {"transport/linear", 2},
                                                   {"transport/coupled", 3},
                                                   {"transport/layered", 4},
                                                   {"transport/steady", 5},
                                                   {"transport/transient", 6},
                                                   {"report/words", 0},
                                                   {"report/text", 1},
                                                   {"report/json", 1},
                                                   {"report/svg", 1},
                                                   {"report/html", 3},
                                                   {"cli/io", 0},
                                                   {"cli/commands", 1}};
  return order;
}

/// The folder that implements each public header.
const std::map<std::string, std::string>& implementations() {
  static const std::map<std::string, std::string> out = {{"units", "base"},
                                                         {"diagnostic", "base"},
                                                         {"advanced/index", "base"},
                                                         {"result", "base"},
                                                         {"substance", "physics"},
                                                         {"purge", "physics"},
                                                         {"advanced/flammability", "physics"},
                                                         {"advanced/sources", "physics"},
                                                         {"advanced/plumes", "physics"},
                                                         {"advanced/near_source", "physics"},
                                                         {"advanced/bench", "physics"},
                                                         {"advanced/bench_feed", "physics"},
                                                         {"site", "model"},
                                                         {"schedule", "input"},
                                                         {"advanced/fans", "model"},
                                                         {"advanced/openings", "physics"},
                                                         {"advanced/release", "model"},
                                                         {"site_file", "input"},
                                                         {"substance_file", "input"},
                                                         {"advanced/airflow", "airflow"},
                                                         {"advanced/transport", "transport"},
                                                         {"assess", "hazard"},
                                                         {"assess_releases", "hazard"},
                                                         {"air", "hazard"},
                                                         {"explain", "hazard"},
                                                         {"experiment", "hazard"},
                                                         {"stock", "hazard"},
                                                         {"assumptions", "model"},
                                                         {"report", "report"}};
  return out;
}

/// Where each third-party library may be included ("unsupported" comes with Eigen); fmt may be anywhere in a .cpp of
/// src.
const std::map<std::string, std::string>& homes() {
  static const std::map<std::string, std::string> out = {{"boost/graph", "base/graph"},
                                                         {"boost/pending", "base/graph"},
                                                         {"boost/math", "base/linalg"},
                                                         {"boost/assert", "page/engine"},
                                                         {"boost/random/sobol.hpp", "study/spread"},
                                                         {"Eigen", "base/linalg"},
                                                         {"klu", "base/linalg"},
                                                         {"unsupported", "base/linalg"},
                                                         {"utf8proc", "base/text"},
                                                         {"toml++", "input/toml"},
                                                         {"nlohmann", "report/json"},
                                                         {"nettle", "report/json"},
                                                         {"CLI", "cli/io"},
                                                         {"spdlog", "cli/io"}};
  return out;
}

const std::set<std::string>& posix_headers() {
  static const std::set<std::string> out = {"fcntl.h",        "signal.h",   "sys/ioctl.h",
                                            "sys/resource.h", "sys/stat.h", "unistd.h"};
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

/// "src/report/words/air.cpp" -> {"report", "report/words"}; "include/leanside/site.hpp" -> {"model", ""}.
struct Room {
  std::string folder;
  std::string subfolder;  ///< empty: none
};

Room room_of_header(const std::string& name) {  // "leanside/study/size.hpp"
  const std::string stem = fs::path{name.substr(9)}.replace_extension().generic_string();
  if (stem.rfind("study/", 0) == 0) return {"study", ""};
  const auto known = implementations().find(stem);
  return {known == implementations().end() ? stem : known->second, ""};
}

Room room_of(const std::string& file) {
  if (file.rfind("include/", 0) == 0) return room_of_header(file.substr(8));
  const fs::path path{file};
  const std::vector<std::string> parts(path.begin(), path.end());
  if (parts.size() < 3) return {parts.back(), ""};
  return {parts[1], parts.size() > 3 ? parts[1] + "/" + parts[2] : ""};
}

/// Whether an arrow from one place to another points down, or stays where it is.
bool points_down(const Room& from, const Room& to) {
  if (from.folder != to.folder) return folders().at(to.folder) < folders().at(from.folder);
  if (from.subfolder == to.subfolder || from.subfolder.empty() || to.subfolder.empty()) return true;
  const auto a = subfolders().find(from.subfolder), b = subfolders().find(to.subfolder);
  return a == subfolders().end() || b == subfolders().end() || b->second < a->second;
}

std::string quoted_fault(const std::string& file, const Include& include) {
  const bool is_public = file.rfind("include/", 0) == 0;
  const bool to_public = include.name.rfind("leanside/", 0) == 0;
  if (is_public && !to_public) return "a public header includes a private one";
  if (include.name == "embedded.hpp") return "";
  if (is_public && room_of(file).folder == "leanside") return "";  // the header of all headers
  const Room from = room_of(file), to = to_public ? room_of_header(include.name) : room_of("src/" + include.name);
  if (from.folder == "cli" && to.folder != "cli" && !to_public) {
    return "the program uses the library by its public headers alone";
  }
  for (const Room& room : {from, to}) {
    if (!folders().contains(room.folder)) return "'" + room.folder + "' has no place among the folders";
  }
  return points_down(from, to) ? "" : "an upward arrow";
}

std::string library_fault(const std::string& file, const std::string& name) {
  if (name.rfind("leanside/", 0) == 0) return "our own headers are included in quotes";
  const bool standard = name.find_first_not_of("abcdefghijklmnopqrstuvwxyz_0123456789") == std::string::npos;
  if (standard) return "";
  if (file.rfind("include/", 0) == 0) return "a public header includes a library";
  if (name.rfind("fmt/", 0) == 0) return file.ends_with(".cpp") ? "" : "fmt belongs in .cpp files";
  const Room room = room_of(file);
  if (posix_headers().contains(name)) {
    return room.folder == "cli" || room.folder == "input" ? "" : "the system is for input and cli";
  }
  std::string library;
  for (const auto& [prefix, home] : homes()) {
    if (name.rfind(prefix, 0) != 0 || prefix.size() <= library.size()) continue;
    library = prefix;
  }
  if (library.empty()) return "an unknown library";
  const std::string& home = homes().at(library);
  return home == room.folder || home == room.subfolder ? "" : "a library outside its folder";
}

/// What is wrong with one include of one file (paths from the top of the tree); empty: nothing.
std::string fault(const std::string& file, const Include& include) {
  return include.quoted ? quoted_fault(file, include) : library_fault(file, include.name);
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

TEST(Layers, RuleRefusesWhatItForbids) {
  const auto quoted = [](const std::string& name) { return Include{name, true}; };
  const auto angled = [](const std::string& name) { return Include{name, false}; };
  EXPECT_NE(fault("include/leanside/site.hpp", quoted("leanside/assess.hpp")), "");
  EXPECT_NE(fault("include/leanside/site.hpp", angled("fmt/format.h")), "");
  EXPECT_NE(fault("include/leanside/advanced/sources.hpp", angled("Eigen/Core")), "");
  EXPECT_NE(fault("include/leanside/site.hpp", quoted("report/words/words.hpp")), "");
  EXPECT_NE(fault("include/leanside/assess.hpp", quoted("leanside/study/size.hpp")), "");
  EXPECT_NE(fault("src/hazard/assess.cpp", quoted("leanside/report.hpp")), "");
  EXPECT_NE(fault("src/transport/run/x.cpp", quoted("hazard/y.hpp")), "");
  EXPECT_NE(fault("src/report/words/x.cpp", quoted("report/html/html.hpp")), "");
  EXPECT_NE(fault("src/input/toml/x.cpp", quoted("input/site/site_draft.hpp")), "");
  EXPECT_NE(fault("src/transport/run/x.cpp", angled("boost/graph/x.hpp")), "");
  EXPECT_NE(fault("src/report/text/x.cpp", angled("toml++/toml.h")), "");
  EXPECT_NE(fault("src/base/linalg/x.hpp", angled("nlohmann/json.hpp")), "");
  EXPECT_NE(fault("src/base/graph/x.cpp", angled("klu.h")), "");
  EXPECT_NE(fault("src/report/text/x.cpp", angled("curl/curl.h")), "");
  EXPECT_NE(fault("src/hazard/x.cpp", angled("unistd.h")), "");
  EXPECT_NE(fault("src/cli/commands/x.cpp", quoted("report/words/words.hpp")), "");
  EXPECT_NE(fault("src/novelty/x.cpp", quoted("leanside/site.hpp")), "");
  EXPECT_EQ(fault("src/hazard/x.cpp", quoted("leanside/advanced/transport.hpp")), "");
  EXPECT_EQ(fault("src/base/graph/x.cpp", angled("boost/graph/x.hpp")), "");
  EXPECT_EQ(fault("src/report/html/x.cpp", quoted("report/words/words.hpp")), "");
  EXPECT_EQ(fault("src/report/text/x.cpp", angled("fmt/format.h")), "");
  EXPECT_EQ(fault("src/cli/io/x.cpp", angled("unistd.h")), "");
}

TEST(Layers, IncludesAreReadInEveryFormatting) {
  std::istringstream in{"#include <vector>\n  #  include \"a/b.hpp\"\n// no #include here\n#include NAME\n"};
  const auto found = includes_of(in);
  ASSERT_EQ(found.size(), 3u);
  EXPECT_EQ(found[0].name, "vector");
  EXPECT_TRUE(found[1].quoted);
  EXPECT_EQ(found[1].name, "a/b.hpp");
  EXPECT_NE(fault("src/hazard/x.cpp", found[2]), "");
}

}  // namespace
