// SPDX-License-Identifier: Apache-2.0
/// SHA-256, FIPS 180-4, sections 4.1.2, 5.1.1 and 6.2. Its constants are the first 32 bits of the fractional parts of
/// square and cube roots of primes (sections 4.2.2 and 5.3.3) and are computed as such.
#include <array>
#include <bit>
#include <cstdint>

#include <fmt/format.h>

#include "leanside/report.hpp"

namespace leanside {
namespace {

using Words = std::array<std::uint32_t, 8>;

constexpr std::array<std::uint32_t, 64> primes() {
  std::array<std::uint32_t, 64> out{};
  std::size_t n = 0;
  for (std::uint32_t candidate = 2; n < out.size(); ++candidate) {
    bool prime = true;
    for (std::size_t i = 0; i < n && prime; ++i) prime = candidate % out[i] != 0;
    if (prime) out[n++] = candidate;
  }
  return out;
}

/// floor(2^32 * root of degree `degree` of `p`) less its whole part: the largest w with w^degree <= p 2^(32 degree).
constexpr std::uint32_t root_bits(std::uint32_t p, int degree) {
  __extension__ typedef unsigned __int128 Wide;  // NOLINT(modernize-use-using): only a typedef can be an extension
  Wide low = 0, high = Wide{1} << 36;            // roots of primes up to 311 are below 16
  while (high - low > 1) {
    const Wide middle = (low + high) / 2;
    // middle^degree against p 2^(32 degree), without overflow: 36 bits cubed are 108, and 9 + 96 bits fit as well.
    Wide power = middle;
    for (int i = 1; i < degree; ++i) power *= middle;
    if (power <= Wide{p} << (32 * degree)) {
      low = middle;
    } else {
      high = middle;
    }
  }
  return static_cast<std::uint32_t>(low);
}

struct Constants {
  Words start{};
  std::array<std::uint32_t, 64> round{};
};

constexpr Constants constants() {
  Constants out;
  const auto prime = primes();
  for (std::size_t i = 0; i < out.start.size(); ++i) out.start[i] = root_bits(prime[i], 2);
  for (std::size_t i = 0; i < out.round.size(); ++i) out.round[i] = root_bits(prime[i], 3);
  return out;
}

constexpr Constants fixed = constants();

void take_block(Words& hash, const std::uint8_t* block) {
  std::array<std::uint32_t, 64> w{};
  for (std::size_t t = 0; t < 16; ++t) {
    for (std::size_t k = 0; k < 4; ++k) w[t] = (w[t] << 8) | block[4 * t + k];
  }
  for (std::size_t t = 16; t < 64; ++t) {
    const std::uint32_t s0 = std::rotr(w[t - 15], 7) ^ std::rotr(w[t - 15], 18) ^ (w[t - 15] >> 3);
    const std::uint32_t s1 = std::rotr(w[t - 2], 17) ^ std::rotr(w[t - 2], 19) ^ (w[t - 2] >> 10);
    w[t] = s1 + w[t - 7] + s0 + w[t - 16];
  }
  auto [a, b, c, d, e, f, g, h] = hash;
  for (std::size_t t = 0; t < 64; ++t) {
    const std::uint32_t s1 = std::rotr(e, 6) ^ std::rotr(e, 11) ^ std::rotr(e, 25);
    const std::uint32_t t1 = h + s1 + ((e & f) ^ (~e & g)) + fixed.round[t] + w[t];
    const std::uint32_t s0 = std::rotr(a, 2) ^ std::rotr(a, 13) ^ std::rotr(a, 22);
    const std::uint32_t t2 = s0 + ((a & b) ^ (a & c) ^ (b & c));
    h = g;
    g = f;
    f = e;
    e = d + t1;
    d = c;
    c = b;
    b = a;
    a = t1 + t2;
  }
  const Words more{a, b, c, d, e, f, g, h};
  for (std::size_t i = 0; i < hash.size(); ++i) hash[i] += more[i];
}

}  // namespace

std::string sha256(std::string_view bytes) {
  std::vector<std::uint8_t> padded(bytes.begin(), bytes.end());
  padded.push_back(0x80);
  while (padded.size() % 64 != 56) padded.push_back(0);
  const std::uint64_t bits = 8 * static_cast<std::uint64_t>(bytes.size());
  for (int shift = 56; shift >= 0; shift -= 8) padded.push_back(static_cast<std::uint8_t>(bits >> shift));
  Words hash = fixed.start;
  for (std::size_t at = 0; at < padded.size(); at += 64) take_block(hash, padded.data() + at);
  std::string out;
  for (const std::uint32_t word : hash) out += fmt::format("{:08x}", word);
  return out;
}

}  // namespace leanside
