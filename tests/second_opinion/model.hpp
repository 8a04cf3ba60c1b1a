// SPDX-License-Identifier: Apache-2.0
/// The site model of the second solver: plain numbers in SI units together with their text in the file.
#pragma once

#include <limits>
#include <optional>
#include <string>
#include <vector>

namespace second_opinion {

using Real = long double;

inline constexpr double never = std::numeric_limits<double>::infinity();
inline constexpr int outside = -1;

/// A value and how the site file writes it.
struct Value {
  double si = 0.0;
  std::string text;
};

/// A gas of the built-in table or of the file.
struct Gas {
  std::string id;
  double molar_mass = 0.0;  ///< kg/mol
  std::optional<double> lower, upper;
  std::optional<double> least_oxygen, nitrogen_equivalent, demand, heat, heat_ratio, diffusivity;
  bool oxygen = false;
  std::string in_file;  ///< its [[gas]] table; empty for one of the built-in table
};

struct Share {
  std::size_t gas = 0;
  double fraction = 0.0;
};
/// The composition of a release or an initial filling; the rest is air.
struct Blend {
  std::string id;
  std::vector<Share> shares;
  std::string in_file;  ///< its [[gas]] table
};

enum class Kind { room, cabinet, vessel, junction };

struct Space {
  std::string id;
  Kind kind = Kind::room;
  Value volume;
  std::optional<Value> temperature, elevation, height;
  double mixing = 1.0;
  Value air_changes;
  std::vector<Share> initial;
  bool layered = false;
  Value floor_area;                   ///< of a layered room, which has a height too
  std::optional<double> entrainment;  ///< of a layered room
  std::optional<int> stands_in;       ///< of a cabinet, as the file says
};

enum class Way { fan, exchange, opening, gap, doorway, curve };

struct Airway {
  std::string id;
  Way way = Way::fan;
  int first = outside, second = outside;
  bool on = true;
  bool assumed = false;                         ///< no airway of the file: between layers that are not those of the gas
  Value flow;                                   ///< fan, exchange
  Value area, height;                           ///< gap; height also of a curve and of any airway of a layered room
  double exponent = 0.65;                       ///< gap
  std::optional<double> wind;                   ///< gap
  Value width, tall, sill;                      ///< doorway
  double open = 1.0, discharge = 0.6;           ///< doorway
  std::vector<std::pair<Value, Value>> points;  ///< curve: pressure, flow
};

/// One piece of the course of a stock: mol, and mol/s at its start and end.
struct CoursePiece {
  Real amount, first, last;
  bool even() const;
  Real duration() const;
  Real given(Real t) const;
  Real rate(Real t) const;
};
/// `standing` is a cylinder without a hole, which gives all it holds in a minute where a case says so; `boiling` a
/// spill that boils by itself.
enum class Source {
  steady,
  dump,
  fittings,
  orifice,
  cylinder,
  spill,
  even_reaction,
  reaction,
  charging,
  boiling,
  dewar,
  standing
};

struct Release {
  std::string id;
  Source source = Source::steady;
  std::size_t into = 0;
  Blend gas;
  Value start;
  Value height;  ///< in a layered room
  bool on = true;
  std::string keys;  ///< the rest of its table, as lines
  // Values that follow from the keys.
  double rate = 0.0;       ///< mol/s; unused for a reaction with a half time
  double lasts = never;    ///< s
  double amount = 0.0;     ///< mol: dump, spill, reactions, liquefied gas
  double half_time = 0.0;  ///< s
  double pressure = 0.0, volume = 0.0, hole_area = 0.0, discharge = 0.0, temperature = 0.0;  ///< hole, cylinder
  double pool_area = 0.0, air_speed = 0.0;
  std::vector<CoursePiece> course;  ///< of a cylinder, of a boiling liquid
  bool liquid_out = false;          ///< a cylinder of liquefied gas that lies down
  bool added = false;               ///< not in the file: what happens to a cylinder that stands there
};

enum class Change { airway_on, airway_flow, airway_open, release_on, temperature };

struct Event {
  Value at;
  Change change = Change::airway_on;
  std::size_t target = 0;
  bool on = true;
  Value value;
};

struct Case {
  std::string id;
  std::vector<Event> events;
  bool added = false;  ///< not in the file
};

struct Site {
  std::string title;
  double temperature = 293.15, outside_temperature = 293.15, pressure = 101325.0, oxygen_in_air = 0.2095;
  double wind_speed = 0.0;
  std::string conditions;  ///< the table as written
  double warn_at = 0.25, note_at = 0.1, oxygen_low = 0.195, oxygen_high = 0.235, horizon = 28800.0;
  std::string criteria;
  std::vector<Gas> gases;
  std::vector<Blend> blends;  ///< defined by the file
  std::vector<Space> spaces;
  std::vector<Airway> airways;
  std::vector<Release> releases;
  std::vector<Event> events;  ///< of every case
  std::vector<Case> cases;    ///< in addition to `normal`, those that leanside adds for cylinders last

  double temperature_of(std::size_t space) const {
    return spaces[space].temperature ? spaces[space].temperature->si : temperature;
  }
};

/// The text of the site file.
std::string text_of(const Site& site);

}  // namespace second_opinion
