// SPDX-License-Identifier: Apache-2.0
/// What is known of a substance, each value with its source.
#include <algorithm>
#include <string>
#include <vector>

#include "base/text/plain.hpp"
#include "leanside/advanced/flammability.hpp"
#include "leanside/report.hpp"
#include "leanside/site.hpp"
#include "leanside/units.hpp"
#include "report/text/table.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

std::string finished(const std::string& text, const TextStyle& style) {
  return style.unicode ? text : ascii_only(text);
}

std::string title_of(const std::string& name, const std::string& id, const TextStyle& style) {
  const std::string text = plain_text(name.empty() ? id : name) + " (" + plain_text(id) + ")";
  return (style.colour ? "\x1b[1m" + text + "\x1b[0m" : text) + "\n";
}

std::string marked(const std::string& source, bool recalled) {
  return plain_text(source) + (recalled ? " (recalled)" : "");
}

Table limits_table(const Substance& substance) {
  Table table;
  table.columns = {{""}, {"lower", true}, {"upper", true}, {""}};
  for (const LimitPair& pair : substance.limits) {
    table.rows.push_back({plain_text(pair.source), pair.lower ? percent(*pair.lower) : "-",
                          pair.upper ? percent(*pair.upper) : "-", pair.recalled ? "(recalled)" : ""});
  }
  if (const auto chosen = choose_limits(substance, "cautious")) {
    table.rows.push_back({"cautious pair, the one used", percent(chosen->lower), percent(chosen->upper),
                          plain_text(chosen->lower_source) + " / " + plain_text(chosen->upper_source)});
  }
  return table;
}

std::string density_words(double relative) {
  constexpr double about_equal = 0.03;
  const std::string times = format_number(relative, 3) + " times air";
  if (relative < 1.0 - about_equal) return times + ": it rises";
  if (relative > 1.0 + about_equal) return times + ": it sinks";
  return times + ": much like air";
}

/// Rows of what is known: name, value, source.
class Facts {
 public:
  Facts() { table_.columns = {{""}, {""}, {""}}; }
  void put(const std::string& name, const std::string& value, const std::string& source) {
    table_.rows.push_back({name, value, source});
  }
  /// `value_of` turns the number into words; no row where the value is not known.
  template <class Words>
  void put(const std::string& name, const std::optional<Sourced>& value, Words value_of) {
    if (value) put(name, value_of(value->value), marked(value->source, value->recalled));
  }
  const Table& table() const { return table_; }

 private:
  Table table_;
};

std::string in_unit(double si, const char* unit) { return format_quantity(si, unit, 3); }

void put_fire(Facts& facts, const Substance& substance, UnitSystem units) {
  const auto degrees = [&](double kelvin) { return format_quantity(kelvin, "degC", 3, units); };
  if (substance.oxygen_demand && substance.oxygen_demand->value > 0.0) {
    const double ideal = stoichiometric_fraction(substance.oxygen_demand->value);
    facts.put("burns completely at", percent(ideal) + " in air",
              "computed, with " + format_number(substance.oxygen_demand->value, 4) + " mol of oxygen a mol");
  }
  facts.put("least oxygen that lets it burn", substance.limiting_oxygen,
            [](double x) { return percent(x) + ", thinned with nitrogen"; });
  facts.put("inerts as much as", substance.nitrogen_equivalent,
            [](double x) { return format_number(x, 3) + " times its amount of nitrogen"; });
  facts.put("flash point, closed cup", substance.flash_point, degrees);
  facts.put("ignites by itself at", substance.autoignition, degrees);
  facts.put("least spark that ignites it", substance.min_ignition_energy,
            [](double joule) { return format_number(1e3 * joule, 3) + " mJ"; });
  facts.put("net heat of combustion", substance.net_heat, [](double x) { return in_unit(x, "kJ/mol"); });
}

void put_physical(Facts& facts, const Substance& substance, UnitSystem units) {
  facts.put("molar mass", substance.molar_mass, [](double x) { return in_unit(x, "g/mol"); });
  if (substance.molar_mass.value > 0.0) {
    facts.put("density of the gas", density_words(substance.molar_mass.value / molar_mass_of_air),
              "computed from the molar masses");
  }
  facts.put("boiling point", substance.boiling_point,
            [&](double kelvin) { return format_quantity(kelvin, "degC", 3, units); });
  const std::string at_20 = ", " + format_quantity(zero_celsius + 20.0, "degC", 3, units);
  facts.put("density of the liquid" + at_20, substance.liquid_density, [&](double x) {
    constexpr double pounds_a_cubic_foot = 0.45359237 / (0.3048 * 0.3048 * 0.3048);  // kg/m3
    return units == UnitSystem::us ? format_number(x / pounds_a_cubic_foot, 3) + " lb/ft3"
                                   : format_number(x, 3) + " kg/m3";
  });
  facts.put("vapour pressure" + at_20, substance.vapour_pressure_20c,
            [&](double x) { return format_quantity(x, "kPa", 3, units); });
  const double room = zero_celsius + 20.0;
  const bool liquid = substance.boiling_point && substance.boiling_point->value > room;
  if (const auto computed = vapour_pressure(substance, room); computed && liquid) {
    const bool wide = substance.vapour_pressure && room >= substance.vapour_pressure->t_min &&
                      room <= substance.vapour_pressure->t_max;
    facts.put("  the same, as computed with", format_quantity(*computed, "kPa", 3, units),
              plain_text(wide ? substance.vapour_pressure->source : substance.antoine->source));
    facts.put("  saturated vapour in air", percent(*computed / standard_atmosphere), "computed");
  }
}

