// SPDX-License-Identifier: Apache-2.0
/// Disks that are full or read-only, and files that may not be touched. A file that was there stays whole, and what
/// went wrong is said.
#include <algorithm>

#include <gtest/gtest.h>
#include <sched.h>
#include <sys/mount.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/row_of_rooms.hpp"
#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

namespace fs = std::filesystem;

class Faults : public InFolder {
 protected:
  void SetUp() override {
    InFolder::SetUp();
    write_file(path("site.toml"), row_of_rooms(20));
    write_file(path("ranges.toml"), row_of_rooms(20, range_of_rates));
    write_file(path("lab.toml"), "title = \"Lab\"\n[[space]]\nid = \"lab\"\nkind = \"room\"\nvolume = \"210 m3\"\n");
    write_file(path("readings.csv"),
               "# background = 420 ppm\ntime_min,lab\n0,2420\n5,2157\n10,1932\n15,1713\n20,1551\n");
  }

  /// Every command that writes a file; the option that names it comes last.
  std::vector<std::vector<std::string>> writers() const {
    return {{"check", path("site.toml"), "--output"},
            {"check", path("site.toml"), "--format", "json", "--output"},
            {"check", path("site.toml"), "--series"},
            {"report", path("site.toml"), "--output"},
            {"draw", path("site.toml"), "--output"},
            {"compare", path("site.toml"), path("ranges.toml"), "--output"},
            {"failures", path("site.toml"), "--steady-only", "--output"},
            {"failures", path("site.toml"), "--steady-only", "--shard", "1/2", "--output"},
            {"size", path("site.toml"), "--output"},
            {"detectors", path("site.toml"), "--output"},
            {"spread", path("ranges.toml"), "--draws", "300", "--steady-only", "--output"},
            {"spread", path("ranges.toml"), "--draws", "300", "--steady-only", "--shard", "1/2", "--output"},
            {"tracer", path("readings.csv"), path("lab.toml"), "--output"},
            {"tracer", path("readings.csv"), path("lab.toml"), "--write-site"}};
  }

  /// `target` cannot be written: that is said, and the folder is as it was.
  void expect_refused(Setting setting, const std::string& target) const {
    const auto before = names();
    setting.arguments.push_back(target);
    const Outcome outcome = run(setting);
    const std::string what = setting.arguments[0] + " " + *(setting.arguments.end() - 2) + " " + target;
    EXPECT_EQ(outcome.code, 2) << what << "\n" << outcome.err;
    EXPECT_TRUE(has(outcome.err, "error: cannot write")) << what << "\n" << outcome.err;
    EXPECT_EQ(names(), before) << what;
  }
};
TEST_F(Faults, EveryCommandReportsAFullDevice) {
  for (const auto& command : writers()) {
    Setting setting;
    setting.arguments = command;
    expect_refused(setting, "/dev/full");
    setting.arguments.pop_back();
    if (command.back() != "--output" || command[0] == "report" || command[0] == "draw") continue;
    setting.standard_output = "/dev/full";
    const Outcome outcome = run(setting);
    EXPECT_EQ(outcome.code, 2) << command[0] << "\n" << outcome.err;
    EXPECT_TRUE(has(outcome.err, "cannot write to standard output")) << command[0] << "\n" << outcome.err;
  }
}

TEST_F(Faults, KeepsTheOldFileWhenTheNewOneMayNotGrow) {
  write_file(path("old"), "old");
  for (const auto& command : writers()) {
    Setting setting;
    setting.arguments = command;
    setting.file_size = 64;
    expect_refused(setting, path("old"));
    expect_refused(setting, path("new"));
    EXPECT_EQ(read_file(path("old")), "old") << command[0];
  }
  Setting setting;
  setting.arguments = {"check", path("site.toml")};
  setting.file_size = 64;
  setting.standard_output = path("out");
  EXPECT_EQ(run(setting).code, 2);
  fs::remove(path("out"));
}

TEST_F(Faults, WritesBothFilesOrNone) {
  const std::vector<std::string> tracer = {"tracer",       path("readings.csv"), path("lab.toml"),
                                           "--write-site", path("found.toml"),   "--output"};
  Setting setting;
  setting.arguments = tracer;
  expect_refused(setting, "/dev/full");
  setting.arguments.push_back(path("found.toml"));
  const Outcome same = run(setting);
  EXPECT_EQ(same.code, 2);
  EXPECT_TRUE(has(same.err, "--output and --write-site both name")) << same.err;
  setting.arguments.back() = path("answer");
  EXPECT_LE(run(setting).code, 1);
  EXPECT_TRUE(has(read_file(path("found.toml")), "[[space]]"));
  EXPECT_TRUE(has(read_file(path("answer")), "Air that comes in"));
}

