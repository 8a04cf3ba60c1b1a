// SPDX-License-Identifier: Apache-2.0
/// What the readers of the parts of a site file share: the site so far, the ids so far, the kinds of things.
#pragma once

#include <array>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

#include "input/toml/toml_reader.hpp"
#include "leanside/site.hpp"
#include "leanside/substance.hpp"

namespace leanside::input {

/// Ids of one kind of thing. The texts must outlive this: they stand in the TOML tables.
class Ids {
 public:
  /// False where the id is taken already; the first one keeps it.
  bool add(std::string_view id, std::size_t index, SourceLocation location);
  void reserve(std::size_t count) { at_.reserve(count); }
  std::optional<std::size_t> find(std::string_view id) const;
  SourceLocation location_of(std::string_view id) const { return at_.at(id).location; }
  /// All ids in the order met; made when first asked for, which only an unknown id does.
  const std::vector<std::string>& names() const;

 private:
  struct Entry {
    std::size_t index;
    SourceLocation location;
  };
  std::unordered_map<std::string_view, Entry> at_;
  mutable std::vector<std::string> names_;
};

/// Gases that the file defines and gases that occur.
struct GasBook {
  SubstanceTable of_file;
  Ids file_ids;                                       // of all [[gas]], those with faults too
  std::unordered_map<std::string, GasIndex> tracked;  // by id of the substance
  std::vector<std::string> fallen_back;               // ids whose limits are not of the source asked for
  std::vector<std::string> mixtures_used;             // of the table: their composition is an assumption
};

/// A cylinder without a leak, and what may happen to it.
struct StandingCylinder {
  CylinderRelease seeping, broken;
  std::string seeping_words, broken_words;
};

/// The frame of a window, m: from the hinges to the free edge, and along the hinges.
struct WindowFrame {
  double across = 0.0, hinged = 0.0;
};

/// A site while it is read. Things with faults are in it too, so that they can be referred to; it is then not used.
struct Draft {
  Faults& faults;
  const SubstanceTable& substances;
  Site site{};
  Ids spaces{}, airways{}, systems{}, releases{}, cases{};
  std::vector<bool> airway_sound{};              // by AirwayIndex: read without fault
  std::map<std::size_t, Airway> written{};       // airways of systems, by AirwayIndex::value: as the file gives them
  std::map<std::size_t, WindowFrame> windows{};  // by AirwayIndex::value
  std::optional<double> fit_within{};            // flows are fitted, each changed by this share at most
  std::optional<double> begins{};                // s from Monday 0:00 to the start of the run
  std::vector<Assumption> ajar{}, fitted{};
  double repeated_until = 0.0;  // s, of events of a timetable; 0: there are none
  GasBook gases{};
  std::vector<Assumption> defaults{};          // what was not given in [conditions] and [criteria]
  std::vector<SpaceIndex> well_mixed{};        // spaces that give no mixing_factor
  std::optional<Stratification> room_model{};  // of rooms and cabinets that give no stratification
  std::vector<SpaceIndex> left_mixed{};        // rooms and cabinets for which nothing gives one
  std::vector<std::string> stratified{};       // a sentence on each thing assumed about layers
  std::vector<std::string> default_discharge{}, default_air_speed{};  // ids of releases that give none
  std::vector<std::string> boiling{};                                 // ids of spills that boil
  std::vector<std::string> not_checked{};  // ids of releases of whose gas nothing tells how far it is from ideal
  std::vector<std::string> dense{};        // ids of releases of gas that may be liquid in the hole
  std::vector<std::string> usual_holes{};  // a sentence for each hole given by words
  std::vector<std::string> stores{};       // a sentence for each cylinder on what was assumed
  std::vector<std::string> pools{};        // a sentence for each pool of a mixture or of a boiling liquid
  std::vector<std::string> vessels{};      // a sentence for each vessel on what was assumed
  std::map<std::size_t, StandingCylinder> standing{};  // by index of its release: cylinders in store

