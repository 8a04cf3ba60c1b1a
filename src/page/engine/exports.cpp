// SPDX-License-Identifier: Apache-2.0
// What the page calls. Memory that the page fills is taken with leanside_take and given back with leanside_give_back.
#include <cstddef>
#include <cstdlib>
#include <string>

#include "page/engine/requests.hpp"

namespace {
std::string& reply() {
  static std::string text;
  return text;
}
}  // namespace

extern "C" {

__attribute__((export_name("leanside_take"))) void* leanside_take(std::size_t bytes) { return std::malloc(bytes); }

__attribute__((export_name("leanside_give_back"))) void leanside_give_back(void* memory) { std::free(memory); }

/// Answers a packed request (requests.hpp). Gives the address of the reply, UTF-8, which is good until the next call.
__attribute__((export_name("leanside_answer"))) const char* leanside_answer(const char* request, std::size_t bytes) {
  using namespace leanside::page;
  reply() = reply_to(unpacked({request, bytes}));
  return reply().data();
}

/// Bytes of the last reply.
__attribute__((export_name("leanside_reply_bytes"))) std::size_t leanside_reply_bytes() { return reply().size(); }
}
