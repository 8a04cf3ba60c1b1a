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

/// The question about `subject`, with the default margin; or everything that is wrong with the texts. Pressures are
/// rounded to the figures that a report prints, on the side that purges less. The bounds are ours: beyond them a value
/// is a slip, gases are far from ideal or the rules for the limits no longer hold.
std::variant<PurgeQuestion, std::vector<PurgeTextFault>> purge_question(const PurgeSubject& subject,
                                                                        const PurgeTexts& texts);

}  // namespace leanside
