// SPDX-License-Identifier: Apache-2.0
/// The arithmetic of a vessel on a bench: the gas that is made in it, and the air that gets in by itself.
#pragma once

#include <string>
#include <vector>

#include "leanside/explain.hpp"

namespace leanside::report {

/// `name = expression = value unit`.
struct VesselLine {
  std::string name, expression;
  double value = 0.0;
  std::string unit;
};
struct VesselStep {
  std::string heading;
  std::vector<std::string> words;  ///< before the lines
  std::vector<VesselLine> lines;
};

/// `times` is the sign of multiplication.
std::vector<VesselStep> vessel_steps(const Site& site, const SpaceArithmetic& arithmetic, const std::string& times);

}  // namespace leanside::report
