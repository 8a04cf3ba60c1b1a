// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <cmath>
#include <initializer_list>
#include <vector>

#include <fmt/format.h>

#include "fuzz/targets.hpp"

namespace leanside::fuzz {
namespace {

/// Makes one choice per byte. After the last byte it always takes the first option. A small change of the bytes is a
/// small change of the site.
class Choices {
 public:
  explicit Choices(std::string_view bytes) : left_{bytes} {}

  std::size_t below(std::size_t n) { return n < 2 ? 0 : byte() % n; }
  bool chance(unsigned of_256) { return byte() > 255 - of_256; }
  const char* word(std::initializer_list<const char*> words) { return words.begin()[below(words.size())]; }
  /// From low to high, uniform in the logarithm; uses two bytes.
  double decades(double low, double high) {
    const double at = (byte() + byte() / 256.0) / 256.0;
    return low * std::pow(high / low, at);
  }
  double between(double low, double high) { return low + (high - low) * byte() / 255.0; }

 private:
  unsigned byte() {
    if (left_.empty()) return 0;
    const auto out = static_cast<unsigned char>(left_.front());
    left_.remove_prefix(1);
    return out;
  }
  std::string_view left_;
};

class Drawing {
 public:
  explicit Drawing(std::string_view bytes) : c_{bytes} {}

  std::string text() {
    out_ = "title = \"Drawn\"\n";
    spaces_ = 1 + c_.below(5);
    const std::size_t airways = c_.below(8), releases = c_.below(4), cases = c_.below(3);
    conditions();
    for (std::size_t i = 0; i < spaces_; ++i) space(i);
    has_system_ = c_.chance(64);
    if (has_system_) {
      put("[[system]]\nid = \"u\"\nflow_factor = {:.4g}\n", c_.decades(0.1, 5.0));
      if (c_.chance(32)) out_ += "on = false\n";
    }
    for (std::size_t i = 0; i < airways; ++i) airway(i);
    if (has_system_ && c_.chance(128)) return_air();
    for (std::size_t i = 0; i < spaces_; ++i) {
      if (junction_[i]) serve_junction(i);
    }
    for (std::size_t i = 0; i < releases; ++i) release(i);
    for (std::size_t i = 0; i < cases; ++i) new_case(i);
    return out_;
  }

 private:
  template <class... Parts>
  void put(fmt::format_string<Parts...> form, Parts&&... parts) {
    out_ += fmt::format(form, std::forward<Parts>(parts)...);
  }
  /// Writes `key = "number unit"`.
  void quantity(const char* key, double low, double high, const char* unit) {
    put("{} = \"{:.4g} {}\"\n", key, c_.decades(low, high), unit);
  }
  std::string space_id() { return fmt::format("s{}", c_.below(spaces_)); }
  const char* gas() {
    return c_.word({"methane", "hydrogen", "propane", "nitrogen", "oxygen", "acetone", "carbon-monoxide", "natural-gas",
                    "ammonia", "own", "mix", "air", "nitrous-oxide", "chlorine", "water-vapour"});
  }

  void conditions() {
    out_ += "[conditions]\n";
    put("temperature = \"{:.4g} degC\"\n", c_.between(-40.0, 60.0));
    if (c_.chance(128)) put("outside_temperature = \"{:.4g} degC\"\n", c_.between(-40.0, 60.0));
    if (c_.chance(64)) put("pressure = \"{:.4g} kPa\"\n", c_.between(60.0, 110.0));
    if (c_.chance(64)) put("wind_speed = \"{:.4g} m/s\"\n", c_.between(0.0, 40.0));
    out_ += "[criteria]\n";
    quantity("horizon", 1.0, 1e6, "s");
    if (c_.chance(32)) put("warn_at = {:.4g}\nnote_at = {:.4g}\n", c_.between(0.05, 1.0), c_.between(0.0, 1.0));
    out_ +=
        "[[gas]]\nid = \"own\"\nsource = \"invented\"\nmolar_mass = \"90 g/mol\"\nlfl = \"1 %\"\nufl = \"60 %\"\n"
        "[[gas]]\nid = \"mix\"\nsource = \"invented\"\nparts = { hydrogen = \"30 %\", argon = \"50 %\", "
        "nitrous-oxide = \"10 %\", oxygen = \"10 %\" }\n"
        "[[gas]]\nid = \"solvent\"\nsource = \"invented\"\nparts = { n-pentane = \"3 %\", acetone = \"47 %\", "
        "toluene = \"30 %\", o-xylene = \"20 %\" }\n";
  }

