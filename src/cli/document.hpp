// SPDX-License-Identifier: Apache-2.0
/// What the commands that make one document share: reading a site, delivering the document, telling why there is none.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "cli/console.hpp"
#include "leanside/hazard.hpp"

namespace leanside::cli {

struct DocumentOptions {
  std::optional<std::string> file;
  std::optional<std::string> output;
  std::optional<std::string> substances;
  bool quiet = false;
};

/// FILE, -o, --substances, --quiet, --version.
void add_document_options(CLI::App& command, DocumentOptions& options);

/// A site with what is to be said of it, and how it came about.
struct LoadedSite {
  Site site;
  Diagnostics notices;
  RunRecord run;
};

/// Reads the site, or the built-in example where no file is named. Empty where it has errors, or where the output
/// would overwrite what is read; that has then been told. `command`: "leanside report", for the record.
std::optional<LoadedSite> load(const DocumentOptions& options, const std::string& command);

/// The case of that id; where there is none, that has been told.
std::optional<CaseIndex> case_named(const Site& site, const std::string& id);

/// Where the document goes; opened before anything is computed, so that a bad path is told at once.
class Document {
 public:
  /// Empty where it cannot be opened; that has then been told. `for_people`: text that a terminal may show.
  static std::optional<Document> open(const DocumentOptions& options, bool for_people);
  /// Standard output where no file is named. Empty also where the file is one of `inputs`, which are read.
  static std::optional<Document> open(const std::optional<std::string>& output, const std::vector<std::string>& inputs);
  /// Writes all of it and returns `code`, or bad_input where that failed and has been told.
  int deliver(std::string_view text, int code);
  /// The same with a second file, of which there shall be both or none.
  int deliver_with(std::string_view text, Document& second, std::string_view second_text, int code);

 private:
  /// All of it is on the disk. False where that failed and has been told. Only where a file is named.
  bool prepare(std::string_view text);
  std::optional<PendingFile> file_;
};

/// Tells why the computation of `file` stopped; returns the exit code.
int told(const SolveFault& fault, const std::string& file);

/// 1 where the answer calls for action: anything at or over a margin, a fan that starves, a question left open.
int code_of(const Assessment& assessment);

}  // namespace leanside::cli
