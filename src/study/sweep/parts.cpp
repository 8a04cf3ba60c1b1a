// SPDX-License-Identifier: Apache-2.0
/// Parts of a sweep, solved by several runs of the program, joined to the whole.
#include <algorithm>
#include <utility>

#include "leanside/study/failures.hpp"
#include "leanside/study/spread.hpp"
#include "leanside/study/sweep.hpp"

namespace leanside {
namespace {

/// The name of the study that a part belongs to.
std::string study_of(const SweepPart& part) {
  return std::holds_alternative<SpreadShare>(part.share) ? "spread" : "failures";
}

bool same_options(const SpreadOptions& a, const SpreadOptions& b) {
  return a.draws == b.draws && a.seed == b.seed && a.shape == b.shape && a.steady_only == b.steady_only &&
         a.only == b.only;
}
bool same_options(const FailureOptions& a, const FailureOptions& b) {
  return a.pairs == b.pairs && a.in_time == b.in_time && a.reuse == b.reuse;
}

/// In what two parts differ that all parts of one sweep share; empty: in nothing.
std::string difference(const SweepPart& a, const SweepPart& b) {
  if (a.version != b.version) return "were made by different versions of leanside, " + a.version + " and " + b.version;
  if (study_of(a) != study_of(b)) return "are of different studies, " + study_of(a) + " and " + study_of(b);
  if (a.file != b.file) return "are of different files, " + a.file + " and " + b.file;
  if (a.text != b.text) return "are of one file, " + a.file + ", that was changed in between";
  if (a.substances != b.substances || a.substances_file != b.substances_file) {
    return "were made with different files of substances";
  }
  if (a.shard.count != b.shard.count) {
    return "are shards of " + std::to_string(a.shard.count) + " and of " + std::to_string(b.shard.count);
  }
  const bool same = std::visit(
      [&](const auto& share) {
        using Share = std::decay_t<decltype(share)>;
        const Share& other = std::get<Share>(b.share);
        if (!same_options(share.options, other.options)) return false;
        if constexpr (requires { share.cases; }) {
          return share.cases == other.cases;
        } else {
          return true;
        }
      },
      a.share);
  return same ? "" : "were made with different options (number of draws, seed, cases and so on)";
}

void append(SpreadShare& whole, SpreadShare&& more) {
  whole.part.row_end = more.part.row_end;
  whole.part.values.insert(whole.part.values.end(), more.part.values.begin(), more.part.values.end());
}

void append(FailuresShare& whole, FailuresShare&& more) {
  for (std::size_t k = 0; k < whole.parts.size(); ++k) {
    FailurePart &to = whole.parts[k], &from = more.parts[k];
    std::move(from.singles.begin(), from.singles.end(), std::back_inserter(to.singles));
    std::move(from.pairs.begin(), from.pairs.end(), std::back_inserter(to.pairs));
    to.pairs_solved += from.pairs_solved;
    to.pairs_worse += from.pairs_worse;
    to.moments_left_out += from.moments_left_out;
    to.by_update += from.by_update;
    to.afresh += from.afresh;
  }
}

/// Whether the rows of `more` follow upon those of `whole`.
bool follows(const SweepPart& whole, const SweepPart& more) {
  const auto* first = std::get_if<SpreadShare>(&whole.share);
  if (first == nullptr) return true;
  const auto& next = std::get<SpreadShare>(more.share);
  return first->part.rows == next.part.rows && first->part.row_end == next.part.row_begin;
}

}  // namespace

Result<SweepPart> join_parts(std::vector<SweepPart> parts, const std::vector<std::string>& names) {
  if (parts.empty()) return Fault::bad_input("there is no part to join");
  const std::size_t count = parts.front().shard.count;
  std::vector<std::size_t> by_index(count, parts.size());
  for (std::size_t k = 0; k < parts.size(); ++k) {
    const std::string different = difference(parts.front(), parts[k]);
    if (!different.empty()) return Fault::bad_input(names.front() + " and " + names[k] + " " + different);
    const std::size_t index = parts[k].shard.index;
    if (index < 1 || index > count) return Fault::bad_input(names[k] + " is no part of " + std::to_string(count));
    std::size_t& place = by_index[index - 1];
    if (place < parts.size()) {
      return Fault::bad_input(names[place] + " and " + names[k] + " are both part " + std::to_string(index) + " of " +
                              std::to_string(count));
    }
    place = k;
  }
  std::string missing;
  std::size_t how_many = 0;
  for (std::size_t i = 0; i < count; ++i) {
    if (by_index[i] < parts.size()) continue;
    constexpr std::size_t most_named = 8;
    if (++how_many <= most_named) missing += (missing.empty() ? "" : ", ") + std::to_string(i + 1);
  }
  if (how_many > 0) {
    return Fault::bad_input((how_many == 1 ? "part " : "parts ") + missing + (how_many > 8 ? " and more" : "") +
                            " of " + std::to_string(count) + (how_many == 1 ? " is" : " are") + " missing");
  }
  SweepPart whole = std::move(parts[by_index.front()]);
  for (std::size_t i = 1; i < count; ++i) {
    SweepPart& more = parts[by_index[i]];
    if (!follows(whole, more)) return Fault::bad_input(names[by_index[i]] + " does not follow upon the part before it");
    std::visit(
        [&](auto& share) {
          using Share = std::decay_t<decltype(share)>;
          append(share, std::move(std::get<Share>(more.share)));
        },
        whole.share);
  }
  whole.shard = Shard{};
  return whole;
}

}  // namespace leanside
