// SPDX-License-Identifier: Apache-2.0
#include "cli/output.hpp"

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <system_error>
#include <utility>

#include <fcntl.h>
#include <fmt/format.h>
#include <signal.h>
#include <sys/stat.h>
#include <unistd.h>

namespace leanside::cli {
namespace {

namespace fs = std::filesystem;

/// 0, or the error number.
int write_all(int descriptor, std::string_view text) {
  while (!text.empty()) {
    const ssize_t n = ::write(descriptor, text.data(), text.size());
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return errno;
    text.remove_prefix(static_cast<std::size_t>(n));
  }
  return 0;
}

std::string reason(int error) { return std::system_category().message(error); }

/// The path that is written when `path` is: symbolic links followed, also one that leads to nothing yet.
fs::path resolved(fs::path path) {
  constexpr int most_links = 40;
  std::error_code error;
  for (int i = 0; i < most_links && fs::is_symlink(path, error); ++i) {
    const fs::path to = fs::read_symlink(path, error);
    if (error) break;
    path = to.is_absolute() ? to : path.parent_path() / to;
  }
  return path;
}

fs::path folder_of(const fs::path& path) { return path.has_parent_path() ? path.parent_path() : fs::path{"."}; }

}  // namespace

void secure_standard_streams() {
  static_cast<void>(::signal(SIGPIPE, SIG_IGN));
  static_cast<void>(::signal(SIGXFSZ, SIG_IGN));
  for (int descriptor = 0; descriptor <= 2; ++descriptor) {
    if (::fcntl(descriptor, F_GETFD) != -1 || errno != EBADF) continue;
    // The lowest free number is taken, which is this one. Output opened for reading: writing to it then fails, as it
    // has to.
    const int opened = ::open("/dev/null", descriptor == 2 ? O_WRONLY : O_RDONLY);
    if (opened != descriptor && opened >= 0) ::close(opened);
  }
}

Failure write_standard_output(std::string_view text) {
  const int error = write_all(1, text);
  if (error == 0) return {};
  return fmt::format("cannot write to standard output: {}", reason(error));
}

void write_standard_error(std::string_view text) { static_cast<void>(write_all(2, text)); }

PendingFile::PendingFile(PendingFile&& other) noexcept
    : shown_{std::move(other.shown_)},
      target_{std::move(other.target_)},
      temporary_{std::exchange(other.temporary_, {})},
      descriptor_{std::exchange(other.descriptor_, -1)},
      direct_{other.direct_} {}

PendingFile::~PendingFile() {
  if (descriptor_ >= 0) ::close(descriptor_);
  if (!temporary_.empty()) ::unlink(temporary_.c_str());
}

Failure PendingFile::failed(const char* doing) const {
  return fmt::format("cannot {} '{}': {}", doing, shown_, reason(errno));
}

std::variant<PendingFile, std::string> PendingFile::open(const std::string& path) {
  PendingFile file;
  file.shown_ = path;
  if (path.empty()) return std::string{"the name of the file to write is empty"};
  struct stat old = {};
  const bool exists = ::stat(path.c_str(), &old) == 0;
  if (!exists && errno != ENOENT) return *file.failed("write");
  if (exists && S_ISDIR(old.st_mode)) return fmt::format("cannot write '{}': it is a folder", path);
  if (exists && !S_ISREG(old.st_mode)) {
    file.direct_ = true;
    file.descriptor_ = ::open(path.c_str(), O_WRONLY | O_CLOEXEC);
    if (file.descriptor_ < 0) return *file.failed("write");
    return file;
  }
  // Renaming would replace a file that may not be written to.
  if (exists && ::access(path.c_str(), W_OK) != 0) return *file.failed("write");
  const fs::path target = resolved(path);
  const fs::path folder = folder_of(target);
  file.target_ = target.string();
  constexpr mode_t as_umask_allows = 0666;
  // A nameless file vanishes by itself, however the process ends.
  file.descriptor_ = ::open(folder.c_str(), O_TMPFILE | O_WRONLY | O_CLOEXEC, as_umask_allows);
  if (file.descriptor_ < 0) {
    file.temporary_ = (folder / fmt::format(".{}.{}.part", target.filename().string(), ::getpid())).string();
    file.descriptor_ = ::open(file.temporary_.c_str(), O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, as_umask_allows);
    if (file.descriptor_ < 0) {
      file.temporary_.clear();
      return *file.failed("write");
    }
  }
  if (exists && ::fchmod(file.descriptor_, old.st_mode & 07777) != 0) return *file.failed("keep the permissions of");
  return file;
}

Failure PendingFile::write(std::string_view text) {
  errno = write_all(descriptor_, text);
  return errno == 0 ? Failure{} : failed("write");
}

Failure PendingFile::finish() {
  const bool cannot_be_synced = ::fsync(descriptor_) != 0;
  if (cannot_be_synced && !(direct_ && (errno == EINVAL || errno == EROFS || errno == ENOTSUP))) return failed("write");
  return {};
}

Failure PendingFile::publish() {
  if (direct_) return {};
  if (temporary_.empty()) {
    const fs::path target{target_};
    const std::string name =
        (folder_of(target) / fmt::format(".{}.{}.part", target.filename().string(), ::getpid())).string();
    const std::string nameless = fmt::format("/proc/self/fd/{}", descriptor_);
    if (::linkat(AT_FDCWD, nameless.c_str(), AT_FDCWD, name.c_str(), AT_SYMLINK_FOLLOW) != 0) return failed("write");
    temporary_ = name;
  }
  if (::rename(temporary_.c_str(), target_.c_str()) != 0) return failed("write");
  temporary_.clear();
  // The new name has to be on the disk too; where a folder cannot be synced, the file is whole all the same.
  const int folder = ::open(folder_of(target_).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (folder >= 0) {
    ::fsync(folder);
    ::close(folder);
  }
  return {};
}

bool same_file(const std::string& a, const std::string& b) {
  std::error_code error;
  return fs::equivalent(a, b, error) ||
         fs::weakly_canonical(resolved(a), error) == fs::weakly_canonical(resolved(b), error);
}

}  // namespace leanside::cli