  void space(std::size_t i) {
    const char* const kind = c_.word({"room", "room", "cabinet", "room", "vessel", "room", "cabinet", "junction"});
    layered_.push_back(false);
    junction_.push_back(kind[0] == 'j');
    put("[[space]]\nid = \"s{}\"\nkind = \"{}\"\n", i, kind);
    if (c_.chance(64)) put("elevation = \"{:.4g} m\"\n", c_.between(-10.0, 60.0));
    if (c_.chance(64)) put("temperature = \"{:.4g} degC\"\n", c_.between(-30.0, 90.0));
    if (kind[0] == 'j') return;
    const bool shaped = kind[0] != 'v' && c_.chance(128);
    if (shaped) {
      quantity("floor_area", 0.1, 1e4, "m2");
      quantity("height", 0.1, 50.0, "m");
      if (c_.chance(128)) {
        layered_.back() = true;
        put("stratification = \"{}\"\n", c_.word({"layered", "worse of both", "mixed"}));
        if (c_.chance(32)) put("entrainment = {:.4g}\n", c_.between(0.01, 0.5));
      } else if (c_.chance(64)) {
        put("mixing_factor = {:.4g}\n", c_.between(1.0, 10.0));
      }
    } else {
      quantity("volume", 1e-4, 1e6, "m3");
    }
    // The first space may be no room: then the site is refused.
    if (kind[0] == 'c' && c_.chance(192)) put("stands_in = \"{}\"\n", c_.chance(128) ? "outside" : "s0");
    if (kind[0] == 'v') apparatus();
    if (c_.chance(128)) quantity("air_changes", 1e-4, 100.0, "/h");
    if (c_.chance(64)) put("initial = {{ {} = {:.4g} }}\n", gas(), c_.between(0.0, 1.0));
  }

  /// A vessel as an apparatus on a bench.
  void apparatus() {
    if (c_.chance(64)) quantity("diameter", 1e-3, 10.0, "m");
    if (c_.chance(64)) quantity("liquid", 1e-6, 1e-3, "m3");
    if (c_.chance(32)) out_ += "stirred = true\n";
    switch (c_.below(4)) {
      case 0:
        put("mouth = \"{}\"\n{}", c_.word({"up", "down"}), c_.chance(64) ? "flame = true\n" : "");
        break;
      case 1:
        put("openings = [{{ at = \"top\", diameter = \"{:.4g} mm\", flame = true }}, {{ at = \"{}\", diameter = "
            "\"{:.4g} "
            "mm\" }}]\n",
            c_.decades(0.1, 20.0), c_.word({"top", "bottom"}), c_.decades(0.1, 20.0));
        break;
      case 2:
        quantity("collect", 1e-6, 1e-2, "m3");
        break;
      default:
        break;
    }
  }

  /// Whether the space on this side may be layered.
  bool at_layers(const std::string& side) const {
    return side != "outside" && layered_[static_cast<std::size_t>(side[1] - '0')];
  }

  struct Sides {
    std::string first, second;
    bool outside = false, layers = false;  ///< whether a side is outside, or may be layered
  };
  Sides sides() {
    Sides out{c_.chance(64) ? "outside" : space_id(), c_.chance(128) ? "outside" : space_id()};
    if (out.first == out.second) out.second = out.first == "outside" ? "s0" : "outside";
    out.outside = out.first == "outside" || out.second == "outside";
    out.layers = at_layers(out.first) || at_layers(out.second);
    return out;
  }

  /// Adds two airways: a junction with fewer is refused.
  void serve_junction(std::size_t i) {
    put("[[airway]]\nid = \"in{0}\"\nkind = \"fan\"\nfrom = \"outside\"\nto = \"s{0}\"\n", i);
    quantity("flow", 1e-4, 1e5, "m3/h");
    put("[[airway]]\nid = \"out{0}\"\nkind = \"opening\"\nbetween = [\"s{0}\", \"outside\"]\n", i);
  }

  /// Supply and extract of a system that uses part of the air again.
  void return_air() {
    put("[[system]]\nid = \"v\"\nrecirculation = {:.4g}\n", c_.between(0.0, 1.0));
    for (const char* way : {"in", "out"}) {
      const std::string space = space_id(), in = std::string_view{way} == "in" ? "outside" : space;
      put("[[airway]]\nid = \"v-{}\"\nkind = \"fan\"\nfrom = \"{}\"\nto = \"{}\"\nsystem = \"v\"\nheight = \"1 m\"\n",
          way, in, in == space ? "outside" : space);
      quantity("flow", 0.1, 1e4, "m3/h");
    }
  }

