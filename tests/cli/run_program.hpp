// SPDX-License-Identifier: Apache-2.0
/// Runs the program as a user would and keeps what it said.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

namespace leanside::cli_test {

/// How a run is set up; standard input is always empty.
struct Setting {
  std::vector<std::string> arguments;
  std::map<std::string, std::string> environment;  ///< set besides the plain one (locale C, no colour variables)
  std::string folder;                              ///< where it runs; empty: here
  std::string standard_output;  ///< a file to open for it, or "closed", or "broken" (a pipe nobody reads)
  bool terminal = false;        ///< standard output is a terminal of 100 columns
  std::size_t memory = 0;       ///< bytes of address space; 0: no limit
  std::size_t file_size = 0;    ///< bytes of the largest file that it may write; 0: no limit
  bool plain_rights = false;    ///< permissions of files hold, also where the tests run as root
};

struct Outcome {
  int code = -1;  ///< exit code; 1000 + signal where a signal ended it
  std::string out;
  std::string err;
};

Outcome run(const Setting& setting);
Outcome run(const std::vector<std::string>& arguments);

/// A program that runs while the test does other things, such as ending it with a signal. Every one has to be finished.
struct Running {
  int process = -1;
  int out = -1, err = -1;  ///< where what it says can be read
};
Running start(const Setting& setting);
/// Waits for its end.
Outcome finish(const Running& running);

/// What stands under "answer" in the JSON text that a command wrote.
nlohmann::json answer_in(const std::string& text);

std::string read_file(const std::filesystem::path& path);
void write_file(const std::filesystem::path& path, const std::string& text);
std::vector<std::string> lines_of(const std::string& text);
/// A blank in `part` is a blank of `text` or a line break with its margin: where a line of prose breaks may hang on
/// how long the path of the source tree is.
bool has(const std::string& text, const std::string& part);

/// Paths in the source tree.
std::string example(const std::string& name);
std::filesystem::path source(const std::string& path);

/// Sites small enough to be read here: one room, steady methane. `rate` decides which warning comes out.
std::string small_site(const std::string& rate);

/// A test with a folder of its own, removed afterwards.
class InFolder : public testing::Test {
 protected:
  void SetUp() override;
  void TearDown() override;
  std::string path(const std::string& name) const { return (folder_ / name).string(); }
  /// Names of the files in the folder, hidden ones too.
  std::vector<std::string> names() const;

  std::filesystem::path folder_;
};

}  // namespace leanside::cli_test
