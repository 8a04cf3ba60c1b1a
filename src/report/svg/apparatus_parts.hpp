// SPDX-License-Identifier: Apache-2.0
/// What a vessel on a bench consists of, with the words beside each part.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "leanside/assess.hpp"
#include "report/words/phrases.hpp"

namespace leanside::report {

/// How a tube goes on.
enum class TubeEnd { from_vessel, to_space, to_jars };

/// A part with its words.
struct ApparatusPart {
  std::optional<VesselOpening> hole;  ///< a hole in the wall
  std::optional<TubeEnd> tube;        ///< a tube through the stopper
  bool gas_out = false, air_in = false;
  std::string words;
};

struct ApparatusShape {
  double width = 0.0, height = 0.0;         ///< m, inside; as high as wide where neither is known
  double surface = 0.0;                     ///< m, of the liquid above the bottom
  bool known = true;                        ///< the file gives the shape
  bool open_up = false, open_down = false;  ///< over the full width
  bool stoppered = false;
};

ApparatusShape apparatus_shape(Told site, const Experiment& experiment);

/// Openings from the top down, then tubes.
std::vector<ApparatusPart> apparatus_parts(Told site, const CaseResult& result, const Experiment& experiment,
                                           const PageWords& words);

/// "10 cm wide, 25 cm high, 2 L of gas".
std::string size_words(Told site, const Experiment& experiment, const PageWords& words);
/// "methane: too rich to burn".
std::string gas_state_words(Told site, const Experiment& experiment, FlameState state, const PageWords& words);
/// What the content can do: until the window where there is one, else the worst of the run.
FlameState content_state(const CaseResult& result, const Experiment& experiment);

}  // namespace leanside::report
