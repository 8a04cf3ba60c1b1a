// SPDX-License-Identifier: Apache-2.0
/// The catalogue of sentences: everything that is said of warnings, advice, findings, assumptions and notices is a
/// template with named places (`{gas}`), and stands in phrases/*.def. The other fixed words of the page stand in
/// page_words.cpp. To add a language: its page words, its phrases, and a line in the table of phrases.cpp.
#pragma once

#include <cstddef>
#include <initializer_list>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "leanside/site.hpp"
#include "report/words/page_words.hpp"

namespace leanside::report {

enum class Phrase : std::size_t {
#define LEANSIDE_PHRASE(id, text) id,
#include "report/words/phrases/all.def"
#undef LEANSIDE_PHRASE
};

/// Templates by Phrase.
using Phrases = std::span<const std::string_view>;

struct Language {
  std::string_view code;  ///< ISO 639: "en"
  const PageWords* page = nullptr;
  Phrases phrases;
};

/// English where `code` is empty or not known. "zxx" (no linguistic content) has no words at all: every letter of the
/// English ones is an x. It shows what stands outside the catalogue.
const Language& language_of(std::string_view code);

/// Words for a place of a template.
struct Slot {
  std::string_view name;
  std::string words;
};

/// `text` with the slots in its places; each slot has a place, and each place a slot.
std::string filled_in(std::string_view text, std::initializer_list<Slot> slots);

/// A site and the language in which it is spoken of. Refers to the site.
class Told {
 public:
  Told(const Site& site) : Told{site, language_of("en")} {}
  Told(const Site& site, const Language& language) : site_{&site}, language_{&language} {}
  const Site* operator->() const { return site_; }
  operator const Site&() const { return *site_; }
  const Language& language() const { return *language_; }

  std::string_view text(Phrase phrase) const { return language_->phrases[static_cast<std::size_t>(phrase)]; }
  std::string tell(Phrase phrase, std::initializer_list<Slot> slots = {}) const {
    return filled_in(text(phrase), slots);
  }
  /// "a, b and c".
  std::string listed(const std::vector<std::string>& words) const;
  /// "a, or b, or c".
  std::string either(const std::vector<std::string>& words) const;
  /// "1 case" or "3 cases": `n` stands in the place {n}.
  std::string count(std::size_t n, Phrase one, Phrase several) const {
    return n == 1 ? tell(one) : tell(several, {{"n", std::to_string(n)}});
  }

 private:
  const Site* site_;
  const Language* language_;
};

}  // namespace leanside::report
