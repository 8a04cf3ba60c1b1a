// SPDX-License-Identifier: Apache-2.0
/// What should not matter: the language of the machine, its time zone, how an editor ends lines and marks a file, how a
/// file is reached.
#include <csignal>
#include <thread>

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <sys/wait.h>
#include <unistd.h>

#include "cli/run_program.hpp"

namespace leanside::cli_test {
namespace {

namespace fs = std::filesystem;

constexpr const char* readings =
    "# background = 420 ppm\ntime_min,lab\n0,2420\n5,2157.5\n10,1932\n15,1713\n20,1551.5\n25,1391\n30,1266\n";

constexpr const char* substances =
    "[[substance]]\nid = \"mystery-gas\"\nname = \"Mystery gas\"\nsource = \"invented\"\nmolar_mass_g_mol = 30.5\n"
    "limits_pct = [[3.5, 12]]\noxygen_demand = 3\n";

class Surroundings : public InFolder {
 protected:
  void SetUp() override {
    InFolder::SetUp();
    put("plain", [](const std::string& text) { return text; });
  }

  /// A folder with one site, one table of substances and one of readings, each as `changed` makes it.
  template <class Change>
  void put(const std::string& folder, const Change& changed) const {
    fs::create_directory(folder_ / folder);
    std::string site = read_file(source("examples/uncertain-store.toml"));
    write_file(folder_ / folder / "store.toml", changed(site));
    site = small_site("0.8 m3/h");
    site.replace(site.find("\"methane\""), 9, "\"mystery-gas\"");
    write_file(folder_ / folder / "mystery.toml", changed(site));
    write_file(folder_ / folder / "mine.toml", changed(substances));
    write_file(folder_ / folder / "lab.toml",
               changed("title = \"Lab\"\n[[space]]\nid = \"lab\"\nkind = \"room\"\nvolume = \"210.5 m3\"\n"));
    write_file(folder_ / folder / "readings.csv", changed(readings));
  }