  /// Back to the start.
  void forget() {
    site = Site{};
    spaces = airways = systems = releases = cases = Ids{};
    airway_sound.clear();
    written.clear();
    windows.clear();
    fit_within.reset();
    room_model.reset();
    begins.reset();
    repeated_until = 0.0;
    gases = GasBook{};
    standing.clear();
    forget_remarks();
  }
  /// What was noted while reading, but for the site itself.
  void forget_remarks() {
    defaults.clear();
    ajar.clear();
    fitted.clear();
    well_mixed.clear();
    left_mixed.clear();
    stratified.clear();
    default_discharge.clear();
    default_air_speed.clear();
    boiling.clear();
    not_checked.clear();
    dense.clear();
    usual_holes.clear();
    stores.clear();
    pools.clear();
    vessels.clear();
  }
};

/// A few names, in a fixed array so that tables of them can be constants.
using Names = std::array<std::string_view, 20>;
std::vector<std::string_view> in_use(const Names& names);
bool contains(const Names& names, std::string_view name);

/// One kind of space, airway or release: its word in the file and the keys that it has besides those that all have.
struct Kind {
  std::string_view word;
  Names keys{};
  std::string_view earlier{};  ///< a word that older files use for it; still read, no longer shown
};

/// The keys of a vessel as an apparatus; its volume, where given, is that of the file. Makes it that of the gas space.
void read_apparatus(const TableReader& table, Draft& draft, Space& space);

/// The kind that the table names; null, with a fault, where it names none that is known.
const Kind* read_kind(const TableReader& table, std::span<const Kind> kinds);

/// Refuses keys that neither `common` nor `kind` has, telling which other kind has them. Where the kind is not known
/// (null) only those that no kind has.
void refuse_foreign_keys(const TableReader& table, const Kind* kind, std::span<const Kind> kinds, const Names& common);

/// Calls `read` for each table of the list [[key]], and notes whatever is not such a list.
void for_each_table(const TableReader& file, std::string_view key, const std::function<void(const toml::table&)>& read);

/// How many tables [[key]] there are, to make room for them.
std::size_t row_count(const TableReader& file, std::string_view key);

/// The id of a table as far as it is text; checks its letters and that it is there. `example` is shown where it is not.
std::string_view read_id(const TableReader& table, std::string_view example);
/// The text of `id` for messages, without any check.
std::string_view id_text(const toml::table& table);

/// Adds the id to `ids`; a second one of the same text is a fault.
void take_id(const TableReader& table, std::string_view id, std::size_t index, Ids& ids);

/// A space or outside, named by `node`. Empty, with a fault, where it names neither.
std::optional<Side> read_side(const TableReader& table, std::string_view key, const toml::node& node,
                              const Draft& draft);

/// "; did you mean 'lab'?", else the names themselves where they are few.
std::string suggestion(std::string_view word, const std::vector<std::string>& names, Faults& faults);

/// "'a', 'b', 'c', 'd' and 3 more".
std::string some_of(const std::vector<std::string>& ids);

/// An assumption that no kind stands for, as a sentence.
Assumption stated(std::string sentence);

// Each reads its part of the file into the draft.
void read_conditions(const TableReader& file, Draft& draft);
void read_criteria(const TableReader& file, Draft& draft);
void read_gases(const TableReader& file, Draft& draft);
void read_spaces(const TableReader& file, Draft& draft);
void read_systems(const TableReader& file, Draft& draft);
void read_airways(const TableReader& file, Draft& draft);
/// Once the airways are read: what a system does to its own, and the ducts of its return air.
void apply_systems(Draft& draft);
/// Changes given flows, each by a small share, so that what each space gets and gives is equal; a fault where that
/// share is not enough. Only where the file asks for it.
void fit_flows(Draft& draft);
void read_releases(const TableReader& file, Draft& draft);
void read_cases(const TableReader& file, Draft& draft);
/// Gives each value that is seldom known well a range; true where there was any.
bool add_usual_ranges(toml::table& root);
Assumption assumption_of_usual_ranges();
/// What one entry of a list of events does; times below 0 stand for what happened before the run. Empty where it is
/// wrong.
std::vector<Event> read_event(const toml::node& node, Draft& draft);
/// When it happens, s from the start, ascending: `at` alone, or each time of a timetable, the last one before the start
/// included.
std::vector<double> read_times(const TableReader& event, Draft& draft);
/// s from Monday 0:00: "Mon 08:00".
std::optional<double> read_weekday_and_clock(const TableReader& table, std::string_view key);
/// A share of what the file gives, more than 0: 0.5, "50 %", 1.2.
std::optional<double> read_factor(const TableReader& table, std::string_view key);
/// The events of an air handling unit: for people, and for each of its airways.
std::vector<Event> system_events(const SetSystem& set, const Draft& draft);
/// Adds, after the releases of the file, those that represent a leak of each cylinder in store; replaces earlier ones.
void foresee_leaks(Draft& draft);
/// Adds a case for each of them, and one in which all that the cylinder holds comes out.
void foresee_cases(Draft& draft);
/// A case for each release that is off and that no case turns on.
void add_cases_of_releases(Draft& draft);
void check_junctions(Draft& draft);
/// Adds an opening for each vessel that has holes or a delivery tube, to where it stands.
void open_vessels(Draft& draft);
/// In which room each cabinet stands that does not say so; a fault where that has to be known and is not.
void find_rooms_of_cabinets(Draft& draft);

/// Whether a space, or the one of a side, may be in layers.
bool in_layers(const Side& side, const Site& site);
/// Refuses an airway (its height above the floor of the first-named side that is a space running from `low` to `high`)
/// that opens outside of a layered room. `key` is the one to blame.
void check_opening(const TableReader& table, std::string_view key, Side first, Side second, double low, double high,
                   const Draft& draft);
/// Height and momentum of a release, which only rooms in layers use.
void read_release_place(const TableReader& table, Release& release, Draft& draft);
/// The room model that a table names with `stratification`; empty where it names none.
std::optional<Stratification> read_stratification(const TableReader& table);
/// Refuses what layers do not support and gives them the heights that the file leaves out; a notice of gas in a mixed
/// room that would gather.
void check_layers(Draft& draft);

// One row each, for what may stand in place of another reading of it; its id is not taken. Of an airway also whether it
// was read without fault.
Space read_space(const toml::table& row, SpaceIndex index, Draft& draft);
/// `stands_in` of a cabinet or vessel, once all spaces are known.
void read_stands_in(const toml::table& row, SpaceIndex index, Draft& draft);
/// A flow, m3/s at the temperature of `from`; may be given as standard or normal volumes, which are amounts.
std::optional<double> read_volume_flow(const TableReader& table, std::string_view key, Side from, const Draft& draft);
std::pair<Airway, bool> read_airway(const toml::table& row, AirwayIndex index, Draft& draft);
Release read_release(const toml::table& row, ReleaseIndex index, Draft& draft);
void state_assumptions(Draft& draft);

/// The composition that a gas name stands for, its gases tracked from now on. Empty, with a fault at `location`, where
/// the name is not known.
std::optional<Composition> composition_of(const TableReader& table, SourceLocation location, std::string_view name,
                                          Draft& draft);

/// Adds `fraction` of what `part` is made of to `shares`.
void add_shares(std::vector<GasShare>& shares, const Composition& part, double fraction);

}  // namespace leanside::input
