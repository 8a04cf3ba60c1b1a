// SPDX-License-Identifier: Apache-2.0
#include "input/toml/toml_reader.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/text/utf8.hpp"
#include "input/toml/ranges.hpp"

namespace leanside::input {

SourceLocation location_of(const toml::node& node) {
  const auto& begin = node.source().begin;
  return {{}, static_cast<int>(begin.line), static_cast<int>(begin.column)};
}

SourceLocation location_of(const toml::key& key) {
  const auto& begin = key.source().begin;
  return {{}, static_cast<int>(begin.line), static_cast<int>(begin.column)};
}

void Faults::error(SourceLocation location, std::string message) {
  ++errors_;
  if (errors_ > most_kept) {
    ++dropped_;
    return;
  }
  list_.push_back({DiagnosticLevel::error, place(location), std::move(message)});
}

void Faults::notice(SourceLocation location, std::string message) {
  if (draw_ || list_.size() >= 2 * most_kept) return;  // of draws only errors matter
  list_.push_back({DiagnosticLevel::notice, place(location), std::move(message)});
}

SourceLocation Faults::place(SourceLocation location) const {
  std::for_each(edits_.rbegin(), edits_.rend(), [&](const auto& edit) {
    if (location.line == edit.location.line && location.column > edit.location.column) location.column -= edit.extra;
  });
  return {file_, location.line, std::max(location.column, 0)};
}

std::string Faults::did_you_mean(std::string_view word, const std::vector<std::string>& candidates,
                                 std::string_view otherwise) {
  if (full() || candidates.size() > search_budget_) return std::string{otherwise};
  search_budget_ -= candidates.size();
  const auto nearest = nearest_name(std::string{word}, candidates);
  return nearest.empty() ? std::string{otherwise} : fmt::format("; did you mean {}?", shown(nearest));
}

bool Faults::was_offered(const toml::table* table, std::string_view key) const {
  return std::ranges::any_of(offered_, [&](const auto& entry) { return entry.first == table && entry.second == key; });
}

Diagnostics Faults::take() {
  std::ranges::stable_sort(list_, [](const Diagnostic& a, const Diagnostic& b) {
    return std::pair{a.place.line, a.place.column} < std::pair{b.place.line, b.place.column};
  });
  if (dropped_ > 0) {
    Diagnostic last;
    last.place.file = file_;
    last.message = fmt::format("{} more errors are not shown", dropped_);
    list_.push_back(std::move(last));
  }
  errors_ = dropped_ = 0;
  return std::exchange(list_, {});
}

std::string shown(std::string_view text) {
  constexpr std::size_t longest = 60;
  std::string out = "'";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (out.size() > longest && utf8::starts_letter(c)) {  // never cut inside a UTF-8 sequence
      out += "...";
      break;
    }
    if (byte < 0x20 || byte == 0x7F) {
      out += fmt::format("\\x{:02x}", byte);
    } else {
      out += c;
    }
  }
  return out + '\'';
}

std::string shown_value(const toml::node& node) {
  if (const auto* text = node.as_string()) return fmt::format("the text {}", shown(text->get()));
  if (const auto* whole = node.as_integer()) return fmt::format("the number {}", whole->get());
  if (const auto* real = node.as_floating_point()) {
    if (std::isnan(real->get())) return "nan, which is not a number";
    if (std::isinf(real->get())) return "inf, which is not a number";
    return fmt::format("the number {}", format_exact(real->get()));
  }
  if (const auto* flag = node.as_boolean()) return flag->get() ? "true" : "false";
  if (node.is_array()) return "a list";
  if (const auto* table = node.as_table()) return is_range(*table) ? "a range (low, best, high)" : "a table";
  return "a date or time of day";
}

std::string TableReader::subject() const {
  if (kind_.empty()) return "the file";
  if (kind_.front() == '[') return std::string{kind_};
  return id_.empty() ? fmt::format("this {}", kind_) : fmt::format("{} {}", kind_, shown(id_));
}

SourceLocation TableReader::key_location(std::string_view key) const {
  const auto at = table_.find(key);
  return at == table_.cend() ? location() : location_of(at->first);
}

SourceLocation TableReader::value_location(std::string_view key) const {
  const auto* node = find(key);
  return node ? location_of(*node) : location();
}

void TableReader::error(SourceLocation location, std::string_view message) const {
  faults_.error(location, kind_.empty() ? std::string{message} : fmt::format("{}: {}", subject(), message));
}

void TableReader::notice(SourceLocation location, std::string_view message) const {
  faults_.notice(location, kind_.empty() ? std::string{message} : fmt::format("{}: {}", subject(), message));
}

void TableReader::value_error(std::string_view key, std::string_view message) const {
  error(value_location(key), fmt::format("{}: {}", key, message));
}

void TableReader::value_notice(std::string_view key, std::string_view message) const {
  notice(value_location(key), fmt::format("{}: {}", key, message));
}

bool TableReader::require(std::string_view key, std::string_view example) const {
  if (has(key)) return true;
  if (!faults_.damaged() && !faults_.was_offered(&table_, key)) {
    faults_.error(location(), fmt::format("{} has no '{}'; write for example {} = {}", subject(), key, key, example));
  }
  return false;
}

bool TableReader::refuse_unknown(std::span<const std::string_view> known) const {
  bool none = true;
  for (const auto& [key, value] : table_) {
    if (std::ranges::find(known, key.str()) != known.end()) continue;
    none = false;
    unknown_key(key, known);
  }
  return none;
}

