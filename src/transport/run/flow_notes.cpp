// SPDX-License-Identifier: Apache-2.0
#include "transport/run/flow_notes.hpp"

#include <cmath>

namespace leanside::transport {

void FlowNotes::note(const FlowField& field) {
  for (const AssumedLeak& leak : field.leaks) {
    AssumedLeak& largest = leak_[leak.space.value];
    if (std::abs(leak.rate) > std::abs(largest.rate)) largest = leak;
  }
  for (const StarvedFan& fan : as_in_file_ ? as_in_file_(field.starved) : field.starved) {
    keep_worst(starved_[fan.fan.value], fan);
  }
  for (const AirwayIndex airway : field.leaking) leaking_[airway.value] = true;
  for (const AirwayIndex airway : field.overflowing) overflowing_[airway.value] = true;
  for (const AirwayIndex airway : field.off_curve) off_curve_[airway.value] = true;
  for (const SpaceIndex space : field.unvented) unvented_[space.value] = true;
}

void FlowNotes::write(TransientResult& result) const {
  const auto list = [](const std::vector<bool>& noted, auto& indices) {
    for (std::size_t i = 0; i < noted.size(); ++i) {
      if (noted[i]) indices.push_back({i});
    }
  };
  for (const AssumedLeak& leak : leak_) {
    if (leak.rate != 0.0) result.leaks.push_back(leak);
  }
  for (const auto& fan : starved_) {
    if (fan) result.starved.push_back(*fan);
  }
  list(leaking_, result.leaking);
  list(overflowing_, result.overflowing);
  list(off_curve_, result.off_curve);
  list(unvented_, result.unvented);
}

}  // namespace leanside::transport
