// SPDX-License-Identifier: Apache-2.0
/// Random bits that are the same on every machine.
#pragma once

#include <cstdint>

namespace leanside::study {

/// SplitMix64. Source: Steele, Lea and Flood 2014, "Fast splittable pseudorandom number generators", OOPSLA (constants
/// from memory).
class SplitMix {
 public:
  explicit SplitMix(std::uint64_t seed) : state_{seed} {}
  std::uint64_t next() {
    state_ += 0x9E3779B97F4A7C15u;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
  }
  /// One of 0 .. count-1; for counts below 2^32 the bias of the remainder is below 2^-32.
  std::uint64_t below(std::uint64_t count) { return next() % count; }

 private:
  std::uint64_t state_;
};

}  // namespace leanside::study
