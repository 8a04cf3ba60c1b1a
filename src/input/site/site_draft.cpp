// SPDX-License-Identifier: Apache-2.0
#include "input/site/site_draft.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace leanside::input {

bool Ids::add(std::string_view id, std::size_t index, SourceLocation location) {
  return at_.try_emplace(id, Entry{index, location}).second;
}

std::optional<std::size_t> Ids::find(std::string_view id) const {
  const auto at = at_.find(id);
  return at == at_.end() ? std::nullopt : std::optional{at->second.index};
}

const std::vector<std::string>& Ids::names() const {
  if (names_.size() == at_.size()) return names_;
  std::vector<std::pair<std::size_t, std::string_view>> ordered;
  for (const auto& [id, entry] : at_) ordered.emplace_back(entry.index, id);
  std::ranges::sort(ordered);
  names_.clear();
  for (const auto& [index, id] : ordered) names_.emplace_back(id);
  return names_;
}

std::vector<std::string_view> in_use(const Names& names) {
  return {names.begin(), std::ranges::find(names, std::string_view{})};
}

bool contains(const Names& names, std::string_view name) {
  return !name.empty() && std::ranges::find(names, name) != names.end();
}

namespace {
std::string kinds_listed(std::span<const Kind> kinds) {
  std::vector<std::string_view> words;
  for (const auto& kind : kinds) {
    words.push_back(kind.word);
  }
  return listed(words);
}
}  // namespace

const Kind* read_kind(const TableReader& table, std::span<const Kind> kinds) {
  const auto* word = table.text_at("kind");
  if (!word) {
    table.require("kind", fmt::format("\"{}\"", kinds.front().word));
    return nullptr;
  }
  const auto kind = std::ranges::find_if(kinds, [&](const Kind& known) {
    return *word == known.word || (!known.earlier.empty() && *word == known.earlier);
  });
  if (kind == kinds.end()) {
    std::vector<std::string> words;
    for (const auto& known : kinds) words.emplace_back(known.word);
    const auto otherwise = fmt::format("; the kinds are {}", kinds_listed(kinds));
    table.value_error(
        "kind", fmt::format("unknown kind {}{}", shown(*word), table.faults().did_you_mean(*word, words, otherwise)));
    return nullptr;
  }
  return &*kind;
}

void refuse_foreign_keys(const TableReader& table, const Kind* kind, std::span<const Kind> kinds, const Names& common) {
  for (const auto& [key, value] : table.table()) {
    const auto name = key.str();
    if (contains(common, name) || (kind && contains(kind->keys, name))) continue;
    auto own = in_use(common);
    std::vector<std::string_view> owners;
    for (const auto& other : kinds) {
      if (contains(other.keys, name)) owners.push_back(other.word);
      if (kind && kind != &other) continue;
      for (const auto word : in_use(other.keys)) {
        if (std::ranges::find(own, word) == own.end()) own.push_back(word);
      }
    }
    if (owners.empty()) {
      table.unknown_key(key, own);
    } else if (kind) {
      table.error(location_of(key), fmt::format("the key '{}' belongs to {}; a '{}' has {}", name, listed(owners),
                                                kind->word, listed(own)));
    }
  }
}

void for_each_table(const TableReader& file, std::string_view key,
                    const std::function<void(const toml::table&)>& read) {
  const auto* node = file.find(key);
  if (!node) return;
  if (const auto* table = node->as_table()) {
    file.faults().error(file.key_location(key),
                        fmt::format("[{0}] stands in single brackets; write [[{0}]] above each {0}", key));
    return read(*table);
  }
  const auto* list = node->as_array();
  if (!list) {
    file.faults().error(
        location_of(*node),
        fmt::format("found {1} for '{0}'; write [[{0}]] above the lines of each {0}", key, shown_value(*node)));
    return;
  }
  for (const auto& item : *list) {
    if (const auto* table = item.as_table()) {
      read(*table);
    } else {
      file.faults().error(location_of(item),
                          fmt::format("found {1} in the list '{0}'; each {0} is a table", key, shown_value(item)));
    }
  }
}

std::size_t row_count(const TableReader& file, std::string_view key) {
  const auto* node = file.find(key);
  return node && node->is_array() ? node->as_array()->size() : 0;
}

std::string_view id_text(const toml::table& table) {
  const auto* node = table.get("id");
  const auto* text = node ? node->as_string() : nullptr;
  return text ? std::string_view{text->get()} : std::string_view{};
}

std::string_view read_id(const TableReader& table, std::string_view example) {
  const auto* id = table.text_at("id");
  if (!id) {
    table.require("id", example);
    return {};
  }
  const auto allowed = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
           c == '.';
  };
  if (id->empty()) {
    table.value_error("id", fmt::format("is empty; write for example id = {}", example));
  } else if (!std::ranges::all_of(*id, allowed)) {
    std::string better;
    for (const char c : *id) {
      if (allowed(c)) {
        better += c;
      } else if (!better.empty() && better.back() != '-') {
        better += '-';
      }
    }
    while (!better.empty() && better.back() == '-') better.pop_back();
    table.value_error("id",
                      fmt::format("{} has letters that an id cannot have; use a to z, A to Z, 0 to 9, '-', '_' and "
                                  "'.'{}",
                                  shown(*id), better.empty() ? "" : fmt::format(", for example {}", shown(better))));
  } else if (*id == "outside") {
    table.value_error("id", "'outside' is kept for the open air; choose another id");
  }
  return *id;
}

void take_id(const TableReader& table, std::string_view id, std::size_t index, Ids& ids) {
  if (id.empty() || ids.add(id, index, table.value_location("id"))) return;
  table.value_error(
      "id", fmt::format("{} is taken already, on line {}; give each its own id", shown(id), ids.location_of(id).line));
}

std::string suggestion(std::string_view word, const std::vector<std::string>& names, Faults& faults) {
  constexpr std::size_t few = 8;
  if (names.empty()) return "; the file has none";
  return faults.did_you_mean(word, names, names.size() <= few ? fmt::format("; known: {}", listed(names)) : "");
}

std::optional<Side> read_side(const TableReader& table, std::string_view key, const toml::node& node,
                              const Draft& draft) {
  const auto* text = node.as_string();
  if (!text) {
    table.error(location_of(node),
                fmt::format("{}: found {}; expected the id of a space, or \"outside\"", key, shown_value(node)));
    return {};
  }
  if (text->get() == "outside") return Side{};
  if (const auto index = draft.spaces.find(text->get())) return Side{SpaceIndex{*index}};
  if (draft.faults.damaged()) return {};
  constexpr std::string_view words[] = {"outdoors", "outdoor", "exterior", "atmosphere", "open air", "out"};
  const bool open_air =
      !nearest_name(text->get(), {"outside"}).empty() || std::ranges::find(words, text->get()) != std::end(words);
  table.error(location_of(node), fmt::format("{}: there is no space {}{}", key, shown(text->get()),
                                             open_air ? "; did you mean 'outside'?"
                                                      : suggestion(text->get(), draft.spaces.names(), draft.faults)));
  return {};
}

}  // namespace leanside::input