  void airway(std::size_t i) {
    const Sides at = sides();
    std::size_t kind = c_.below(8);
    if (kind == 2 && at.layers) kind = 3;  // openings of layered rooms are refused
    constexpr const char* words[] = {"fan", "exchange", "opening", "gap", "doorway", "fan", "louvre", "window"};
    put("[[airway]]\nid = \"w{}\"\nkind = \"{}\"\n", i, words[kind]);
    kinds_.push_back(kind == 5 ? "curve" : words[kind]);
    const bool one_way = kind == 0 || kind == 5;
    if (one_way) {
      put("from = \"{}\"\nto = \"{}\"\n", at.first, at.second);
    } else {
      put("between = [\"{}\", \"{}\"]\n", at.first, at.second);
    }
    if (c_.chance(32)) out_ += "on = false\n";
    if (has_system_ && c_.chance(64)) out_ += "system = \"u\"\n";
    if (kind < 2) quantity("flow", 1e-4, 1e5, "m3/h");
    if (kind == 3) {
      quantity("leakage_area", 1e-3, 1e5, "cm2");
      if (c_.chance(64)) put("exponent = {:.4g}\n", c_.between(0.5, 1.0));
      if (at.outside && c_.chance(64)) put("wind_coefficient = {:.4g}\n", c_.between(-1.0, 1.0));
    }
    if (kind == 4 || kind > 5) {
      quantity("width", 0.01, 10.0, "m");
      put("height = \"{:.4g} m\"\n", c_.decades(0.01, 5.0));
      if (kind == 6) put("free_share = {:.4g}\n", c_.between(0.1, 1.0));
      if (kind == 7 && c_.chance(128)) put("angle = {:.4g}\n", c_.between(1.0, 120.0));
      if (c_.chance(64)) put("open = {:.4g}\n", c_.between(0.0, 1.0));
      return;
    }
    if (kind == 5) {
      const double flow = c_.decades(0.1, 1e4), pressure = c_.decades(0.1, 2000.0);
      put("curve = [[\"0 Pa\", \"{:.4g} m3/h\"], [\"{:.4g} Pa\", \"{:.4g} m3/h\"], [\"{:.4g} Pa\", \"0 m3/h\"]]\n",
          flow, 0.6 * pressure, flow * c_.between(0.0, 1.0), pressure);
    }
    if (kind != 2 && (at.layers || c_.chance(128))) put("height = \"{:.4g} m\"\n", c_.between(0.0, 3.0));
  }

  void rate(const char* key) {
    if (c_.chance(64)) {
      quantity(key, 1e-6, 10.0, "kg/s");
    } else {
      quantity(key, 1e-3, 1e6, "L/min");
    }
  }

  void release(std::size_t i) {
    const std::size_t kind = c_.below(9);
    constexpr const char* words[] = {"steady", "dump",     "fittings", "orifice", "cylinder",
                                     "spill",  "reaction", "charging", "dewar"};
    const std::string into = space_id();
    put("[[release]]\nid = \"r{}\"\nkind = \"{}\"\ninto = \"{}\"\n", i, words[kind], into);
    releases_ = i + 1;
    if (kind < 4) put("gas = \"{}\"\n", gas());
    if (c_.chance(64)) quantity("start", 1.0, 1e6, "s");
    if (c_.chance(32)) out_ += "on = false\n";
    if (at_layers(into) || c_.chance(64)) put("height = \"{:.4g} m\"\n", c_.between(0.0, 3.0));
    switch (kind) {
      case 0:
        rate("rate");
        if (c_.chance(64)) quantity("duration", 1e-3, 1e6, "s");
        break;
      case 1:
        quantity("amount", 1e-6, 1e4, "m3");
        quantity("over", 1e-3, 1e6, "s");
        break;
      case 2:
        put("count = {}\n", 1 + c_.below(200));
        rate("each");
        break;
      case 3:
      case 4:
        if (kind == 4) return cylinder();
        quantity("pressure", 0.001, 300.0, "barg");
        quantity("hole", 0.01, 100.0, "mm");
        break;
      case 5:
        return spill();
      case 6:
        out_ += "reaction = \"magnesium-hydrochloric-acid\"\n";
        put("amounts = {{ magnesium = \"{:.4g} g\", hydrochloric-acid = \"excess\" }}\n", c_.decades(1e-3, 1e4));
        quantity(c_.word({"over", "half_time"}), 0.1, 1e5, "s");
        break;
      case 8:
        put("gas = \"{}\"\n", c_.word({"nitrogen", "helium", "oxygen", "methane", "hydrogen"}));
        quantity("contents", 0.01, 1000.0, c_.word({"L", "kg"}));
        if (c_.chance(128)) quantity("holding_time", 0.01, 1000.0, "d");
        break;
      default:
        put("cells = {}\nbattery = \"vented-lead\"\nregime = \"boost\"\n", 1 + c_.below(200));
        quantity("capacity", 1.0, 1e4, "Ah");
    }
  }

