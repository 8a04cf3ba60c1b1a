// SPDX-License-Identifier: Apache-2.0
/// What somebody who purges a vessel tells, as a question to plan_purge().
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "leanside/purge.hpp"
#include "leanside/study/purge_replay.hpp"
#include "leanside/units.hpp"

namespace leanside {

/// Quantities as people write them, "200 L". What is empty is not asked for, or has the default of PurgeQuestion; the
/// temperature is 20 degC then.
struct PurgeTexts {
  std::optional<std::string> volume;    ///< of the vessel
  std::optional<std::string> flow;      ///< of the purge gas, for the time that sweeping takes
  std::optional<std::string> pressure;  ///< of pressure cycles, absolute or by a gauge
  std::optional<std::string> vacuum;    ///< of vacuum cycles, absolute
  std::optional<std::string> oxygen_in_gas, temperature;
  UnitSystem units = UnitSystem::si;  ///< of what a fault says is expected
};

/// A text that cannot be used.
struct PurgeTextFault {
  std::string part;    ///< "volume", "flow", "pressure", "vacuum", "oxygen-in-gas", "temperature"
  std::string reason;  ///< what is wrong, and what is expected
};

/// The share of each target that is purged to where nothing measures the oxygen all the time: 0.4 of it where the gas
/// burns with less than 5 % oxygen, as hydrogen does, else 0.6. Of a mixture the limiting oxygen concentration is that
/// of range_of(), a part without one counting as 0; where none is known at all, 0.6. Source: NFPA 69 (from memory).
double usual_purge_margin(const VesselGas& gas);

/// The question about `subject`, with the usual margin; or everything that is wrong with the texts. Pressures are
/// rounded to the figures that a report prints, on the side that purges less. The bounds are ours: beyond them a value
/// is a slip, gases are far from ideal or the rules for the limits no longer hold.
std::variant<PurgeQuestion, std::vector<PurgeTextFault>> purge_question(const PurgeSubject& subject,
                                                                        const PurgeTexts& texts);

}  // namespace leanside
