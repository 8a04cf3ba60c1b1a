// SPDX-License-Identifier: Apache-2.0
#include "leanside/site_file.hpp"

#include <algorithm>
#include <utility>

#include <fmt/format.h>

#include "embedded.hpp"
#include "input/site/site_draft.hpp"
#include "input/toml/ranges.hpp"

namespace leanside {
namespace input {
namespace {

constexpr std::string_view lists[] = {"space", "airway", "system", "release", "gas", "case", "event"};

void read_top(const TableReader& file, Draft& draft) {
  constexpr std::string_view keys[] = {"title",  "notes",   "conditions", "criteria", "space", "airway",
                                       "system", "release", "gas",        "case",     "event"};
  file.refuse_unknown(keys);
  if (!file.has("title")) {
    if (!draft.faults.damaged() && !draft.faults.was_offered(&file.table(), "title")) {
      draft.faults.error({{}, 1, 1}, "the file has no 'title'; write at its top, for example, title = \"Prep room\"");
    }
  } else if (auto title = file.text("title")) {
    if (title->find_first_not_of(" \t\r\n") == std::string::npos) file.value_error("title", "is empty");
    draft.site.title = std::move(*title);
  }
  draft.site.notes = file.text("notes").value_or("");
}

/// Everything but the checks of the site as a whole.
void read_into(Draft& draft, const toml::table& root) {
  draft.site.file = draft.faults.file();
  const TableReader file{root, {}, {}, draft.faults};
  read_top(file, draft);
  read_conditions(file, draft);
  read_criteria(file, draft);
  read_gases(file, draft);
  read_spaces(file, draft);
  read_systems(file, draft);
  read_airways(file, draft);
  open_vessels(draft);
  apply_systems(draft);
  fit_flows(draft);
  read_releases(file, draft);
  read_cases(file, draft);
  foresee_cases(draft);
  if (!draft.faults.any_error()) add_cases_of_releases(draft);
  check_junctions(draft);
  find_rooms_of_cabinets(draft);
  check_layers(draft);
}

Site read_parts(const toml::table& root, const SubstanceTable& substances, Faults& faults) {
  Draft draft{faults, substances};
  read_into(draft, root);
  if (!faults.any_error() && !faults.drawn()) state_assumptions(draft);
  return std::move(draft.site);
}

}  // namespace
}  // namespace input

struct RangedSite::State {
  std::string file_name;
  toml::table root;
  const SubstanceTable& substances;
  input::Ranges ranges{};
  Site best{};
  std::optional<UnitSystem> units{};

  State(std::string name, toml::table read, const SubstanceTable& table)
      : file_name{std::move(name)}, root{std::move(read)}, substances{table} {}

