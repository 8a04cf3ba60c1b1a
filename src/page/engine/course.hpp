// SPDX-License-Identifier: Apache-2.0
/// The course in time of every case, as the page draws it.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "hazard/mixture.hpp"
#include "leanside/advanced/transport.hpp"
#include "leanside/assess.hpp"

namespace leanside::page {

/// Give it what AssessOptions::series and layer_series receive. Refers to the site.
class Course {
 public:
  explicit Course(const Site& site) : site_{site} {}
  void add(CaseIndex case_index, double time, const FractionField& fractions);
  void add(CaseIndex case_index, double time, const LayerState& layers);

  /// JSON: a list of `case`, `time_s` and `spaces`, each with `id`, `lfl_fraction`, `oxygen` and `state` (a letter for
  /// each time, the first of the words of MixtureState) and, of a layered room, `interface_m`, `gas_above` and the same
  /// of `lower` and `upper`. Five figures: enough for a drawing. A list has a place for each time.
  std::string json() const;

 private:
  /// What one mixture is like at each time.
  struct Line {
    std::vector<double> lfl_fraction, oxygen;
    std::string state;
    void add(const hazard::MixtureModel& model, std::span<const double> fraction);
  };
  struct Layers {
    bool gas_above = true;
    std::vector<double> interface;
    Line lower, upper;
  };
  struct OfSpace {
    Line line;
    std::optional<Layers> layers;
  };
  struct OfCase {
    CaseIndex case_index;
    std::vector<double> times;
    std::vector<OfSpace> spaces;  ///< by SpaceIndex
  };
  OfCase& open(CaseIndex case_index);
  static void put(std::string& out, const Line& line);

  const Site& site_;
  std::vector<OfCase> cases_;
  std::shared_ptr<const hazard::MixtureModels> models_;  ///< of the last case
};

}  // namespace leanside::page
