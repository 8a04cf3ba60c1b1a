// SPDX-License-Identifier: Apache-2.0
#include "cli/io/sweeps.hpp"

#include <algorithm>
#include <charconv>
#include <utility>

#include <fmt/format.h>

namespace leanside::cli {
namespace {

/// A whole number that is all of `text`.
std::optional<std::size_t> count_in(std::string_view text) {
  std::size_t value = 0;
  const auto [end, status] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (text.empty() || status != std::errc{} || end != text.data() + text.size()) return {};
  return value;
}

bool at_margin(const std::vector<Consequence>& consequences) {
  return std::any_of(consequences.begin(), consequences.end(),
                     [](const Consequence& consequence) { return consequence.severity != Severity::note; });
}

bool at_margin(const FailureStudy& study) {
  // What rests on a leak that nobody has seen is not judged safe either.
  return !study.starved.empty() || at_margin(study.normal) ||
         std::any_of(study.outcomes.begin(), study.outcomes.end(),
                     [](const auto& o) { return at_margin(o.consequences) || !o.leaks.empty() || !o.starved.empty(); });
}

bool at_margin(const SpreadSpace& space) {
  return space.over_warn.value > 0.0 || space.oxygen > 0.0 || space.pressure > 0.0;
}

}  // namespace

void add_shard_option(Command& command, std::optional<std::string>& shard) {
  command
      .add_option("--shard", shard,
                  "Solve only part I of N and write it as a file; `leanside merge` joins all N to the answer")
      ->type_name("I/N");
}

void add_threads_option(Command& command, unsigned& threads) {
  constexpr double least = 0, most = 256;
  command.add_option("--threads", threads, "Number of threads; 0: as many as the machine has")->between(least, most);
}

Outcome<Shard> shard_option(const std::optional<std::string>& text) {
  if (!text) return Shard{};
  constexpr std::size_t most = 1'000'000;
  const std::size_t slash = text->find('/');
  if (slash != std::string::npos) {
    const auto index = count_in(std::string_view{*text}.substr(0, slash));
    const auto count = count_in(std::string_view{*text}.substr(slash + 1));
    if (index && count && *index >= 1 && *index <= *count && *count <= most) return Shard{*index, *count};
  }
  return Error::usage(fmt::format("--shard: found '{}'; expected which part of how many, such as 1/4 to 4/4", *text));
}

Outcome<SweepPart> part_of(const Shard& shard, const CommonOptions& options, const std::string& file,
                           const std::string& text) {
  SweepPart part;
  part.version = version();
  part.shard = shard;
  part.file = file;
  part.text = text;
  if (!options.substances) return part;
  auto substances = load_text(*options.substances);
  if (!substances) return substances.error();
  part.substances_file = *options.substances;
  part.substances = std::move(*substances);
  return part;
}

Outcome<ExitCode> give_spread(Answer& answer, const CommonOptions& options, const RangedSite& site,
                              const SpreadOptions& study_options, const SpreadPart& whole) {
  const auto outcome = spread_of(site, study_options, whole);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return Error::of(*fault, site.best().file);
  const auto& study = std::get<SpreadStudy>(outcome);
  const std::string text =
      options.format == "json" ? spread_json(site.best(), study) : spread_text(site.best(), study, style_for(options));
  const bool any =
      std::any_of(study.spaces.begin(), study.spaces.end(), [](const SpreadSpace& space) { return at_margin(space); });
  return answer.deliver(text, exit_code(any));
}

Outcome<ExitCode> give_failures(Answer& answer, const CommonOptions& options, const Site& site,
                                std::span<const FailureStudy> studies) {
  const std::string text =
      options.format == "json" ? failures_json(site, studies) : failures_text(site, studies, style_for(options));
  const bool any =
      std::any_of(studies.begin(), studies.end(), [](const FailureStudy& study) { return at_margin(study); });
  return answer.deliver(text, exit_code(any));
}

}  // namespace leanside::cli
