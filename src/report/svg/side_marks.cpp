// SPDX-License-Identifier: Apache-2.0
#include "report/svg/side_marks.hpp"

#include <algorithm>
#include <cmath>

#include "base/text/plain.hpp"
#include "leanside/advanced/release.hpp"
#include "report/svg/draw.hpp"
#include "report/svg/ways.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

constexpr std::size_t letters = 14;  ///< beside a wall

/// Where an airway is in its wall, m above the floor of its first-named side that is a space.
struct Place {
  MarkKind kind = MarkKind::hole;
  std::optional<double> low, high;
};

Place place_of(const Airway& airway) {
  constexpr double slit = 0.1;  // m, of a hole without a size
  const auto around = [](MarkKind kind, std::optional<double> height) {
    if (!height) return Place{kind, {}, {}};
    return Place{kind, *height - 0.5 * slit, *height + 0.5 * slit};
  };
  if (const auto* fan = std::get_if<Fan>(&airway.kind)) return around(MarkKind::fan, fan->height);
  if (const auto* exchange = std::get_if<Exchange>(&airway.kind)) return around(MarkKind::hole, exchange->height);
  if (const auto* gap = std::get_if<Gap>(&airway.kind)) return around(MarkKind::hole, gap->height);
  if (const auto* door = std::get_if<Doorway>(&airway.kind)) {
    return {MarkKind::door, door->sill, door->sill + door->height};
  }
  return {};
}

std::vector<std::string> words_beside(Told site, const std::string& other, double in, double out,
                                      const PageWords& words) {
  constexpr std::size_t most_lines = 3;
  std::vector<std::string> lines = svg::broken(other, letters, most_lines);
  if (in > 0.0) lines.push_back(said(words.in_flow, flow_number(site, in)));
  if (out > 0.0) lines.push_back(said(words.out_flow, flow_number(site, out)));
  if (!(in > 0.0) && !(out > 0.0)) lines.emplace_back(words.nothing_flows);
  return lines;
}

std::string name_of(Told site, Side side, const PageWords& words) {
  return side ? label(site, *side) : std::string{words.outside};
}

void add_airways(Told site, const CaseResult& result, SpaceIndex space, double height, const PageWords& words,
                 std::vector<WallMark>& out) {
  const VolumeFlows air{site, result.case_index};
  for (std::size_t i = 0; i < site->airways.size() && i < result.flows.airways.size(); ++i) {
    const Airway& airway = site->airways[i];
    const Side first = first_side(airway), second = second_side(airway);
    if (first != Side{space} && second != Side{space}) continue;
    const bool is_first = first == Side{space};
    const AirwayFlow& flow = result.flows.airways[i];
    const double there = air.volume_flow(flow.forward, first);
    const double back = air.volume_flow(flow.backward, second);
    Place place = place_of(airway);
    // Heights count from the floor of the first side that is a space.
    const double shift =
        is_first || !first ? 0.0 : site->spaces[first->value].elevation - site->spaces[space.value].elevation;
    WallMark mark{place.kind,
                  0.45 * height,
                  0.55 * height,
                  place.low.has_value(),
                  is_first ? back : there,
                  is_first ? there : back,
                  {}};
    if (place.low) {
      mark.low = std::clamp(*place.low + shift, 0.0, 0.98 * height);
      mark.high = std::clamp(*place.high + shift, mark.low, height);
    }
    mark.words = words_beside(site, name_of(site, is_first ? second : first, words), mark.in, mark.out, words);
    out.push_back(std::move(mark));
  }
}

void add_unplaced(Told site, const CaseResult& result, SpaceIndex index, double height, const PageWords& words,
                  std::vector<WallMark>& out) {
  const Space& space = site->spaces[index.value];
  if (const double flow = space.air_changes * space.volume; flow > 0.0) {
    out.push_back({MarkKind::hole, 0.45 * height, 0.55 * height, false, flow, flow,
                   words_beside(site, std::string{words.outside}, flow, flow, words)});
  }
  const VolumeFlows air{site, result.case_index};
  for (const AssumedLeak& leak : result.flows.leaks) {
    if (leak.space != index) continue;
    const Side from = leak.rate < 0.0 ? Side{leak.space} : leak.other;
    const double flow = air.volume_flow(std::abs(leak.rate), from);
    const double in = leak.rate < 0.0 ? 0.0 : flow, outwards = leak.rate < 0.0 ? flow : 0.0;
    out.push_back({MarkKind::hole, 0.45 * height, 0.55 * height, false, in, outwards,
                   words_beside(site, std::string{words.assumed_leak}, in, outwards, words)});
  }
}

std::optional<Thing> release_thing(Told site, const CaseResult& result, ReleaseIndex index) {
  const Release& release = site->releases[index.value];
  if (emission(release, index, site->cases[result.case_index.value].events).empty()) return {};
  Thing thing{svg::symbol_of(release), release.height,
              label(site, index) + ": " + spoken(release.gas.name) + " " + plain_text(release.as_written)};
  for (const SourceZone& zone : result.zones) {
    if (zone.release != index || zone.fills_space) continue;
    thing.reach = zone.zone.reach;
    thing.keep_out = zone.zone.keep_out;
  }
  return thing;
}

}  // namespace

std::vector<WallMark> wall_marks(Told site, const CaseResult& result, SpaceIndex space, double height,
                                 const PageWords& words) {
  std::vector<WallMark> out;
  add_airways(site, result, space, height, words, out);
  add_unplaced(site, result, space, height, words, out);
  std::stable_sort(out.begin(), out.end(),
                   [](const WallMark& a, const WallMark& b) { return a.in + a.out > b.in + b.out; });
  for (const LayeredRoom& room : result.layered) {
    if (room.space != space) continue;
    const HeightRange range =
        room.gas_above ? HeightRange{room.deepest_interface, height} : HeightRange{0.0, room.deepest_interface};
    std::vector<std::string> lines{std::string{words.layer}};
    for (std::string& line : svg::broken(height_words(site, space, range), letters, 2))
      lines.push_back(std::move(line));
    out.push_back({MarkKind::level, room.deepest_interface, room.deepest_interface, true, 0.0, 0.0, std::move(lines)});
  }
  return out;
}

std::vector<Thing> things_in(Told site, const CaseResult& result, SpaceIndex space) {
  std::vector<Thing> out;
  for (std::size_t r = 0; r < site->releases.size(); ++r) {
    if (site->releases[r].into != space) continue;
    if (auto thing = release_thing(site, result, ReleaseIndex{r})) out.push_back(std::move(*thing));
  }
  for (const std::string& source : site->spaces[space.value].ignition) {
    out.push_back({svg::Symbol::flame, {}, plain_text(source)});
  }
  for (std::size_t i = 0; i < site->spaces.size(); ++i) {
    const Space& inside = site->spaces[i];
    if (!inside.stands_in || inside.stands_in->place != Side{space}) continue;
    const bool vessel = inside.kind == SpaceKind::vessel;
    out.push_back({vessel ? svg::Symbol::vessel : svg::Symbol::cabinet,
                   {},
                   label(site, SpaceIndex{i}) + ", " + percent_of_limit(site, result.spaces[i].worst.lfl_fraction),
                   SpaceIndex{i}});
  }
  return out;
}

}  // namespace leanside::report
