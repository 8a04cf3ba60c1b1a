// SPDX-License-Identifier: Apache-2.0
#include "report/words/phrases.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <deque>

#include "base/text/lists.hpp"

namespace leanside::report {
namespace {

constexpr auto english_phrases = std::to_array<std::string_view>({
#define LEANSIDE_PHRASE(id, text) text,
#include "report/words/phrases/all.def"
#undef LEANSIDE_PHRASE
});

/// `text` with an x for every letter outside of its places.
std::string blanked(std::string_view text) {
  std::string out;
  bool place = false;
  for (const char c : text) {
    place = c == '{' || (place && c != '}');
    const bool small = c >= 'a' && c <= 'z', large = c >= 'A' && c <= 'Z';
    out += place || (!small && !large) ? c : small ? 'x' : 'X';
  }
  return out;
}

/// All words of a page: PageWords holds nothing else.
std::span<std::string_view> words_of(PageWords& page) {
  static_assert(sizeof(PageWords) % sizeof(std::string_view) == 0);
  return {reinterpret_cast<std::string_view*>(&page), sizeof(PageWords) / sizeof(std::string_view)};
}

/// The language without words.
struct Blank {
  std::deque<std::string> kept;
  std::vector<std::string_view> phrases;
  PageWords page;
  Language language;

  std::string_view keep(std::string_view text) { return kept.emplace_back(blanked(text)); }
  Blank() : page{page_words("en")} {
    for (const std::string_view text : english_phrases) phrases.push_back(keep(text));
    for (std::string_view& word : words_of(page)) word = keep(word);
    page.language = "zxx";
    language = {page.language, &page, phrases};
  }
};

}  // namespace

const Language& language_of(std::string_view code) {
  static const std::array<Language, 1> all{{{"en", &page_words("en"), english_phrases}}};
  static const Blank blank;
  if (code == blank.language.code) return blank.language;
  const auto found = std::find_if(all.begin(), all.end(), [&](const Language& one) { return one.code == code; });
  return found == all.end() ? all.front() : *found;
}

std::string filled_in(std::string_view text, std::initializer_list<Slot> slots) {
  std::string out;
  [[maybe_unused]] std::size_t used = 0;  // what follows is checked in debug builds
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t open = std::min(text.find('{', at), text.size());
    out.append(text.substr(at, open - at));
    if (open == text.size()) break;
    const std::size_t shut = text.find('}', open);
    const std::string_view name = text.substr(open + 1, shut - open - 1);
    const auto* const slot =
        std::find_if(slots.begin(), slots.end(), [&](const Slot& one) { return one.name == name; });
    assert(slot != slots.end());
    if (slot != slots.end()) out.append(slot->words);
    ++used;
    at = shut + 1;
  }
  assert(used >= slots.size());
  return out;
}

std::string Told::listed(const std::vector<std::string>& words) const {
  return leanside::listed(words, text(Phrase::list_and));
}

std::string Told::either(const std::vector<std::string>& words) const {
  std::string out;
  for (const std::string& word : words)
    out.append(out.empty() ? std::string_view{} : text(Phrase::list_or)).append(word);
  return out;
}

}  // namespace leanside::report
