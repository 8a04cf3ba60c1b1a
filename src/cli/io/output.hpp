// SPDX-License-Identifier: Apache-2.0
/// Results to standard output or to files that are there whole or not at all.
#pragma once

#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>

namespace leanside::cli {

/// What went wrong, ready to be shown; empty: nothing.
using Failure = std::optional<std::string>;

/// Sees to it that standard input, output and error are open, so that no file that is opened later takes their place,
/// and that writing to a closed pipe, or past the largest size of a file, is an error and not the end of the process.
void secure_standard_streams();

/// Writes all of `text` to standard output.
Failure write_standard_output(std::string_view text);

/// Writes a message to standard error, as far as it can be written.
void write_standard_error(std::string_view text);

/// A file that takes its name only when it is complete: the text goes to a nameless or temporary file in the same
/// folder, which then replaces the old one. A symbolic link stays and what it points to is replaced; the permissions of
/// an existing file are kept; a device or pipe is written to directly. Destroyed without publish(), it leaves no trace.
class PendingFile {
 public:
  static std::variant<PendingFile, std::string> open(const std::string& path);
  PendingFile(PendingFile&& other) noexcept;
  PendingFile& operator=(PendingFile&&) = delete;
  PendingFile(const PendingFile&) = delete;
  ~PendingFile();

  Failure write(std::string_view text);
  Failure finish();   ///< everything is on the disk
  Failure publish();  ///< it takes its name; after finish()

 private:
  friend Failure publish_all(std::span<PendingFile* const> files, const std::function<Failure()>& then);

  PendingFile() = default;
  Failure failed(const char* doing) const;
  Failure stage();      ///< the file has a temporary name
  void keep_old();      ///< what has its name now gets another name too, so that withdraw() can bring it back
  Failure take_name();  ///< after stage()
  void withdraw();      ///< undoes take_name()
  void settle();        ///< what keep_old() kept goes; the folder is on the disk

  std::string shown_;      ///< the path as the user gave it
  std::string target_;     ///< what it points to
  std::string temporary_;  ///< name of the temporary file; empty: it has none yet
  std::string old_;        ///< second name of the file that is replaced; empty: none
  bool replaces_ = false;  ///< keep_old() found a file of its name
  int descriptor_ = -1;
  bool direct_ = false;  ///< a device or pipe
};

/// All of the files take their names, then `then` (empty: nothing) is done; where one of that fails, all is as before.
/// After finish() of each. A null pointer is skipped.
Failure publish_all(std::span<PendingFile* const> files, const std::function<Failure()>& then = {});

/// Whether two paths name the same file; neither has to be there.
bool same_file(const std::string& a, const std::string& b);

/// Whether standard output goes to the file of this path. Replacing it would lose what is written to standard output.
bool is_standard_output(const std::string& path);

}  // namespace leanside::cli
