// SPDX-License-Identifier: Apache-2.0
#include "cli/io/output.hpp"

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <filesystem>
#include <iterator>
#include <system_error>
#include <utility>
#include <vector>

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

/// Gives a file a name beside `target` that nothing has: `make` tries one, and fails with EEXIST where it is taken (a
/// run that was killed may have left it). Empty where it failed otherwise.
std::string new_name(const fs::path& target, const std::function<bool(const char*)>& make) {
  constexpr int most_names = 10000;
  for (int i = 0; i < most_names; ++i) {
    const std::string name =
        (folder_of(target) / fmt::format(".{}.{}.{}.part", target.filename().string(), ::getpid(), i)).string();
    if (make(name.c_str())) return name;
    if (errno != EEXIST) break;
  }
  return {};
}

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
      old_{std::exchange(other.old_, {})},
      replaces_{other.replaces_},
      descriptor_{std::exchange(other.descriptor_, -1)},
      direct_{other.direct_} {}

PendingFile::~PendingFile() {
  if (descriptor_ >= 0) ::close(descriptor_);
  for (const std::string* name : {&temporary_, &old_}) {
    if (!name->empty()) ::unlink(name->c_str());
  }
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
    file.temporary_ = new_name(target, [&](const char* name) {
      file.descriptor_ = ::open(name, O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, as_umask_allows);
      return file.descriptor_ >= 0;
    });
    if (file.descriptor_ < 0) return *file.failed("write");
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

Failure PendingFile::stage() {
  if (direct_ || !temporary_.empty()) return {};
  const std::string nameless = fmt::format("/proc/self/fd/{}", descriptor_);
  temporary_ = new_name(target_, [&](const char* name) {
    return ::linkat(AT_FDCWD, nameless.c_str(), AT_FDCWD, name, AT_SYMLINK_FOLLOW) == 0;
  });
  return temporary_.empty() ? failed("write") : Failure{};
}

void PendingFile::keep_old() {
  if (direct_) return;
  replaces_ = ::access(target_.c_str(), F_OK) == 0;
  if (replaces_) old_ = new_name(target_, [&](const char* name) { return ::link(target_.c_str(), name) == 0; });
}

Failure PendingFile::take_name() {
  if (direct_) return {};
  if (::rename(temporary_.c_str(), target_.c_str()) != 0) return failed("write");
  temporary_.clear();
  return {};
}

void PendingFile::withdraw() {
  if (direct_) return;
  if (!replaces_) {
    ::unlink(target_.c_str());
  } else if (!old_.empty() && ::rename(old_.c_str(), target_.c_str()) == 0) {
    old_.clear();
  }
}

void PendingFile::settle() {
  if (direct_) return;
  if (!old_.empty()) ::unlink(old_.c_str());
  old_.clear();
  // The new name has to be on the disk too; where a folder cannot be synced, the file is whole all the same.
  const int folder = ::open(folder_of(target_).c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (folder >= 0) {
    ::fsync(folder);
    ::close(folder);
  }
}

Failure PendingFile::publish() {
  PendingFile* const self[] = {this};
  return publish_all(self);
}

Failure publish_all(std::span<PendingFile* const> files, const std::function<Failure()>& then) {
  std::vector<PendingFile*> there;
  std::ranges::copy_if(files, std::back_inserter(there), [](const PendingFile* file) { return file != nullptr; });
  for (PendingFile* file : there) {
    if (Failure failure = file->stage()) return failure;
  }
  // One file alone either takes its name or does not.
  const bool may_be_undone = there.size() > 1 || then;
  for (PendingFile* file : there) {
    if (may_be_undone) file->keep_old();
  }
  Failure failure;
  std::size_t named = 0;
  for (; named < there.size() && !failure; ++named) failure = there[named]->take_name();
  if (failure) --named;
  if (!failure && then) failure = then();
  for (std::size_t i = 0; i < there.size(); ++i) {
    if (failure && i < named) there[i]->withdraw();
    there[i]->settle();
  }
  return failure;
}

bool same_file(const std::string& a, const std::string& b) {
  std::error_code error;
  if (fs::equivalent(a, b, error)) return true;
  // Neither need be there yet. A relative name that is not there stays relative in weakly_canonical(), so that "a" and
  // "./a" would differ. An empty name names nothing, and absolute() fails for it.
  const auto whole = [&](const std::string& path) {
    return fs::weakly_canonical(fs::absolute(resolved(path), error), error);
  };
  const fs::path first = whole(a);
  return !error && first == whole(b) && !error;
}

bool is_standard_output(const std::string& path) {
  struct stat there = {}, named = {};
  return ::fstat(1, &there) == 0 && S_ISREG(there.st_mode) && ::stat(path.c_str(), &named) == 0 &&
         there.st_dev == named.st_dev && there.st_ino == named.st_ino;
}

}  // namespace leanside::cli
