// SPDX-License-Identifier: Apache-2.0
// Time to solve the pressures of a building of gaps, from zero and from a nearby state, and of one Cholesky
// factorisation of the Jacobian.
#include <algorithm>
#include <optional>
#include <random>
#include <vector>

#include <benchmark/benchmark.h>

#include "airflow/pressure.hpp"

namespace {

using namespace leanside;
using airflow::DrivenOpening;
using airflow::SideState;

/// A building of about `spaces` spaces and three times as many gaps: corridors of twenty rooms, five corridors in a row
/// on each floor, a stair to each row. A room has a gap to its corridor, to the next room and to outside; a
/// corridor to the next one and to its stair; a stair to the one above. Invented.
struct Building {
  int nodes = 0;
  std::vector<DrivenOpening> openings;
  std::vector<double> injection;
};

constexpr double outside_density = 1.27, gravity = 9.80665;
constexpr int rooms = 20, corridors = 5;

class Drawing {
 public:
  explicit Drawing(double warmer) : warmer_{warmer} {}

  SideState space(int floor) {
    SideState state;
    state.node = made.nodes++;
    state.density = (1.19 + 0.03 * share()) * (1.0 - warmer_);
    state.molar_volume = 0.029 / state.density;
    state.floor = 3.0 * floor;
    state.lift = (outside_density - state.density) * gravity;
    made.injection.push_back(share() < 0.1 ? 2.0 * share() - 1.0 : 0.0);
    return state;
  }

  void join(const SideState& a, const SideState& b) {
    made.openings.push_back(
        {a, b, airflow::GapShape{1e-4 + 0.02 * share(), 0.5 + 0.4 * share(), a.floor + 2.0 * share()}});
  }

  void to_outside(const SideState& a) {
    SideState wind;
    wind.density = outside_density;
    wind.molar_volume = 0.029 / outside_density;
    wind.added = 4.0 * share() - 2.0;
    join(a, wind);
  }

  Building made;

 private:
  double share() { return share_(random_); }
  double warmer_;
  std::mt19937_64 random_{7};
  std::uniform_real_distribution<double> share_{0.0, 1.0};
};

Building building(int spaces, double warmer) {
  Drawing drawing(warmer);
  const int floors = std::max(1, spaces / (1 + corridors * (1 + rooms)));
  std::optional<SideState> stair_below;
  for (int floor = 0; floor < floors; ++floor) {
    const SideState stair = drawing.space(floor);
    if (stair_below) drawing.join(*stair_below, stair);
    stair_below = stair;
    std::optional<SideState> corridor_before;
    for (int c = 0; c < corridors; ++c) {
      const SideState corridor = drawing.space(floor);
      drawing.join(corridor, corridor_before ? *corridor_before : stair);
      corridor_before = corridor;
      std::optional<SideState> beside;
      for (int r = 0; r < rooms; ++r) {
        const SideState room = drawing.space(floor);
        drawing.join(room, corridor);
        drawing.to_outside(room);
        if (beside) drawing.join(*beside, room);
        beside = room;
      }
    }
  }
  return drawing.made;
}

/// A block of ten floors in which every space has a gap to its neighbours beside, behind and above it: three per space,
/// and far more entries in the factors.
Building mesh(int spaces, double warmer) {
  Drawing drawing(warmer);
  constexpr int floors = 10;
  int side = 1;
  while ((side + 1) * (side + 1) * floors <= spaces) ++side;
  std::vector<SideState> states;
  const auto at = [&](int i) { return states[static_cast<std::size_t>(i)]; };
  for (int i = 0; i < side * side * floors; ++i) {
    const SideState here = drawing.space(i / (side * side));
    states.push_back(here);
    if (i % side > 0) drawing.join(at(i - 1), here);
    if (i % (side * side) >= side) drawing.join(at(i - side), here);
    if (i >= side * side) drawing.join(at(i - side * side), here);
    if (i % 10 == 0) drawing.to_outside(here);
  }
  return drawing.made;
}

using Maker = Building (*)(int, double);

void pressures_cold(benchmark::State& state, Maker make) {
  const Building b = make(static_cast<int>(state.range(0)), 0.0);
  int iterations = 0;
  for (auto _ : state) {
    airflow::PressureSolver solver(b.nodes, b.openings);
    std::vector<double> pressure(static_cast<std::size_t>(b.nodes), 0.0);
    if (solver.solve(b.openings, b.injection, pressure)) state.SkipWithError("not solved");
    iterations = solver.iterations();
  }
  state.counters["iterations"] = iterations;
  state.SetComplexityN(state.range(0));
}

/// Starts from the pressures of a building that is a hundredth of a degree cooler, as between two time steps.
void pressures_warm(benchmark::State& state, Maker make) {
  const int spaces = static_cast<int>(state.range(0));
  const Building before = make(spaces, 0.0), now = make(spaces, 0.01 / 293.15);
  airflow::PressureSolver solver(now.nodes, now.openings);
  std::vector<double> start(static_cast<std::size_t>(now.nodes), 0.0);
  if (solver.solve(before.openings, before.injection, start)) state.SkipWithError("not solved");
  int iterations = 0;
  for (auto _ : state) {
    std::vector<double> pressure = start;
    if (solver.solve(now.openings, now.injection, pressure)) state.SkipWithError("not solved");
    iterations = solver.iterations();
  }
  state.counters["iterations"] = iterations;
  state.SetComplexityN(state.range(0));
}

void one_cholesky(benchmark::State& state, Maker make) {
  const Building b = make(static_cast<int>(state.range(0)), 0.0);
  std::vector<linalg::Conductance> links;
  for (const DrivenOpening& opening : b.openings) links.push_back({opening.first.node, opening.second.node});
  linalg::Laplacian jacobian(b.nodes, links);
  std::vector<double> conductance(links.size());
  for (std::size_t k = 0; k < links.size(); ++k) conductance[k] = 1.0 + static_cast<double>(k % 7);
  for (auto _ : state) {
    if (!jacobian.factorise(conductance)) state.SkipWithError("not definite");
  }
  state.SetComplexityN(state.range(0));
}

}  // namespace

BENCHMARK_CAPTURE(one_cholesky, mesh, mesh)->Arg(1000)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(pressures_cold, mesh, mesh)->Arg(1000)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(pressures_warm, mesh, mesh)->Arg(1000)->Unit(benchmark::kMillisecond);
BENCHMARK_CAPTURE(one_cholesky, corridors, building)->RangeMultiplier(10)->Range(1000, 100000)->Complexity();
BENCHMARK_CAPTURE(pressures_cold, corridors, building)->RangeMultiplier(10)->Range(1000, 100000)->Complexity();
BENCHMARK_CAPTURE(pressures_warm, corridors, building)->RangeMultiplier(10)->Range(1000, 100000)->Complexity();
