// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cstdlib>
#include <exception>
#include <map>
#include <memory>
#include <new>
#include <sstream>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include "cli/console.hpp"

namespace {

using namespace leanside;
using namespace leanside::cli;

void start_log() {
  auto logger = std::make_shared<spdlog::logger>("leanside", std::make_shared<spdlog::sinks::stderr_sink_mt>());
  logger->set_pattern("leanside: %l: %v");
  spdlog::set_default_logger(std::move(logger));
}

/// "; did you mean '--format'?" for the first word that is neither an option nor a command; empty where none is near.
std::string nearest_words(const CLI::App& app, const std::vector<std::string>& words) {
  std::vector<std::string> known;
  for (const CLI::App* command : app.get_subcommands(nullptr)) known.push_back(command->get_name());
  for (const CLI::App* command : app.get_subcommands()) {
    for (const CLI::Option* option : command->get_options()) {
      for (const std::string& name : option->get_lnames()) known.push_back("--" + name);
    }
  }
  for (const std::string& word : words) {
    if (std::find(known.begin(), known.end(), word) != known.end()) continue;
    const std::string near = nearest_name(word, known);
    if (!near.empty()) return fmt::format(" ('{}': did you mean '{}'?)", word, near);
  }
  return {};
}

/// Help and version to standard output; anything else is bad usage.
int answer(const CLI::App& app, const CLI::ParseError& outcome, const std::vector<std::string>& words) {
  std::ostringstream out, err;
  const bool asked_for = app.exit(outcome, out, err) == 0;
  if (!asked_for) {
    std::string command = "leanside";
    for (const CLI::App* sub : app.get_subcommands()) command += " " + sub->get_name();
    const bool unknown_word = outcome.get_exit_code() == static_cast<int>(CLI::ExitCodes::ExtrasError) ||
                              outcome.get_exit_code() == static_cast<int>(CLI::ExitCodes::RequiredError);
    complain(fmt::format("{}{}; `{} --help` tells what can be asked", outcome.what(),
                         unknown_word ? nearest_words(app, words) : "", command));
    return bad_input;
  }
  if (const Failure failure = write_standard_output(out.str())) {
    complain(*failure);
    return bad_input;
  }
  return nothing_found;
}

int run(int argc, char** argv) {
  secure_standard_streams();
  start_log();
  CLI::App app{"Where a flammable mixture can form in rooms, cabinets and vessels, and what would keep it away.",
               "leanside"};
  app.set_version_flag("--version", fmt::format("leanside {}", version()), "Show the version and leave");
  app.require_subcommand(1);
  app.footer("A screening aid: every answer ends with what it cannot replace.");
  std::map<std::string, std::function<int()>> commands;
  commands["check"] = add_check(app);
  commands["report"] = add_report(app);
  commands["draw"] = add_draw(app);
  commands["new"] = add_new(app);
  commands["explain"] = add_explain(app);
  commands["substances"] = add_substances(app);
  commands["release"] = add_release(app);
  commands["reactions"] = add_reactions(app);
  commands["purge"] = add_purge(app);
  commands["stock"] = add_stock(app);
  commands["compare"] = add_compare(app);
  commands["failures"] = add_failures(app);
  commands["size"] = add_size(app);
  commands["detectors"] = add_detectors(app);
  commands["tracer"] = add_tracer(app);
  commands["spread"] = add_spread(app);
  commands["merge"] = add_merge(app);
  commands["definitions"] = add_definitions(app);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& outcome) {
    return answer(app, outcome, {argv + 1, argv + argc});
  }
  return commands.at(app.get_subcommands().front()->get_name())();
}

constexpr const char* out_of_memory = "leanside: error: there is not enough memory for this site; no result\n";

/// Where memory runs out while things are being put away, no exception can pass: that is no crash either.
[[noreturn]] void end() {
  try {
    if (const auto cause = std::current_exception()) std::rethrow_exception(cause);
  } catch (const std::bad_alloc&) {
    write_standard_error(out_of_memory);
    std::_Exit(failed_to_compute);
  } catch (...) {
  }
  write_standard_error("leanside: error: a fault of the program, please report it\n");
  std::abort();
}

}  // namespace

int main(int argc, char** argv) {
  std::set_terminate(end);
  try {
    return run(argc, argv);
  } catch (const std::bad_alloc&) {
    leanside::cli::write_standard_error(out_of_memory);
  } catch (const std::exception& fault) {
    leanside::cli::write_standard_error("leanside: error: a fault of the program, please report it: ");
    leanside::cli::write_standard_error(fault.what());
    leanside::cli::write_standard_error("\n");
  } catch (...) {
    leanside::cli::write_standard_error("leanside: error: a fault of the program, please report it\n");
  }
  return leanside::cli::failed_to_compute;
}
