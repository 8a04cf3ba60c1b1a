// SPDX-License-Identifier: Apache-2.0
/// The site in each case as a picture. Which one is seen is chosen by radio buttons and the style sheet alone; on paper
/// all are.
#include <algorithm>

#include <fmt/format.h>

#include "base/text/lists.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/svg/svg_site.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

/// The cases that are drawn, as places in Assessment::cases: as many as keep the page small, the first and those with
/// the worst warnings before the others.
std::vector<std::size_t> drawn_cases(const Sources& from) {
  constexpr std::size_t most_boxes = 3000;
  const auto& cases = from.assessment.cases;
  const std::size_t most = std::max<std::size_t>(1, most_boxes / std::max<std::size_t>(1, from.site.spaces.size()));
  std::vector<std::size_t> out;
  const auto draw = [&](std::size_t c) {
    if (out.size() < most && std::find(out.begin(), out.end(), c) == out.end()) out.push_back(c);
  };
  if (!cases.empty()) draw(0);
  if (cases.size() > most) {
    for (const Warning& warning : from.assessment.warnings) {
      const auto at = std::find_if(cases.begin(), cases.end(),
                                   [&](const CaseResult& result) { return result.case_index == warning.case_index; });
      draw(static_cast<std::size_t>(at - cases.begin()));
    }
  }
  for (std::size_t c = 0; c < cases.size(); ++c) draw(c);
  std::sort(out.begin(), out.end());
  return out;
}

std::string drawing(const Sources& from, std::size_t c, bool alone) {
  const CaseResult& result = from.assessment.cases[c];
  std::string name = label(from.site, result.case_index);
  if (result.case_index.value == 0) name = "normal: the site as the file has it";
  const std::string safe = html::sentence(name);
  std::string out = fmt::format("<div class=\"picture{}\" id=\"picture-{}\">", alone ? "" : " chosen", c);
  out +=
      "<h3>" + safe + "</h3><div class=\"wide\" role=\"region\" tabindex=\"0\" aria-label=\"Picture: " + safe + "\">";
  return out + svg_site(from.site, result, false) + "</div></div>\n";
}

}  // namespace

std::string picture_style(const Sources& from) {
  std::string out;
  const auto cases = drawn_cases(from);
  if (cases.size() < 2) return out;
  for (const std::size_t c : cases) out += fmt::format("#case-{0}:checked~#picture-{0}{{display:block}}\n", c);
  return out;
}

std::string pictures(const Sources& from) {
  const auto cases = drawn_cases(from);
  if (cases.empty()) return {};
  std::string out = "<section id=\"site\"><h2>The site</h2>\n<p>" + html::text(picture_key(from.site)) + "</p>\n";
  if (cases.size() == 1) {
    out += drawing(from, cases.front(), true);
  } else {
    out += "<fieldset class=\"switch\"><legend>Which case</legend>\n";
    for (const std::size_t c : cases) {
      out += fmt::format("<input type=\"radio\" name=\"case\" id=\"case-{0}\"{1}><label for=\"case-{0}\">{2}</label>\n",
                         c, c == cases.front() ? " checked" : "",
                         html::sentence(label(from.site, from.assessment.cases[c].case_index)));
    }
    for (const std::size_t c : cases) out += drawing(from, c, false);
    out += "</fieldset>\n";
  }
  if (cases.size() < from.assessment.cases.size()) {
    out += "<p>" + count_of(from.assessment.cases.size() - cases.size(), "more case") +
           " would make this page too large: `leanside draw FILE --case ID` draws one.</p>\n";
  }
  return out + "</section>\n";
}

}  // namespace leanside::report::page
