// SPDX-License-Identifier: Apache-2.0
#include "cli/run_program.hpp"

#include <algorithm>
#include <array>
#include <csignal>
#include <cstdlib>
#include <fstream>
#include <iterator>
#include <sstream>
#include <stdexcept>

#include <fcntl.h>
#include <linux/capability.h>
#include <poll.h>
#include <pty.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "support/paths.hpp"

namespace leanside::cli_test {
namespace {

namespace fs = std::filesystem;

struct Pipe {
  int read_end = -1, write_end = -1;
};

Pipe make_pipe() {
  std::array<int, 2> ends{};
  if (::pipe2(ends.data(), O_CLOEXEC) != 0) throw std::runtime_error{"no pipe"};
  return {ends[0], ends[1]};
}

Pipe make_terminal() {
  Pipe out;
  winsize size{};
  size.ws_col = 100;
  size.ws_row = 50;
  if (::openpty(&out.read_end, &out.write_end, nullptr, nullptr, &size) != 0) throw std::runtime_error{"no terminal"};
  ::fcntl(out.read_end, F_SETFD, FD_CLOEXEC);
  ::fcntl(out.write_end, F_SETFD, FD_CLOEXEC);
  return out;
}

/// What LEANSIDE_UNDER names, word by word: a program that the one under test runs in, such as Valgrind.
std::vector<std::string> launcher() {
  const char* const value = std::getenv("LEANSIDE_UNDER");
  std::istringstream in{value == nullptr ? "" : value};
  return {std::istream_iterator<std::string>{in}, {}};
}

/// In the child; never returns.
[[noreturn]] void become_program(const Setting& setting, int out, int err, std::vector<char*>& argv) {
  std::signal(SIGPIPE, SIG_DFL);
  const int nothing = ::open("/dev/null", O_RDONLY);
  ::dup2(nothing, 0);
  ::dup2(err, 2);
  if (setting.standard_output == "closed") {
    ::close(1);
  } else {
    ::dup2(out, 1);
  }
  if (!setting.folder.empty() && ::chdir(setting.folder.c_str()) != 0) ::_exit(126);
  for (const char* name : {"LC_CTYPE", "LANG", "COLUMNS", "NO_COLOR", "TERM"}) ::unsetenv(name);
  ::setenv("LC_ALL", "C", 1);
  for (const auto& [name, value] : setting.environment) ::setenv(name.c_str(), value.c_str(), 1);
  if (setting.memory > 0) {
    const rlimit limit{setting.memory, setting.memory};
    ::setrlimit(RLIMIT_AS, &limit);
  }
  if (setting.file_size > 0) {
    const rlimit limit{setting.file_size, setting.file_size};
    ::setrlimit(RLIMIT_FSIZE, &limit);
  }
  if (setting.plain_rights) {
    ::prctl(PR_CAPBSET_DROP, CAP_DAC_OVERRIDE, 0, 0, 0);
    ::prctl(PR_CAPBSET_DROP, CAP_DAC_READ_SEARCH, 0, 0, 0);
  }
  ::execvp(argv.front(), argv.data());
  ::_exit(127);
}

/// Reads both until both have ended.
void drain(int out, int err, Outcome& outcome) {
  std::array<pollfd, 2> waiting{{{out, POLLIN, 0}, {err, POLLIN, 0}}};
  std::array<std::string*, 2> into{&outcome.out, &outcome.err};
  while (waiting[0].fd >= 0 || waiting[1].fd >= 0) {
    if (::poll(waiting.data(), waiting.size(), -1) < 0) break;
    for (std::size_t i = 0; i < waiting.size(); ++i) {
      if (waiting[i].fd < 0 || waiting[i].revents == 0) continue;
      std::array<char, 65536> buffer{};
      const ssize_t n = ::read(waiting[i].fd, buffer.data(), buffer.size());
      if (n > 0) {
        into[i]->append(buffer.data(), static_cast<std::size_t>(n));
      } else {
        waiting[i].fd = -1;  // a terminal whose other side is closed fails instead of ending
      }
    }
  }
}

}  // namespace

Running start(const Setting& setting) {
  std::vector<std::string> words = launcher();
  words.push_back(leanside::testing::program_path().string());
  words.insert(words.end(), setting.arguments.begin(), setting.arguments.end());
  std::vector<char*> argv;
  for (std::string& word : words) argv.push_back(word.data());
  argv.push_back(nullptr);

  Pipe out = setting.terminal ? make_terminal() : make_pipe();
  const Pipe err = make_pipe();
  const std::string& target = setting.standard_output;
  int given = out.write_end;
  if (target == "broken") {
    ::close(out.read_end);
    out.read_end = -1;
  } else if (!target.empty() && target != "closed") {
    given = ::open(target.c_str(), O_WRONLY | O_CREAT | O_CLOEXEC, 0666);
  }
  const pid_t child = ::fork();
  if (child < 0) throw std::runtime_error{"no process"};
  if (child == 0) become_program(setting, given, err.write_end, argv);
  if (given != out.write_end) ::close(given);
  ::close(out.write_end);
  ::close(err.write_end);
  return {child, out.read_end, err.read_end};
}

Outcome finish(const Running& running) {
  Outcome outcome;
  drain(running.out, running.err, outcome);
  if (running.out >= 0) ::close(running.out);
  ::close(running.err);
  int status = 0;
  ::waitpid(running.process, &status, 0);
  outcome.code = WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
  return outcome;
}

Outcome run(const Setting& setting) { return finish(start(setting)); }

Outcome run(const std::vector<std::string>& arguments) {
  Setting setting;
  setting.arguments = arguments;
  return run(setting);
}

nlohmann::json answer_in(const std::string& text) { return nlohmann::json::parse(text).at("answer"); }

std::string read_file(const fs::path& path) {
  std::ifstream in{path, std::ios::binary};
  std::ostringstream text;
  text << in.rdbuf();
  return text.str();
}

void write_file(const fs::path& path, const std::string& text) {
  std::ofstream out{path, std::ios::binary};
  out << text;
}

std::vector<std::string> lines_of(const std::string& text) {
  std::vector<std::string> out;
  std::istringstream in{text};
  for (std::string line; std::getline(in, line);) out.push_back(line);
  return out;
}

bool has(const std::string& text, const std::string& part) {
  const auto stands_at = [&](std::size_t at) {
    for (const char c : part) {
      if (c == ' ' && at < text.size() && text[at] == '\n') {
        at = text.find_first_not_of(' ', at + 1);
      } else if (at >= text.size() || text[at++] != c) {
        return false;
      }
    }
    return true;
  };
  for (std::size_t at = 0; at + part.size() <= text.size(); ++at) {
    if (stands_at(at)) return true;
  }
  return false;
}

fs::path source(const std::string& path) { return leanside::testing::source_path(path); }

std::string example(const std::string& name) { return source("examples/" + name + ".toml").string(); }

std::string small_site(const std::string& rate) {
  return R"(title = "One room"
[[space]]
id = "room"
kind = "room"
volume = "50 m3"
air_changes = "1 /h"
[[release]]
id = "leak"
kind = "steady"
into = "room"
gas = "methane"
rate = ")" +
         rate + "\"\n[[case]]\nid = \"leak-off\"\nevent = [{ at = \"1 h\", release = \"leak\", on = false }]\n";
}

void InFolder::SetUp() {
  std::string pattern = (fs::temp_directory_path() / "leanside-test-").string() + std::string(6, 'X');
  ASSERT_NE(::mkdtemp(pattern.data()), nullptr);
  folder_ = pattern;
}

void InFolder::TearDown() {
  std::error_code ignored;
  fs::remove_all(folder_, ignored);
}

std::vector<std::string> InFolder::names() const {
  std::vector<std::string> out;
  for (const auto& entry : fs::directory_iterator{folder_}) out.push_back(entry.path().filename().string());
  std::sort(out.begin(), out.end());
  return out;
}

}  // namespace leanside::cli_test
