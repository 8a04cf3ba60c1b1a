// SPDX-License-Identifier: Apache-2.0
#include "leanside/diagnostic.hpp"

#include <utility>

#include <gtest/gtest.h>

namespace leanside {
namespace {

Diagnostic at(DiagnosticLevel level, std::string file, int line, int column) {
  Diagnostic out;
  out.level = level;
  out.place.file = std::move(file);
  out.place.line = line;
  out.place.column = column;
  out.message = "no such space";
  return out;
}

TEST(ToText, LeavesOutUnknownParts) {
  EXPECT_EQ(to_text(at(DiagnosticLevel::error, "store.toml", 14, 9)), "store.toml:14:9: error: no such space");
  EXPECT_EQ(to_text(at(DiagnosticLevel::notice, "store.toml", 14, 0)), "store.toml:14: notice: no such space");
  EXPECT_EQ(to_text(at(DiagnosticLevel::error, "store.toml", 0, 0)), "store.toml: error: no such space");
  EXPECT_EQ(to_text(at(DiagnosticLevel::error, "", 3, 2)), "line 3:2: error: no such space");
  EXPECT_EQ(to_text(at(DiagnosticLevel::error, "", 0, 0)), "error: no such space");
}

TEST(HasError, IgnoresNotices) {
  Diagnostics list;
  EXPECT_FALSE(has_error(list));
  list.push_back(at(DiagnosticLevel::notice, "f", 1, 1));
  EXPECT_FALSE(has_error(list));
  list.push_back(at(DiagnosticLevel::error, "f", 1, 1));
  EXPECT_TRUE(has_error(list));
}

TEST(NearestName, FindsSlipsOfThePen) {
  const std::vector<std::string> names{"lab-1", "lab-2", "store", "corridor", "prep-room"};
  EXPECT_EQ(nearest_name("stroe", names), "store");  // two letters swapped
  EXPECT_EQ(nearest_name("stor", names), "store");
  EXPECT_EQ(nearest_name("sttore", names), "store");
  EXPECT_EQ(nearest_name("corrydor", names), "corridor");
  EXPECT_EQ(nearest_name("prep_room", names), "prep-room");
  EXPECT_EQ(nearest_name("Store", names), "store");
}

TEST(NearestName, PrefersTheNearest) {
  EXPECT_EQ(nearest_name("flow", {"flows", "flo", "low", "glow-rate"}), "flows");  // the first of equals
  EXPECT_EQ(nearest_name("exchnage", {"extract", "exchange"}), "exchange");
}

TEST(NearestName, ReturnsNothingWithoutANearName) {
  const std::vector<std::string> names{"lab-1", "store", "fan"};
  EXPECT_EQ(nearest_name("corridor", names), "");
  EXPECT_EQ(nearest_name("", names), "");
  EXPECT_EQ(nearest_name("x", names), "");
  EXPECT_EQ(nearest_name("store", {}), "");
  EXPECT_EQ(nearest_name(std::string(10000, 'x'), {std::string(10001, 'x')}), "");  // no slip, and bounded work
}

TEST(NearestName, NeverOffersTheWordItself) { EXPECT_EQ(nearest_name("store", {"store"}), ""); }

}  // namespace
}  // namespace leanside
