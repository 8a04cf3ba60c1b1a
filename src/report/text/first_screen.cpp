// SPDX-License-Identifier: Apache-2.0
#include "report/text/first_screen.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "base/text/plain.hpp"
#include "report/text/brief.hpp"
#include "report/words/findings.hpp"
#include "report/words/first_lines.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// How much of each part the screen shows. What is worst is never cut: at least one finding stands in full.
struct Fullness {
  std::size_t findings = 2, notices = 2, open = 3, assumptions = 5;
};

/// Tried in turn until the answer fits on a screen.
constexpr std::array<Fullness, 3> fullnesses{Fullness{}, Fullness{2, 1, 2, 3}, Fullness{1, 1, 2, 3}};
constexpr std::size_t most_starved = 2;
/// What the remarks on the file, the caution and the last lines take.
constexpr std::size_t lines_of_tail = 9;

/// How many are left, and where all of them stand.
std::string more_words(std::size_t left, const std::string& one, const std::string& where) {
  return std::to_string(left) + " more " + one + (left == 1 ? "" : "s") + ": " + where;
}

/// The items as one list, cut after `most`.
void put_list(TextPage& page, const std::string& title, const std::vector<std::string>& items, std::size_t most,
              const Around& around) {
  if (items.empty()) return;
  page.line("");
  page.line(page.bold(title));
  if (around.everything && !around.large) most = items.size();
  const std::size_t shown = items.size() <= most + 1 ? items.size() : most;
  for (std::size_t i = 0; i < shown; ++i) page.paragraph(capital(items[i]), " - ");
  if (shown == items.size()) return;
  page.line("   " + more_words(items.size() - shown, "item", around.large ? "--format json" : "--full"));
}

std::string starved_line(const StarvedWords& fan) { return fan.title + ". " + fan.what + " " + fan.help; }

void put_verdict(TextPage& page, const Site& site, const Assessment& assessment,
                 const std::vector<StarvedWords>& starved) {
  page.paragraph(page.bold(plain_text(site.title) + ": ") + verdict_words(site, assessment, starved));
}

void put_finding(TextPage& page, const FindingWords& words, std::size_t rank) {
  page.line("");
  std::string word = upper(word_of(words.severity));
  std::replace(word.begin(), word.end(), '-', ' ');
  page.line(padded(std::to_string(rank), 2, true) + "  " + page.severity(words.severity) +
            std::string(word.size() < 12 ? 12 - word.size() : 1, ' ') + "  " +
            page.bold(cut(words.where, page.style().width - 20, page.style().unicode)));
  page.remark("When", words.when);
  page.remark("Do", words.act);
}

/// Findings in full as long as there is room, `at_least` of them in any case; the others a line each, then a number.
void put_findings(TextPage& page, const Site& site, const Assessment& assessment, std::size_t at_least,
                  std::size_t room, const Around& around) {
  constexpr std::size_t most_short = 4;
  const auto lines_of_short = [](std::size_t left) { return left == 0 ? 0 : 1 + std::min(left, most_short + 1); };
  const auto& findings = assessment.findings;
  const std::size_t before = page.lines();
  std::size_t k = 0;
  for (; k < findings.size(); ++k) {
    const FindingWords words = finding_words(site, assessment, findings[k]);
    TextPage trial{page.style()};
    put_finding(trial, words, k + 1);
    const std::size_t used = page.lines() - before;
    if (k >= at_least && used + trial.lines() + lines_of_short(findings.size() - k - 1) > room) break;
    put_finding(page, words, k + 1);
  }
  if (k == findings.size()) return;
  page.line("");
  const std::size_t last = findings.size() - k <= most_short + 1 ? findings.size() : k + most_short;
  for (; k < last; ++k) {
    const FindingWords words = finding_words(site, assessment, findings[k]);
    page.line(padded(std::to_string(k + 1), 2, true) + "  " + page.severity(words.severity) + "  " +
              cut(words.where, page.style().width - 20, page.style().unicode));
  }
  if (k < findings.size())
    page.line("    " + more_words(findings.size() - k, "finding",
                                  around.large ? "leanside export FILE --what findings" : "--full"));
}

