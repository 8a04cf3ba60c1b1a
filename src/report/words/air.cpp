// SPDX-License-Identifier: Apache-2.0
/// What a reader should look at in the flows at the start of a case, in sentences.
#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

std::string against_name(const Site& site, const FlowNotice& notice) {
  return "air goes through " + plain_text(site.airways[notice.airway.value].id) +
         " against what its name suggests: " + hourly(notice.flow) + (notice.into ? " into " : " out of ") +
         label(site, notice.inside) + " at the start";
}

std::string carries_nothing(const Site& site, const FlowNotice& notice) {
  return "the doorway " + plain_text(site.airways[notice.airway.value].id) +
         " carries nothing at the start: the air on its two sides is equally warm and no pressure drives it. A real "
         "doorway lets some air through both ways";
}

}  // namespace

std::string case_heading(const Site& site, CaseIndex which) {
  return which.value == 0 ? "normal case" : "case \"" + label(site, which) + "\"";
}

std::vector<std::string> flow_sentences(const Site& site, const CaseResult& result) {
  std::vector<std::string> out;
  for (const FlowNotice& notice : result.air.notices) {
    out.push_back(notice.kind == FlowNotice::Kind::against_name ? against_name(site, notice)
                                                                : carries_nothing(site, notice));
  }
  return out;
}

}  // namespace leanside::report
