// SPDX-License-Identifier: Apache-2.0
/// The look that every text for people has: headings, paragraphs, tables, words of severity, the caution at the end.
#pragma once

#include <algorithm>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/text/lists.hpp"
#include "leanside/report.hpp"
#include "report/text/table.hpp"

namespace leanside::report {

/// Plain ASCII letters in capitals.
std::string upper(std::string_view word);

class TextPage {
 public:
  explicit TextPage(const TextStyle& style);

  void heading(const std::string& text);
  /// `first` stands before the first line, the others are set in as far.
  void paragraph(const std::string& text, const std::string& first = "");
  /// Under an entry of a list: the first word stands out, the lines after it are set in a little.
  void remark(const std::string& what, const std::string& text);
  void line(const std::string& text);
  void table(const Table& table);
  /// A heading and an item a paragraph; nothing at all where there is none.
  void list(const std::string& title, const std::vector<std::string>& items);
  /// Another page below this one.
  void append(const TextPage& other) { out_ += other.out_; }
  std::size_t lines() const { return static_cast<std::size_t>(std::count(out_.begin(), out_.end(), '\n')); }
  /// What every text ends with.
  void put_caution();

  std::string severity(Severity severity) const;
  std::string bold(const std::string& text) const { return painted(text, "1"); }
  const TextStyle& style() const { return style_; }
  std::string text() const;

 private:
  std::string painted(const std::string& text, const std::string& code) const;

  TextStyle style_;
  std::string out_;
};

}  // namespace leanside::report