  /// Liquid that evaporates, is heated until it boils, or boils by itself.
  void spill() {
    put("gas = \"{}\"\n",
        c_.word({"acetone", "ethanol", "gasoline", "diethyl-ether", "thinner", "propane", "nitrogen", "solvent", "lpg",
                 "white-spirit", "kerosene", "diesel", "ammonia", "water-vapour", "30 % ethanol in water-vapour"}));
    quantity("amount", 1.0, 1e6, "mL");
    quantity("area", 0.001, 100.0, "m2");
    if (c_.chance(64)) quantity("air_speed", 0.01, 5.0, "m/s");
    if (c_.chance(64)) put("temperature = \"{:.4g} degC\"\n", c_.between(-60.0, 140.0));
  }

  void cylinder() {
    put("gas = \"{}\"\n", c_.word({"hydrogen", "methane", "nitrogen", "ethylene", "lpg", "carbon-dioxide", "acetylene",
                                   "5 % hydrogen in argon", "ammonia", "chlorine", "nitrous-oxide", "isobutane",
                                   "20 % propane in n-butane"}));
    if (c_.chance(128)) {
      quantity("contents", 0.01, 1000.0, "kg");
    } else {
      quantity("pressure", 0.001, 300.0, "barg");
      quantity("water_volume", 0.01, 1000.0, "L");
    }
    if (c_.chance(64)) put("position = \"{}\"\n", c_.word({"upright", "lying", "inverted"}));
    if (c_.chance(64)) put("filled = {:.4g}\n", c_.between(0.01, 1.0));
    if (c_.chance(64)) put("count = {}\n", 1 + c_.below(20));
    if (c_.chance(32)) put("temperature = \"{:.4g} degC\"\n", c_.between(-60.0, 80.0));
    if (c_.chance(64)) {
      put("hole = \"{}\"\n", c_.word({"typical fitting", "worn valve stem", "broken hose"}));
    } else if (c_.chance(192)) {
      quantity("hole", 0.01, 100.0, "mm");
    }
  }

  void new_case(std::size_t i) {
    put("[[case]]\nid = \"c{}\"\nevent = [\n", i);
    for (std::size_t events = c_.below(4); events > 0; --events) event();
    out_ += "]\n";
  }

  void event() {
    const double at = c_.chance(64) ? 0.0 : c_.decades(1.0, 1e5);
    const std::size_t what = c_.below(5);
    const auto airway = kinds_.empty() ? 0 : c_.below(kinds_.size());
    const bool on = c_.chance(128);
    if (what == 0 && !kinds_.empty()) put("{{ at = \"{:.4g} s\", airway = \"w{}\", on = {} }},\n", at, airway, on);
    if (what == 1 && releases_ > 0) {
      put("{{ at = \"{:.4g} s\", release = \"r{}\", on = {} }},\n", at, c_.below(releases_), on);
    }
    if (what == 2 && has_system_ && c_.chance(128)) {
      put("{{ at = \"{:.4g} s\", system = \"u\", flow_factor = {:.4g} }},\n", at, c_.decades(0.1, 5.0));
      put("{{ daily = \"{:02}:{:02}\", system = \"u\", on = {} }},\n", c_.below(24), c_.below(60), on);
    }
    if (what == 2) {
      put("{{ at = \"{:.4g} s\", space = \"{}\", temperature = \"{:.4g} degC\" }},\n", at, space_id(),
          c_.between(-30.0, 90.0));
    }
    if (what < 3 || kinds_.empty()) return;
    const std::string_view kind = kinds_[airway];
    if (kind == "doorway" || kind == "gap") {
      put("{{ at = \"{:.4g} s\", airway = \"w{}\", open = {:.4g} }},\n", at, airway, c_.between(0.0, 1.0));
    } else if (kind == "louvre") {
      put("{{ at = \"{:.4g} s\", airway = \"w{}\", free_area = \"{:.4g} cm2\" }},\n", at, airway, c_.decades(1.0, 1e4));
    } else if (kind == "curve") {
      put("{{ at = \"{:.4g} s\", airway = \"w{}\", {} }},\n", at, airway,
          c_.chance(128) ? "speed = 0.7" : "filter = \"50 Pa\"");
    } else if (kind == "fan" || kind == "exchange") {
      put("{{ at = \"{:.4g} s\", airway = \"w{}\", flow = \"{:.4g} m3/h\" }},\n", at, airway, c_.decades(1e-4, 1e5));
    }
  }

  Choices c_;
  std::string out_;
  std::size_t spaces_ = 1, releases_ = 0;
  bool has_system_ = false;
  std::vector<bool> layered_, junction_;  ///< by space
  std::vector<std::string_view> kinds_;   ///< of the airways so far
};

}  // namespace

std::string drawn_site(std::string_view bytes) { return Drawing{bytes}.text(); }

}  // namespace leanside::fuzz
