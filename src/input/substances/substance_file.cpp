// SPDX-License-Identifier: Apache-2.0
#include "input/substances/substance_file.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "input/substances/substance_values.hpp"
#include "leanside/site_file.hpp"

namespace leanside::input {
namespace {

constexpr double parts_tolerance = 1e-6;  // of the whole: by how much the parts of a mixture may miss 1

bool is_id(std::string_view text) {
  return !text.empty() && std::ranges::all_of(text, [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
           c == '.';
  });
}

/// What an entry is called in messages: its id, right or wrong.
std::string name_of_entry(const toml::table& table) {
  const auto* id = table.get_as<std::string>("id");
  return id ? id->get() : std::string{};
}

/// Reads one file. What is wrong goes to `faults`, what is right to the table.
class SubstanceFile {
 public:
  SubstanceFile(const SubstanceTable* base, Faults& faults) : base_{base}, faults_{faults} {}
  SubstanceTable read(const toml::table& root);

 private:
  template <class Read>
  void each_entry(const toml::table& root, std::string_view key, Read read);
  void read_substance(const toml::table& table);
  void read_mixture(const toml::table& table);
  std::optional<std::string> read_id(const TableReader& reader);
  std::vector<MixturePart> read_parts(const TableReader& reader, const toml::table& parts);
  void check_part(const TableReader& reader, const toml::key& key);
  const std::vector<std::string>& known_ids();  ///< of all substances; asked for only when all have been read

