// SPDX-License-Identifier: Apache-2.0
/// What sweeps share: parts of them, and the answer of a whole one, whether it was solved in one run or in parts.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "leanside/study/failures.hpp"
#include "leanside/study/spread.hpp"
#include "leanside/study/sweep.hpp"

namespace leanside::cli {

/// --shard I/N.
void add_shard_option(Command& command, std::optional<std::string>& shard);
/// --threads.
void add_threads_option(Command& command, unsigned& threads);
/// What was given with --shard, or the whole where nothing was.
Outcome<Shard> shard_option(const std::optional<std::string>& text);

/// A part of a sweep of this file, its share still to be filled in.
Outcome<SweepPart> part_of(const Shard& shard, const CommonOptions& options, const std::string& file,
                           const std::string& text);

/// Deliver the answer of a whole sweep.
Outcome<ExitCode> give_spread(Answer& answer, const CommonOptions& options, const RangedSite& site,
                              const SpreadOptions& study_options, const SpreadPart& whole);
Outcome<ExitCode> give_failures(Answer& answer, const CommonOptions& options, const Site& site,
                                std::span<const FailureStudy> studies);

}  // namespace leanside::cli
