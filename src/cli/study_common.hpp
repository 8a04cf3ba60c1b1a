// SPDX-License-Identifier: Apache-2.0
/// What the commands for studies share.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "cli/console.hpp"
#include "cli/document.hpp"
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

/// Where the answer goes; opened before anything is computed, so that a bad path is told at once. Empty where it cannot
/// be written, or is one of `inputs`; that has then been told.
std::optional<Document> open_output(const StudyOptions& options, std::vector<std::string> inputs);

/// A fraction or percentage given as an option: "0.1", "2 %". Empty where it is none; that has then been told.
std::optional<double> fraction_option(const std::string& name, const std::string& text);

}  // namespace leanside::cli
