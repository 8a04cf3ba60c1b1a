// SPDX-License-Identifier: Apache-2.0
/// Stretches of a site with rooms in layers. Everything that a run knows of layers goes through here.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "leanside/advanced/airflow.hpp"
#include "transport/coupled/room_model.hpp"
#include "transport/layered/layered_site.hpp"
#include "transport/run/setup.hpp"
#include "transport/run/stepper.hpp"

namespace leanside::transport {

/// See run/stepper.hpp. RunState::volume says where the layers lie. Besides that, the stepper only remembers what may
/// have broken them up, and what was at their far ends last.
class LayeredStepper {
 public:
  /// `setup` is a run of layers.site(); both must outlive the stepper. `tolerance`: relative, of a step.
  LayeredStepper(const RunSetup& setup, LayeredSite& layers, double tolerance);

  std::variant<Balanced, FlowFault> balance(const Stretch& stretch, const RunState& state);
  Result<double> advance(const Stretch& stretch, FlowField& flows, RunState& state, RunSignals& signals);

  /// By layered room: what broke up its layers when their densities differed most; empty if nothing did.
  const std::vector<std::optional<std::string>>& broken() const { return broken_; }
  /// By layered room: the columns asked for at the far end of its layer of gas, where the run has got to; empty before
  /// the first step.
  const std::vector<std::vector<double>>& far_end() const { return far_end_; }

 private:
  struct Memory;
  RoomModel model(const Stretch& stretch, const RunSignals& signals);
  std::variant<PointFlows, std::string> flows_at(const SiteState& state, const StagePoint& point,
                                                 std::span<const double> density, Memory& memory);
  /// Sets the slope of each pair to what it gains at a point if it holds `shift_of` more; what failed, if anything did.
  std::optional<std::string> find_slopes(const SiteState& state, const StagePoint& point,
                                         std::span<const double> density, Memory& memory,
                                         std::vector<MovingPair>& pairs);
  /// At the end of a step: whether something breaks up the layers of the rooms whose densities never differed more.
  void judge(const SiteState& state, const CollocationStep& step, Memory& memory);
  /// The columns asked for at the far end of the layer of gas of a room: at its start and stages, one after the other.
  std::vector<double> far_values(std::size_t room, const CollocationStep& step, const Stretch& stretch) const;
  std::vector<double> far_coefficients(std::size_t room, const CollocationStep& step, const Stretch& stretch) const;
  void report_layers(const CollocationStep& step, const Stretch& stretch, const RunSignals& signals) const;

  const RunSetup& setup_;
  LayeredSite& layers_;
  double tolerance_;
  std::vector<double> most_apart_;  ///< kg/m3 by layered room
  std::vector<std::optional<std::string>> broken_;
  std::vector<std::vector<double>> far_end_;
  std::shared_ptr<Memory> memory_;
};

}  // namespace leanside::transport