void put_health(Facts& facts, const Substance& substance) {
  const auto ppm = [](double x) { return format_number(1e6 * x, 3) + " ppm"; };
  facts.put("exposure limit, time-weighted", substance.exposure_limit, ppm);
  facts.put("dangerous to life at once (IDLH)", substance.idlh, ppm);
}

}  // namespace

std::string substance_card(const Substance& substance, const TextStyle& style) {
  std::string out = title_of(substance.name, substance.id, style);
  std::string what = plain_text(substance.formula);
  if (!substance.cas.empty()) what += (what.empty() ? "" : ", ") + ("CAS " + plain_text(substance.cas));
  if (!substance.synonyms.empty()) what += (what.empty() ? "" : "; ") + ("also called " + joined(substance.synonyms));
  if (!what.empty()) out += wrapped(what, " ", style.width, 1);
  if (!substance.classification.empty()) out += wrapped(joined(substance.classification), " ", style.width, 1);
  if (substance.flammable()) {
    out += "\nFlammable limits in air at about " + format_quantity(zero_celsius + 25.0, "degC", 3, style.units) +
           " and 1 atm, by source\n";
    out += limits_table(substance).text(style.width, style.unicode);
  } else {
    out += "\nNo source gives flammable limits: taken as a gas that does not burn.\n";
  }
  Facts facts;
  put_fire(facts, substance, style.units);
  put_physical(facts, substance, style.units);
  put_health(facts, substance);
  out += "\nWhat else is known, with the source\n" + facts.table().text(style.width, style.unicode);
  out +=
      "\n" +
      wrapped(
          "docs/sources.md has the full references. (recalled): known, but not read again in the source. What is not "
          "listed, no source gives: it is not zero.",
          "", style.width, 0);
  return finished(out, style);
}

std::string mixture_card(const Mixture& mixture, const SubstanceTable& table, const TextStyle& style) {
  std::string out = title_of(mixture.name, mixture.id, style);
  out += " a mixture\n\nMade of\n";
  Table parts;
  parts.columns = {{"", false, true}, {"", true}, {"", false, true}};
  std::vector<double> shares, lower, upper;
  double mass = 0.0;
  double fuel = 0.0;
  bool known = true;
  for (const MixturePart& part : mixture.parts) {
    const Substance* substance = table.find(part.substance);
    std::string remark;
    if (substance == nullptr) {
      remark = "not in the table";
      known = false;
    } else {
      mass += part.fraction * substance->molar_mass.value;
      if (const auto limits = choose_limits(*substance, "cautious")) {
        fuel += part.fraction;
        shares.push_back(part.fraction);
        lower.push_back(limits->lower);
        upper.push_back(limits->upper);
        remark = percent(limits->lower) + " to " + percent(limits->upper) + " in air";
      }
    }
    parts.rows.push_back({plain_text(part.substance), percent(part.fraction), remark});
  }
  out += parts.text(style.width, style.unicode);
  if (fuel > 0.0) {
    for (double& share : shares) share /= fuel;
    // Of the whole mixture, its inert parts included: they add nothing to the sum of x / LFL.
    out += "\n" + wrapped("Flammable limits of the mixture by Le Chatelier from the cautious pairs: " +
                              percent(le_chatelier(shares, lower) / fuel) + " to " +
                              percent(std::min(1.0, le_chatelier(shares, upper) / fuel)) + " of it in air.",
                          "", style.width, 0);
  }
  if (known && mass > 0.0) {
    out += wrapped("Density of the gas: " + density_words(mass / molar_mass_of_air) + ".", "", style.width, 0);
  }
  if (!mixture.source.empty()) out += wrapped("Composition: " + plain_text(mixture.source), "", style.width, 0);
  return finished(out, style);
}

std::string substance_list(const SubstanceTable& table, const TextStyle& style) {
  Table list;
  list.columns = {{"id"}, {"name", false, true}, {"formula", false, true}, {"lower", true}, {"upper", true}};
  for (const Substance& substance : table.substances()) {
    const auto limits = choose_limits(substance, "cautious");
    list.rows.push_back({plain_text(substance.id), plain_text(substance.name), plain_text(substance.formula),
                         limits ? percent(limits->lower) : "-", limits ? percent(limits->upper) : "-"});
  }
  for (const Mixture& mixture : table.mixtures()) {
    list.rows.push_back({plain_text(mixture.id), plain_text(mixture.name), "mixture", "", ""});
  }
  std::string out = list.text(style.width, style.unicode);
  out += "\n" + wrapped(
                    "Limits: the cautious pair, lowest lower and highest upper limit of all sources, in air. "
                    "`leanside substances ID` shows one with all its sources.",
                    "", style.width, 0);
  return finished(out, style);
}

}  // namespace leanside