void put_assumptions(TextPage& page, const Site& site, const Assessment& assessment, std::size_t most) {
  const auto all = leading_assumptions(site, assessment);
  const std::size_t shown = std::min(all.size(), most);
  if (shown == 0) return;
  page.line("");
  page.line(page.bold("Assumed" + (shown < all.size()
                                       ? " (" + std::to_string(shown) + " of " + std::to_string(all.size()) + ")"
                                       : std::string{})));
  for (std::size_t i = 0; i < shown; ++i) {
    page.paragraph(on_one_line(capital(all[i]), page.style()), " - ");
  }
}

/// Everything between the verdict and the caution, as full as `fullness` says.
void put_body(TextPage& page, const Site& site, const Assessment& assessment, const Fullness& fullness,
              std::size_t before, const Around& around) {
  TextPage rest{page.style()};
  put_list(rest, "Also look at", air_notices(site, assessment), fullness.notices, around);
  put_list(rest, "Not judged, or below a warning", open_items(site, assessment), fullness.open, around);
  // Where all of them follow in the same text, a large site has no room to say some twice.
  if (!around.everything || !around.large) put_assumptions(rest, site, assessment, fullness.assumptions);
  const std::size_t taken = before + rest.lines() + lines_of_tail;
  // Beside everything else the first screen of a large site has room for the worst finding alone.
  const bool crowded = taken >= first_screen_lines || (around.everything && around.large);
  const std::size_t room = crowded ? 0 : first_screen_lines - taken;
  put_findings(page, site, assessment, fullness.findings, room, around);
  page.append(rest);
}

}  // namespace

FirstScreenWords first_screen_words(const Site& site, const Assessment& assessment) {
  FirstScreenWords out;
  const auto starved = starved_words(site, assessment);
  out.verdict = verdict_words(site, assessment, starved);
  for (const Finding& finding : assessment.findings) out.findings.push_back(finding_words(site, assessment, finding));
  for (const StarvedWords& fan : starved) out.look_at.push_back(starved_line(fan));
  for (std::string& item : air_notices(site, assessment)) out.look_at.push_back(capital(std::move(item)));
  for (std::string& item : open_items(site, assessment)) out.not_judged.push_back(capital(std::move(item)));
  for (std::string& item : leading_assumptions(site, assessment)) out.assumptions.push_back(capital(std::move(item)));
  return out;
}

void put_first_screen(TextPage& page, const Site& site, const Assessment& assessment, const Diagnostics& notices,
                      const Around& around) {
  const auto starved = starved_words(site, assessment);
  put_verdict(page, site, assessment, starved);
  std::vector<std::string> fans;
  for (const StarvedWords& fan : starved) fans.push_back(starved_line(fan));
  put_list(page, count_of(fans.size(), "fan") + " cannot move the air that the file gives", fans, most_starved, around);
  for (const Fullness& fullness : fullnesses) {
    if (around.everything && around.large && &fullness != &fullnesses.back()) continue;
    TextPage body{page.style()};
    put_body(body, site, assessment, fullness, page.lines(), around);
    if (page.lines() + body.lines() + lines_of_tail > first_screen_lines && &fullness != &fullnesses.back()) continue;
    page.append(body);
    break;
  }
  const auto noticed = std::count_if(notices.begin(), notices.end(),
                                     [](const Diagnostic& notice) { return notice.level == DiagnosticLevel::notice; });
  if (noticed > 0 && !around.everything) {  // with everything they follow below
    page.line("");
    page.line(count_of(static_cast<std::size_t>(noticed), "remark") + " on the file: --full");
  }
}

}  // namespace leanside::report
