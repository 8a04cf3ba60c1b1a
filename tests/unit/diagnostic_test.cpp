// SPDX-License-Identifier: Apache-2.0
#include "leanside/diagnostic.hpp"

#include <gtest/gtest.h>

namespace leanside {
namespace {

TEST(ToText, LeavesOutWhatIsNotKnown) {
  EXPECT_EQ(to_text({Gravity::error, {"store.toml", 14, 9}, "no such space"}), "store.toml:14:9: error: no such space");
  EXPECT_EQ(to_text({Gravity::notice, {"store.toml", 14, 0}, "very large"}), "store.toml:14: notice: very large");
  EXPECT_EQ(to_text({Gravity::error, {"store.toml", 0, 0}, "there is no such file"}),
            "store.toml: error: there is no such file");
  EXPECT_EQ(to_text({Gravity::error, {"", 3, 2}, "m"}), "line 3:2: error: m");
  EXPECT_EQ(to_text({Gravity::error, {}, "m"}), "error: m");
}

TEST(HasError, NoticesAreNoErrors) {
  EXPECT_FALSE(has_error({}));
  EXPECT_FALSE(has_error({{Gravity::notice, {}, "m"}}));
  EXPECT_TRUE(has_error({{Gravity::notice, {}, "m"}, {Gravity::error, {}, "m"}}));
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

TEST(NearestName, GivesNothingWhereNothingIsNear) {
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
