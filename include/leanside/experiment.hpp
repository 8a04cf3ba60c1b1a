// SPDX-License-Identifier: Apache-2.0
/// What a vessel on a bench may do: burn steadily at an opening, strike back, explode, burst. Facts; the words are in
/// the reports.
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "leanside/advanced/bench.hpp"
#include "leanside/advanced/flammability.hpp"
#include "leanside/site.hpp"

namespace leanside {

/// What a flame at an opening of a vessel does, or would do.
enum class FlameState {
  steady,      ///< what leaves burns outside; the content is too rich to burn
  may_strike,  ///< the content can burn: the flame may strike back into it
  out          ///< the content is too lean to burn
};
std::string_view word_of(FlameState state);

/// A vessel at one instant after its gas was left alone.
struct ExperimentPoint {
  double time = 0.0;   ///< s from the start of the run
  double mixed = 0.0;  ///< mol/mol of fuel where entering air mixes at once
  double level = 1.0;  ///< share of the gas space that still holds the content where it stays unmixed
  FlameState state = FlameState::steady;
};

/// One of the jars that fill one after the other over water.
struct CollectedJar {
  double filled = 0.0;  ///< s, when it is full; or when the gas ends, where it stays partly empty
  double volume = 0.0;  ///< m3, of wet gas in it
  double fuel = 0.0;    ///< mol/mol of the wet gas
  double oxygen = 0.0;  ///< mol/mol of the wet gas
  double water = 0.0;   ///< mol/mol of the wet gas
  MixtureState state = MixtureState::clear;
};

/// Gas collected over water.
struct Collection {
  double gas = 0.0;                ///< mol, made in all
  double jar = 0.0;                ///< m3, of one jar
  double volume = 0.0;             ///< m3, of wet gas in all
  double swept = 0.0;              ///< of the gas space of the generator, by the gas made
  double volumes = 0.0;            ///< of it, to be let go before what leaves is too rich to burn, with a margin
  double discard = 0.0;            ///< m3 of wet gas, the same
  std::optional<double> ready;     ///< s, when that has left; empty: so much is not made
  std::vector<CollectedJar> jars;  ///< in order; at most `most_jars` of them
  std::size_t jars_in_all = 0;
};
inline constexpr std::size_t most_jars = 12;

/// Gas that burns is let into a vessel and sweeps the air out.
struct Sweeping {
  double flow = 0.0;           ///< m3/s at the conditions of the vessel, the most
  double volumes = 0.0;        ///< of the gas space, until what leaves is too rich to burn, with a margin
  double swept = 0.0;          ///< of it, by all the gas that comes; infinite where it never ends
  std::optional<double> time;  ///< s, when that is reached; empty: so much gas does not come
};

/// A stretch of time in which a vessel is in one state.
struct StateSpan {
  double begin = 0.0, end = 0.0;  ///< s from the start of the run
  FlameState state = FlameState::steady;
};

/// Gas that leaves an open vessel while more comes in, and the air that may get in against it.
struct Counterflow {
  double outflow = 0.0;         ///< m3/s, the weakest while gas comes; a short lull between two releases counts too
  double air = 0.0;             ///< m3/s of air that gets in where nothing flows out, the content being unmixed
  double keeps_out = 0.0;       ///< m3/s of outflow that keeps all air out, quick value
  bool kept_out = false;        ///< the outflow is as much
  double settles = 0.0;         ///< mol/mol of fuel when the gas ends (in the long run), if entering air mixes at once
  std::optional<double> from;   ///< s from the start of the run, when that mixture is first inside the range
  std::optional<double> until;  ///< s, when it is last inside; empty: it stays there as long as gas comes
  double flammable_time = 0.0;  ///< s inside, until the end of the run
};

/// One vessel in one case.
struct Experiment {
  SpaceIndex space;
  double pressure = 0.0;        ///< Pa, of the surroundings
  double temperature = 0.0;     ///< K
  double held = 0.0;            ///< mol, at that pressure
  double left_alone = 0.0;      ///< s, when no more gas comes in
  bool fed = false;             ///< gas goes on coming in
  bool sealed = false;          ///< nothing leaves
  std::vector<double> content;  ///< mol/mol by GasIndex, when it is left alone, or in the end
  double fuel = 0.0;            ///< mol/mol, sum of those that burn
  double oxygen = 0.0;          ///< mol/mol

  // How it burns, at the worst mixture that the content comes to.
  double worst_fuel = 0.0, worst_oxygen = 0.0;  ///< mol/mol; 0 where it cannot burn
  std::optional<double> oxygen_per_fuel;        ///< mol/mol, of the content, where there is both
  std::optional<double> oxygen_demand;          ///< mol/mol of the fuel, just enough to burn all of it
  bool with_oxygen = false;                     ///< it burns with more oxygen than air has: violent in any amount
  double heat = 0.0;                            ///< J that it gives off inside
  double heat_of_all = 0.0;                     ///< J of all the fuel in it
  std::optional<double> closed_pressure;        ///< Pa absolute, if it were closed; empty: not known

  // Air that gets in by itself.
  WayIn way = WayIn::none;
  double air_flow = 0.0;                            ///< m3/s at the start
  double density = 0.0, surrounding_density = 0.0;  ///< kg/m3, of content and of the air around
  double trapped = 0.0;                             ///< m3, that no air pushes out
  std::optional<FlameWindow> window;  ///< s after `left_alone`; empty where its content never comes into the range so
  double rich_share = 1.0, lean_share = 0.0;  ///< of the content at the ends of the range
  std::optional<double> keeps_out;            ///< m3/s of gas that keeps it too rich to burn
  std::vector<ExperimentPoint> course;        ///< of the window
  std::optional<Counterflow> counterflow;     ///< of an open vessel that gas comes into

  // From the start of the run, both bounds: entering air mixes at once; or stays apart, below a light gas.
  std::vector<StateSpan> mixed, unmixed;  ///< one after the other without gaps; `unmixed` empty where no air gets in
  std::vector<SpaceIndex> fed_by;         ///< vessels whose content comes in through a tube, the nearest first

  // The flame.
  bool lit = false;            ///< the file has a flame at an opening
  double widest = 0.0;         ///< m, diameter of the widest opening
  double outflow_speed = 0.0;  ///< m/s, through the openings that the gas leaves by, at the start
  std::optional<double> quenching_distance, safe_gap, burning_velocity;  ///< m, m, m/s; the worst of its fuels
  bool passes_flame = true;  ///< some opening is wider than the safe gap, or that is not known

  // Amounts.
  double gas_in = 0.0;                 ///< mol, let in or made in all; infinite where it never ends
  std::optional<double> harmless_gas;  ///< mol let into a sealed vessel that keep it below what it stands
  std::optional<Collection> collection;
  std::optional<Sweeping> sweeping;
  std::optional<GasIndex> poison;  ///< whose content is the most times its IDLH
  double poison_times = 0.0;
};

/// The most gas space in which a mixture with air may be lit in glass open at one end, m3: that of a test tube. Common
/// practice, no source.
inline constexpr double test_tube = 25e-6;

/// Of the oxygen at the upper limit, the share to which air is to be swept out before gas is lit: the margin of NFPA 69
/// for a limiting oxygen concentration below 5 % that is not watched (from memory).
inline constexpr double swept_oxygen_share = 0.4;

}  // namespace leanside
