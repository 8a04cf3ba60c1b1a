// SPDX-License-Identifier: Apache-2.0
#include "bench/building.hpp"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <iterator>
#include <random>

#include <fmt/format.h>

namespace bench {
namespace {

constexpr std::size_t rooms_per_floor = 48;  // in addition to the corridor and the staircase
constexpr std::size_t floors_per_handler = 10;
constexpr std::size_t rooms_per_branch = 8;
constexpr std::array<const char*, 3> gases = {"methane", "hydrogen", "propane"};

/// Random numbers that are the same with every standard library.
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_{seed} {}
  double uniform(double low, double high) {
    return low + (high - low) * static_cast<double>(engine_() >> 11) * 0x1.0p-53;
  }
  int between(int low, int high) { return low + static_cast<int>(engine_() % static_cast<unsigned>(high - low + 1)); }
  bool chance(double p) { return uniform(0.0, 1.0) < p; }

 private:
  std::mt19937_64 engine_;
};

class Writer {
 public:
  explicit Writer(std::uint64_t seed) : dice_{seed} {}

  std::string building(std::size_t rooms) {
    line("# Made by leanside_building: an invented building, for timing.\ntitle = \"A building of {} rooms\"\n", rooms);
    line("[criteria]\nhorizon = \"8 h\"\n");
    std::string handler;
    std::size_t left = rooms;
    for (std::size_t floor = 0; left >= 3; ++floor) {
      if (floor % floors_per_handler == 0) {
        handler = fmt::format("h{}", floor / floors_per_handler);
        air_handler(handler, std::min(left, floors_per_handler * (rooms_per_floor + 2)));
      }
      std::size_t here = std::min(rooms_per_floor, left - 2);
      if (left - 2 - here < 3) here = left - 2;  // too few rooms would be left for another floor
      whole_floor(handler, floor, here);
      left -= here + 2;
    }
    release("spilt-solvent", "dump", "f0-r0", "propane", "amount = \"200 L\"\nover = \"30 min\"\nstart = \"1 h\"\n");
    release("charging", "steady", "f0-corridor", "hydrogen", "rate = \"4 L/min\"\nduration = \"5 h\"\n");
    release("late-tap", "steady", "f0-stair", "methane", "rate = \"6 L/min\"\nstart = \"3 h\"\n");
    return std::move(text_);
  }

 private:
  template <class... Args>
  void line(fmt::format_string<Args...> pattern, Args&&... args) {
    fmt::format_to(std::back_inserter(text_), pattern, std::forward<Args>(args)...);
    text_ += '\n';
  }
  void space(const std::string& id, const char* kind, const std::string& more) {
    line("[[space]]\nid = \"{}\"\nkind = \"{}\"\n{}", id, kind, more);
  }
  void release(const std::string& id, const char* kind, const std::string& into, const char* gas,
               const std::string& more) {
    line("[[release]]\nid = \"{}\"\nkind = \"{}\"\ninto = \"{}\"\ngas = \"{}\"\n{}", id, kind, into, gas, more);
  }
  void fan(const std::string& id, const std::string& from, const std::string& to, int flow) {
    line("[[airway]]\nid = \"{}\"\nkind = \"fan\"\nfrom = \"{}\"\nto = \"{}\"\nflow = \"{} m3/h\"\n", id, from, to,
         flow);
  }
  void exchange(const std::string& id, const std::string& a, const std::string& b, int flow) {
    line("[[airway]]\nid = \"{}\"\nkind = \"exchange\"\nbetween = [\"{}\", \"{}\"]\nflow = \"{} m3/h\"\n", id, a, b,
         flow);
  }
  void opening(const std::string& id, const std::string& a, const std::string& b) {
    line("[[airway]]\nid = \"{}\"\nkind = \"opening\"\nbetween = [\"{}\", \"{}\"]\n", id, a, b);
  }

  void air_handler(const std::string& id, std::size_t rooms) {
    space(id + "-supply", "junction", "");
    space(id + "-extract", "junction", "");
    opening(id + "-fresh", "outside", id + "-supply");
    opening(id + "-exhaust", id + "-extract", "outside");
    fan(id + "-recirculation", id + "-extract", id + "-supply", static_cast<int>(rooms) * 120);
  }

  /// Tees of a part, connected to those of the larger part.
  void tees(const std::string& part, const std::string& larger) {
    for (const char* side : {"-supply", "-extract"}) {
      space(part + side, "junction", "");
      opening(part + side + "-duct", larger + side, part + side);
    }
  }

  void whole_floor(const std::string& handler, std::size_t floor, std::size_t rooms) {
    const std::string f = fmt::format("f{}", floor), corridor = f + "-corridor", stair = f + "-stair";
    space(corridor, "room", fmt::format("volume = \"{} m3\"\n", dice_.between(150, 260)));
    space(stair, "room", "volume = \"60 m3\"\nair_changes = \"0.2 /h\"\n");
    opening(f + "-stair-door", corridor, stair);
    opening(f + "-window", stair, "outside");
    exchange(f + "-stair-mixing", corridor, stair, 150);
    if (floor > 0) exchange(f + "-stairwell", fmt::format("f{}-stair", floor - 1), stair, 90);
    tees(f, handler);
    for (std::size_t i = 0; i < rooms; ++i) {
      const std::string branch = fmt::format("{}-b{}", f, i / rooms_per_branch);
      if (i % rooms_per_branch == 0) tees(branch, f);
      one_room(f, branch, i);
    }
  }

  void one_room(const std::string& floor, const std::string& branch, std::size_t i) {
    const std::string room = fmt::format("{}-r{}", floor, i);
    const int volume = dice_.between(30, 180);
    const int supply = static_cast<int>(std::lround(volume * dice_.uniform(2.0, 5.0)));
    const int extract = static_cast<int>(std::lround(supply * dice_.uniform(0.85, 1.15)));
    std::string more = fmt::format("volume = \"{} m3\"\n", volume);
    if (dice_.chance(0.3)) more += fmt::format("temperature = \"{} degC\"\n", dice_.between(17, 24));
    if (dice_.chance(0.5)) more += "air_changes = \"0.2 /h\"\n";
    space(room, "room", more);
    fan(room + "-supply", branch + "-supply", room, supply);
    fan(room + "-extract", room, branch + "-extract", extract);
    if (i % 8 != 7) opening(room + "-door", room, floor + "-corridor");
    if (i > 0 && dice_.chance(0.2)) {
      exchange(room + "-hatch", room, fmt::format("{}-r{}", floor, i - 1), dice_.between(5, 60));
    }
    if (rooms_ % 20 == 3) {
      const std::string cupboard = room + "-cupboard";
      space(cupboard, "cabinet", fmt::format("volume = \"{} L\"\n", 300 * dice_.between(1, 5)));
      exchange(room + "-gaps", cupboard, room, dice_.between(2, 12));
      const int seep = rooms_ % 1000 == 3 ? 1500 : dice_.between(2, 40);
      release(room + "-bottle", "steady", cupboard, gases[static_cast<std::size_t>(dice_.between(0, 2))],
              fmt::format("rate = \"{} mL/min\"\n", seep));
    }
    if (rooms_ % 16 == 1) {
      release(room + "-taps", "fittings", room, "methane",
              fmt::format("count = {}\neach = \"3 mL/min\"\n", dice_.between(2, 12)));
    }
    ++rooms_;
  }

  Dice dice_;
  std::string text_;
  std::size_t rooms_ = 0;
};

}  // namespace

std::string building_text(std::size_t rooms, std::uint64_t seed) {
  assert(rooms >= 3);
  return Writer{seed}.building(rooms);
}

}  // namespace bench
