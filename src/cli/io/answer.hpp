// SPDX-License-Identifier: Apache-2.0
/// Where the answer of a command goes.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cli/io/console.hpp"
#include "cli/io/output.hpp"

namespace leanside::cli {

/// A second file of a command, such as the one of --series.
struct SecondFile {
  std::string option;
  std::optional<std::string> path;
};

/// The answer, to standard output or a file, and the second file where there is one: both appear whole, or neither.
/// Opened before anything is computed, so that a bad path is an error at once.
class Answer {
 public:
  /// An error where a file cannot be written, is one of `inputs` or the file of --substances, or both are the same.
  static Outcome<Answer> open(const CommonOptions& options, std::vector<std::string> inputs,
                              const SecondFile& second = {});

  /// For an answer that another command, which read other files, would have given just so.
  void stands_for(std::string command, std::vector<std::string> files);

  bool has_second() const { return second_.has_value(); }
  /// Adds to the second file; the first failure is kept for deliver().
  void write_second(std::string_view text);

  /// Writes the answer, gives all files their names and passes `code` on. An answer in JSON gets its envelope
  /// (json_document) here.
  Outcome<ExitCode> deliver(std::string_view text, ExitCode code);
  /// The same for a text without a format: the part of a sweep.
  Outcome<ExitCode> deliver_part(std::string_view text);

 private:
  Failure write(std::string_view text);

  bool json_ = false;
  std::string command_;
  std::vector<std::string> inputs_;

  std::optional<PendingFile> first_, second_;
  Failure failure_;  ///< of the second file
};

/// An error where a document that is nothing to read would go to a terminal.
std::optional<Error> refuse_terminal(const CommonOptions& options);

}  // namespace leanside::cli