  /// What the program answers to many questions in that folder, one after the other.
  std::string answers(const std::string& folder, std::map<std::string, std::string> environment,
                      bool with_page = true) const {
    std::vector<std::vector<std::string>> questions = {
        {"check", "store.toml"},
        {"check", "store.toml", "--format", "json"},
        {"check", "store.toml", "--format", "csv", "--series", "/dev/stdout", "--series-points", "7"},
        {"check", "mystery.toml", "--substances", "mine.toml", "--format", "json"},
        {"failures", "store.toml", "--pairs"},
        {"spread", "store.toml", "--draws", "300"},
        {"explain", "store.toml", "store"},
        {"tracer", "readings.csv", "lab.toml"},
        {"tracer", "readings.csv", "lab.toml", "--write-site", "/dev/stdout", "--format", "json"},
        {"substances", "hydrogen"}};
    if (with_page) questions.push_back({"report", "store.toml"});
    std::string out;
    for (const auto& question : questions) {
      Setting setting;
      setting.arguments = question;
      setting.folder = path(folder);
      setting.environment = environment;
      const Outcome outcome = run(setting);
      EXPECT_LE(outcome.code, 1) << question[0] << " " << question[1] << "\n" << outcome.err;
      out += outcome.out + outcome.err;
    }
    return out;
  }
};

/// What coreutils make of the locale: the check that there is one.
std::string half(const std::map<std::string, std::string>& environment) {
  std::string command = "env";
  for (const auto& [name, value] : environment) command += " " + name + "=" + value;
  FILE* const pipe = ::popen((command + " printf %.1f 0.5 2>/dev/null || true").c_str(), "r");
  std::string out;
  for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) out += static_cast<char>(c);
  ::pclose(pipe);
  return out;
}

TEST_F(Surroundings, ALocaleWithDecimalCommasChangesNothing) {
  fs::create_directory(folder_ / "locales");
  const std::string command = "localedef -i de_DE -f UTF-8 '" + path("locales/de_DE.UTF-8") + "' >/dev/null 2>&1";
  static_cast<void>(std::system(command.c_str()));  // it returns 1 where it has but warnings
  const std::map<std::string, std::string> german = {{"LC_ALL", "de_DE.UTF-8"}, {"LOCPATH", path("locales")}};
  ASSERT_EQ(half(german), "0,5") << "localedef made no locale; the package locales has what it needs";
  EXPECT_EQ(answers("plain", german), answers("plain", {{"LC_ALL", "C.UTF-8"}}));
}

TEST_F(Surroundings, TheTimeZoneChangesNothing) {
  const std::string expected = answers("plain", {});
  for (const char* zone : {"Pacific/Auckland", "XYZ-14:30", "", ":/dev/null"}) {
    EXPECT_EQ(answers("plain", {{"TZ", zone}}), expected) << zone;
  }
}

std::string with_carriage_returns(const std::string& text) {
  std::string out;
  for (const char c : text) out += c == '\n' ? std::string{"\r\n"} : std::string{c};
  return out;
}

TEST_F(Surroundings, LineEndsAndByteOrderMarksChangeNothing) {
  put("windows", with_carriage_returns);
  put("marked", [](const std::string& text) { return "\xef\xbb\xbf" + text; });
  put("both", [](const std::string& text) { return "\xef\xbb\xbf" + with_carriage_returns(text); });
  put("no-last-line-end", [](const std::string& text) { return text.substr(0, text.size() - 1); });
  // The page tells the digest of the file, which does differ.
  const std::string expected = answers("plain", {}, false);
  for (const char* folder : {"windows", "marked", "both", "no-last-line-end"}) {
    EXPECT_EQ(answers(folder, {}, false), expected) << folder;
  }
}

TEST_F(Surroundings, RefusesOldEncodingsByName) {
  const std::map<std::string, std::string> texts = {{"lone-returns",
                                                     [] {
                                                       std::string text = substances;
                                                       for (char& c : text) c = c == '\n' ? '\r' : c;
                                                       return text;
                                                     }()},
                                                    {"utf-16", std::string{"\xff\xfe#\0\n\0", 6}},
                                                    {"latin-1", "# K\xfchlschrank\n"},
                                                    {"zeros", std::string(64, '\0')}};
  for (const auto& [name, text] : texts) {
    write_file(path(name), text);
    for (const std::vector<std::string>& command :
         {std::vector<std::string>{"check", path(name)},
          std::vector<std::string>{"check", path("plain/store.toml"), "--substances", path(name)},
          std::vector<std::string>{"tracer", path(name), path("plain/lab.toml")},
          std::vector<std::string>{"merge", path(name)}}) {
      const Outcome outcome = run(command);
      EXPECT_EQ(outcome.code, 2) << name << " " << command[0] << outcome.err;
      EXPECT_EQ(outcome.out, "");
      EXPECT_TRUE(has(outcome.err, name)) << outcome.err;
      EXPECT_TRUE(has(outcome.err, "error")) << outcome.err;
    }
  }
}

TEST_F(Surroundings, InputIsReadThroughLinksAndPipes) {
  const std::string expected = run({"check", path("plain/store.toml"), "--quiet", "--format", "csv"}).out;
  fs::create_symlink("plain", folder_ / "folder-link");
  fs::create_symlink("folder-link/store.toml", folder_ / "link");
  EXPECT_EQ(run({"check", path("link"), "--quiet", "--format", "csv"}).out, expected);
  ASSERT_EQ(::mkfifo(path("pipe").c_str(), 0600), 0);
  std::thread writer{[&] { write_file(path("pipe"), read_file(path("plain/store.toml"))); }};
  const Outcome outcome = run({"check", path("pipe"), "--quiet", "--format", "csv"});
  writer.join();
  EXPECT_EQ(outcome.out, expected) << outcome.err;
}

TEST_F(Surroundings, RefusesWhatIsNotATextFile) {
  fs::create_symlink("nowhere", folder_ / "dangling");
  fs::create_symlink("loop", folder_ / "loop");
  const int socket = ::socket(AF_UNIX, SOCK_STREAM, 0);
  sockaddr_un address{};
  address.sun_family = AF_UNIX;
  path("socket").copy(address.sun_path, sizeof address.sun_path - 1);
  ASSERT_EQ(::bind(socket, reinterpret_cast<const sockaddr*>(&address), sizeof address), 0);
  const std::string store = path("plain/store.toml"), lab = path("plain/lab.toml");
  for (const std::string& bad : {path("dangling"), path("loop"), path("socket"), path("plain"), path("plain/"),
                                 std::string{"/dev/null"}, std::string{"/dev/zero"}, std::string{"/proc/self/mem"}}) {
    for (const std::vector<std::string>& command :
         {std::vector<std::string>{"check", bad}, std::vector<std::string>{"check", store, "--substances", bad},
          std::vector<std::string>{"tracer", bad, lab}, std::vector<std::string>{"merge", bad}}) {
      if (bad == "/dev/null" && command.size() == 4) continue;  // a table that adds nothing
      const Outcome outcome = run(command);
      EXPECT_EQ(outcome.code, 2) << command[0] << " " << bad << "\n" << outcome.err;
      EXPECT_EQ(outcome.out, "");
      EXPECT_TRUE(has(outcome.err, "error")) << outcome.err;
    }
  }
  ::close(socket);
}

TEST_F(Surroundings, AClosedPipeIsAnError) {
  ASSERT_EQ(::mkfifo(path("pipe").c_str(), 0600), 0);
  const int reader = ::open(path("pipe").c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC);
  Setting setting;  // more than fits into a pipe
  setting.arguments = {"check", path("plain/store.toml"), "--series", path("pipe"), "--series-points", "20000"};
  const Running running = start(setting);
  for (char first = 0; ::read(reader, &first, 1) != 1;) std::this_thread::yield();
  ::close(reader);
  const Outcome outcome = finish(running);
  EXPECT_EQ(outcome.code, 2);
  EXPECT_EQ(outcome.out, "");
  EXPECT_TRUE(has(outcome.err, "cannot write")) << outcome.err;
}

}  // namespace
}  // namespace leanside::cli_test
