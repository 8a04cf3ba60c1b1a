// SPDX-License-Identifier: Apache-2.0
// Time of 10,000 draws of the ranges of a site of twenty spaces, on one thread and on two.
#include <cstdio>
#include <cstdlib>
#include <string>
#include <variant>

#include <benchmark/benchmark.h>
#include <fmt/format.h>

#include "leanside/leanside.hpp"

namespace {

/// An invented site: a corridor with twelve rooms supplied by a duct, five of them with a gas cupboard.
std::string twenty_spaces() {
  std::string text =
      "title = \"Twenty spaces\"\n"
      "[[space]]\nid = \"duct\"\nkind = \"junction\"\n"
      "[[space]]\nid = \"extract\"\nkind = \"junction\"\n"
      "[[space]]\nid = \"corridor\"\nkind = \"room\"\n"
      "volume = { low = \"140 m3\", best = \"160 m3\", high = \"190 m3\" }\n"
      "[[airway]]\nid = \"intake\"\nkind = \"opening\"\nbetween = [\"outside\", \"duct\"]\n"
      "[[airway]]\nid = \"outlet\"\nkind = \"opening\"\nbetween = [\"extract\", \"outside\"]\n"
      "[[airway]]\nid = \"window\"\nkind = \"opening\"\nbetween = [\"corridor\", \"outside\"]\n";
  for (int i = 0; i < 12; ++i) {
    text += fmt::format("[[space]]\nid = \"room-{}\"\nkind = \"room\"\nvolume = \"{} m3\"\n", i, 40 + 5 * i);
    text +=
        fmt::format("[[airway]]\nid = \"in-{0}\"\nkind = \"fan\"\nfrom = \"duct\"\nto = \"room-{0}\"\nflow = {1}\n", i,
                    i == 0 ? std::string{"{ low = \"60 m3/h\", best = \"120 m3/h\", high = \"140 m3/h\" }"}
                           : fmt::format("\"{} m3/h\"", 110 + 10 * i));
    text += fmt::format(
        "[[airway]]\nid = \"out-{0}\"\nkind = \"fan\"\nfrom = \"room-{0}\"\nto = \"extract\"\nflow = \"{1} m3/h\"\n", i,
        100 + 10 * i);
    text +=
        fmt::format("[[airway]]\nid = \"door-{0}\"\nkind = \"opening\"\nbetween = [\"room-{0}\", \"corridor\"]\n", i);
  }
  for (int i = 0; i < 5; ++i) {
    text += fmt::format("[[space]]\nid = \"cupboard-{}\"\nkind = \"cabinet\"\nvolume = \"0.6 m3\"\n", i);
    text += fmt::format(
        "[[airway]]\nid = \"gaps-{0}\"\nkind = \"exchange\"\nbetween = [\"cupboard-{0}\", \"room-{0}\"]\nflow = {1}\n",
        i, i == 0 ? "{ low = \"1 m3/h\", best = \"3 m3/h\", high = \"8 m3/h\" }" : "\"4 m3/h\"");
    text += fmt::format(
        "[[release]]\nid = \"seep-{0}\"\nkind = \"steady\"\ninto = \"cupboard-{0}\"\ngas = \"{1}\"\nrate = {2}\n", i,
        i % 2 == 0 ? "methane" : "hydrogen",
        i < 2 ? "{ low = \"0.2 L/min\", best = \"0.5 L/min\", high = \"3 L/min\" }" : "\"0.3 L/min\"");
  }
  return text;
}

void draws_of_twenty_spaces(benchmark::State& state) {
  static const std::string text = twenty_spaces();
  const auto reading = leanside::parse_ranged_site(text, "twenty.toml", leanside::built_in_substances());
  if (!reading.site) {
    for (const auto& d : reading.diagnostics) std::fprintf(stderr, "%s\n", leanside::to_text(d).c_str());
    std::abort();
  }
  leanside::SpreadOptions options;
  options.threads = static_cast<unsigned>(state.range(0));
  for (auto _ : state) {
    const auto result = leanside::study_spread(*reading.site, options);
    if (!std::holds_alternative<leanside::SpreadStudy>(result)) state.SkipWithError("not solved");
  }
  state.counters["spaces"] = static_cast<double>(reading.site->best().spaces.size());
  state.counters["ranges"] = static_cast<double>(reading.site->best().ranges.size());
}

/// Making the sites of 10,000 draws, without solving them.
void sites_of_draws(benchmark::State& state) {
  static const std::string text = twenty_spaces();
  const auto reading = leanside::parse_ranged_site(text, "twenty.toml", leanside::built_in_substances());
  leanside::RangedSite::Draws draws{*reading.site};
  std::vector<double> values;
  for (const auto& range : reading.site->best().ranges) values.push_back(range.best);
  for (auto _ : state) {
    for (int i = 0; i < 10'000; ++i) benchmark::DoNotOptimize(draws.at(values));
  }
}

BENCHMARK(draws_of_twenty_spaces)
    ->Arg(1)
    ->Arg(2)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->MeasureProcessCPUTime()
    ->Repetitions(3);
BENCHMARK(sites_of_draws)->Unit(benchmark::kMillisecond);

}  // namespace
