// SPDX-License-Identifier: Apache-2.0
#include "report/words/study_words.hpp"

#include <algorithm>
#include <set>

#include "base/text/plain.hpp"
#include "report/words/words.hpp"

namespace leanside::report {

std::string severity_word(double rank) {
  const int n = static_cast<int>(rank);
  return n > static_cast<int>(Severity::note) ? "none" : std::string{word_of(static_cast<Severity>(n))};
}

std::vector<std::string> joint_assumptions(const Site& site_before, const Assessment& assessed_before,
                                           const Site& site_after, const Assessment& assessed_after) {
  const auto before = assumption_sentences(site_before, assessed_before);
  const auto after = assumption_sentences(site_after, assessed_after);
  const std::set<std::string> a(before.begin(), before.end()), b(after.begin(), after.end());
  std::vector<std::string> out;
  for (const std::string& text : before) out.push_back(b.contains(text) ? text : "before only: " + text);
  for (const std::string& text : after) {
    if (!a.contains(text)) out.push_back("after only: " + text);
  }
  out.push_back(
      "spaces, airways, releases and cases are the same where their ids are; a space that was given another id counts "
      "as "
      "removed and added");
  return out;
}

std::vector<std::string> detector_assumptions(const DetectorPlan& plan) {
  std::vector<std::string> out;
  out.push_back(
      "a detector answers when the gas of one release alone comes to " + percent(plan.alarm) +
      " of its lower flammable limit on the average of the space; the time that the instrument and its sampling "
      "take is not in it");
  out.push_back(
      "gas is mixed evenly through each space, so where in the space a detector hangs does not show in these times; "
      "near a "
      "source it answers sooner, in a corner that no air passes later. High or low is common practice, no source");
  out.push_back(
      "a detector warns; it takes no gas away. It has to fit the gas, be tested and calibrated as its makers say");
  for (const std::string& text : plan.assumptions) out.push_back(plain_text(text));
  return out;
}

std::vector<std::string> sizing_assumptions(const Sizing& sizing) {
  std::vector<std::string> out;
  if (sizing.of_release) {
    out.push_back("the release is taken as on, at its own start; everything else is as the file has it");
  } else {
    out.push_back(
        "only the flows of the fans above are changed, none below that of the file unless --may-lower asks for it; "
        "events keep what they set" +
        std::string{sizing.lowered_one_by_one ? ". First one factor raises all fans, then each is lowered by itself as "
                                                "far as it goes. Another split between them may need less in sum"
                                              : ""});
    out.push_back(
        "a fan may be needed for other reasons than gas: fresh air for people, heat, dust, rules for the room");
  }
  if (!sizing.in_time) {
    out.push_back(
        "the search looked at the steady state alone, since the site is large; the result was checked in time, too");
  }
  for (const std::string& text : sizing.assumptions) out.push_back(plain_text(text));
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
