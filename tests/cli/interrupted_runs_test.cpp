// SPDX-License-Identifier: Apache-2.0
/// Signals, too little memory, and many runs at once. A file that was there stays whole, and what went wrong is said.
#include <algorithm>
#include <array>
#include <chrono>
#include <csignal>
#include <regex>
#include <thread>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "cli/row_of_rooms.hpp"
#include "cli/run_program.hpp"
#include "support/paths.hpp"

namespace leanside::cli_test {
namespace {

namespace fs = std::filesystem;
using namespace std::chrono_literals;

/// The time limit of waiting for something that comes within milliseconds where nothing is broken.
template <class Happened>
bool comes(const Happened& happened) {
  const auto end = std::chrono::steady_clock::now() + 60s;
  while (!happened()) {
    if (std::chrono::steady_clock::now() > end) return false;
    std::this_thread::sleep_for(200us);
  }
  return true;
}
class InterruptedRuns : public InFolder {
 protected:
  void SetUp() override {
    InFolder::SetUp();
    write_file(path("site.toml"), row_of_rooms(20));
    write_file(path("ranges.toml"), row_of_rooms(20, range_of_rates));
  }
};

/// Bytes in the file without a name, or with that of a part, that the process writes in a folder; 0 where it has none.
std::uintmax_t written_by(int process, const fs::path& folder) {
  std::error_code ignored;
  for (const auto& entry : fs::directory_iterator{"/proc/" + std::to_string(process) + "/fd", ignored}) {
    const std::string name = fs::read_symlink(entry.path(), ignored).string();
    struct stat of = {};
    if (name.rfind(folder.string() + "/", 0) != 0 || ::stat(entry.path().c_str(), &of) != 0) continue;
    if (of.st_nlink == 0 || name.ends_with(".part")) {
      return static_cast<std::uintmax_t>(of.st_size);
    }
  }
  return 0;
}

TEST_F(InterruptedRuns, KilledWhileWritingLeavesTheOldFile) {
  const int probe = ::open(folder_.c_str(), O_TMPFILE | O_WRONLY | O_CLOEXEC, 0600);
  const bool nameless = probe >= 0;  // else a .part file may stay, and only that
  if (nameless) ::close(probe);
  write_file(path("site.toml"), row_of_rooms(60));
  Setting setting;
  setting.arguments = {"check", path("site.toml"), "--series-points", "2000", "--series", path("series.csv")};
  ASSERT_LE(run(setting).code, 1);
  const std::string whole = read_file(path("series.csv"));
  const auto before = names();
  int killed = 0;
  for (const std::size_t part : {0u, 1u, 2u, 3u}) {
    write_file(path("series.csv"), "old");
    const Running running = start(setting);
    ASSERT_TRUE(comes([&] {
      return written_by(running.process, folder_) > part * whole.size() / 4 ||
             fs::file_size(path("series.csv")) == whole.size();
    }));
    ::kill(running.process, SIGKILL);
    const Outcome outcome = finish(running);
    for (const std::string& name : names()) {
      if (!nameless && name.ends_with(".part")) fs::remove(path(name));
    }
    EXPECT_EQ(names(), before);
    if (outcome.code == 1000 + SIGKILL && read_file(path("series.csv")) == "old") {
      ++killed;
    } else {  // it was quicker
      EXPECT_EQ(read_file(path("series.csv")), whole);
    }
  }
  EXPECT_GT(killed, 0);
}

/// Whether the process has a handler for the signal by now.
bool catches(int process, int signal) {
  const std::string status = read_file("/proc/" + std::to_string(process) + "/status");
  const std::size_t at = status.find("SigCgt:");
  if (at == std::string::npos) return false;
  return (std::stoull(status.substr(at + 7), nullptr, 16) >> (signal - 1) & 1) != 0;
}

TEST_F(InterruptedRuns, AStoppedSweepReportsItsProgress) {
  write_file(path("ranges.toml"), row_of_rooms(100, range_of_rates));
  write_file(path("site.toml"), row_of_rooms(300));
  write_file(path("out"), "old");
  const auto before = names();
  for (const std::vector<std::string>& sweep :
       {std::vector<std::string>{"spread", path("ranges.toml"), "--draws", "50000"},
        std::vector<std::string>{"spread", path("ranges.toml"), "--draws", "50000", "--shard", "1/2"},
        std::vector<std::string>{"failures", path("site.toml"), "--pairs", "--in-time"}}) {
    for (const int signal : {SIGINT, SIGTERM}) {
      Setting setting;
      setting.arguments = sweep;
      setting.arguments.insert(setting.arguments.end(), {"--output", path("out")});
      const Running running = start(setting);
      ASSERT_TRUE(comes([&] { return catches(running.process, signal); }));
      ::kill(running.process, signal);
      const Outcome outcome = finish(running);
      EXPECT_EQ(outcome.code, 130) << sweep[0] << outcome.err;
      EXPECT_EQ(outcome.out, "");
      EXPECT_TRUE(std::regex_search(outcome.err, std::regex{"stopped after [0-9]+ of [0-9]+ runs"})) << outcome.err;
      EXPECT_EQ(read_file(path("out")), "old");
      EXPECT_EQ(names(), before);
    }
  }
}

TEST_F(InterruptedRuns, LeavesNoFileWhenItIsEnded) {
  write_file(path("out"), "old");
  ASSERT_EQ(::mkfifo(path("pipe.toml").c_str(), 0600), 0);
  const auto before = names();
  for (const int signal : {SIGINT, SIGTERM}) {
    Setting setting;  // it waits for its input, as long as nobody writes
    setting.arguments = {"check", path("pipe.toml"), "--output", path("out")};
    const Running running = start(setting);
    const int pipe = ::open(path("pipe.toml").c_str(), O_WRONLY | O_CLOEXEC);  // when it has opened it too
    ::kill(running.process, signal);
    EXPECT_EQ(finish(running).code, 1000 + signal);
    ::close(pipe);
    EXPECT_EQ(read_file(path("out")), "old");
    EXPECT_EQ(names(), before);
  }
}

TEST_F(InterruptedRuns, ManyRunsAtOnceEachWriteAWholeFile) {
  const std::vector<std::string> sites = {"site.toml", "ranges.toml"};
  std::vector<std::string> answers;
  for (const std::string& site : sites) answers.push_back(run({"check", path(site), "--quiet"}).out);
  ASSERT_NE(answers[0], answers[1]);
  constexpr std::size_t runs = 32;
  std::vector<Running> running;
  for (std::size_t i = 0; i < runs; ++i) {
    Setting setting;
    const std::string own = i % 4 < 2 ? "same" : "own-" + std::to_string(i);
    setting.arguments = {"check", path(sites[i % 2]), "--quiet", "--output", path(own)};
    running.push_back(start(setting));
  }
  for (const Running& one : running) EXPECT_LE(finish(one).code, 1);
  for (std::size_t i = 0; i < runs; ++i) {
    if (i % 4 < 2) continue;
    EXPECT_EQ(read_file(path("own-" + std::to_string(i))), answers[i % 2]) << i;
  }
  const std::string same = read_file(path("same"));
  EXPECT_TRUE(same == answers[0] || same == answers[1]) << same;
  EXPECT_EQ(names().size(), runs / 2 + 1 + sites.size()) << "something was left behind";
}

// The sanitizer itself needs all of the address space.
#if !defined(__SANITIZE_ADDRESS__)
/// The least address space, kB, with which a command ends with a code of at most 1, to the nearest 100.
std::size_t least_memory(const std::vector<std::string>& command) {
  std::size_t low = 1000, high = 200000;
  while (high - low > 100) {
    Setting setting;
    setting.arguments = command;
    setting.memory = (low + high) / 2 << 10;
    (run(setting).code <= 1 ? high : low) = (low + high) / 2;
  }
  return high;
}

TEST_F(InterruptedRuns, ReportsTooLittleMemoryOfAnySize) {
  write_file(path("site.toml"), row_of_rooms(400));
  ASSERT_EQ(run({"failures", path("ranges.toml"), "--shard", "1/1", "--output", path("part")}).code, 0);
  const auto before = names();
  const std::size_t least = least_memory({"--version"}) + 300;
  for (const std::vector<std::string>& command :
       {std::vector<std::string>{"check", path("site.toml"), "--format", "json", "--quiet"},
        std::vector<std::string>{"spread", path("ranges.toml"), "--draws", "300", "--threads", "4", "--quiet"},
        std::vector<std::string>{"failures", path("ranges.toml"), "--threads", "4", "--pairs", "--quiet"},
        std::vector<std::string>{"merge", path("part"), "--quiet"},
        std::vector<std::string>{"report", path("site.toml"), "--quiet"}}) {
    const std::size_t enough = least_memory(command);
    ASSERT_GT(enough, least) << command[0];
    const Outcome unlimited = run(command);
    constexpr std::size_t steps = 8;
    for (std::size_t i = 0; i < steps; ++i) {
      Setting setting;
      setting.arguments = command;
      setting.memory = (least + (enough - least) * i / steps) << 10;
      const Outcome outcome = run(setting);
      if (outcome.code <= 1) {  // threads come and go: what fits is not the same every time
        EXPECT_EQ(outcome.out, unlimited.out) << command[0];
        continue;
      }
      EXPECT_EQ(outcome.code, 3) << command[0] << " with " << (setting.memory >> 10) << " kB: " << outcome.err;
      EXPECT_EQ(outcome.out, "");
      EXPECT_EQ(outcome.err, "leanside: error: there is not enough memory for this site; no result\n") << command[0];
      EXPECT_EQ(names(), before);
    }
  }
}

/// `piece` again and again between `begin` and `end`, to some 50 MB.
std::string countless(const std::string& begin, const std::string& piece, const std::string& end) {
  std::string out = begin;
  while (out.size() < 50'000'000) out += piece;
  return out + end;
}

/// A text needs far less memory than what is parsed from it: a file that is refused must not take that.
TEST_F(InterruptedRuns, CountlessValuesAreRefusedWithLittleMemory) {
  const std::vector<std::string> texts = {countless("x = [", "1,", "1]\n"),     countless("x = [", "\"a\",", "1]\n"),
                                          countless("x = [\n", "1,\n", "1]\n"), countless("x = [", "{},", "{}]\n"),
                                          countless("", "a=1\n", ""),           countless("", "[[space]]\n", ""),
                                          countless("", "[a]\n", ""),           countless("x = {", "a=1,", "b=1}\n")};
  for (const std::string& text : texts) {
    write_file(path("large.toml"), text);
    for (const std::vector<std::string>& command :
         {std::vector<std::string>{"check", path("large.toml")}, {"substances", "--substances", path("large.toml")}}) {
      Setting setting;
      setting.arguments = command;
      setting.memory = std::size_t{400} << 20;
      const Outcome outcome = run(setting);
      EXPECT_EQ(outcome.code, 2) << text.substr(0, 20);
      EXPECT_TRUE(has(outcome.err, "more than 1000000 keys and values in one file")) << outcome.err.substr(0, 300);
    }
  }
}

TEST_F(InterruptedRuns, TablesOfCountlessCellsAreRefusedWithLittleMemory) {
  write_file(path("lab.toml"), "title = \"Lab\"\n[[space]]\nid = \"lab\"\nkind = \"room\"\nvolume = \"210 m3\"\n");
  write_file(path("wide.csv"), countless("time_min", ",a", "\n"));
  write_file(path("long.csv"), countless("room,area\n", "1,2\n", ""));
  for (const std::vector<std::string>& command : {std::vector<std::string>{"import", path("wide.csv")},
                                                  {"import", path("long.csv")},
                                                  {"tracer", path("wide.csv"), path("lab.toml")}}) {
    Setting setting;
    setting.arguments = command;
    setting.memory = std::size_t{400} << 20;
    const Outcome outcome = run(setting);
    EXPECT_EQ(outcome.code, 2) << command[0] << " " << command[1];
    EXPECT_TRUE(has(outcome.err, "error: more than ")) << outcome.err.substr(0, 300);
  }
}

TEST_F(InterruptedRuns, WhatIsNoPartIsRefusedWithLittleMemory) {
  for (const std::string& text :
       {countless("{\"a\": [", "1,", "1]}"), countless("", "[", ""), countless("", "{\"\":", "")}) {
    write_file(path("large.json"), text);
    Setting setting;
    setting.arguments = {"merge", path("large.json")};
    setting.memory = std::size_t{400} << 20;
    const Outcome outcome = run(setting);
    EXPECT_EQ(outcome.code, 2) << text.substr(0, 20);
    EXPECT_TRUE(has(outcome.err, "not what a run with --shard writes")) << outcome.err.substr(0, 300);
  }
}
#endif

/// No input makes the program call itself deeper and deeper: a hundredth of the usual stack is enough.
TEST_F(InterruptedRuns, DeepNestingNeedsNoDeepStack) {
  constexpr std::size_t deep = 100'000;
  const auto nested = [](const std::string& open, const std::string& close) {
    std::string out;
    for (std::size_t i = 0; i < deep; ++i) out += open;
    out += "1";
    for (std::size_t i = 0; i < deep; ++i) out += close;
    return out;
  };
  const std::string head = "{\"leanside_part\": {\"version\": \"0\"}, \"x\": ";
  const std::vector<std::array<std::string, 3>> files = {{"check", "list.toml", "x = " + nested("[", "]")},
                                                         {"check", "table.toml", "x = " + nested("{a = ", "}")},
                                                         {"check", "key.toml", nested("a.", "") + " = 1"},
                                                         {"check", "header.toml", "[" + nested("a.", "") + "]"},
                                                         {"merge", "list.json", head + nested("[", "]") + "}"},
                                                         {"merge", "object.json", head + nested("{\"a\":", "}") + "}"}};
  for (const auto& [command, name, text] : files) {
    write_file(path(name), text);
    const std::string line = "ulimit -s 80; exec '" + leanside::testing::program_path().string() + "' " + command +
                             " '" + path(name) + "' > /dev/null 2>&1";
    const int status = std::system(line.c_str());
    ASSERT_TRUE(WIFEXITED(status)) << name;
    EXPECT_EQ(WEXITSTATUS(status), 2) << name;
  }
}

TEST_F(InterruptedRuns, ALowLimitOfTheStackIsRaised) {
  write_file(path("site.toml"), row_of_rooms(40));
  const std::string line = "ulimit -S -s 16; exec '" + leanside::testing::program_path().string() + "' check '" +
                           path("site.toml") + "' > '" + path("answer") + "' 2>&1";
  const int status = std::system(line.c_str());
  ASSERT_TRUE(WIFEXITED(status));
  EXPECT_LE(WEXITSTATUS(status), 1) << read_file(path("answer"));
}

/// Stops the run while it writes its series; false where the series has its name already.
bool stopped_while_writing(const Running& running, const fs::path& folder, const fs::path& series) {
  if (!comes([&] { return written_by(running.process, folder) > 0 || fs::exists(series); })) return false;
  ::kill(running.process, SIGSTOP);
  int status = 0;
  ::waitpid(running.process, &status, WUNTRACED);
  return WIFSTOPPED(status) && !fs::exists(series);
}

TEST_F(InterruptedRuns, WritesNoAnswerWhenTheSeriesCannotTakeItsName) {
  write_file(path("site.toml"), row_of_rooms(60));
  write_file(path("answer"), "old");
  for (const bool to_file : {true, false}) {
    Setting setting;
    setting.arguments = {"check", path("site.toml"), "--series-points", "2000", "--series", path("series.csv")};
    if (to_file) setting.arguments.insert(setting.arguments.end(), {"--output", path("answer")});
    const Running running = start(setting);
    ASSERT_TRUE(stopped_while_writing(running, folder_, path("series.csv")));
    ASSERT_TRUE(fs::create_directory(path("series.csv")));
    ::kill(running.process, SIGCONT);
    const Outcome outcome = finish(running);
    EXPECT_EQ(outcome.code, 2);
    EXPECT_TRUE(has(outcome.err, "cannot write")) << outcome.err;
    EXPECT_EQ(outcome.out, "");
    EXPECT_EQ(read_file(path("answer")), "old");
    fs::remove(path("series.csv"));
    for (const std::string& name : names()) EXPECT_FALSE(name.ends_with(".part")) << name;
  }
}

}  // namespace
}  // namespace leanside::cli_test