  /// The site with these values, what is wrong with it noted in `faults`.
  Site with(std::span<const double> values, input::Faults& faults) const {
    const input::Draw draw{ranges, values};
    faults.draw(draw);
    faults.prefer(units);
    return input::read_parts(root, substances, faults);
  }
};

namespace {

/// Each range must do at both of its ends, the others at their best values.
void check_ends(const RangedSite::State& state, input::Faults& faults) {
  std::vector<double> values;
  for (const Range& range : state.best.ranges) values.push_back(range.best);
  for (std::size_t i = 0; i < values.size(); ++i) {
    const Range& range = state.best.ranges[i];
    for (const bool low : {true, false}) {
      values[i] = low ? range.low : range.high;
      input::Faults found{state.file_name};
      state.with(values, found);
      if (found.any_error()) {
        const Diagnostics list = found.take();
        const auto error =
            std::ranges::find_if(list, [](const Diagnostic& d) { return d.level == DiagnosticLevel::error; });
        faults.error(range.place, fmt::format("with the {} value of this range, {}: {}", low ? "low" : "high",
                                              low ? range.low_text : range.high_text, error->message));
      }
    }
    values[i] = range.best;
  }
}

/// Whether an event depends on what the file gives of an airway.
bool repeats_airways(const Site& site) {
  return std::ranges::any_of(site.cases, [](const Case& each) {
    return std::ranges::any_of(each.events, [](const Event& event) {
      return std::holds_alternative<SetAirwayKind>(event.change) || std::holds_alternative<SetAirwayFlow>(event.change);
    });
  });
}

struct Read {
  std::shared_ptr<RangedSite::State> state;  ///< null where there are errors
  Diagnostics diagnostics;
};

/// The same with usual ranges; what is wrong with one of them leaves all of them out.
void read_with_usual_ranges(RangedSite::State& state) {
  toml::table as_written = state.root;
  input::Faults faults{state.file_name};
  faults.prefer(state.units);
  input::Ranges ranges;
  faults.collect(ranges);
  if (!input::add_usual_ranges(state.root)) return;
  Site best = input::read_parts(state.root, state.substances, faults);
  if (faults.any_error() || ranges.entries().empty()) {
    state.root = std::move(as_written);
    return;
  }
  state.ranges = std::move(ranges);
  state.best = std::move(best);
  state.best.assumptions.push_back(input::assumption_of_usual_ranges());
}

Read read_text(std::string_view text, const std::string& file_name, const SubstanceTable& substances, UsualRanges usual,
               std::optional<UnitSystem> units) {
  input::Faults faults{file_name};
  faults.prefer(units);
  Read read;
  if (text.size() > largest_input_file) {
    faults.error({}, fmt::format("the text is larger than {} MB", largest_input_file >> 20));
  } else if (auto root = input::parse_toml(text, faults, input::lists)) {
    auto state = std::make_shared<RangedSite::State>(file_name, std::move(*root), substances);
    state->units = units;
    faults.collect(state->ranges);
    state->best = input::read_parts(state->root, substances, faults);
    const bool none = state->ranges.entries().empty() && !faults.any_error();
    if (none && usual == UsualRanges::where_none_is_given) read_with_usual_ranges(*state);
    for (const auto& entry : state->ranges.entries()) state->best.ranges.push_back(entry.range);
    if (!faults.any_error()) check_ends(*state, faults);
    if (!faults.any_error()) {
      if (!state->best.ranges.empty()) {
        state->best.assumptions.push_back(assumption_of_best_values(state->best.ranges));
      }
      read.state = std::move(state);
    }
  }
  read.diagnostics = faults.take();
  return read;
}

}  // namespace

const Site& RangedSite::best() const { return state_->best; }

/// Reads again only what the ranges are in, or what depends on that: a release into a space, an airway to it.
struct RangedSite::Draws::Inner {
  std::shared_ptr<const State> state;
  std::vector<double> values;
  input::Draw draw;
  input::Faults faults;
  input::Draft draft;
  Diagnostics found;
  bool all = false, events = false;
  std::vector<std::size_t> spaces, airways, releases;  ///< by index, ascending

  explicit Inner(std::shared_ptr<const State> of)
      : state{std::move(of)}, draw{state->ranges, values}, faults{state->file_name}, draft{faults, state->substances} {
    for (const Range& range : state->best.ranges) values.push_back(range.best);
    draw.values = values;
    faults.draw(draw);
    faults.prefer(state->units);
    input::read_into(draft, state->root);
    draft.site.ranges = state->best.ranges;
    find_what_depends();
  }

