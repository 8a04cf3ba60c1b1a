// SPDX-License-Identifier: Apache-2.0
#include "report/words/findings.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

std::string against_name(const Site& site, const FlowNotice& notice) {
  return "air goes through " + plain_text(site.airways[notice.airway.value].id) +
         " against what its name suggests: " + hourly(site, notice.flow) + (notice.into ? " into " : " out of ") +
         label(site, notice.inside) + " at the start";
}

std::string carries_nothing(const Site& site, const FlowNotice& notice) {
  const Airway& airway = site.airways[notice.airway.value];
  const std::string word{word_of(std::get<Doorway>(airway.kind).form)};
  return "the " + word + " " + plain_text(airway.id) +
         " carries nothing at the start: the air on its two sides is equally warm and no pressure drives it. A real " +
         word + " lets some air through both ways";
}

std::string imbalance(const Site& site, const FlowNotice& notice) {
  return "the airways of " + label(site, notice.inside) +
         (notice.into ? " carry away " + hourly(site, notice.flow) + " more than they bring"
                      : " bring " + hourly(site, notice.flow) + " more than they carry away") +
         " (" + percent(notice.share, 2) + " of its air); the difference is assumed to leak " +
         (notice.into ? "in" : "out");
}

std::string sentence_of(const Site& site, const FlowNotice& notice) {
  switch (notice.kind) {
    case FlowNotice::Kind::against_name:
      return against_name(site, notice);
    case FlowNotice::Kind::carries_nothing:
      return carries_nothing(site, notice);
    case FlowNotice::Kind::imbalance:
      return imbalance(site, notice);
    case FlowNotice::Kind::wind_without_effect:
      break;
  }
  return "the file gives a wind of " + format_quantity(site.conditions.wind_speed, "m/s", 2, site.conditions.units) +
         ", but no opening to outside has a wind_coefficient: the wind changes nothing";
}

}  // namespace

std::string case_heading(const Site& site, CaseIndex case_index) {
  return case_index.value == 0 ? "normal case" : "case \"" + label(site, case_index) + "\"";
}

std::vector<std::string> flow_sentences(const Site& site, const CaseResult& result) {
  std::vector<std::string> out;
  for (const FlowNotice& notice : result.air.notices) {
    out.push_back(sentence_of(site, notice));
  }
  return out;
}

}  // namespace leanside::report