void TableReader::unknown_key(const toml::key& key, std::span<const std::string_view> known) const {
  std::string nearest;
  if (!faults_.full()) nearest = nearest_name(std::string{key.str()}, {known.begin(), known.end()});
  if (nearest.empty()) {
    error(location_of(key), fmt::format("unknown key {}; {} can have {}", shown(key.str()), subject(), listed(known)));
  } else {
    error(location_of(key), fmt::format("unknown key {}; did you mean {}?", shown(key.str()), shown(nearest)));
    faults_.note_offered(&table_, std::move(nearest));
  }
}

const std::string* TableReader::text_at(std::string_view key) const {
  const auto* node = find(key);
  if (!node) return nullptr;
  if (const auto* text = node->as_string()) return &text->get();
  value_error(key, fmt::format("found {}; expected text in quotes", shown_value(*node)));
  return nullptr;
}

std::optional<std::string> TableReader::text(std::string_view key) const {
  const auto* text = text_at(key);
  return text ? std::optional{*text} : std::nullopt;
}

std::optional<bool> TableReader::flag(std::string_view key) const {
  const auto* node = find(key);
  if (!node) return {};
  if (const auto* flag = node->as_boolean()) return flag->get();
  value_error(key, fmt::format("found {}; expected true or false, without quotes", shown_value(*node)));
  return {};
}

std::optional<double> TableReader::number(std::string_view key, Sign sign) const {
  const auto* node = find(key);
  if (!node) return {};
  auto value = node->is_table()
                   ? ranged(*this, *node->as_table(), key,
                            [&](const toml::node& part) { return quantified(plain_number_of(part, sign)); })
                   : quantified(plain_number_of(*node, sign));
  if (const auto* fault = std::get_if<QuantityFault>(&value)) {
    value_error(key, fault->message);
    return {};
  }
  return std::get<Quantity>(value).si;
}

std::optional<double> TableReader::number_alone(std::string_view key, Sign sign, std::string_view why) const {
  const std::string_view keys[] = {key};
  if (refuse_ranges(keys, why)) return {};
  return number(key, sign);
}

bool TableReader::refuse_ranges(std::span<const std::string_view> keys, std::string_view why) const {
  bool any = false;
  for (const auto key : keys) {
    const auto* node = find(key);
    const auto* table = node ? node->as_table() : nullptr;
    if (!table || !is_range(*table)) continue;
    value_error(key, fmt::format("found a range (low, best, high); {}", why));
    any = true;
  }
  return any;
}

std::optional<std::vector<std::string>> TableReader::texts(std::string_view key) const {
  const auto* node = find(key);
  if (!node) return {};
  const auto* list = node->as_array();
  if (!list) {
    value_error(key, fmt::format("found {}; expected a list of texts, such as [\"one\", \"two\"]", shown_value(*node)));
    return {};
  }
  std::vector<std::string> out;
  for (const auto& item : *list) {
    if (const auto* text = item.as_string()) {
      out.push_back(text->get());
    } else {
      error(location_of(item),
            fmt::format("{}: found {} in the list; expected text in quotes", key, shown_value(item)));
      return {};
    }
  }
  return out;
}

std::optional<double> TableReader::quantity(std::string_view key, Dimension dimension, Sign sign) const {
  const auto value = quantity(key, std::span{&dimension, 1}, sign);
  return value ? std::optional{value->si} : std::nullopt;
}

std::optional<Quantity> TableReader::quantity(std::string_view key, std::span<const Dimension> dimensions,
                                              Sign sign) const {
  const auto* node = find(key);
  if (!node) return {};
  auto value = quantity_of(*node, dimensions, sign, key);
  if (const auto* fault = std::get_if<QuantityFault>(&value)) {
    value_error(key, fault->message);
    return {};
  }
  return std::get<Quantity>(value);
}

std::optional<double> TableReader::pressure(std::string_view key, double ambient) const {
  constexpr Dimension dimension[] = {Dimension::pressure};
  const auto value = quantity(key, dimension);
  if (!value) return {};
  return value->gauge ? value->si + ambient : value->si;
}

std::optional<double> TableReader::fraction(std::string_view key) const {
  const auto* node = find(key);
  if (!node) return {};
  auto value = fraction_of(*node, key);
  if (const auto* fault = std::get_if<QuantityFault>(&value)) {
    value_error(key, fault->message);
    return {};
  }
  return std::get<double>(value);
}

const toml::table* TableReader::subtable(std::string_view key) const {
  const auto* node = find(key);
  if (!node) return nullptr;
  if (const auto* table = node->as_table()) return table;
  value_error(key, fmt::format("found {}; expected a table, such as {{ name = value }}", shown_value(*node)));
  return nullptr;
}

std::variant<Quantity, QuantityFault> TableReader::quantity_of(const toml::node& node,
                                                               std::span<const Dimension> dimensions, Sign sign,
                                                               std::string_view name) const {
  if (const auto* table = node.as_table()) {
    return ranged(*this, *table, name,
                  [&](const toml::node& part) { return plain_quantity_of(part, dimensions, sign); });
  }
  return plain_quantity_of(node, dimensions, sign);
}

std::variant<double, QuantityFault> TableReader::fraction_of(const toml::node& node, std::string_view name) const {
  const auto* table = node.as_table();
  if (!table) return plain_fraction_of(node);
  auto value = ranged(*this, *table, name, [](const toml::node& part) { return quantified(plain_fraction_of(part)); });
  if (auto* fault = std::get_if<QuantityFault>(&value)) return std::move(*fault);
  return std::get<Quantity>(value).si;
}

}  // namespace leanside::input
