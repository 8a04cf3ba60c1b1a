// SPDX-License-Identifier: Apache-2.0
#include "report/words/findings.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

using P = Phrase;

std::string airway_of(Told site, const FlowNotice& notice) { return plain_text(site->airways[notice.airway.value].id); }

std::string sentence_of(Told site, const FlowNotice& notice) {
  switch (notice.kind) {
    case FlowNotice::Kind::against_name:
      return site.tell(notice.into ? P::air_against_name_in : P::air_against_name_out,
                       {{"airway", airway_of(site, notice)},
                        {"flow", hourly(site, notice.flow)},
                        {"space", label(site, notice.inside)}});
    case FlowNotice::Kind::carries_nothing: {
      const Airway& airway = site->airways[notice.airway.value];
      return site.tell(P::door_carries_nothing, {{"door", opening_word(site, std::get<Doorway>(airway.kind).form)},
                                                 {"airway", airway_of(site, notice)}});
    }
    case FlowNotice::Kind::imbalance:
      return site.tell(notice.into ? P::imbalance_in : P::imbalance_out, {{"space", label(site, notice.inside)},
                                                                          {"flow", hourly(site, notice.flow)},
                                                                          {"share", percent(notice.share, 2)}});
    case FlowNotice::Kind::wind_without_effect:
      break;
  }
  return site.tell(P::wind_without_effect,
                   {{"speed", format_quantity(site->conditions.wind_speed, "m/s", 2, site->conditions.units)}});
}

}  // namespace

std::string case_heading(Told site, CaseIndex case_index) {
  return case_index.value == 0 ? site.tell(P::normal_case)
                               : site.tell(P::case_named, {{"case", label(site, case_index)}});
}

std::vector<std::string> flow_sentences(Told site, const CaseResult& result) {
  std::vector<std::string> out;
  for (const FlowNotice& notice : result.air.notices) {
    out.push_back(sentence_of(site, notice));
  }
  return out;
}

}  // namespace leanside::report
