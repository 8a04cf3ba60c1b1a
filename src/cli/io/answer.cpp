// SPDX-License-Identifier: Apache-2.0
#include "cli/io/answer.hpp"

#include <functional>
#include <utility>

#include <fmt/format.h>
#include <unistd.h>

namespace leanside::cli {
namespace {

/// A file to write whose option is to be named in errors.
struct Written {
  std::string option;
  std::optional<std::string> path;
};

/// A file that the command reads must not be the one that it writes, and no file can be written twice.
std::optional<Error> clash(const Written& first, const Written& second, const std::vector<std::string>& inputs) {
  for (const Written* file : {&first, &second}) {
    if (!file->path) continue;
    for (const std::string& input : inputs) {
      if (!same_file(*file->path, input)) continue;
      return Error::usage(fmt::format("{} would overwrite the input file '{}'", file->option, input));
    }
  }
  if (first.path && second.path && same_file(*first.path, *second.path)) {
    return Error::usage(fmt::format("{} and {} both name '{}'", first.option, second.option, *first.path));
  }
  if (!first.path && second.path && is_standard_output(*second.path)) {
    return Error::usage(fmt::format("{} names '{}', to which the answer goes as well", second.option, *second.path));
  }
  return {};
}

std::optional<Error> open_file(const std::optional<std::string>& path, std::optional<PendingFile>& file) {
  if (!path) return {};
  auto opened = PendingFile::open(*path);
  if (auto* reason = std::get_if<std::string>(&opened)) return Error::usage(std::move(*reason));
  file.emplace(std::move(std::get<PendingFile>(opened)));
  return {};
}

}  // namespace

Outcome<Answer> Answer::open(const CommonOptions& options, std::vector<std::string> inputs, const SecondFile& second) {
  if (options.substances) inputs.push_back(*options.substances);
  if (auto error = clash({"--output", options.output}, {second.option, second.path}, inputs)) return *error;
  Answer out;
  out.json_ = options.format == "json";
  out.command_ = options.command;
  out.inputs_ = std::move(inputs);
  if (auto error = open_file(options.output, out.first_)) return *error;
  if (auto error = open_file(second.path, out.second_)) return *error;
  return out;
}

void Answer::stands_for(std::string command, std::vector<std::string> files) {
  command_ = std::move(command);
  inputs_ = std::move(files);
}

void Answer::write_second(std::string_view text) {
  if (!failure_) failure_ = second_->write(text);
}

Failure Answer::write(std::string_view text) {
  if (failure_) return failure_;
  if (first_) {
    if (Failure failure = first_->write(text)) return failure;
  }
  for (auto* file : {&first_, &second_}) {
    if (!*file) continue;
    if (Failure failure = (*file)->finish()) return failure;
  }
  PendingFile* const files[] = {second_ ? &*second_ : nullptr, first_ ? &*first_ : nullptr};
  return publish_all(
      files, first_ ? std::function<Failure()>{} : [&] { return write_standard_output(text); });
}

Outcome<ExitCode> Answer::deliver(std::string_view text, ExitCode code) {
  Failure failure = json_ ? write(json_document(command_, inputs_, text)) : write(text);
  if (failure) return Error::usage(std::move(*failure));
  return code;
}

Outcome<ExitCode> Answer::deliver_part(std::string_view text) {
  if (Failure failure = write(text)) return Error::usage(std::move(*failure));
  return nothing_found;
}

std::optional<Error> refuse_terminal(const CommonOptions& options) {
  if (options.output || ::isatty(1) != 1) return {};
  return Error::usage("this answer is not for a terminal; name a file for it with -o FILE");
}

}  // namespace leanside::cli