  const SubstanceTable* base_;
  Faults& faults_;
  SubstanceTable table_;
  std::map<std::string, int, std::less<>> line_of_id_;  ///< of every entry met, the faulty ones included
  std::vector<std::string> known_ids_;
};

SubstanceTable SubstanceFile::read(const toml::table& root) {
  refuse_unknown_keys(TableReader{root, "", "", faults_}, top_keys);
  if (!root.contains("substance") && !root.contains("mixture") && !faults_.damaged()) {
    faults_.error({}, "holds no [[substance]] and no [[mixture]], so there is nothing to read from it");
  }
  each_entry(root, "substance", [&](const toml::table& table) { read_substance(table); });
  each_entry(root, "mixture", [&](const toml::table& table) { read_mixture(table); });
  return std::move(table_);
}

template <class Read>
void SubstanceFile::each_entry(const toml::table& root, std::string_view key, Read read) {
  const auto* node = root.get(key);
  if (!node) return;
  const auto refuse = [&](const toml::node& found) {
    faults_.error(location_of(found), fmt::format("found {}; begin each {} with a line [[{}]], in double brackets",
                                                  shown_value(found), key, key));
  };
  const auto* list = node->as_array();
  if (!list) return refuse(*node);
  for (const auto& item : *list) {
    if (const auto* table = item.as_table()) {
      read(*table);
    } else {
      refuse(item);
    }
  }
}

std::optional<std::string> SubstanceFile::read_id(const TableReader& reader) {
  if (!reader.require("id", "\"town-gas\"")) return {};
  auto id = reader.text("id");
  if (!id) return {};
  if (!is_id(*id)) {
    reader.value_error(
        "id", fmt::format("found {}; an id is made of letters, digits, '-', '_' and '.', without spaces", shown(*id)));
    return {};
  }
  const auto [at, is_new] = line_of_id_.try_emplace(*id, reader.value_location("id").line);
  if (is_new) return id;
  reader.value_error("id",
                     fmt::format("{} is already used in line {}; an id may be used once", shown(*id), at->second));
  return {};
}

std::string cas_number(const TableReader& reader) {
  auto cas = reader.text("cas");
  if (!cas) return {};
  if (const auto fault = cas_fault(*cas); !fault.empty()) reader.value_error("cas", fault);
  return std::move(*cas);
}

void read_words(const TableReader& reader, Substance& substance) {
  substance.name = reader.text("name").value_or(substance.id);
  substance.synonyms = reader.texts("synonyms").value_or(std::vector<std::string>{});
  substance.formula = reader.text("formula").value_or(std::string{});
  substance.cas = cas_number(reader);
  substance.classification = reader.texts("classification").value_or(std::vector<std::string>{});
  for (const auto& word : substance.classification) {
    if (std::ranges::find(classes, word) != classes.end()) continue;
    const std::vector<std::string> words{classes.begin(), classes.end()};
    reader.value_error("classification", fmt::format("found {}{} (the words are {})", shown(word),
                                                     reader.faults().did_you_mean(word, words), listed(classes)));
  }
}

void check_that_inert_gas_has_no_limits(const TableReader& reader, const Substance& substance) {
  if (!substance.nitrogen_equivalent || !substance.flammable()) return;
  reader.value_error("nitrogen_equivalent", "is of a gas that does not burn, but this one has limits");
}

/// A substance without limits counts as one that does not burn: that must never come of a line that was forgotten.
void check_that_fuel_has_limits(const TableReader& reader, const Substance& substance) {
  if (reader.has(limit_key.name) || reader.faults().damaged()) return;
  const auto burns = [](const std::string& word) { return word.starts_with("flammable") || word == "pyrophoric"; };
  const auto word = std::ranges::find_if(substance.classification, burns);
  const auto fault = [&](std::string_view key, std::string_view what) {
    reader.error(reader.key_location(key),
                 fmt::format("{} but has no {}, and without limits counts as a gas that does not "
                             "burn; write for example {} = [[4, 75, \"where it is from\"]]",
                             what, limit_key.name, limit_key.name));
  };
  if (word != substance.classification.end()) fault("classification", fmt::format("is classed as {}", *word));
  if (substance.limiting_oxygen) fault("limiting_oxygen_pct", "has a limiting oxygen concentration");
}

void SubstanceFile::read_substance(const toml::table& table) {
  const auto name = name_of_entry(table);
  const TableReader reader{table, "substance", name, faults_};
  refuse_unknown_keys(reader, substance_keys());
  const Entry entry{reader, name, default_source(reader)};

  Substance substance;
  const auto id = read_id(reader);
  substance.id = id.value_or(std::string{});
  read_words(reader, substance);
  if (reader.require(molar_mass_key.name, "[16.043, \"where it is from\"]")) {
    substance.molar_mass = sourced_value(entry, molar_mass_key).value_or(Sourced{});
  }
  for (const auto& key : value_keys) substance.*key.member = sourced_value(entry, key);
  substance.limits = limit_pairs(entry);
  substance.antoine = antoine_equation(entry);
  substance.vapour_pressure = wide_vapour_pressure(entry);
  substance.vaporisation = vaporisation_equation(entry);
  substance.saturated_density = density_equation(entry);
  check_that_fuel_has_limits(reader, substance);
  check_that_inert_gas_has_no_limits(reader, substance);
  if (id) table_.put(std::move(substance));
}

void SubstanceFile::read_mixture(const toml::table& table) {
  const auto name = name_of_entry(table);
  const TableReader reader{table, "mixture", name, faults_};
  refuse_unknown_keys(reader, mixture_keys);

  Mixture mixture;
  const auto id = read_id(reader);
  if (id && base_ && base_->find(*id)) {
    reader.value_error("id", fmt::format("{} is a substance of the built-in table; choose another id", shown(*id)));
  }
  mixture.id = id.value_or(std::string{});
  mixture.name = reader.text("name").value_or(mixture.id);
  mixture.synonyms = reader.texts("synonyms").value_or(std::vector<std::string>{});
  mixture.cas = cas_number(reader);
  mixture.source = source_of(reader, {}).value_or(std::string{});
  if (reader.require(part_key.name, "{ methane = 93, ethane = 4, nitrogen = 3 }")) {
    if (const auto* parts = reader.subtable(part_key.name)) mixture.parts = read_parts(reader, *parts);
  }
  if (id) table_.put(std::move(mixture));
}

std::vector<MixturePart> SubstanceFile::read_parts(const TableReader& reader, const toml::table& parts) {
  std::vector<std::pair<SourceLocation, MixturePart>> found;
  double sum = 0.0;
  bool fine = true;
  for (const auto& [key, node] : parts) {
    check_part(reader, key);
    const auto percent = number_within(reader, part_key, node);
    fine = fine && percent.has_value();
    if (!percent) continue;
    const double fraction = *percent * part_key.factor;
    sum += fraction;
    found.push_back({location_of(key), {std::string{key.str()}, fraction}});
  }
  if (fine && !(std::abs(sum - 1.0) <= parts_tolerance)) {
    reader.value_error(part_key.name,
                       fmt::format("the parts add up to {} %, not to 100 %", format_number(100 * sum, 9)));
  }
  // TOML keeps no order of keys, but the writer had one.
  std::ranges::stable_sort(found, {}, [](const auto& part) { return std::pair{part.first.line, part.first.column}; });
  std::vector<MixturePart> out;
  for (auto& [location, part] : found) out.push_back({std::move(part.substance), part.fraction / sum});
  return out;
}

void SubstanceFile::check_part(const TableReader& reader, const toml::key& key) {
  const auto part = key.str();
  if (table_.find(part) || (base_ && base_->find(part))) return;
  const bool is_mixture = table_.find_mixture(part) || (base_ && base_->find_mixture(part));
  if (!is_mixture && line_of_id_.contains(part)) return;  // there, but faulty: that was said at its place
  const auto message =
      is_mixture ? fmt::format("{} is itself a mixture; write what it is made of", shown(part))
                 : fmt::format("{} is not a known substance{}", shown(part), faults_.did_you_mean(part, known_ids()));
  reader.error(location_of(key), fmt::format("{}: {}", part_key.name, message));
}

const std::vector<std::string>& SubstanceFile::known_ids() {
  if (!known_ids_.empty()) return known_ids_;
  for (const auto* table : std::array<const SubstanceTable*, 2>{&table_, base_}) {
    if (!table) continue;
    for (const auto& substance : table->substances()) known_ids_.push_back(substance.id);
  }
  return known_ids_;
}

}  // namespace

Result<SubstanceTable> parse_substance_table(std::string_view text, const std::string& file_name,
                                             const SubstanceTable* base) {
  Faults faults{file_name};
  if (text.size() > largest_input_file) {
    faults.error({}, fmt::format("is larger than {} MB, which no table of substances is", largest_input_file >> 20));
    return Fault::in_input(faults.take());
  }
  SubstanceTable table;
  if (const auto root = parse_toml(text, faults)) table = SubstanceFile{base, faults}.read(*root);
  if (faults.any_error()) return Fault::in_input(faults.take());
  return table;
}

}  // namespace leanside::input

namespace leanside {

Result<SubstanceTable> parse_substances(std::string_view text, const std::string& file_name) {
  return input::parse_substance_table(text, file_name, &built_in_substances());
}

}  // namespace leanside
