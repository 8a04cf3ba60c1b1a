// SPDX-License-Identifier: Apache-2.0
/// What a function of the library gives back that may have no answer.
#pragma once

#include <cstddef>
#include <string>
#include <utility>
#include <variant>

#include "leanside/diagnostic.hpp"

namespace leanside {

enum class FaultKind {
  unsolved,   ///< the equations could not be solved; nothing in the input is known to be wrong
  unsound,    ///< solved, but round-off made the result unusable; it is withheld
  bad_input,  ///< the input is wrong: the user has to change it
  stopped,    ///< the caller stopped the computation
};

/// Why there is no answer.
struct Fault {
  std::string message;  ///< names the case, the space and the time where known; the first of `diagnostics` if any
  FaultKind kind = FaultKind::unsolved;
  Diagnostics diagnostics{};  ///< of an input text: everything that is wrong with it, each with its place

  /// An input text with the errors `found`, at least one.
  static Fault in_input(Diagnostics found) { return {found.front().message, FaultKind::bad_input, std::move(found)}; }
  static Fault bad_input(std::string message) { return {std::move(message), FaultKind::bad_input}; }
  /// A sweep that the caller stopped after `done` of `total` runs.
  static Fault stopped(std::size_t done, std::size_t total) {
    return {"stopped after " + std::to_string(done) + " of " + std::to_string(total) + " runs", FaultKind::stopped};
  }
  bool is_bad_input() const { return kind == FaultKind::bad_input; }
};

/// A value of T, or why there is none.
template <class T>
using Result = std::variant<T, Fault>;

}  // namespace leanside
