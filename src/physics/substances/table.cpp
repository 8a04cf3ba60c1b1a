// SPDX-License-Identifier: Apache-2.0
#include <set>
#include <utility>

#include "leanside/substance.hpp"

namespace leanside {
namespace {

template <class Item, class Index>
const Item* find_in(const std::vector<Item>& items, const Index& index, std::string_view id) {
  const auto at = index.find(id);
  return at == index.end() ? nullptr : &items[at->second];
}

template <class Item, class Index>
void put_in(std::vector<Item>& items, Index& index, Item item) {
  const auto [at, is_new] = index.try_emplace(item.id, items.size());
  if (is_new) {
    items.push_back(std::move(item));
  } else {
    items[at->second] = std::move(item);
  }
}

template <class Item, class Index>
void remove_from(std::vector<Item>& items, Index& index, std::string_view id) {
  const auto at = index.find(id);
  if (at == index.end()) return;
  const auto gone = at->second;
  index.erase(at);
  items.erase(items.begin() + static_cast<std::ptrdiff_t>(gone));
  for (auto& entry : index) {
    if (entry.second > gone) --entry.second;
  }
}

}  // namespace

const Substance* SubstanceTable::find(std::string_view id) const { return find_in(substances_, substance_index_, id); }

const Mixture* SubstanceTable::find_mixture(std::string_view id) const {
  return find_in(mixtures_, mixture_index_, id);
}

void SubstanceTable::put(Substance substance) {
  remove_from(mixtures_, mixture_index_, substance.id);
  put_in(substances_, substance_index_, std::move(substance));
}

void SubstanceTable::put(Mixture mixture) {
  remove_from(substances_, substance_index_, mixture.id);
  put_in(mixtures_, mixture_index_, std::move(mixture));
}

std::vector<std::string> SubstanceTable::limit_sources() const {
  std::set<std::string_view> sources;
  for (const auto& substance : substances_) {
    for (const auto& pair : substance.limits) sources.insert(pair.source);
  }
  return {sources.begin(), sources.end()};
}

SubstanceTable merged(SubstanceTable base, const SubstanceTable& additions) {
  for (const auto& substance : additions.substances()) base.put(substance);
  for (const auto& mixture : additions.mixtures()) base.put(mixture);
  return base;
}

}  // namespace leanside
