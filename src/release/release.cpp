// SPDX-License-Identifier: Apache-2.0
#include "leanside/release.hpp"

#include <algorithm>

namespace leanside {
namespace {

template <class... F>
struct Overloaded : F... {
  using F::operator()...;
};

constexpr double forever = std::numeric_limits<double>::infinity();

/// Rate, mol/s, while it emits, and for how many seconds of emission.
struct Strength {
  double rate = 0.0;
  double lasting = forever;
};

Strength strength_of(const Release& release) {
  return std::visit(Overloaded{
                        [](const SteadyRelease& r) {
                          return Strength{r.rate, r.duration.value_or(forever)};
                        },
                        [](const DumpRelease& r) {
                          return Strength{r.amount / r.over, r.over};
                        },
                        [](const FittingsRelease& r) {
                          return Strength{r.count * r.each, forever};
                        },
                    },
                    release.kind);
}

}  // namespace

std::vector<EmissionSpan> emission(const Release& release, ReleaseIndex index, std::span<const Event> events) {
  const Strength strength = strength_of(release);
  std::vector<EmissionSpan> spans;
  double left = strength.lasting;
  bool on = release.on;
  double since = 0.0;
  const auto emit_until = [&](double until) {
    const double begin = std::max(since, release.start);
    if (!on || until <= begin || left <= 0.0 || strength.rate <= 0.0) return;
    const double end = std::min(until, begin + left);
    left -= end - begin;
    if (!spans.empty() && spans.back().end == begin) {
      spans.back().end = end;
    } else {
      spans.push_back({begin, end, strength.rate});
    }
  };
  for (const Event& event : events) {
    const auto* change = std::get_if<SetReleaseOn>(&event.change);
    if (change == nullptr || change->release != index) continue;
    emit_until(event.at);
    on = change->on;
    since = event.at;
  }
  emit_until(forever);
  return spans;
}

bool is_sustained(const Release& release) { return strength_of(release).lasting == forever; }

double total_amount(const Release& release) {
  if (const auto* dump = std::get_if<DumpRelease>(&release.kind)) return dump->amount;
  const Strength strength = strength_of(release);
  return strength.rate > 0.0 ? strength.rate * strength.lasting : 0.0;
}

}  // namespace leanside
