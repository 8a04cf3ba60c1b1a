// SPDX-License-Identifier: Apache-2.0
#include "transport/run/mole_balance.hpp"

#include "leanside/advanced/release.hpp"

namespace leanside::transport {
namespace {

/// mol of a column in all spaces.
double held(const RunSetup& setup, const RunState& state, std::size_t column) {
  double moles = 0.0;
  for (std::size_t i = 0; i < setup.site.spaces.size(); ++i) {
    moles += state.x(SpaceIndex{i}, column) * state.pressure[i] * ambient_moles(setup.site, state, i);
  }
  return moles;
}

}  // namespace

MoleBalance::MoleBalance(const RunSetup& setup, const RunState& start) : setup_{setup} {
  for (std::size_t c = 0; c < setup.columns.count(); ++c) initial_.push_back(held(setup, start, c));
}

std::vector<ColumnBalance> MoleBalance::close(const RunState& end, std::span<const ReleaseTrace> releases) const {
  std::vector<ColumnBalance> result;
  for (std::size_t k = 0; k < setup_.columns.asked; ++k) {
    const std::size_t c = setup_.columns.first + k;
    ColumnBalance balance{initial_[c], 0.0, held(setup_, end, c), end.gone[c]};
    for (const Tracer::FromRelease& source : setup_.columns.tracers[c].sources) {
      const double amount = releases[source.release.value].amount;
      const Release& release = setup_.site.releases[source.release.value];
      const bool distils = follows_vapour(release) && setup_.columns.is_gas(c);
      balance.released += distils ? gas_in_first(release, GasIndex{c}, amount) : source.share * amount;
    }
    result.push_back(balance);
  }
  return result;
}

}  // namespace leanside::transport
