// SPDX-License-Identifier: Apache-2.0
#include <array>
#include <cstdint>

#include <fmt/format.h>
#include <nettle/sha2.h>

#include "leanside/report.hpp"

namespace leanside {

std::string sha256(std::string_view bytes) {
  sha256_ctx context;
  sha256_init(&context);
  sha256_update(&context, bytes.size(), reinterpret_cast<const std::uint8_t*>(bytes.data()));
  std::array<std::uint8_t, SHA256_DIGEST_SIZE> digest{};
  sha256_digest(&context, digest.size(), digest.data());
  return fmt::format("{:02x}", fmt::join(digest, ""));
}

}  // namespace leanside