/// Two names of one file, however: what is written second would replace what is written first.
TEST_F(Faults, NoFileIsWrittenTwiceUnderTwoNames) {
  write_file(path("old"), "old");
  fs::create_hard_link(path("old"), path("hard"));
  fs::create_symlink("old", path("link"));
  fs::create_symlink("new", path("dangling"));
  fs::create_directory(path("folder"));
  fs::create_symlink("folder", path("other"));
  const std::vector<std::pair<std::string, std::string>> pairs = {
      {"old", "hard"},  {"old", "link"},         {"link", "hard"}, {"new", "dangling"}, {"folder/new", "other/new"},
      {"old", "./old"}, {"new", "folder/../new"}};
  const std::vector<std::vector<std::string>> commands = {
      {"check", path("site.toml"), "--series"}, {"tracer", path("readings.csv"), path("lab.toml"), "--write-site"}};
  for (const auto& command : commands) {
    for (const auto& [one, two] : pairs) {
      for (const auto& [first, second] : {std::pair{one, two}, std::pair{two, one}}) {
        Setting setting;
        setting.folder = folder_.string();
        setting.arguments = command;
        setting.arguments.insert(setting.arguments.end(), {first, "--output", second});
        const Outcome outcome = run(setting);
        EXPECT_EQ(outcome.code, 2) << command.back() << " " << first << " " << second;
        EXPECT_TRUE(has(outcome.err, "both name")) << outcome.err;
      }
    }
    EXPECT_EQ(read_file(path("old")), "old");
    EXPECT_FALSE(fs::exists(path("new")));
    // The shell has emptied the file by the time that the program starts.
    Setting setting;
    setting.arguments = command;
    setting.arguments.push_back(path("answer"));
    setting.standard_output = path("answer");
    const Outcome outcome = run(setting);
    EXPECT_EQ(outcome.code, 2) << command.back();
    EXPECT_TRUE(has(outcome.err, "to which the answer goes as well")) << outcome.err;
  }
}

/// The answer goes to a file, and what comes second cannot take its name.
TEST_F(Faults, LeavesNoAnswerWhereTheSeriesCannotBePublished) {
  write_file(path("old"), "old");
  fs::create_directory(path("shut"));
  fs::permissions(path("shut"), fs::perms::owner_read | fs::perms::owner_exec);
  for (const char* series : {"shut/series", "missing/series", "shut"}) {
    for (const char* answer : {"old", "new"}) {
      Setting setting;
      setting.arguments = {"check", path("site.toml"), "--output", path(answer), "--series", path(series)};
      setting.plain_rights = true;
      EXPECT_EQ(run(setting).code, 2) << series;
      EXPECT_EQ(read_file(path("old")), "old") << series;
      EXPECT_FALSE(fs::exists(path("new"))) << series;
    }
  }
  fs::permissions(path("shut"), fs::perms::owner_all);
}

TEST_F(Faults, LeavesFilesAloneThatItMayNotReadOrWrite) {
  write_file(path("kept"), "old");
  fs::permissions(path("kept"), fs::perms::owner_read);
  fs::create_directory(folder_ / "shut");
  write_file(folder_ / "shut" / "old", "old");
  fs::permissions(folder_ / "shut", fs::perms::owner_read | fs::perms::owner_exec);
  write_file(path("secret.toml"), row_of_rooms(1));
  fs::permissions(path("secret.toml"), fs::perms::none);
  for (const auto& command : writers()) {
    Setting setting;
    setting.arguments = command;
    setting.plain_rights = true;
    expect_refused(setting, path("kept"));
    expect_refused(setting, path("shut/new"));
    expect_refused(setting, path("shut/old"));
    expect_refused(setting, "/proc/nothing-may-be-made-here");
  }
  EXPECT_EQ(read_file(path("kept")), "old");
  EXPECT_EQ(read_file(folder_ / "shut" / "old"), "old");
  Setting setting;
  setting.arguments = {"check", path("secret.toml")};
  setting.plain_rights = true;
  const Outcome outcome = run(setting);
  EXPECT_EQ(outcome.code, 2);
  EXPECT_TRUE(has(outcome.err, "you may not read this file")) << outcome.err;
  fs::permissions(folder_ / "shut", fs::perms::owner_all);
}

/// A file system of 64 kB over `folder`, which only this process and what it starts see.
bool mount_small(const std::string& folder) {
  const uid_t user = ::geteuid();
  if (::unshare(CLONE_NEWNS) != 0) {
    if (::unshare(CLONE_NEWUSER | CLONE_NEWNS) != 0) return false;
    write_file("/proc/self/uid_map", "0 " + std::to_string(user) + " 1\n");
  }
  return ::mount("none", "/", nullptr, MS_REC | MS_PRIVATE, nullptr) == 0 &&
         ::mount("small", folder.c_str(), "tmpfs", 0, "size=64k") == 0;
}

TEST_F(Faults, AFullOrReadOnlyDiskKeepsWhatItHolds) {
  fs::create_directory(folder_ / "disk");
  if (!mount_small(path("disk"))) {
    GTEST_SKIP() << "this machine lets no test mount a file system; AFileThatMayGrowNoFurtherIsNotReplaced stands in";
  }
  write_file(path("disk/old"), "old");
  write_file(path("disk/filler"), std::string(100000, 'x'));
  ASSERT_LT(read_file(path("disk/filler")).size(), 100000u) << "the disk is not full";
  for (const auto& command : writers()) {
    Setting setting;
    setting.arguments = command;
    expect_refused(setting, path("disk/old"));
    expect_refused(setting, path("disk/new"));
  }
  EXPECT_EQ(read_file(path("disk/old")), "old");
  EXPECT_FALSE(fs::exists(path("disk/new")));
  ASSERT_EQ(::mount(nullptr, path("disk").c_str(), nullptr, MS_REMOUNT | MS_RDONLY, nullptr), 0);
  Setting setting;
  setting.arguments = {"check", path("site.toml"), "--output"};
  expect_refused(setting, path("disk/old"));
  expect_refused(setting, path("disk/new"));
  EXPECT_EQ(read_file(path("disk/old")), "old");
  EXPECT_EQ(std::distance(fs::directory_iterator{path("disk")}, {}), 2);
  ::umount(path("disk").c_str());
}

}  // namespace
}  // namespace leanside::cli_test
