// SPDX-License-Identifier: Apache-2.0
#include "report/words/study_words.hpp"

#include <algorithm>
#include <set>
#include <utility>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {

std::string severity_word(double rank) {
  const int n = static_cast<int>(rank);
  return n > static_cast<int>(Severity::note) ? "none" : std::string{word_of(static_cast<Severity>(n))};
}

std::vector<JointAssumption> joint_assumptions(const Site& site_before, const Assessment& before,
                                               const Site& site_after, const Assessment& after) {
  const auto read = [](const Site& site, const Assessment& assessment) {
    std::vector<JointAssumption> out;
    for (const Assumption& one : assessment.assumptions) {
      std::string sentence = assumption_sentence(site, one) + case_words(site, one, assessment.cases.size());
      out.push_back({"both", &site, one, std::move(sentence)});
    }
    return out;
  };
  std::vector<JointAssumption> out = read(site_before, before), others = read(site_after, after);
  std::set<std::string> a, b;
  for (const JointAssumption& one : out) a.insert(one.sentence);
  for (const JointAssumption& one : others) b.insert(one.sentence);
  for (JointAssumption& one : out) one.side = b.contains(one.sentence) ? "both" : "before";
  for (JointAssumption& one : others) {
    if (a.contains(one.sentence)) continue;
    one.side = "after";
    out.push_back(std::move(one));
  }
  const Assumption ids{AssumptionKind::same_ids};
  out.push_back({"both", &site_before, ids, assumption_sentence(site_before, ids)});
  return out;
}

std::vector<std::string> joint_sentences(const Site& site_before, const Assessment& assessed_before,
                                         const Site& site_after, const Assessment& assessed_after) {
  const auto before = assumption_sentences(site_before, assessed_before);
  const auto after = assumption_sentences(site_after, assessed_after);
  const std::set<std::string> a(before.begin(), before.end()), b(after.begin(), after.end());
  std::vector<std::string> out;
  for (const std::string& text : before) out.push_back(b.contains(text) ? text : "before only: " + text);
  for (const std::string& text : after) {
    if (!a.contains(text)) out.push_back("after only: " + text);
  }
  out.push_back(assumption_sentence(site_before, {AssumptionKind::same_ids}));
  return out;
}

const Space* aired(const Site& site, AirwayIndex fan) {
  const auto& kind = std::get<Fan>(site.airways[fan.value].kind);
  for (const Side& side : {kind.from, kind.to}) {
    if (side && site.spaces[side->value].volume > 0.0) return &site.spaces[side->value];
  }
  return nullptr;
}

std::vector<std::size_t> by_weight(const Sensitivity& sensitivity) {
  std::vector<std::size_t> out(sensitivity.total.size());
  for (std::size_t i = 0; i < out.size(); ++i) out[i] = i;
  std::stable_sort(out.begin(), out.end(), [&](std::size_t a, std::size_t b) {
    return sensitivity.total[a].value > sensitivity.total[b].value;
  });
  return out;
}

}  // namespace leanside::report
