// SPDX-License-Identifier: Apache-2.0
/// What a command gives back: a value, or why there is none.
#pragma once

#include <string>
#include <utility>
#include <variant>

#include "leanside/diagnostic.hpp"

namespace leanside {
struct Fault;
}  // namespace leanside

namespace leanside::cli {

/// Exit codes of every command (docs/results.md).
enum ExitCode : int { nothing_found = 0, warnings_found = 1, bad_input = 2, failed_to_compute = 3, interrupted = 130 };

/// Why a command has no answer: what to tell the user, each part with its place in a file where it has one, and the
/// exit code.
struct Error {
  Diagnostics diagnostics;
  ExitCode code = bad_input;

  /// Of the command line, or of a file that cannot be written: there is no place to name.
  static Error usage(std::string message);
  /// Of a file as a whole.
  static Error in_file(const std::string& file, std::string message);
  /// Of an input file, each fault with its line and column.
  static Error in_file(Diagnostics diagnostics) { return {std::move(diagnostics), bad_input}; }
  /// Why the library has no answer about `file`, with the exit code that its kind calls for.
  static Error of(const Fault& fault, const std::string& file);
};

/// A value of T or the Error in its place.
template <class T>
class [[nodiscard]] Outcome {
 public:
  Outcome(T value) : held_{std::in_place_index<0>, std::move(value)} {}
  Outcome(Error error) : held_{std::in_place_index<1>, std::move(error)} {}

  explicit operator bool() const { return held_.index() == 0; }
  /// The value; only where there is one.
  T& operator*() { return *std::get_if<0>(&held_); }
  const T& operator*() const { return *std::get_if<0>(&held_); }
  T* operator->() { return std::get_if<0>(&held_); }
  const T* operator->() const { return std::get_if<0>(&held_); }
  /// The error; only where there is no value.
  const Error& error() const { return *std::get_if<1>(&held_); }

 private:
  std::variant<T, Error> held_;
};

}  // namespace leanside::cli
