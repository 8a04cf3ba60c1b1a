// SPDX-License-Identifier: Apache-2.0
#include "transport/coupled/room_model.hpp"

#include <array>
#include <memory>
#include <numeric>

#include "airflow/solver.hpp"

namespace leanside::transport {

RoomModel mixed_rooms(const Site& site) {
  RoomModel model;
  // Pressures found at a stage are the first guess for that stage of the next step.
  const auto memory = std::make_shared<std::array<airflow::Memory, stages + 1>>();
  model.flows_at = [&site, memory](const SiteState& state, const StagePoint& point,
                                   std::span<const double> density) -> std::variant<PointFlows, std::string> {
    auto flows = airflow::balance(site, state, density, (*memory)[point.stage]);
    if (auto* fault = std::get_if<FlowFault>(&flows)) return std::move(fault->message);
    return PointFlows{std::move(std::get<FlowField>(flows))};
  };
  model.cell_of.resize(site.spaces.size());
  std::iota(model.cell_of.begin(), model.cell_of.end(), std::size_t{0});
  model.expands.assign(site.spaces.size(), false);
  return model;
}

}  // namespace leanside::transport
