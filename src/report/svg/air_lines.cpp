// SPDX-License-Identifier: Apache-2.0
#include "report/svg/air_lines.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <set>
#include <utility>

namespace leanside::report {
namespace {

/// Boxes joined to each trunk, its owner first.
using Members = std::vector<std::vector<std::size_t>>;

/// Gives every link a trunk (a greedy cover of the links by boxes).
void give_trunks(std::size_t boxes, const std::vector<Link>& links, AirLines& out) {
  std::vector<std::vector<std::size_t>> of_box(boxes);
  std::vector<std::size_t> open(boxes, 0);
  for (std::size_t k = 0; k < links.size(); ++k) {
    for (const std::size_t box : {links[k].a, links[k].b}) {
      of_box[box].push_back(k);
      ++open[box];
    }
  }
  constexpr std::size_t none = static_cast<std::size_t>(-1);
  out.trunk_of.assign(links.size(), none);
  // By links without a trunk, the most first; among equals the box that comes first.
  std::set<std::pair<std::size_t, std::size_t>> queue;
  const auto key = [&](std::size_t box) { return std::pair{links.size() - open[box], box}; };
  for (std::size_t box = 0; box < boxes; ++box) {
    if (open[box] > 0) queue.insert(key(box));
  }
  while (!queue.empty()) {
    const std::size_t owner = queue.begin()->second;
    queue.erase(queue.begin());
    Trunk trunk{owner, {}, 0, 0, 0};
    for (const std::size_t k : of_box[owner]) {
      if (out.trunk_of[k] != none) continue;
      out.trunk_of[k] = out.trunks.size();
      trunk.links.push_back(k);
      const std::size_t other = links[k].a == owner ? links[k].b : links[k].a;
      queue.erase(key(other));
      if (--open[other] > 0) queue.insert(key(other));
    }
    open[owner] = 0;
    out.trunks.push_back(std::move(trunk));
  }
}

Members members_of(const AirLines& lines, const std::vector<Link>& links) {
  Members out;
  for (const Trunk& trunk : lines.trunks) {
    std::vector<std::size_t> boxes{trunk.owner};
    for (const std::size_t k : trunk.links) {
      boxes.push_back(links[k].a == trunk.owner ? links[k].b : links[k].a);
    }
    std::sort(boxes.begin() + 1, boxes.end());
    boxes.erase(std::unique(boxes.begin(), boxes.end()), boxes.end());
    out.push_back(std::move(boxes));
  }
  return out;
}

/// Rows, spans and tracks for the order of `lines`.
void place(AirLines& lines, const Members& members) {
  for (std::size_t k = 0; k < lines.order.size(); ++k) lines.row[lines.order[k]] = k;
  std::vector<std::size_t> by_length(lines.trunks.size());
  std::iota(by_length.begin(), by_length.end(), 0);
  for (std::size_t t = 0; t < lines.trunks.size(); ++t) {
    Trunk& trunk = lines.trunks[t];
    trunk.first = trunk.last = lines.row[trunk.owner];
    for (const std::size_t box : members[t]) {
      trunk.first = std::min(trunk.first, lines.row[box]);
      trunk.last = std::max(trunk.last, lines.row[box]);
    }
  }
  const auto length = [&](std::size_t t) { return lines.trunks[t].last - lines.trunks[t].first; };
  std::stable_sort(by_length.begin(), by_length.end(),
                   [&](std::size_t a, std::size_t b) { return length(a) < length(b); });
  std::vector<std::vector<std::size_t>> tracks;
  for (const std::size_t t : by_length) {
    Trunk& trunk = lines.trunks[t];
    trunk.track = 0;
    for (; trunk.track < tracks.size(); ++trunk.track) {
      const auto& there = tracks[trunk.track];
      const bool is_free = std::none_of(there.begin(), there.end(), [&](std::size_t other) {
        return trunk.first < lines.trunks[other].last && lines.trunks[other].first < trunk.last;
      });
      if (is_free) break;
    }
    if (trunk.track == tracks.size()) tracks.emplace_back();
    tracks[trunk.track].push_back(t);
  }
  lines.tracks = tracks.size();
}

std::size_t crossings_of(const AirLines& lines, const Members& members) {
  std::size_t out = 0;
  for (std::size_t t = 0; t < lines.trunks.size(); ++t) {
    for (const std::size_t box : members[t]) {
      const std::size_t row = lines.row[box];
      for (const Trunk& other : lines.trunks) {
        out += other.track < lines.trunks[t].track && other.first < row && row < other.last ? 1 : 0;
      }
    }
  }
  return out;
}

double cost_of(AirLines& lines, const Members& members) {
  place(lines, members);
  std::size_t length = 0;
  for (const Trunk& trunk : lines.trunks) length += trunk.last - trunk.first;
  constexpr double price_of_crossing = 4.0, price_of_track = 2.0;
  return static_cast<double>(length) + price_of_crossing * static_cast<double>(crossings_of(lines, members)) +
         price_of_track * static_cast<double>(lines.tracks);
}

/// Each box goes where the mean of its neighbours is (barycentre rule, Sugiyama et al. 1981).
void sort_by_neighbours(AirLines& lines, const Members& members) {
  constexpr int sweeps = 6;
  for (int sweep = 0; sweep < sweeps; ++sweep) {
    std::vector<double> sum(lines.row.size(), 0.0), count(lines.row.size(), 0.0);
    place(lines, members);
    for (const auto& boxes : members) {
      const auto owner_row = static_cast<double>(lines.row[boxes.front()]);
      for (std::size_t k = 1; k < boxes.size(); ++k) {
        sum[boxes[k]] += owner_row;
        sum[boxes.front()] += static_cast<double>(lines.row[boxes[k]]);
        ++count[boxes[k]];
        ++count[boxes.front()];
      }
    }
    const auto mean = [&](std::size_t box) {
      const auto own = static_cast<double>(lines.row[box]);
      return count[box] > 0.0 ? 0.5 * (own + sum[box] / count[box]) : own;
    };
    std::vector<std::pair<double, std::size_t>> keyed;
    for (const std::size_t box : lines.order) keyed.emplace_back(mean(box), box);
    std::stable_sort(keyed.begin(), keyed.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
    for (std::size_t k = 0; k < keyed.size(); ++k) lines.order[k] = keyed[k].second;
  }
}

/// The box in row `from` moves to row `to`.
void move_box(std::vector<std::size_t>& order, std::size_t from, std::size_t to) {
  const auto at = [&](std::size_t k) { return order.begin() + static_cast<std::ptrdiff_t>(k); };
  if (from < to) {
    std::rotate(at(from), at(from + 1), at(to + 1));
  } else {
    std::rotate(at(to), at(from), at(from + 1));
  }
}

/// Moves one box after the other to the row that makes the picture simplest, as long as that helps.
void improve_order(AirLines& lines, const Members& members) {
  double best = cost_of(lines, members);
  const std::size_t n = lines.order.size();
  constexpr int most_rounds = 8;
  bool better = true;
  for (int round = 0; better && round < most_rounds; ++round) {
    better = false;
    for (std::size_t box = 0; box < n; ++box) {
      place(lines, members);
      const std::size_t from = lines.row[box];
      std::size_t best_row = from;
      for (std::size_t to = 0; to < n; ++to) {
        if (to == from) continue;
        const std::vector<std::size_t> before = lines.order;
        move_box(lines.order, from, to);
        const double cost = cost_of(lines, members);
        if (cost < best - 1e-9) {
          best = cost;
          best_row = to;
        }
        lines.order = before;
      }
      if (best_row == from) continue;
      move_box(lines.order, from, best_row);
      better = true;
    }
  }
}

/// Lines that go up leave a box above those that go down; among them the order that crosses nothing.
void give_ports(AirLines& lines, const Members& members) {
  lines.ports.assign(lines.row.size(), {});
  for (std::size_t t = 0; t < members.size(); ++t) {
    for (const std::size_t box : members[t]) lines.ports[box].push_back(t);
  }
  for (std::size_t box = 0; box < lines.ports.size(); ++box) {
    const auto key = [&](std::size_t t) {
      const Trunk& trunk = lines.trunks[t];
      const auto track = static_cast<std::ptrdiff_t>(trunk.track);
      if (lines.row[box] == trunk.last) return std::pair{0, track};
      if (lines.row[box] == trunk.first) return std::pair{2, -track};
      return std::pair{1, track};
    };
    std::stable_sort(lines.ports[box].begin(), lines.ports[box].end(),
                     [&](std::size_t a, std::size_t b) { return key(a) < key(b); });
  }
}

}  // namespace

AirLines air_lines(std::size_t boxes, const std::vector<Link>& links) {
  AirLines out;
  out.order.resize(boxes);
  out.row.resize(boxes);
  std::iota(out.order.begin(), out.order.end(), 0);
  give_trunks(boxes, links, out);
  const Members members = members_of(out, links);
  sort_by_neighbours(out, members);
  constexpr std::size_t few = 32;
  if (boxes <= few) improve_order(out, members);
  place(out, members);
  give_ports(out, members);
  return out;
}

std::size_t crossings(const AirLines& lines) {
  Members members(lines.trunks.size());
  for (std::size_t box = 0; box < lines.ports.size(); ++box) {
    for (const std::size_t t : lines.ports[box]) members[t].push_back(box);
  }
  return crossings_of(lines, members);
}

}  // namespace leanside::report
