// SPDX-License-Identifier: Apache-2.0
/// What the air does at the start of a case, for tables and in sentences.
#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>
#include <string_view>

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// Words in the id of an airway that say which way air is meant to go through it.
enum class Purpose { none, inward, outward };

Purpose purpose_of(std::string_view id) {
  constexpr std::array<std::string_view, 4> inward{"supply", "intake", "inlet", "fresh"};
  constexpr std::array<std::string_view, 4> outward{"extract", "exhaust", "outlet", "extraction"};
  Purpose purpose = Purpose::none;
  std::string word;
  const auto close = [&] {
    const bool in = std::find(inward.begin(), inward.end(), word) != inward.end();
    const bool out = std::find(outward.begin(), outward.end(), word) != outward.end();
    // A name that says both ("supply-and-extract") says nothing.
    if (in || out) {
      const Purpose said = in ? Purpose::inward : Purpose::outward;
      purpose = purpose == Purpose::none || purpose == said ? said : Purpose::none;
    }
    word.clear();
  };
  for (const char c : id) {
    if (std::isalpha(static_cast<unsigned char>(c)) != 0) {
      word += static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    } else {
      close();
    }
  }
  close();
  return purpose;
}

std::optional<std::string> against_its_name(const Site& site, const AirAtStart& air, const Airway& airway,
                                            const AirwayFlow& flow) {
  const Side first = first_side(airway), second = second_side(airway);
  if (first && second) return std::nullopt;
  const double outward = first ? flow.forward : flow.backward, inward = first ? flow.backward : flow.forward;
  const Purpose purpose = purpose_of(airway.id);
  const double wrong = purpose == Purpose::inward ? outward - inward : inward - outward;
  constexpr double noticeable = 0.01;
  if (purpose == Purpose::none || wrong <= noticeable * std::max(outward, inward)) return std::nullopt;
  const Side& inside = first ? first : second;
  const Side from = purpose == Purpose::inward ? inside : Side{};
  return "air goes through " + plain_text(airway.id) +
         " against what its name suggests: " + hourly(air.volume_flow(wrong, from)) +
         (purpose == Purpose::inward ? " out of " + label(site, inside) + " at the start"
                                     : " into " + label(site, inside) + " at the start");
}

std::optional<std::string> carries_nothing(const SiteState& state, const Airway& airway, std::size_t index,
                                           const AirwayFlow& flow) {
  if (!std::holds_alternative<Doorway>(airway.kind) || !state.airway_on[index] || state.airway_open[index] <= 0.0) {
    return std::nullopt;
  }
  if (flow.forward > 0.0 || flow.backward > 0.0) return std::nullopt;
  return "the doorway " + plain_text(airway.id) +
         " carries nothing at the start: the air on its two sides is equally warm and no pressure drives it. A real "
         "doorway lets some air through both ways";
}

}  // namespace

std::vector<std::optional<double>> air_change_rates(const Site& site, const CaseResult& result) {
  const SiteState state = state_at(site, result.which, 0.0);
  std::vector<double> into(site.spaces.size(), 0.0);
  for (const MolarFlow& flow : result.flows.flows) {
    if (flow.to) into[flow.to->value] += flow.rate;
  }
  std::vector<std::optional<double>> rates(site.spaces.size());
  for (std::size_t i = 0; i < into.size(); ++i) {
    const double held = moles_held(site.spaces[i], site.conditions, state.temperature[i]);
    if (held > 0.0) rates[i] = 3600.0 * into[i] / held;
  }
  return rates;
}

std::vector<std::optional<double>> pressures_over_outside(const Site& site, const CaseResult& result) {
  std::vector<std::optional<double>> pressures(site.spaces.size());
  const FlowField& field = result.flows;
  for (std::size_t i = 0; i < field.airways.size() && i < site.airways.size(); ++i) {
    if (!field.airways[i].pressure_difference) continue;
    for (const Side& side : {first_side(site.airways[i]), second_side(site.airways[i])}) {
      if (side) pressures[side->value] = field.pressure[side->value];
    }
  }
  for (const SpaceIndex space : field.adrift) pressures[space.value] = std::nullopt;
  return pressures;
}

std::vector<std::string> flow_sentences(const Site& site, const CaseResult& result) {
  const SiteState state = state_at(site, result.which, 0.0);
  const AirAtStart air{site, result.which};
  std::vector<std::string> out;
  for (std::size_t i = 0; i < site.airways.size() && i < result.flows.airways.size(); ++i) {
    const AirwayFlow& flow = result.flows.airways[i];
    if (auto sentence = against_its_name(site, air, site.airways[i], flow)) out.push_back(std::move(*sentence));
    if (auto sentence = carries_nothing(state, site.airways[i], i, flow)) out.push_back(std::move(*sentence));
  }
  return out;
}

}  // namespace leanside::report
