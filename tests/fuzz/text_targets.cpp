// SPDX-License-Identifier: Apache-2.0
/// Targets that read a text: quantities, substances, tracer readings.
#include <algorithm>
#include <array>
#include <cmath>
#include <cstdlib>
#include <limits>

#include <nlohmann/json.hpp>

#include "fuzz/targets.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "leanside/study/tracer.hpp"

namespace leanside::fuzz {
namespace {

bool positive(double x) { return std::isfinite(x) && x > 0.0; }
bool not_negative(double x) { return std::isfinite(x) && x >= 0.0; }

/// User text is shown; a terminal must not act on it.
void shown_text(std::string_view bytes) {
  const std::string shown = plain_text(bytes);
  promise(plain_text(shown) == shown, "plain text does not change again");
  promise(std::none_of(shown.begin(), shown.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }),
          "plain text has no control characters");
  promise(nlohmann::json(shown).dump().size() >= shown.size(), "plain text is UTF-8");
}

void number_words(double value) {
  promise(std::strtod(format_exact(value).c_str(), nullptr) == value, "an exact number reads back");
  for (const int digits : {1, 3, 6}) {
    const double back = std::strtod(format_number(value, digits).c_str(), nullptr);
    promise(std::abs(back - value) <= 0.51 * std::pow(10.0, 1 - digits) * std::abs(value),
            "a rounded number is close to the number");
  }
  if (value >= 0.0) promise(!format_duration(value).empty(), "a duration has text");
}

void card_of(const Substance& s) {
  promise(!s.id.empty() && positive(s.molar_mass.value), "a substance has an id and a molar mass");
  for (const LimitPair& pair : s.limits) {
    promise(!pair.lower || (*pair.lower > 0.0 && *pair.lower <= 1.0), "a lower limit is a share");
    promise(!pair.upper || (*pair.upper > 0.0 && *pair.upper <= 1.0), "an upper limit is a share");
  }
  if (const auto limits = choose_limits(s, "cautious")) {
    promise(0.0 < limits->lower && limits->lower < limits->upper && limits->upper <= 1.0, "limits are in order");
  }
  promise(!substance_card(s, {}).empty(), "a substance has a card");
  promise(nlohmann::json::accept(substance_json(s)), "a substance is JSON");
}

void check_estimate(const Estimate& e) {
  promise(not_negative(e.value), "a flow is finite and not negative");
  promise(!std::isnan(e.low) && !std::isnan(e.high) && e.low <= e.value && e.value <= e.high,
          "an interval contains its value");
}

}  // namespace

const Site& three_rooms() {
  static const SiteReading reading = [] {
    std::string text = "title = \"Three rooms\"\n";
    for (const char* id : {"a", "b", "c"}) {
      text += std::string{"[[space]]\nid = \""} + id + "\"\nkind = \"room\"\nvolume = \"40 m3\"\n";
    }
    return parse_site(text, "rooms.toml", built_in_substances());
  }();
  return *reading.usable();
}

void quantity(std::string_view bytes) {
  shown_text(bytes);
  const auto any = parse_quantity(bytes);
  if (const auto* fault = std::get_if<QuantityFault>(&any)) {
    promise(!fault->message.empty() && fault->message.size() < 4000, "a fault has a short message");
    return;
  }
  const Quantity& read = std::get<Quantity>(any);
  promise(std::isfinite(read.si), "a quantity is finite");
  number_words(read.si);
  const auto same = parse_quantity(bytes, read.dimension);
  promise(std::holds_alternative<Quantity>(same) && std::get<Quantity>(same).si == read.si,
          "a quantity has its own dimension");
  for (const Unit& unit : units()) {
    if (unit.dimension != read.dimension) continue;
    if (unit.gauge != read.gauge) continue;
    const auto back = parse_quantity(format_quantity(read.si, unit.symbol, 17));
    const auto* again = std::get_if<Quantity>(&back);
    if (again == nullptr) continue;  // too large for this unit
    // Numbers so small that they lose digits lose more of them in a larger unit.
    const double lost = (1.0 + unit.factor) * std::numeric_limits<double>::denorm_min();
    promise(std::abs(again->si - read.si) <= 1e-9 * (std::abs(read.si) + std::abs(unit.offset)) + lost,
            "a quantity that was written reads back");
  }
}

void substances(std::string_view bytes) {
  const auto read = parse_substances(bytes, "mine.toml");
  if (const auto* faults = std::get_if<Fault>(&read)) {
    promise(!faults->diagnostics.empty(), "a refusal has a reason");
    for (const Diagnostic& d : faults->diagnostics)
      promise(!d.message.empty() && d.message.size() < 4000, "a fault has a short message");
    return;
  }
  const SubstanceTable table = merged(built_in_substances(), std::get<SubstanceTable>(read));
  for (const auto& s : std::get<SubstanceTable>(read).substances()) card_of(s);
  for (const auto& m : std::get<SubstanceTable>(read).mixtures()) {
    promise(!mixture_card(m, table, {}).empty(), "a mixture has a card");
    promise(nlohmann::json::accept(mixture_json(m)), "a mixture is JSON");
  }
  promise(!substance_list(table, {}).empty(), "the table can be listed");
  promise(nlohmann::json::accept(substance_list_json(table)), "the table is JSON");
}

void tracer(std::string_view bytes) {
  constexpr std::size_t most = 4096;  // a fit of many readings is slow
  const Site& site = three_rooms();
  const auto read = parse_tracer(bytes.substr(0, most), "readings.csv", site, {});
  if (const auto* faults = std::get_if<Fault>(&read)) {
    promise(!faults->diagnostics.empty() && faults->diagnostics.size() <= 100,
            "a refusal has between 1 and 100 reasons");
    return;
  }
  const auto& data = std::get<TracerData>(read);
  promise(data.time.size() == data.value.size(), "every reading has a time");
  promise(std::is_sorted(data.time.begin(), data.time.end()), "times are in order");
  if (data.spaces.size() > 2) return;  // the fit of three takes half a minute with sanitizers; other tests cover it
  const auto outcome = fit_tracer(site, data);
  if (const auto* faults = std::get_if<Fault>(&outcome)) {
    promise(!faults->diagnostics.empty() && !faults->diagnostics.front().message.empty(), "a refusal has a reason");
    return;
  }
  const auto& fit = std::get<TracerFit>(outcome);
  promise(!fit.spaces.empty(), "a fit covers a space");
  for (const TracerSpace& space : fit.spaces) {
    check_estimate(space.air_change);
    check_estimate(space.fresh);
    promise(std::isfinite(space.start), "a start is finite");
  }
  for (const TracerFlow& flow : fit.flows) check_estimate(flow.flow);
  promise(nlohmann::json::accept(tracer_json(site, fit)), "the fit is JSON");
  promise(!tracer_text(site, fit, {}).empty(), "the fit has text");
  const auto found = parse_site(tracer_site_file(site, fit), "found.toml", built_in_substances());
  promise(found.usable() != nullptr, "the written site file can be read");
}

}  // namespace leanside::fuzz
