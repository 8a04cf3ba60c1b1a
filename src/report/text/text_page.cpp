// SPDX-License-Identifier: Apache-2.0
#include "report/text/text_page.hpp"

#include <algorithm>

#include "base/text/plain.hpp"

namespace leanside::report {

std::string upper(std::string_view word) {
  std::string out{word};
  std::transform(out.begin(), out.end(), out.begin(),
                 [](char c) { return c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c; });
  return out;
}

TextPage::TextPage(const TextStyle& style) : style_{style} { style_.width = std::max<std::size_t>(style.width, 40); }

void TextPage::heading(const std::string& text) { out_ += "\n" + painted(wrapped(text, "", style_.width, 0), "1"); }

void TextPage::paragraph(const std::string& text, const std::string& first) {
  out_ += wrapped(text, first, style_.width, columns(first));
}

void TextPage::remark(const std::string& what, const std::string& text) {
  out_ += wrapped(text, "    " + what + ": ", style_.width, 6);
}

void TextPage::line(const std::string& text) { out_ += text + "\n"; }

void TextPage::table(const Table& table) { out_ += table.text(style_.width, style_.unicode); }

void TextPage::list(const std::string& title, const std::vector<std::string>& items) {
  if (items.empty()) return;
  heading(title);
  for (const std::string& item : items) paragraph(item, " - ");
}

void TextPage::put_caution() {
  heading("Caution");
  paragraph(std::string{caution()}, " ");
}

std::string TextPage::severity(Severity severity) const {
  std::string word = upper(word_of(severity));
  switch (severity) {
    case Severity::flammable:
    case Severity::pressure:
    case Severity::rich:
    case Severity::near_source:
    case Severity::toxic:
      return painted(word, "1;31");
    case Severity::margin:
    case Severity::oxygen:
      return painted(word, "33");
    case Severity::note:
      break;
  }
  return word;
}

std::string TextPage::text() const { return style_.unicode ? out_ : ascii_only(out_); }

std::string TextPage::painted(const std::string& text, const std::string& code) const {
  if (!style_.colour) return text;
  const bool line = text.ends_with('\n');
  return "\x1b[" + code + "m" + text.substr(0, text.size() - line) + "\x1b[0m" + (line ? "\n" : "");
}

}  // namespace leanside::report
