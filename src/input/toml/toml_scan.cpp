// SPDX-License-Identifier: Apache-2.0
#include "input/toml/toml_scan.hpp"

#include <algorithm>
#include <cstdint>
#include <cstring>
#include <vector>

#include <fmt/format.h>

#include "base/text/utf8.hpp"

namespace leanside::input {
namespace {

/// Line and column of the byte at `at`.
SourceLocation location_at(std::string_view text, std::size_t at) {
  if (text.starts_with("\xEF\xBB\xBF") && at >= 3) text.remove_prefix(3), at -= 3;
  SourceLocation location{{}, 1, 1};
  for (std::size_t i = 0; i < at; ++i) {
    if (text[i] == '\n') {
      ++location.line;
      location.column = 1;
    } else if (utf8::starts_letter(text[i])) {
      ++location.column;
    }
  }
  return location;
}

/// Walks over TOML just closely enough to know strings, comments and brackets from each other.
class Scan {
 public:
  explicit Scan(std::string_view text) : text_{text}, at_{text.starts_with("\xEF\xBB\xBF") ? 3u : 0u} {}

  std::optional<Issue> run() {
    while (at_ < text_.size() && !issue_) step();
    if (!issue_ && !open_.empty()) {
      const auto at = open_.back().at;
      report(at, fmt::format("the bracket '{}' that opens here is never closed", text_[at]), false);
    }
    return issue_;
  }

 private:
  struct Bracket {
    std::size_t at = 0;
    bool value = false;  // a value may stand here, rather than a key
  };

  void report(std::size_t at, std::string message, bool confined) {
    issue_ = Issue{location_at(text_, at), std::move(message), confined, false};
  }

  void step() {
    const char c = text_[at_];
    switch (c) {
      case '#':
        return skip_to_line_end();
      case '"':
      case '\'':
        return skip_string(c);
      case '\n':
        return end_line();
      case '[':
        if (open_.empty() && fresh_line_) return skip_header();
        [[fallthrough]];
      case '{':
        return open_bracket();
      case ']':
      case '}':
        if (!open_.empty() && (text_[open_.back().at] == '[') != (c == ']')) {
          return report(at_, fmt::format("the bracket '{}' here closes none that is open", c), false);
        }
        if (!open_.empty()) open_.pop_back();
        dots_ = 0;
        word_ = false;
        break;
      case '=':
        if (!in_value()) count_entry();
        dots_ = 0;
        word_ = in_value();
        (open_.empty() ? value_ : open_.back().value) = true;
        break;
      case ',':
        if (!open_.empty()) count_entry();
        dots_ = 0;
        word_ = false;
        if (!open_.empty()) open_.back().value = text_[open_.back().at] == '[';
        break;
      case ' ':
      case '\t':
      case '\r':
        word_ = false;
        break;
      case '.':
        count_dot();
        word_ = in_value();
        break;
      default:
        if (static_cast<unsigned char>(c) >= 0x80) return report_letter();
        if (!word_ && in_value() && date_and_digit()) {
          report(at_, "a date and a time of day; times count from the start, such as \"10 min\"", open_.empty());
          issue_->of_value = true;
          return;
        }
        word_ = true;
        break;
    }
    if (c != ' ' && c != '\t') fresh_line_ = false;
    ++at_;
  }

  void skip_to_line_end() { at_ = std::min(text_.find('\n', at_), text_.size()); }

  void end_line() {
    if (!open_.empty() && text_[open_.back().at] == '{') {
      return report(
          open_.back().at,
          "the table '{ ... }' that opens here must be closed on the same line; put it on one line, or give it "
          "a [header] of its own",
          false);
    }
    fresh_line_ = true;
    value_ = word_ = false;
    dots_ = 0;
    ++at_;
  }

  void count_dot() {
    if (++dots_ >= most_key_parts) report(at_, fmt::format("more than {} names joined by dots", most_key_parts), false);
  }

  void count_entry() {
    if (++entries_ <= most_entries) return;
    report(at_, fmt::format("more than {} keys and values in one file; no site needs so many", most_entries), false);
  }

  // A header is no list: it ends with its line, closed or not.
  void skip_header() {
    const auto begin = at_;
    count_entry();
    if (issue_) return;
    const auto end = std::min(text_.find('\n', at_), text_.size());
    while (at_ < end && at_ < begin + 2 && text_[at_] == '[') ++at_;
    while (at_ < end && (text_[at_] == ' ' || text_[at_] == '\t')) ++at_;
    if (at_ == end || !may_begin_name(text_[at_])) {
      return report(begin, "a header is written [name], or [[name]] for each of several, and ends its line", true);
    }
    char quote = 0;
    for (; at_ < end && !issue_; ++at_) {
      const char c = text_[at_];
      if (quote) {
        if (c == quote) quote = 0;
        continue;
      }
      if (c == '"' || c == '\'') quote = c;
      if (static_cast<unsigned char>(c) >= 0x80) return report_letter();
      if (c == '#') return skip_to_line_end();
      if (c == '.') count_dot();
    }
  }

