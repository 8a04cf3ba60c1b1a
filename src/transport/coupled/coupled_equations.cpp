// SPDX-License-Identifier: Apache-2.0
#include "transport/coupled/coupled_equations.hpp"

#include <algorithm>

#include "airflow/driven.hpp"
#include "leanside/advanced/release.hpp"
#include "transport/cells/cells.hpp"

namespace leanside::transport {
namespace {

double share_of(GasIndex gas, std::span<const GasShare> shares) {
  double sum = 0.0;
  for (const GasShare& share : shares) sum += share.gas == gas ? share.fraction : 0.0;
  return sum;
}

}  // namespace

CoupledEquations::CoupledEquations(const RunSetup& setup, const Stretch& stretch, const RoomModel& model,
                                   const RunState& state)
    : setup_{setup},
      stretch_{stretch},
      model_{model},
      state_{state},
      follows_gas_{airflow::flows_follow_gas(setup.site, stretch.state)} {
  for (const ReleaseIndex r : stretch.varying) {
    if (follows_vapour(setup.site.releases[r.value])) spills_.push_back(r);
  }
  rows_ = capacity().size();
}

std::vector<double> CoupledEquations::capacity() const {
  const auto& spaces = setup_.site.spaces;
  std::vector<double> capacity;
  for (std::size_t i = 0; i < spaces.size(); ++i) {
    const bool junction = spaces[i].kind == SpaceKind::junction;
    capacity.push_back(junction ? 0.0 : ambient_moles(setup_.site, state_, i) * state_.pressure[i]);
  }
  for (const Space& space : spaces) {
    if (space.mixing_factor > 1.0 && space.kind != SpaceKind::junction) capacity.push_back(0.0);  // its outlet
  }
  return capacity;
}

Draw CoupledEquations::draw_of(ReleaseIndex spill, const StagePoint& point) const {
  const Release& release = setup_.site.releases[spill.value];
  const SpillNow now = spill_now(release, state_.stock[spill.value]);
  // The vapour of a mixture is judged by the part that there is most of: the others are taken to come with it.
  const GasShare judged = most_of(now.vapour);
  Draw draw{release.into.value, judged.gas.value, 0.0, 0.0, judged.fraction, {}};
  const double over_ambient = point.held[draw.cell] / ambient_moles(setup_.site, state_, draw.cell);
  const double fraction = point.x[draw.column * rows_ + draw.cell];
  if (model_.expands[draw.cell]) {
    // Into a layer as into clean air: the layer is as rich as the air over the liquid, but the air of the room moves.
    draw.full = evaporation_rate(now.pool, 0.0);
  } else if (partial_pressure(setup_.site, fraction / draw.own, over_ambient) < now.pool.vapour_pressure) {
    draw.full = evaporation_rate(now.pool, 0.0);
    draw.slope = draw.full * partial_pressure(setup_.site, 1.0, over_ambient) / now.pool.vapour_pressure / draw.own;
  }
  for (std::size_t c = 0; c < setup_.columns.count(); ++c) {
    for (const Tracer::FromRelease& source : setup_.columns.tracers[c].sources) {
      if (source.release != spill || c == draw.column) continue;
      draw.shares.emplace_back(c, setup_.columns.is_gas(c) ? share_of(GasIndex{c}, now.vapour) : source.share);
    }
  }
  return draw;
}

double CoupledEquations::stage_rate(ReleaseIndex release, const StagePoint& point) const {
  const double begin = stretch_.from + point.begin;
  if (point.step <= 0.0 || point.stage >= stages) return setup_.schedule.rate(release, begin);
  const Release& emitter = setup_.site.releases[release.value];
  const double age = setup_.schedule.age(release, begin);
  const double before = amount_emitted(emitter, age);
  double sum = 0.0;
  for (std::size_t s = 0; s < stages; ++s) {
    const double emitted = amount_emitted(emitter, age + radau().c[s] * point.step) - before;
    sum += radau().inverse[point.stage][s] * emitted;
  }
  return sum / point.step;
}

std::variant<Moment, std::string> CoupledEquations::at(const StagePoint& point) {
  SiteState now = stretch_.state;
  SiteState released;  // without the spills, which are draws
  released.release_rate = now.release_rate;
  Moment moment;
  for (const ReleaseIndex r : stretch_.varying) {
    if (follows_vapour(setup_.site.releases[r.value])) {
      const Draw draw = draw_of(r, point);
      now.release_rate[r.value] = std::max(0.0, draw.full - draw.slope * point.x[draw.column * rows_ + draw.cell]);
      released.release_rate[r.value] = 0.0;
      moment.draws.push_back(draw);
    } else {
      const double rate = stage_rate(r, point);
      now.release_rate[r.value] = std::max(0.0, rate);
      released.release_rate[r.value] = rate;
    }
  }
  const auto density = follows_gas_ ? densities(setup_.site, now, point.x, rows_) : std::vector<double>{};
  auto flows = model_.flows_at(now, point, density);
  if (auto* fault = std::get_if<std::string>(&flows)) return std::move(*fault);
  PointFlows& found = std::get<PointFlows>(flows);
  moment.moving = std::move(found.moving);
  moment.cells = make_cells(setup_.site, now, found.field);
  moment.storage = found.field.storage;
  moment.storage.resize(rows_, 0.0);
  moment.source = sources(moment.cells, setup_.site, released, setup_.columns.tracers);
  fields_[point.stage] = std::move(found.field);
  return moment;
}

}  // namespace leanside::transport
