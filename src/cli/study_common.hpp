// SPDX-License-Identifier: Apache-2.0
/// What the commands for studies share: reading sites, delivering one answer, telling why there is none.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/console.hpp"
#include "leanside/hazard.hpp"
#include "leanside/site_file.hpp"

namespace leanside::cli {

struct StudyOptions {
  CommonOptions common;
  std::optional<std::string> output;
  bool quiet = false;
};
/// --format, --substances, --ascii, --output, --quiet, and the footer that tells the exit codes; `one` says what exit
/// code 1 means here.
void add_study_options(CLI::App& command, StudyOptions& options, const std::string& one);

/// The site of a file, or nothing where it has errors; what is to be said of it has then been shown.
std::optional<Site> read_for_study(const StudyOptions& options, const std::string& path,
                                   const SubstanceTable& substances);

/// Where the answer goes; opened before anything is computed, so that a bad path is told at once.
class StudyOutput {
 public:
  /// Empty where the file cannot be written, or is one of `inputs`; that has then been told.
  static std::optional<StudyOutput> open(const StudyOptions& options, const std::vector<std::string>& inputs);
  /// Writes the answer and returns `code`, or bad_input where that failed.
  int deliver(const std::string& text, int code);

 private:
  std::optional<PendingFile> file_;
};

/// Tells why the computation of `file` stopped; returns the exit code.
int told(const SolveFault& fault, const std::string& file);

/// A fraction or percentage given as an option: "0.1", "2 %". Empty where it is none; that has then been told.
std::optional<double> fraction_option(const std::string& name, const std::string& text);

}  // namespace leanside::cli