  static bool may_begin_name(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-' ||
           c == '"' || c == '\'' || c == ']';
  }

  void report_letter() {
    const auto letter = text_.substr(at_, utf8::letter_at(text_, at_).bytes);
    report(at_, fmt::format("the character '{}' stands outside of quotes", letter), open_.empty());
    issue_->of_value = true;
  }

  void open_bracket() {
    if (open_.size() >= deepest_nesting) {
      return report(at_, fmt::format("lists and tables nested more than {} deep", deepest_nesting), false);
    }
    open_.push_back({at_, text_[at_] == '['});
    ++at_;
    fresh_line_ = false;
    dots_ = 0;
  }

  void skip_string(char quote) {
    fresh_line_ = false;
    const auto begin = at_;
    if (within_value()) {
      report(begin, "a quote in the middle of a value; put the whole of it in quotes, such as \"30 m3\"",
             open_.empty());
      issue_->of_value = true;
      return;
    }
    const std::string three(3, quote);
    if (text_.substr(at_).starts_with(three)) {
      at_ += 3;
      while (at_ < text_.size() && !text_.substr(at_).starts_with(three)) at_ += escape(quote) ? 2 : 1;
      if (at_ >= text_.size())
        return report(begin, fmt::format("the {} that opens here is never closed", three), false);
      at_ += 3;
      // Up to two quotes may stand right before the closing three.
      for (int more = 0; more < 2 && at_ < text_.size() && text_[at_] == quote; ++more) ++at_;
      return;
    }
    for (++at_; at_ < text_.size() && text_[at_] != quote && text_[at_] != '\n';) at_ += escape(quote) ? 2 : 1;
    if (at_ >= text_.size() || text_[at_] == '\n') {
      return report(begin, "the quote that opens here is not closed on this line", open_.empty());
    }
    ++at_;
  }

  /// Whether a value may stand here, rather than a key.
  bool in_value() const { return open_.empty() ? value_ : open_.back().value; }

  /// Whether the quote here opens nothing: toml++ takes it and what follows for a part of the word that it stands in.
  bool within_value() const { return word_ && (!open_.empty() || value_); }

  /// A day, a blank and a digit: toml++ assumes that another digit follows.
  bool date_and_digit() const {
    constexpr std::string_view shape = "0000-00-00 0";
    const auto text = text_.substr(at_, shape.size());
    return text.size() == shape.size() && std::ranges::equal(text, shape, [](char c, char like) {
             return like == '0' ? c >= '0' && c <= '9' : c == like;
           });
  }

  bool escape(char quote) const {
    return quote == '"' && text_[at_] == '\\' && at_ + 1 < text_.size() && text_[at_ + 1] != '\n';
  }

  std::string_view text_;
  std::size_t at_;
  std::vector<Bracket> open_;
  std::size_t dots_ = 0, entries_ = 0;
  bool fresh_line_ = true;
  bool value_ = false;  // after the '=' of this line
  bool word_ = false;  // in something without quotes, brackets and all, until a blank, a comma or a bracket that closes
  std::optional<Issue> issue_;
};

}  // namespace

std::optional<Issue> encoding_issue(std::string_view text) {
  if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF")) {
    return Issue{{{}, 1, 1}, "this is UTF-16 text; save the file as UTF-8 (in an editor: 'Save as', encoding UTF-8)"};
  }
  for (std::size_t at = 0; at < text.size();) {
    if (text.size() - at >= 8) {  // eight plain letters at a time
      std::uint64_t word = 0;
      std::memcpy(&word, text.data() + at, 8);
      // No byte over 127 and none that is 0.
      if (((word | (word - 0x0101010101010101u)) & 0x8080808080808080u) == 0) {
        at += 8;
        continue;
      }
    }
    if (text[at] == '\0') return Issue{location_at(text, at), "a byte of value 0: this is not a text file"};
    const utf8::Letter letter = utf8::letter_at(text, at);
    if (!letter.valid) {
      return Issue{location_at(text, at),
                   fmt::format("the byte 0x{:02X} is not UTF-8; save the file as UTF-8 (in an editor: 'Save as', "
                               "encoding UTF-8)",
                               static_cast<unsigned char>(text[at]))};
    }
    at += letter.bytes;
  }
  return {};
}

std::optional<Issue> structure_issue(std::string_view text) { return Scan{text}.run(); }

}  // namespace leanside::input
