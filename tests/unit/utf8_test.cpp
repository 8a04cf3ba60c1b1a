// SPDX-License-Identifier: Apache-2.0
#include "base/text/utf8.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "base/text/lists.hpp"
#include "base/text/utf8_decode.hpp"
#include "leanside/units.hpp"

namespace leanside {
namespace {

TEST(Utf8, LettersOfEveryLengthAreRead) {
  const std::string text = "a\u00e9\u5b9f\U0001F525";
  std::vector<char32_t> codes;
  for (std::size_t at = 0; at < text.size();) {
    const utf8::Letter letter = utf8::letter_at(text, at);
    ASSERT_TRUE(letter.valid) << at;
    codes.push_back(letter.code);
    at += letter.bytes;
  }
  EXPECT_EQ(codes, (std::vector<char32_t>{U'a', U'\u00e9', U'\u5b9f', U'\U0001F525'}));
}

TEST(Utf8, InvalidBytesAreOneLetterEach) {
  // RFC 3629: a continuation alone, a sequence cut off, overlong forms, a surrogate, more than U+10FFFF.
  for (const std::string& text : {std::string{"\x80"}, std::string{"\xc3"}, std::string{"\xe2\x82"},
                                  std::string{"\xc0\xaf"}, std::string{"\xe0\x80\x80"}, std::string{"\xed\xa0\x80"},
                                  std::string{"\xf4\x90\x80\x80"}, std::string{"\xff"}}) {
    const utf8::Letter letter = utf8::letter_at(text, 0);
    EXPECT_FALSE(letter.valid) << text;
    EXPECT_EQ(letter.bytes, 1u) << text;
  }
}

TEST(Utf8, ControlsAndInvisibleLettersAreKnown) {
  for (const char32_t code : {U'\x00', U'\x1b', U'\x7f', U'\x9b', U'\u00ad', U'\u061c', U'\u200b', U'\u200f', U'\u2028',
                              U'\u202e', U'\u2066', U'\ufeff', U'\U000E0041'}) {
    EXPECT_TRUE(utf8::is_control_or_invisible(code)) << static_cast<unsigned>(code);
  }
  for (const char32_t code : {U' ', U'a', U'\u00e9', U'\u0301', U'\u05de', U'\u5b9f', U'\U0001F525'}) {
    EXPECT_FALSE(utf8::is_control_or_invisible(code)) << static_cast<unsigned>(code);
  }
}

TEST(Utf8, ColumnsOfATerminal) {
  EXPECT_EQ(utf8::columns_of(U'a'), 1u);
  EXPECT_EQ(utf8::columns_of(U'\u0301'), 0u);
  EXPECT_EQ(utf8::columns_of(U'\u5b9f'), 2u);
  EXPECT_EQ(utf8::columns_of(U'\U0001F525'), 2u);
}

TEST(Utf8, APrefixEndsBetweenLetters) {
  EXPECT_EQ(utf8::prefix("abc", 3), "abc");
  EXPECT_EQ(utf8::prefix("abc", 2), "ab");
  EXPECT_EQ(utf8::prefix("a\u5b9f", 3), "a");
  EXPECT_EQ(utf8::prefix("a\u5b9f", 4), "a\u5b9f");
  EXPECT_EQ(utf8::prefix("\u5b9f", 1), "");
  // A long word of an error message keeps its letters up to the cut.
  std::string word;
  for (int i = 0; i < 40; ++i) word += "\u00e9";
  const auto fault = parse_quantity("5 " + word);
  ASSERT_TRUE(std::holds_alternative<QuantityFault>(fault));
  EXPECT_NE(std::get<QuantityFault>(fault).message.find("\u00e9\u00e9\u00e9..."), std::string::npos)
      << std::get<QuantityFault>(fault).message;
}

/// Whether both decoders say the same of the first letter of `bytes`.
void expect_same_letter(const std::string& bytes) {
  const utf8::Letter one = utf8::letter_at(bytes, 0), other = utf8::decoded_at(bytes, 0);
  ASSERT_EQ(one.valid, other.valid) << testing::PrintToString(bytes);
  if (!one.valid) return;
  ASSERT_EQ(one.code, other.code) << testing::PrintToString(bytes);
  ASSERT_EQ(one.bytes, other.bytes) << testing::PrintToString(bytes);
}

TEST(Utf8, BothDecodersAgreeOnEveryStartOfALetter) {
  // After the second byte only the kind of a byte matters, so these stand for all: two that continue, two that do not.
  const std::string others{'\x80', '\xbf', '\x7f', '\xc0'};
  for (int lead = 0; lead < 256; ++lead) {
    expect_same_letter({static_cast<char>(lead)});
    for (int second = 0; second < 256; ++second) {
      const std::string two{static_cast<char>(lead), static_cast<char>(second)};
      expect_same_letter(two);
      for (const char third : others) {
        expect_same_letter(two + third);
        for (const char fourth : others) expect_same_letter(two + third + fourth);
      }
    }
  }
}

TEST(Lists, HaveCommasAndALastWord) {
  const auto of = [](const std::vector<std::string>& words) { return listed(words); };
  EXPECT_EQ(of({}), "");
  EXPECT_EQ(of({"a"}), "a");
  EXPECT_EQ(of({"a", "b"}), "a and b");
  EXPECT_EQ(of({"a", "b", "c"}), "a, b and c");
  const std::vector<std::string_view> two = {"a", "b"};
  EXPECT_EQ(listed(two, " or "), "a or b");
}

}  // namespace
}  // namespace leanside
