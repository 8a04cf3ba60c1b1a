// SPDX-License-Identifier: Apache-2.0
#include <cctype>
#include <string>
#include <vector>

#include "leanside/substance.hpp"

namespace leanside {
namespace {

/// How a name is compared: lower case, words joined by single hyphens, the older spelling of sulphur made the newer.
std::string plain(std::string_view name) {
  std::string out;
  for (const char c : name) {
    const auto letter = static_cast<unsigned char>(c);
    if (c == ' ' || c == '-' || c == '_' || c == ',' || c == '\t') {
      if (!out.empty() && out.back() != '-') out += '-';
    } else {
      out += static_cast<char>(std::tolower(letter));
    }
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  for (std::size_t at = 0; (at = out.find("sulph", at)) != std::string::npos; ++at) out.replace(at, 5, "sulf");
  return out;
}

/// The one substance with this formula, letter case ignored where that leaves one; empty where none or several have it.
std::string of_formula(const std::vector<Substance>& substances, std::string_view word) {
  const auto lower = plain(word);
  std::string_view exact, alike;
  int exact_count = 0, alike_count = 0;
  for (const auto& substance : substances) {
    if (substance.formula.empty()) continue;
    if (substance.formula == word) {
      exact = substance.id;
      ++exact_count;
    }
    if (plain(substance.formula) == lower) {
      alike = substance.id;
      ++alike_count;
    }
  }
  if (exact_count > 0) return std::string{exact_count == 1 ? exact : std::string_view{}};
  return std::string{alike_count == 1 ? alike : std::string_view{}};
}

/// Every name that could be meant, plain, and the id that it stands for.
struct Names {
  std::vector<std::string> names;
  std::vector<std::string_view> means;

  void add(std::string_view name, std::string_view id) {
    if (name.empty()) return;
    names.push_back(plain(name));
    means.push_back(id);
  }
  template <class Item>
  void add_all(const std::vector<Item>& items) {
    for (const Item& item : items) {
      add(item.id, item.id);
      add(item.name, item.id);
      for (const auto& synonym : item.synonyms) add(synonym, item.id);
      add(item.cas, item.id);
    }
  }
  std::string id_of(std::string_view name) const {
    for (std::size_t i = 0; i < names.size(); ++i) {
      if (names[i] == name) return std::string{means[i]};
    }
    return {};
  }
};

Names names_of(const std::vector<Mixture>& mixtures, const std::vector<Substance>& substances) {
  Names names;
  names.add_all(mixtures);
  names.add_all(substances);
  return names;
}

}  // namespace

std::string SubstanceTable::meant(std::string_view word) const {
  if (find(word) || find_mixture(word)) return std::string{word};
  const auto sought = plain(word);
  if (sought.empty()) return {};
  if (auto id = names_of(mixtures_, substances_).id_of(sought); !id.empty()) return id;
  return of_formula(substances_, word);
}

std::string SubstanceTable::nearest(const std::string& word) const {
  if (auto id = meant(word); !id.empty()) return id;
  const auto sought = plain(word);
  if (sought.empty()) return {};
  const Names names = names_of(mixtures_, substances_);
  return names.id_of(nearest_name(sought, names.names));
}

}  // namespace leanside
