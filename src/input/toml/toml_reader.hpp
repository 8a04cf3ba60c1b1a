// SPDX-License-Identifier: Apache-2.0
/// TOML text to tables, and tables to checked values, every fault noted with its line and column.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

namespace leanside::input {
/// Thrown where toml++ finds its own assumptions broken, which some texts do to version 3.3: parse_toml makes a fault
/// of it. Without this the debug build stops there and the release build goes on with undefined behaviour.
[[noreturn]] void toml_assumption_failed(const char* what);
}  // namespace leanside::input

#pragma push_macro("NDEBUG")
#undef NDEBUG
#define TOML_ASSERT(what) ((what) ? static_cast<void>(0) : ::leanside::input::toml_assumption_failed(#what))
// Numbers without a stream and its locale for each: a third of the time of reading a file.
#define TOML_INT_CHARCONV 1
#define TOML_FLOAT_CHARCONV 1
#include <toml++/toml.h>
#pragma pop_macro("NDEBUG")

#include "base/text/lists.hpp"
#include "leanside/diagnostic.hpp"
#include "leanside/units.hpp"

namespace leanside::input {

/// Where it stands in the file at hand; `file` is left empty, Faults fills it in. The column counts code points.
SourceLocation location_of(const toml::node& node);
SourceLocation location_of(const toml::key& key);

class Ranges;
struct Draw;

/// The part of a file that is being read: what has to be read again when a value of it changes.
enum class Part { top, conditions, gas, space, airway, release, event };
struct Scope {
  Part part = Part::top;
  std::size_t index = 0;  ///< of the space, airway or release
};

/// What was found wrong in one file so far; and the values that it gives as ranges.
class Faults {
 public:
  /// More than this many are counted but not kept: nobody reads them, and memory stays bounded.
  static constexpr std::size_t most_kept = 1000;

  explicit Faults(std::string file) : file_{std::move(file)} {}
  void error(SourceLocation location, std::string message);
  void notice(SourceLocation location, std::string message);
  bool any_error() const { return errors_ > 0; }
  const std::string& file() const { return file_; }
  SourceLocation place(SourceLocation location) const;

  /// Units of the quantities in messages. Those that the user prefers come before those of the file.
  void prefer(std::optional<UnitSystem> units) { preferred_ = units; }
  void file_asks_for(UnitSystem units) { asked_ = units; }
  UnitSystem units() const { return preferred_.value_or(asked_); }
  /// `si` as format_quantity() writes it, in these units.
  std::string amount(double si, std::string_view symbol, int digits = 3) const {
    return format_quantity(si, symbol, digits, units());
  }

  /// Set where lines had to be left out to read on: what is missing then says nothing.
  void set_damaged() { damaged_ = true; }
  bool damaged() const { return damaged_; }
  /// The text that is read is longer by `extra` columns after `location` than the user's: messages give places in
  /// the user's.
  void note_edit(SourceLocation location, int extra) { edits_.push_back({location, extra}); }

  /// "; did you mean 'lab-2'?", or where no candidate is near the text `otherwise`. Long lists are searched a bounded
  /// number of times in all.
  std::string did_you_mean(std::string_view word, const std::vector<std::string>& candidates,
                           std::string_view otherwise = {});
  /// What was offered for unknown keys of `table`: a key that is missing there and was offered is no second fault.
  void note_offered(const toml::table* table, std::string key) { offered_.emplace_back(table, std::move(key)); }
  bool was_offered(const toml::table* table, std::string_view key) const;

  /// Where values given as ranges are noted; null: ranges are not allowed. Or the values that replace them now.
  void collect(Ranges& ranges) { ranges_ = &ranges; }
  void draw(const Draw& draw) { draw_ = &draw; }
  void enter(Part part, std::size_t index = 0) { scope_ = {part, index}; }
  const Scope& scope() const { return scope_; }
  Ranges* ranges() const { return ranges_; }
  const Draw* drawn() const { return draw_; }

  /// True where further errors are only counted: no use in searching for suggestions.
  bool full() const { return errors_ >= most_kept; }

  /// All that was said, in the order of the file. Leaves this empty.
  Diagnostics take();

