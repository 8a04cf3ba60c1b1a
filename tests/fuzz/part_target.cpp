// SPDX-License-Identifier: Apache-2.0
/// Reads any bytes as a part of a sweep and joins it to an answer, as `leanside merge` does.
#include <nlohmann/json.hpp>

#include "fuzz/targets.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study/failures.hpp"
#include "leanside/study/spread.hpp"

namespace leanside::fuzz {
namespace {

void answer(const RangedSite& site, const SpreadShare& share) {
  if (share.options.only && share.options.only->value >= site.best().cases.size()) return;
  const auto outcome = spread_of(site, share.options, share.part);
  if (const auto* study = std::get_if<SpreadStudy>(&outcome)) {
    promise(nlohmann::json::accept(spread_json(site.best(), *study)), "the answer is JSON");
    promise(!spread_text(site.best(), *study, {}).empty(), "the answer has text");
  }
}

void answer(const RangedSite& site, const FailuresShare& share) {
  std::vector<FailureStudy> studies;
  for (std::size_t k = 0; k < share.cases.size(); ++k) {
    FailureOptions assess_options = share.options;
    assess_options.case_index = share.cases[k];
    if (assess_options.case_index.value >= site.best().cases.size()) return;
    auto study = failures_of(site.best(), assess_options, share.parts[k]);
    if (std::holds_alternative<Fault>(study)) return;
    studies.push_back(std::move(std::get<FailureStudy>(study)));
  }
  if (studies.empty()) return;
  promise(nlohmann::json::accept(failures_json(site.best(), studies)), "the answer is JSON");
  promise(!failures_text(site.best(), studies, {}).empty(), "the answer has text");
}

}  // namespace

void part(std::string_view bytes) {
  auto read = parse_part(bytes);
  if (const auto* reason = std::get_if<std::string>(&read)) {
    promise(!reason->empty(), "a refusal has a reason");
    return;
  }
  auto& one = std::get<SweepPart>(read);
  auto joined = join_parts({one}, {"part"});
  if (std::holds_alternative<Fault>(joined)) return;
  const auto& whole = std::get<SweepPart>(joined);
  SubstanceTable table = built_in_substances();
  if (!whole.substances_file.empty()) {
    const auto more = parse_substances(whole.substances, whole.substances_file);
    if (!std::holds_alternative<SubstanceTable>(more)) return;
    table = merged(std::move(table), std::get<SubstanceTable>(more));
  }
  const RangedReading reading = parse_ranged_site(whole.text, whole.file, table);
  if (!reading.site) return;
  std::visit([&](const auto& share) { answer(*reading.site, share); }, whole.share);
}

}  // namespace leanside::fuzz
