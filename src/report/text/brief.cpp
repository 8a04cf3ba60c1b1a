// SPDX-License-Identifier: Apache-2.0
#include "report/text/brief.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "base/text/plain.hpp"
#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {

bool is_large(const Site& site) {
  constexpr std::size_t most_rows = 120;
  return site.spaces.size() * site.cases.size() > most_rows;
}

std::vector<std::string> first_of(std::vector<std::string> items, std::size_t most) {
  if (items.size() <= most + 1) return items;
  const std::size_t left = items.size() - most;
  items.resize(most);
  items.push_back("and " + std::to_string(left) + " more (--format json has all)");
  return items;
}

std::string on_one_line(const std::string& text, const TextStyle& style) {
  constexpr std::size_t bullet_and_dots = 8;
  std::string head = cut(text, style.width - bullet_and_dots, style.unicode);
  if (head == text) return head;
  head.resize(std::min(head.rfind(' '), head.size()));
  return head + (style.unicode ? " \u2026" : " ...");
}

void put_counted(TextPage& page, const std::string& title, const std::vector<std::string>& items) {
  if (items.empty()) return;
  page.heading(title + (items.size() > 1 ? ": " + std::to_string(items.size()) + " (--format json has all)" : ""));
  page.line(" - " + on_one_line(items.front(), page.style()));
}

void put_list_of(TextPage& page, const Site& site, const std::string& title, const std::vector<std::string>& items) {
  if (is_large(site)) {
    put_counted(page, title, items);
  } else {
    page.list(title, items);
  }
}

void put_assumptions_in_brief(TextPage& page, const Site& site, std::span<const Assumption> assumptions) {
  std::map<AssumptionKind, std::size_t> count;
  for (const Assumption& one : assumptions) ++count[one.kind];
  page.heading(count_of(assumptions.size(), "assumption") + " (--format json has all in full)");
  constexpr std::size_t bullet_and_count = 16;
  for (const Assumption& one : assumptions) {
    const std::size_t alike = std::exchange(count[one.kind], 0);
    if (alike == 0) continue;
    const std::size_t room = page.style().width - bullet_and_count;
    page.line(" - " + cut(assumption_sentence(site, one), room, page.style().unicode) +
              (alike > 1 ? " (" + std::to_string(alike) + " such)" : ""));
  }
}

}  // namespace leanside::report
