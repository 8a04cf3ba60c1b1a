// SPDX-License-Identifier: Apache-2.0
/// What sweeps share: parts of them, and the answer of a whole one, whether it was solved in one run or in parts.
#pragma once

#include <optional>
#include <span>
#include <string>

#include "cli/study_common.hpp"
#include "leanside/spread.hpp"
#include "leanside/study.hpp"

namespace leanside::cli {

/// --shard I/N.
void add_shard_option(CLI::App& command, std::optional<std::string>& shard);
/// What was given with it, or the whole where nothing was. Empty where it is wrong; that has then been told.
std::optional<Shard> shard_option(const std::optional<std::string>& text);

/// A part of a sweep of this file, its share still to be filled in. Empty where the file of substances cannot be read
/// again; that has then been told.
std::optional<SweepPart> part_of(const Shard& shard, const StudyOptions& options, const std::string& file,
                                 const std::string& text);

/// Deliver the answer of a whole sweep and return the exit code.
int give_spread(Document& output, const StudyOptions& options, const RangedSite& site, const SpreadOptions& how,
                const SpreadPart& whole);
int give_failures(Document& output, const StudyOptions& options, const Site& site,
                  std::span<const FailureStudy> studies);

}  // namespace leanside::cli