 private:
  std::string file_;
  Diagnostics list_;
  std::optional<UnitSystem> preferred_;
  UnitSystem asked_ = UnitSystem::si;
  std::size_t errors_ = 0;
  std::size_t dropped_ = 0;
  std::size_t search_budget_ = 2'000'000;
  bool damaged_ = false;
  struct Edit {
    SourceLocation location;
    int extra;
  };
  std::vector<Edit> edits_;
  std::vector<std::pair<const toml::table*, std::string>> offered_;
  Ranges* ranges_ = nullptr;
  const Draw* draw_ = nullptr;
  Scope scope_;
};

/// `text` in single quotes, cut where long, control characters made visible: fit to be shown on a terminal.
std::string shown(std::string_view text);

/// What a value is, in a user's words: "the text 'abc'", "the number 3", "a list", "a table", ...
std::string shown_value(const toml::node& node);

/// Reads TOML. Bytes that are not UTF-8, keys nested too deep and every fault of syntax go to `faults` in plain words;
/// after a fault confined to one line, reading goes on so that later faults are seen too (Faults::damaged tells where
/// something had to be left out). Empty where nothing sensible could be read. Never throws. `lists` are the tables that
/// may come several times: where they stand in single brackets it is clear what was meant.
std::optional<toml::table> parse_toml(std::string_view text, Faults& faults,
                                      std::span<const std::string_view> lists = {});

enum class Sign { any, not_negative, positive };

/// One table of a file, read key by key. A value that is absent gives an empty optional and no fault; a wrong one gives
/// an empty optional and a fault at the value.
class TableReader {
 public:
  /// `kind` and `id` name the table in messages: "space" and "lab" give "space 'lab': ...". Both must outlive this.
  TableReader(const toml::table& table, std::string_view kind, std::string_view id, Faults& faults)
      : table_{table}, kind_{kind}, id_{id}, faults_{faults} {}

  const toml::table& table() const { return table_; }
  Faults& faults() const { return faults_; }
  SourceLocation location() const { return location_of(table_); }  ///< of its header
  SourceLocation key_location(std::string_view key) const;         ///< of a key; of the table where there is none
  SourceLocation value_location(std::string_view key) const;       ///< of its value; of the table where there is none
  bool has(std::string_view key) const { return table_.contains(key); }
  const toml::node* find(std::string_view key) const { return table_.get(key); }

  void error(SourceLocation location, std::string_view message) const;
  void notice(SourceLocation location, std::string_view message) const;
  /// A fault of the value of `key`: "space 'lab': volume: ...".
  void value_error(std::string_view key, std::string_view message) const;
  void value_notice(std::string_view key, std::string_view message) const;

  /// True where `key` is there; else notes that it is missing, unless an unknown key was taken for it (so unknown keys
  /// are best refused first). `example` shows how it could be written.
  bool require(std::string_view key, std::string_view example) const;
  /// Refuses every key that is not among `known`, with the nearest of them. True where there was none.
  bool refuse_unknown(std::span<const std::string_view> known) const;
  /// Refuses one key, with the nearest of `known` or else all of them.
  void unknown_key(const toml::key& key, std::span<const std::string_view> known) const;

  std::optional<std::string> text(std::string_view key) const;
  /// The same without a copy: null in place of empty.
  const std::string* text_at(std::string_view key) const;
  std::optional<bool> flag(std::string_view key) const;
  std::optional<double> number(std::string_view key, Sign sign = Sign::any) const;
  /// The same, but never a range: `why` says what to do instead, as in "put the range on 'each'".
  std::optional<double> number_alone(std::string_view key, Sign sign, std::string_view why) const;
  std::optional<std::vector<std::string>> texts(std::string_view key) const;
  /// A text with a unit, in SI. A bare number is refused with the units that fit.
  std::optional<double> quantity(std::string_view key, Dimension dimension, Sign sign = Sign::any) const;
  std::optional<Quantity> quantity(std::string_view key, std::span<const Dimension> dimensions,
                                   Sign sign = Sign::any) const;
  /// Absolute pressure, Pa; a gauge value is counted from `ambient` Pa.
  std::optional<double> pressure(std::string_view key, double ambient) const;
  /// A number from 0 to 1, or a text with % or ppm.
  std::optional<double> fraction(std::string_view key) const;
  /// The same for a value that is not looked up by a key of its own; `name` says what it is where it is a range.
  std::variant<Quantity, QuantityFault> quantity_of(const toml::node& node, std::span<const Dimension> dimensions,
                                                    Sign sign, std::string_view name) const;
  std::variant<double, QuantityFault> fraction_of(const toml::node& node, std::string_view name) const;
  /// Refuses a range for any of `keys`; true where there was one.
  bool refuse_ranges(std::span<const std::string_view> keys, std::string_view why) const;
  const toml::table* subtable(std::string_view key) const;

  /// "space 'lab'", "this space" where it has no id, "[criteria]", "the file".
  std::string subject() const;

 private:
  const toml::table& table_;
  std::string_view kind_;
  std::string_view id_;
  Faults& faults_;
};

/// One value alone, never a range.
std::variant<Quantity, QuantityFault> plain_quantity_of(const toml::node& node, std::span<const Dimension> dimensions,
                                                        Sign sign);
std::variant<double, QuantityFault> plain_fraction_of(const toml::node& node);
std::variant<double, QuantityFault> plain_number_of(const toml::node& node, Sign sign);

}  // namespace leanside::input
