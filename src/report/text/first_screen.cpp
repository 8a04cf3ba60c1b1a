// SPDX-License-Identifier: Apache-2.0
#include "report/text/first_screen.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "base/text/plain.hpp"
#include "report/words/findings.hpp"
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

std::string more_words(std::size_t left, const std::string& one) {
  return std::to_string(left) + " more " + one + (left == 1 ? "" : "s") + ": --full";
}

/// The items as one list, cut after `most`.
void put_list(TextPage& page, const std::string& title, const std::vector<std::string>& items, std::size_t most) {
  if (items.empty()) return;
  page.line("");
  page.line(page.bold(title));
  const std::size_t shown = items.size() <= most + 1 ? items.size() : most;
  for (std::size_t i = 0; i < shown; ++i) page.paragraph(capital(items[i]), " - ");
  if (shown < items.size()) page.line("   " + more_words(items.size() - shown, "item"));
}

std::string starved_line(const StarvedWords& fan) { return fan.title + ". " + fan.what + " " + fan.help; }

/// Without the title of the site and without what is said of fans.
std::string verdict_words(const Site& site, const Assessment& assessment, bool any_starved) {
  const bool only_notes = std::all_of(assessment.warnings.begin(), assessment.warnings.end(),
                                      [](const Warning& w) { return w.severity == Severity::note; });
  std::string verdict = only_notes ? headline_without_warning(site, assessment) : std::string{};
  if (verdict.empty() && !assessment.findings.empty()) verdict = verdict_sentence(site, assessment);
  if (verdict.empty()) {
    const bool bare = assessment.not_judged.empty();
    verdict = std::string{!bare          ? ""
                          : !any_starved ? "No warning. "
                                         : "No warning about gas with these fans. "} +
              "Checked: " + count_of(site.spaces.size(), "space") + " in " + count_of(assessment.cases.size(), "case") +
              " over " + span_words(site, assessment) + ", against " + percent(site.criteria.note_at) + " and " +
              percent(site.criteria.warn_at) + " of the lower flammable limit and oxygen from " +
              percent(site.criteria.oxygen_low) + " to " + percent(site.criteria.oxygen_high) +
              ". That is no proof of safety: it holds only for the releases, openings and fans in the file.";
  }
  return verdict;
}

void put_verdict(TextPage& page, const Site& site, const Assessment& assessment,
                 const std::vector<StarvedWords>& starved) {
  // Beside a fan that cannot do what the file says every other figure is too low.
  const std::string fans = starved.empty() ? std::string{} : starved.front().title + ". ";
  page.paragraph(page.bold(plain_text(site.title) + ": ") + fans + verdict_words(site, assessment, !starved.empty()));
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
                  std::size_t room) {
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
  if (k < findings.size()) page.line("    " + more_words(findings.size() - k, "finding"));
}

std::vector<std::string> open_items(const Site& site, const Assessment& assessment) {
  std::vector<std::string> items = open_sentences(site, assessment);
  for (std::string& sentence : zone_sentences(site, assessment)) items.push_back(sentence + ".");
  return items;
}

std::vector<std::string> air_notices(const Site& site, const Assessment& assessment) {
  std::vector<std::string> items;
  for (const CaseResult& result : assessment.cases) {
    for (std::string& sentence : flow_sentences(site, result)) {
      if (std::find(items.begin(), items.end(), sentence) == items.end()) items.push_back(std::move(sentence));
    }
  }
  for (std::string& item : items) item += ".";
  return items;
}

/// How much an assumption matters to a reader in a hurry, the least first: what was found out about this site, then how
/// gas mixes, then what the file leaves open, then defaults that hardly count.
int order_of(AssumptionKind kind) {
  using Kind = AssumptionKind;
  switch (kind) {
    case Kind::shut_opening_leaks:
    case Kind::fan_off_curve:
    case Kind::unvented:
    case Kind::condensation:
      return 0;
    case Kind::well_mixed:
    case Kind::plumes_and_layers:
    case Kind::closed_but_for_releases:
    case Kind::stated:
      return 1;
    case Kind::sealed:
    case Kind::stands_in_room:
    case Kind::default_discharge:
    case Kind::exchange_overflows:
    case Kind::leak:
      return 2;
    case Kind::default_temperature:
    case Kind::default_inside_temperature:
    case Kind::default_outside_temperature:
    case Kind::default_pressure:
    case Kind::air_against_name:         // said above
    case Kind::doorway_carries_nothing:  // said above
      return 4;
    default:
      return 3;
  }
}

