// SPDX-License-Identifier: Apache-2.0
/// A purge plan carried out step by step by the engine, so that no plan is shown that the engine itself would warn of.
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/purge.hpp"
#include "leanside/result.hpp"
#include "leanside/site.hpp"
#include "leanside/substance.hpp"

namespace leanside {

/// A substance or a mixture that a vessel holds, with the limits of each part.
struct PurgeSubject {
  std::string id, name;
  std::vector<Gas> gases;
  std::vector<GasShare> shares;         ///< of `gases`; what they leave to 1 is air
  std::optional<double> boiling_point;  ///< K, the highest of its parts; empty where one is not known
  std::optional<double> autoignition;   ///< K, the lowest of its parts that are known
};

/// The substance or mixture `id`, with the cautious pair of limits; where it cannot be purged of, the reason: not in
/// the table (with the nearest name), nothing in it burns, limits missing.
std::variant<PurgeSubject, std::string> purge_subject(const SubstanceTable& table, const std::string& id);

/// What the range needs to know of it at a temperature, K.
VesselGas vessel_gas(const PurgeSubject& subject, double temperature);

enum class PurgeDirection { into_service, out_of_service };
enum class PurgeWay { sweep, pressure_cycles, vacuum_cycles };

/// The plan as a site: a vessel full of air (or of the gas), purge gas in `amount` vessel volumes (or cycles), an
/// opening, then 20 volumes of the gas (or of air). A cycle fills the closed vessel and then opens it. Vacuum cycles
/// are pressure cycles whose ambient pressure is the vacuum: pumping down leaves fractions as they are, and so does
/// letting out. A vessel volume of gas takes an hour.
Site purge_site(const PurgeSubject& subject, const PurgeQuestion& question, PurgeDirection direction, PurgeWay way,
                double amount);

/// Whether the vessel is inside the flammable range at any time of such a site.
Result<bool> enters_range(const Site& site);

/// The plan with every leg refused whose replay enters the range. Replays each way at the figures of the plan.
Result<PurgePlan> replayed(const PurgeSubject& subject, const PurgeQuestion& question, PurgePlan plan);

}  // namespace leanside
