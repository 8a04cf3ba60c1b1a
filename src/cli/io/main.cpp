// SPDX-License-Identifier: Apache-2.0
#include <cstdlib>
#include <exception>
#include <new>
#include <string>
#include <variant>

#include <sys/resource.h>

#include "cli/io/command_line.hpp"
#include "cli/io/console.hpp"
#include "cli/io/output.hpp"

namespace {

using namespace leanside;
using namespace leanside::cli;

/// Lets the stack grow as far as is usual where the shell that starts the program allows less for now.
void ask_for_stack() {
  constexpr rlim_t usual = 8 * 1024 * 1024;
  rlimit limit = {};
  if (::getrlimit(RLIMIT_STACK, &limit) != 0 || limit.rlim_cur >= usual) return;
  limit.rlim_cur = limit.rlim_max < usual ? limit.rlim_max : usual;
  static_cast<void>(::setrlimit(RLIMIT_STACK, &limit));
}

int run(int argc, char** argv) {
  ask_for_stack();
  secure_standard_streams();
  Program program;
  for (const auto add :
       {add_check,    add_report,     add_page,      add_draw,      add_new,    add_import, add_export,
        add_explain,  add_substances, add_release,   add_reactions, add_purge,  add_stock,  add_compare,
        add_failures, add_size,       add_detectors, add_tracer,    add_spread, add_merge,  add_definitions}) {
    program.add(add);
  }
  const auto request = parse_command_line(program, {argv + 1, argv + argc});
  if (!request) return report_error(request.error());
  if (const auto* text = std::get_if<std::string>(&*request)) {
    const Failure failure = write_standard_output(*text);
    return failure ? report_error(Error::usage(*failure)) : nothing_found;
  }
  const auto outcome = program.run(*std::get<const Command*>(*request));
  return outcome ? *outcome : report_error(outcome.error());
}

constexpr const char* out_of_memory = "leanside: error: there is not enough memory for this site; no result\n";

/// If memory runs out in a destructor, no exception can pass; this ends the program in order, too.
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
    write_standard_error(out_of_memory);
  } catch (const std::exception& fault) {
    write_standard_error("leanside: error: a fault of the program, please report it: ");
    write_standard_error(fault.what());
    write_standard_error("\n");
  } catch (...) {
    write_standard_error("leanside: error: a fault of the program, please report it\n");
  }
  return failed_to_compute;
}