  void find_what_depends() {
    const Site& best = state->best;
    std::vector<bool> space(best.spaces.size(), false), airway(best.airways.size(), false),
        release(best.releases.size(), false);
    for (const auto& entry : state->ranges.entries()) {
      switch (entry.scope.part) {
        case input::Part::space:
          space[entry.scope.index] = true;
          break;
        case input::Part::airway:
          airway[entry.scope.index] = true;
          break;
        case input::Part::release:
          release[entry.scope.index] = true;
          break;
        case input::Part::event:
          events = true;
          break;
        default:
          all = true;
      }
    }
    // The openings of vessels follow those of the file, and no value of theirs is kept in the site.
    const auto* rows = state->root.get_as<toml::array>("airway");
    airway.resize(rows != nullptr ? std::min(rows->size(), airway.size()) : 0);
    // Systems and fitted flows join all airways to each other, and some events repeat what an airway is.
    const bool any_airway =
        std::ranges::find(space, true) != space.end() || std::ranges::find(airway, true) != airway.end();
    if (any_airway && (!best.systems.empty() || draft.fit_within)) all = true;
    // Layers get the heights that the file leaves out once all else is read.
    if (has_layers(best)) all = true;
    events = events || (any_airway && repeats_airways(best));
    for (std::size_t i = 0; i < airway.size(); ++i) {
      for (const Side& side : {first_side(best.airways[i]), second_side(best.airways[i])}) {
        if (side && space[side->value]) airway[i] = true;
      }
    }
    for (std::size_t i = 0; i < release.size(); ++i) {
      if (space[best.releases[i].into.value]) release[i] = true;
      if (best.releases[i].happens_to) release[i] = false;  // follows from the cylinder that it happens to
    }
    const auto places = [](const std::vector<bool>& marks) {
      std::vector<std::size_t> out;
      for (std::size_t i = 0; i < marks.size(); ++i) {
        if (marks[i]) out.push_back(i);
      }
      return out;
    };
    spaces = places(space);
    airways = places(airway);
    releases = places(release);
  }

  const toml::table& row(std::string_view key, std::size_t index) const {
    return *state->root.get(key)->as_array()->get(index)->as_table();
  }

  void read_again() {
    if (all) {
      draft.forget();
      input::read_into(draft, state->root);
      draft.site.ranges = state->best.ranges;
      return;
    }
    draft.forget_remarks();
    for (const std::size_t i : spaces) {
      draft.site.spaces[i] = input::read_space(row("space", i), SpaceIndex{i}, draft);
      input::read_stands_in(row("space", i), SpaceIndex{i}, draft);
    }
    for (const std::size_t i : airways) {
      draft.site.airways[i] = input::read_airway(row("airway", i), AirwayIndex{i}, draft).first;
    }
    for (const std::size_t i : releases) {
      draft.site.releases[i] = input::read_release(row("release", i), ReleaseIndex{i}, draft);
    }
    input::foresee_leaks(draft);
    input::find_rooms_of_cabinets(draft);
    if (!events) return;
    draft.site.cases.clear();
    draft.cases = {};
    input::read_cases({state->root, {}, {}, faults}, draft);
    input::foresee_cases(draft);
    if (!faults.any_error()) input::add_cases_of_releases(draft);
  }
};

RangedSite::Draws::Draws(const RangedSite& of) : inner_{std::make_unique<Inner>(of.state_)} {}
RangedSite::Draws::~Draws() = default;
RangedSite::Draws::Draws(Draws&&) noexcept = default;

const Site* RangedSite::Draws::at(std::span<const double> values) {
  Inner& inner = *inner_;
  inner.values.assign(values.begin(), values.end());
  inner.draw.values = inner.values;
  inner.read_again();
  if (!inner.faults.any_error()) return &inner.draft.site;
  inner.found = inner.faults.take();
  std::erase_if(inner.found, [](const Diagnostic& d) { return d.level != DiagnosticLevel::error; });
  return nullptr;
}

const Diagnostics& RangedSite::Draws::faults() const { return inner_->found; }

RangedReading parse_ranged_site(std::string_view text, const std::string& file_name, const SubstanceTable& substances,
                                UsualRanges usual, std::optional<UnitSystem> units) {
  Read read = read_text(text, file_name, substances, usual, units);
  RangedReading out;
  if (read.state) out.site.emplace(std::move(read.state));
  out.diagnostics = std::move(read.diagnostics);
  return out;
}

SiteReading parse_site(std::string_view text, const std::string& file_name, const SubstanceTable& substances,
                       std::optional<UnitSystem> units) {
  Read read = read_text(text, file_name, substances, UsualRanges::none, units);
  SiteReading reading{std::monostate{}, std::move(read.diagnostics)};
  if (read.state) reading.site = std::move(read.state->best);
  return reading;
}

std::string_view built_in_site() { return embedded::school_prep_room; }

}  // namespace leanside
