// SPDX-License-Identifier: Apache-2.0
/// Runs of the engine for comparison with published values.
#pragma once

#include <cmath>
#include <stdexcept>
#include <string>
#include <variant>
#include <vector>

#include <gtest/gtest.h>

#include "leanside/leanside.hpp"
#include "published/record.hpp"
#include "support/build_site.hpp"

namespace published {

inline constexpr double foot3 = 0.3048 * 0.3048 * 0.3048;  ///< m3, exact
inline constexpr double us_gallon = 231.0 * 1.6387064e-5;  ///< m3, exact
inline constexpr double pound = 0.45359237;                ///< kg, exact
inline constexpr double seventy_fahrenheit = 294.2611111;  ///< K

/// A substance of the built-in table.
inline const leanside::Substance& named(const std::string& id) {
  const leanside::Substance* substance = leanside::built_in_substances().find(id);
  if (!substance) throw std::runtime_error(id + " is not in the table");
  return *substance;
}

/// The fraction of one gas in one space after `seconds`.
inline double fraction_at(const leanside::Site& site, leanside::SpaceIndex space, leanside::GasIndex gas,
                          double seconds) {
  const auto result = leanside::solve_transient(site, leanside::CaseIndex{0}, leanside::gas_tracers(site), seconds, {});
  if (const auto* fault = std::get_if<leanside::Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return std::nan("");
  }
  return std::get<leanside::TransientResult>(result).end(space, gas.value);
}

/// The first time within `horizon`, s, at which `value`, a function of the fractions in `space`, crosses `target`; NaN
/// if never.
template <class Value>
double time_when(const leanside::Site& site, leanside::SpaceIndex space, double target, double horizon, Value value) {
  double found = std::nan("");
  const auto observe = [&](const leanside::DensePiece& piece) {
    if (piece.space != space || !std::isnan(found)) return;
    const auto at = [&](double s) {
      std::vector<double> x;
      for (std::size_t k = 0; k < site.gases.size(); ++k) {
        const std::size_t width = leanside::dense_degree + 1;
        x.push_back(leanside::bernstein_value(piece.coefficients.subspan(k * width, width), s));
      }
      return value(x) - target;
    };
    double low = 0.0, high = 1.0;
    if (at(low) * at(high) > 0.0) return;
    for (int i = 0; i < 60; ++i) {
      const double middle = 0.5 * (low + high);
      (at(low) * at(middle) <= 0.0 ? high : low) = middle;
    }
    found = piece.time_at(high);
  };
  const auto result =
      leanside::solve_transient(site, leanside::CaseIndex{0}, leanside::gas_tracers(site), horizon, observe);
  if (const auto* fault = std::get_if<leanside::Fault>(&result)) ADD_FAILURE() << fault->message;
  return found;
}

/// The first time, s, at which the fraction of the first gas crosses `target`.
inline double time_when(const leanside::Site& site, leanside::SpaceIndex space, double target, double horizon) {
  return time_when(site, space, target, horizon, [](const std::vector<double>& x) { return x[0]; });
}

/// The fraction of one gas in one space at steady state.
inline double steady_fraction(const leanside::Site& site, leanside::SpaceIndex space, leanside::GasIndex gas) {
  const auto result = leanside::solve_steady(site, leanside::CaseIndex{0}, leanside::gas_tracers(site));
  if (const auto* fault = std::get_if<leanside::Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return std::nan("");
  }
  const auto& found = std::get<leanside::SteadyFractions>(result);
  EXPECT_TRUE(found.reached[space.value]) << found.reason[space.value];
  return found.fractions(space, gas.value);
}

inline leanside::Assessment assessed(const leanside::Site& site) {
  auto result = leanside::assess(site);
  if (const auto* fault = std::get_if<leanside::Fault>(&result)) {
    ADD_FAILURE() << fault->message;
    return {};
  }
  return std::get<leanside::Assessment>(std::move(result));
}

/// A site from the text of a file, with the built-in substances.
inline leanside::Site read(const std::string& text) {
  const auto reading = leanside::parse_site(text, "test.toml", leanside::built_in_substances());
  for (const auto& diagnostic : reading.diagnostics) {
    EXPECT_NE(diagnostic.level, leanside::DiagnosticLevel::error) << leanside::to_text(diagnostic);
  }
  const auto* site = reading.usable();
  return site ? *site : leanside::Site{};
}

/// A room from which a fan extracts `flow` m3/s while air enters through a door. As in the textbook equations, the
/// outflow does not depend on the releases.
inline leanside::SpaceIndex ventilated_room(leanside::testing::SiteBuilder& build, double volume, double flow) {
  const auto room = build.space("room", volume);
  build.fan("extract", room, std::nullopt, flow);
  build.opening("door", std::nullopt, room);
  return room;
}

}  // namespace published
