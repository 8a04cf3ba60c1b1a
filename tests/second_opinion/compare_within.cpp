// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <string>

#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include "second_opinion/compare.hpp"

namespace second_opinion {
namespace {

using Json = nlohmann::json;

/// A double as JSON writes it, but infinite ones too.
std::string written(const Comparison& c) {
  return Json{{"disagreements", c.disagreements},
              {"worst", fmt::format("{}", c.worst)},
              {"fault", c.fault},
              {"beyond", c.beyond},
              {"values", c.values},
              {"layered", c.layered},
              {"mixed", c.mixed}}
      .dump(-1, ' ', false, Json::error_handler_t::replace);
}

Comparison read(const std::string& text) {
  const Json json = Json::parse(text);
  Comparison c;
  json.at("disagreements").get_to(c.disagreements);
  c.worst = std::stod(json.at("worst").get<std::string>());
  json.at("fault").get_to(c.fault);
  json.at("beyond").get_to(c.beyond);
  json.at("values").get_to(c.values);
  json.at("layered").get_to(c.layered);
  json.at("mixed").get_to(c.mixed);
  return c;
}

[[noreturn]] void answer(int to, const Site& site, const Allowed& allowed, unsigned cpu_seconds) {
  const rlimit limit{cpu_seconds, cpu_seconds + 5};
  ::setrlimit(RLIMIT_CPU, &limit);
  const std::string text = written(compare(site, allowed));
  for (std::size_t at = 0; at < text.size();) {
    const ssize_t n = ::write(to, text.data() + at, text.size() - at);
    if (n < 0 && errno != EINTR) ::_exit(1);
    if (n > 0) at += static_cast<std::size_t>(n);
  }
  ::_exit(0);
}

Comparison failed(const std::string& why) {
  Comparison c;
  c.disagreements.push_back(why);
  return c;
}

}  // namespace

Comparison compare_within(const Site& site, const Allowed& allowed, unsigned cpu_seconds) {
  std::array<int, 2> ends{};
  std::fflush(nullptr);  // or the child writes again what is still to be written
  if (::pipe(ends.data()) != 0) return failed("no pipe for the second solver");
  const pid_t child = ::fork();
  if (child < 0) return failed("no process for the second solver");
  if (child == 0) {
    ::close(ends[0]);
    answer(ends[1], site, allowed, cpu_seconds);
  }
  ::close(ends[1]);
  std::string text;
  std::array<char, 65536> block{};
  for (ssize_t n = 0; (n = ::read(ends[0], block.data(), block.size())) != 0;) {
    if (n > 0) text.append(block.data(), static_cast<std::size_t>(n));
    if (n < 0 && errno != EINTR) break;
  }
  ::close(ends[0]);
  int status = 0;
  while (::waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  if (WIFEXITED(status) && WEXITSTATUS(status) == 0) return read(text);
  if (WIFSIGNALED(status) && (WTERMSIG(status) == SIGXCPU || WTERMSIG(status) == SIGKILL)) {
    Comparison late;
    late.beyond = fmt::format("no answer in {} s", cpu_seconds);
    return late;
  }
  return failed(fmt::format("the comparison ended with status {}", status));
}

}  // namespace second_opinion