std::vector<std::string> leading_assumptions(const Site& site, const Assessment& assessment) {
  std::vector<const Assumption*> order;
  for (const Assumption& one : assessment.assumptions) order.push_back(&one);
  std::stable_sort(order.begin(), order.end(),
                   [](const Assumption* a, const Assumption* b) { return order_of(a->kind) < order_of(b->kind); });
  std::vector<std::string> out;
  for (const Assumption* one : order) {
    std::string sentence = assumption_sentence(site, *one) + case_words(site, *one, assessment.cases.size());
    if (std::find(out.begin(), out.end(), sentence) == out.end()) out.push_back(std::move(sentence));
  }
  return out;
}

/// On one line, cut between two words.
std::string on_one_line(const std::string& text, const TextStyle& style) {
  constexpr std::size_t bullet_and_dots = 8;
  std::string head = cut(text, style.width - bullet_and_dots, style.unicode);
  if (head == text) return head;
  head.resize(std::min(head.rfind(' '), head.size()));
  return head + (style.unicode ? " \u2026" : " ...");
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
              std::size_t before) {
  TextPage rest{page.style()};
  put_list(rest, "Also look at", air_notices(site, assessment), fullness.notices);
  put_list(rest, "Not judged, or below a warning", open_items(site, assessment), fullness.open);
  put_assumptions(rest, site, assessment, fullness.assumptions);
  const std::size_t taken = before + rest.lines() + lines_of_tail;
  put_findings(page, site, assessment, fullness.findings, taken < first_screen_lines ? first_screen_lines - taken : 0);
  page.append(rest);
}

}  // namespace

FirstScreenWords first_screen_words(const Site& site, const Assessment& assessment) {
  FirstScreenWords out;
  const auto starved = starved_words(site, assessment);
  out.verdict = (starved.empty() ? std::string{} : starved.front().title + ". ") +
                verdict_words(site, assessment, !starved.empty());
  for (const Finding& finding : assessment.findings) out.findings.push_back(finding_words(site, assessment, finding));
  for (const StarvedWords& fan : starved) out.look_at.push_back(starved_line(fan));
  for (std::string& item : air_notices(site, assessment)) out.look_at.push_back(capital(std::move(item)));
  for (std::string& item : open_items(site, assessment)) out.not_judged.push_back(capital(std::move(item)));
  for (std::string& item : leading_assumptions(site, assessment)) out.assumptions.push_back(capital(std::move(item)));
  return out;
}

void put_first_screen(TextPage& page, const Site& site, const Assessment& assessment, const Diagnostics& notices) {
  const auto starved = starved_words(site, assessment);
  put_verdict(page, site, assessment, starved);
  std::vector<std::string> fans;
  for (const StarvedWords& fan : starved) fans.push_back(starved_line(fan));
  put_list(page, count_of(fans.size(), "fan") + " cannot move the air that the file gives", fans, most_starved);
  for (const Fullness& fullness : fullnesses) {
    TextPage body{page.style()};
    put_body(body, site, assessment, fullness, page.lines());
    if (page.lines() + body.lines() + lines_of_tail > first_screen_lines && &fullness != &fullnesses.back()) continue;
    page.append(body);
    break;
  }
  const auto noticed = std::count_if(notices.begin(), notices.end(),
                                     [](const Diagnostic& notice) { return notice.level == DiagnosticLevel::notice; });
  if (noticed > 0) {
    page.line("");
    page.line(count_of(static_cast<std::size_t>(noticed), "remark") + " on the file: --full");
  }
}

}  // namespace leanside::report
