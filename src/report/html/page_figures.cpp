// SPDX-License-Identifier: Apache-2.0
/// The pictures of the page with what they mean.
#include <fmt/format.h>

#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/svg/room_size.hpp"
#include "report/svg/side_view.hpp"
#include "report/svg/svg_site.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {

std::string side_figure(const Sources& from, const Warning& warning, const std::string& id) {
  const CaseResult& result = result_of(from.assessment, warning.case_index);
  const std::string drawn = svg_side_view(from.site, result, warning.space, "clip-" + id, from.words);
  if (drawn.empty()) return {};
  const SpaceResult& space = result.spaces[warning.space.value];
  const std::string caption =
      said(from.words.side_view_key, label(from.site, warning.space),
           percent_of_limit(space.worst.lfl_fraction, from.site.criteria), word_of(space.worst.state));
  return "<figure class=\"view\">" + drawn + "<figcaption>" + html::text(caption) + "</figcaption></figure>\n";
}

std::string site_figure(const Sources& from, const CaseResult& result, const std::vector<SpaceIndex>& shown) {
  std::string caption = said(from.words.site_key, case_heading(from.site, result.case_index));
  if (shown.size() < from.site.spaces.size()) {
    caption += " " + said(from.words.spaces_not_drawn, from.site.spaces.size() - shown.size());
  }
  return "<figure class=\"view\">" + svg_site(from.site, result, shown, false, from.words) + "<figcaption>" +
         html::text(caption) + "</figcaption></figure>\n";
}

}  // namespace leanside::report::page
