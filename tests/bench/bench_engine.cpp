// SPDX-License-Identifier: Apache-2.0
// Time of each part of the work as a function of the size of the building.
#include <cstdio>
#include <cstdlib>
#include <map>
#include <memory>
#include <string>
#include <variant>

#include <benchmark/benchmark.h>

#include "bench/building.hpp"
#include "leanside/leanside.hpp"

namespace {

using leanside::CaseIndex;

/// Text and site of a building, made once for all benchmarks.
struct Building {
  std::string text;
  leanside::Site site;
};

const Building& building(std::size_t rooms) {
  static std::map<std::size_t, std::unique_ptr<Building>> made;
  auto& slot = made[rooms];
  if (!slot) {
    slot = std::make_unique<Building>();
    slot->text = bench::building_text(rooms);
    auto reading = leanside::parse_site(slot->text, "building.toml", leanside::built_in_substances());
    const leanside::Site* site = reading.usable();
    if (!site) {
      for (const auto& d : reading.diagnostics) std::fprintf(stderr, "%s\n", leanside::to_text(d).c_str());
      std::abort();
    }
    slot->site = *site;
  }
  return *slot;
}

std::size_t rooms_of(const benchmark::State& state) { return static_cast<std::size_t>(state.range(0)); }

void parse(benchmark::State& state) {
  const auto& text = building(rooms_of(state)).text;
  for (auto _ : state) {
    benchmark::DoNotOptimize(leanside::parse_site(text, "building.toml", leanside::built_in_substances()));
  }
  state.SetBytesProcessed(state.iterations() * static_cast<std::int64_t>(text.size()));
  state.SetComplexityN(state.range(0));
}

void flows(benchmark::State& state) {
  const auto& site = building(rooms_of(state)).site;
  const auto now = leanside::state_at(site, CaseIndex{0}, 0.0);
  for (auto _ : state) {
    const auto result = leanside::balance_flows(site, now);
    if (!std::holds_alternative<leanside::FlowField>(result)) state.SkipWithError("no balanced flows");
  }
  state.SetComplexityN(state.range(0));
}

void steady_state(benchmark::State& state) {
  const auto& site = building(rooms_of(state)).site;
  const auto tracers = leanside::gas_tracers(site);
  for (auto _ : state) {
    const auto result = leanside::solve_steady(site, CaseIndex{0}, tracers);
    if (!std::holds_alternative<leanside::SteadyFractions>(result)) state.SkipWithError("not solved");
  }
  state.SetComplexityN(state.range(0));
}

void transient(benchmark::State& state) {
  const auto& site = building(rooms_of(state)).site;
  const auto tracers = leanside::gas_tracers(site);
  std::size_t pieces = 0, steps = 0, factorisations = 0;
  for (auto _ : state) {
    pieces = 0;
    const auto result = leanside::solve_transient(site, CaseIndex{0}, tracers, site.criteria.horizon,
                                                  [&](const leanside::DensePiece&) { ++pieces; });
    if (const auto* done = std::get_if<leanside::TransientResult>(&result)) {
      steps = done->steps;
      factorisations = done->factorisations;
    } else {
      state.SkipWithError("not solved");
    }
  }
  state.counters["pieces"] = static_cast<double>(pieces);
  state.counters["steps"] = static_cast<double>(steps);
  state.counters["factorisations"] = static_cast<double>(factorisations);
  state.SetComplexityN(state.range(0));
}

void assess(benchmark::State& state) {
  const auto& site = building(rooms_of(state)).site;
  std::size_t warnings = 0;
  for (auto _ : state) {
    const auto result = leanside::assess(site);
    if (const auto* done = std::get_if<leanside::Assessment>(&result)) {
      warnings = done->warnings.size();
    } else {
      state.SkipWithError("not solved");
    }
  }
  state.counters["warnings"] = static_cast<double>(warnings);
  state.SetComplexityN(state.range(0));
}

/// Every single failure of the normal case at steady state, by updates of its solution.
void failures_updated(benchmark::State& state) {
  const auto& site = building(rooms_of(state)).site;
  const auto failures = leanside::list_failures(site);
  std::size_t updated = 0;
  for (auto _ : state) {
    updated = 0;
    auto built = leanside::FailureSolver::build(site);
    auto* solver = std::get_if<leanside::FailureSolver>(&built);
    if (solver == nullptr) return state.SkipWithError("not solved");
    for (const auto& failure : failures) updated += solver->solve({failure}).has_value();
  }
  state.counters["failures"] = static_cast<double>(failures.size());
  state.counters["updated"] = static_cast<double>(updated);
}

/// The same, each failure as a separate site. Making that site is not timed.
void failures_separately(benchmark::State& state) {
  const auto& site = building(rooms_of(state)).site;
  const auto failures = leanside::list_failures(site);
  const auto tracers = leanside::gas_tracers(site);
  std::size_t solved = 0;
  for (auto _ : state) {
    solved = 0;
    for (const auto& failure : failures) {
      state.PauseTiming();
      const leanside::Site changed = leanside::with_failures(site, {failure});
      state.ResumeTiming();
      const auto result = leanside::solve_steady(changed, CaseIndex{0}, tracers);
      solved += std::holds_alternative<leanside::SteadyFractions>(result);
    }
  }
  state.counters["failures"] = static_cast<double>(failures.size());
  state.counters["solved"] = static_cast<double>(solved);
}

void to_ten_thousand(benchmark::internal::Benchmark* b) {
  for (const int rooms : {10, 100, 1'000, 10'000}) b->Arg(rooms);
  b->Unit(benchmark::kMillisecond)->Complexity();
}
void to_a_hundred_thousand(benchmark::internal::Benchmark* b) {
  for (const int rooms : {10, 100, 1'000, 10'000, 100'000}) b->Arg(rooms);
  b->Unit(benchmark::kMillisecond)->Complexity();
}

BENCHMARK(parse)->Apply(to_ten_thousand);
BENCHMARK(flows)->Apply(to_a_hundred_thousand);
BENCHMARK(steady_state)->Apply(to_a_hundred_thousand);
BENCHMARK(transient)->Apply(to_ten_thousand);
BENCHMARK(assess)->Apply(to_ten_thousand);
BENCHMARK(failures_updated)->Arg(100)->Arg(1'000)->Unit(benchmark::kMillisecond);
BENCHMARK(failures_separately)->Arg(100)->Arg(1'000)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace

BENCHMARK_MAIN();
