// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cctype>
#include <exception>
#include <new>
#include <variant>

#include <fmt/format.h>

#include "base/text/stop.hpp"
#include "base/text/utf8.hpp"
#include "input/toml/toml_reader.hpp"
#include "input/toml/toml_scan.hpp"

namespace leanside::input {
namespace {

/// Reading again after each fault of syntax costs a whole pass: bounded in number and in bytes.
constexpr int most_repairs = 20;
constexpr std::size_t most_bytes_read_again = 32u << 20;

/// Begin and end of line `line` (from 1) in `text`, its end excluded.
std::pair<std::size_t, std::size_t> line_bounds(std::string_view text, int line) {
  std::size_t begin = 0;
  for (int i = 1; i < line; ++i) {
    const auto end = text.find('\n', begin);
    if (end == std::string_view::npos) return {text.size(), text.size()};
    begin = end + 1;
  }
  auto end = std::min(text.find('\n', begin), text.size());
  if (end > begin && text[end - 1] == '\r') --end;
  return {begin, end};
}

std::size_t byte_of_column(std::string_view line, int column) {
  std::size_t at = 0;
  for (int c = 1; c < column && at < line.size(); ++c) {
    do ++at;
    while (at < line.size() && !utf8::starts_letter(line[at]));
  }
  return at;
}

int column_of_byte(std::string_view line, std::size_t at) {
  return 1 + static_cast<int>(std::ranges::count_if(line.substr(0, at), utf8::starts_letter));
}

std::string_view trimmed(std::string_view text) {
  const auto blank = [](char c) { return c == ' ' || c == '\t'; };
  while (!text.empty() && blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && blank(text.back())) text.remove_suffix(1);
  return text;
}

/// The key and the bare value around byte `at` of a line: "flow" and "150 m3/h" of `flow = 150 m3/h  # weak`. A quote
/// at `at` stands in the middle of it.
struct BareValue {
  std::string_view key, value;
};
std::optional<BareValue> bare_value(std::string_view line, std::size_t at) {
  std::size_t equals = std::string_view::npos;
  char quote = 0;
  for (std::size_t i = 0; i < line.size() && i <= at; ++i) {
    if (quote) {
      if (line[i] == quote) quote = 0;
    } else if ((line[i] == '"' || line[i] == '\'') && i < at) {
      quote = line[i];
    } else if (line[i] == '=') {
      equals = i;
    }
  }
  if (quote || equals == std::string_view::npos) return {};
  // Inside { } or [ ] a comma ends the value, on a line of its own only a comment does.
  const bool nested = line.substr(0, equals).find_first_of("{[") != std::string_view::npos;
  const auto end = line.find_first_of(nested ? ",}]#" : "#", equals + 1);
  const auto value = trimmed(line.substr(equals + 1, end == std::string_view::npos ? end : end - equals - 1));
  const auto inside = value.substr(std::min<std::size_t>(1, value.size()));
  if (value.empty() || value.find_first_of("\"'[{=\\") == 0 || inside.find_first_of("[{=\\") != std::string_view::npos)
    return {};
  const auto before = line.substr(0, equals);
  const auto start = before.find_last_of("{,");
  return BareValue{trimmed(start == std::string_view::npos ? before : before.substr(start + 1)), value};
}

/// A fault of syntax in our words, and what to put in place of part of its line to read on.
struct Repair {
  std::string message;
  SourceLocation location;
  std::size_t begin = 0, end = 0;  ///< bytes of the line to replace
  std::string replacement;
  bool loses = false;    ///< something of the file is left out
  bool possible = true;  ///< else reading stops here
};

std::string without_typographic_quotes(std::string_view value) {
  constexpr std::string_view marks[] = {"\u201C", "\u201D", "\u201E", "\u201F", "\u2018", "\u2019", "\u00AB", "\u00BB"};
  std::string out{value};
  for (const auto mark : marks) {
    for (auto at = out.find(mark); at != std::string::npos; at = out.find(mark)) out.erase(at, mark.size());
  }
  return out;
}

/// A value that should be in quotes, or is a number or a truth in another spelling.
std::optional<Repair> repair_value(std::string_view line, SourceLocation location, std::size_t at) {
  const auto found = bare_value(line, at);
  if (!found) return {};
  const auto [key, value] = *found;
  Repair repair;
  repair.begin = static_cast<std::size_t>(value.data() - line.data());
  repair.end = repair.begin + value.size();
  repair.location = {{}, location.line, column_of_byte(line, repair.begin)};
  std::string small{value};
  std::ranges::transform(small, small.begin(), [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
  const bool yes = small == "true" || small == "yes" || small == "on";
  if (yes || small == "false" || small == "no" || small == "off") {
    repair.replacement = yes ? "true" : "false";
    repair.message = fmt::format("found {}; write {} = {}, in small letters", shown(value), key, repair.replacement);
    return repair;
  }
  if (value.find_first_not_of("0123456789+-.,_eE") == std::string_view::npos) {
    repair.message =
        fmt::format("{} is not a number as TOML writes it; write for example 0.5, 12 or 1e-3", shown(value));
    repair.begin = 0;
    repair.end = line.size();
    repair.loses = true;
    repair.possible = line.find_first_of("{}[]") == std::string_view::npos;
    return repair;
  }
  auto plain = without_typographic_quotes(value);
  if (std::erase_if(plain, [](char c) { return c == '"' || c == '\''; }) > 0) {
    repair.replacement = fmt::format("\"{}\"", plain);
    repair.message = fmt::format("found {} with a quote in its middle; write {} = \"{}\"", shown(value), key, plain);
    return repair;
  }
  repair.replacement = fmt::format("\"{}\"", plain);
  repair.message = plain == value ? fmt::format("found {} without quotes; write {} = \"{}\"", shown(value), key, plain)
                                  : fmt::format("typographic quotes; use straight ones: {} = \"{}\"", key, plain);
  return repair;
}

/// Whether a line stands for itself: a key and a value, no bracket or quote that goes on to other lines.
bool stands_alone(std::string_view line) {
  const auto text = trimmed(line);
  if (text.empty() || text.front() == '[' || text.front() == ']' || text.front() == '}') return false;
  return text.find("\"\"\"") == std::string_view::npos && text.find("'''") == std::string_view::npos &&
         std::ranges::count(text, '[') == std::ranges::count(text, ']') &&
         std::ranges::count(text, '{') == std::ranges::count(text, '}');
}

struct Hint {
  std::string_view in_description, words;
};
constexpr auto hints = std::to_array<Hint>({
    {"header: expected ']'", "a header is written [name], or [[name]] for each of several, and ends its line"},
    {"expected '=', saw ':'", "write key = value, with '=' and not ':'"},
    {"expected '='", "write key = value; a key of several words needs '-' or '_' between them"},
    {"could not determine value type", "a value is text in quotes, a number, true or false, after a single '='"},
    {"unknown escape sequence",
     "a backslash inside \"...\" has a meaning of its own; write it twice, or use '...' quotes"},
    {"leading zeroes", "a number does not begin with 0 (but for 0.5 and the like)"},
    {"whitespace, saw ','", "a list stands in brackets, such as [\"one\", \"two\"]"},
    {"expected comma", "the entries of a list or table need commas between them"},
    {"control characters", "a control character stands here; delete it and write the line again"},
    {"expected keys, tables", "a line is a [header], key = value, or a comment that begins with #"},
    {"expected key", "a comma or bracket is missing or one too many"},
    {"end-of-file", "something is missing at the end of the line"},
    {"saw '\\n'", "something is missing at the end of the line"},
    {"saw '\\r", "something is missing at the end of the line"},
});

// How the parser describes a fault that may come from a value without quotes.
constexpr auto value_faults =
    std::to_array<std::string_view>({"determine value type", "whitespace, saw", "parsing boolean", "parsing decimal",
                                     "parsing integer", "parsing float", "parsing inline table", "parsing array",
                                     "date", "time", "parsing binary", "parsing octal", "parsing hex"});

Repair repair_of(const toml::parse_error& fault, std::string_view text) {
  const auto& at = fault.source().begin;
  const SourceLocation location{{}, static_cast<int>(at.line), static_cast<int>(at.column)};
  const auto [begin, end] = line_bounds(text, location.line);
  const auto line = text.substr(begin, end - begin);
  const auto description = fault.description();
  Repair repair;
  repair.location = location;
  repair.end = line.size();
  repair.loses = true;
  repair.possible = stands_alone(line);

  if (const auto word = description.find("redefine existing"); word != std::string_view::npos) {
    const auto name_begin = description.find('\'', word);
    const auto name_end = description.find('\'', name_begin + 1);
    const auto first = line.find_first_not_of(" \t");
    if (const auto header = trimmed(line); header.starts_with('[')) {
      repair.location.column = static_cast<int>(first) + 1;
      if (description.find("existing array") != std::string_view::npos && !header.starts_with("[[")) {
        const auto close = header.find(']');
        const auto name_of_header = trimmed(header.substr(1, close - 1));
        repair.replacement = fmt::format("[[{}]]", name_of_header);
        repair.message = fmt::format("write {} with double brackets: there are several", repair.replacement);
        repair.loses = false;
        repair.possible = close != std::string_view::npos;
        return repair;
      }
      repair.message = fmt::format(
          "the table {} was begun before; one that may come several times is always written "
          "[[name]], one that comes once [name], and once only",
          shown(header));
      return repair;
    }
    const auto name = name_begin == std::string_view::npos || name_end == std::string_view::npos
                          ? trimmed(line.substr(0, line.find('=')))
                          : description.substr(name_begin + 1, name_end - name_begin - 1);
    if (stands_alone(line) && first != std::string_view::npos && line.find('{') == std::string_view::npos) {
      repair.location.column = static_cast<int>(first) + 1;
    }
    repair.message = fmt::format("the key {} is given twice in this table; keep one of them", shown(name));
    repair.loses = line.find('{') != std::string_view::npos;
    return repair;
  }
  const bool of_value = std::ranges::any_of(
      value_faults, [&](std::string_view words) { return description.find(words) != std::string_view::npos; });
  if (of_value) {
    if (auto value = repair_value(line, location, byte_of_column(line, location.column))) return *value;
  }
  repair.message = fmt::format("not valid TOML: {}", shown(trimmed(line)));
  const auto hint = std::ranges::find_if(
      hints, [&](const Hint& h) { return description.find(h.in_description) != std::string_view::npos; });
  const auto colon = description.find(": ");
  if (hint != hints.end()) {
    repair.message += fmt::format("; {}", hint->words);
  } else {
    repair.message +=
        fmt::format(" ({})", colon == std::string_view::npos ? description : description.substr(colon + 2));
  }
  return repair;
}

/// Where the same [name] of one of `lists` was met twice: the text with [[name]] for each of them, the fault noted at
/// the first. Else empty.
std::optional<std::string> with_double_brackets(const toml::parse_error& fault, std::string_view text,
                                                std::span<const std::string_view> lists, Faults& faults) {
  if (fault.description().find("redefine existing") == std::string_view::npos) return {};
  const auto [begin, end] = line_bounds(text, static_cast<int>(fault.source().begin.line));
  const auto name_of = [](std::string_view line) -> std::string_view {  // of a line "[name]  # comment"
    line = trimmed(line);
    const auto close = line.find(']');
    if (!line.starts_with('[') || line.starts_with("[[") || close == std::string_view::npos) return {};
    const auto rest = trimmed(line.substr(close + 1));
    return rest.empty() || rest.starts_with('#') ? trimmed(line.substr(1, close - 1)) : std::string_view{};
  };
  const auto name = name_of(text.substr(begin, end - begin));
  if (std::ranges::find(lists, name) == lists.end()) return {};
  std::string out;
  int number = 0;
  bool told = false;
  for (std::size_t at = 0; at < text.size();) {
    const auto stop = std::min(text.find('\n', at), text.size() - 1);
    auto line = text.substr(at, stop + 1 - at);
    ++number;
    if (name_of(line.substr(0, line.find_last_not_of("\r\n") + 1)) == name) {
      if (!told)
        faults.error({{}, number, 1},
                     fmt::format("[{0}] stands in single brackets; write [[{0}]] above each {0}", name));
      told = true;
      const auto open = line.find('['), close = line.find(']');
      out += fmt::format("{}[[{}]]{}", line.substr(0, open), name, line.substr(close + 1));
    } else {
      out += line;
    }
    at = stop + 1;
  }
  return out;
}

}  // namespace

void toml_assumption_failed(const char*) { stop_with("it is not valid TOML"); }

namespace {

/// What toml++ makes of a text: the table, its fault, or words where it gave up otherwise.
std::variant<toml::table, toml::parse_error, std::string> parsed(std::string_view text) {
#if TOML_EXCEPTIONS
  try {
    return toml::parse(text);
  } catch (const toml::parse_error& fault) {
    return fault;
  } catch (const std::bad_alloc&) {
    throw;  // no fault of the file
  } catch (const std::exception& fault) {
    return std::string{fault.what()};
  }
#else
  toml::parse_result result = toml::parse(text);
  if (result.failed()) return result.error();
  return std::move(result).table();
#endif
}

}  // namespace

std::optional<toml::table> parse_toml(std::string_view text, Faults& faults, std::span<const std::string_view> lists) {
  if (const auto issue = encoding_issue(text)) {
    faults.error(issue->location, issue->message);
    return {};
  }
  std::optional<std::string> mended;
  std::size_t read_again = 0;
  for (int repairs = 0;; ++repairs) {
    const std::string_view now = mended ? std::string_view{*mended} : text;
    Repair repair;
    if (const auto issue = structure_issue(now)) {
      const auto [begin, end] = line_bounds(now, issue->location.line);
      repair.message = issue->message;
      repair.location = issue->location;
      repair.end = end - begin;
      repair.loses = true;
      repair.possible = issue->confined;
      if (issue->of_value) {
        const auto line = now.substr(begin, end - begin);
        if (auto value = repair_value(line, issue->location, byte_of_column(line, issue->location.column)))
          repair = *value;
      }
    } else {
      auto outcome = parsed(now);
      if (auto* table = std::get_if<toml::table>(&outcome)) return std::move(*table);
      if (const auto* words = std::get_if<std::string>(&outcome)) {
        faults.error({}, fmt::format("the file could not be read: {}", *words));
        return {};
      }
      const auto& fault = std::get<toml::parse_error>(outcome);
      if (auto doubled = with_double_brackets(fault, now, lists, faults)) {
        mended = std::move(doubled);
        continue;
      }
      repair = repair_of(fault, now);
    }
    faults.error(repair.location, repair.message);
    read_again += now.size();
    if (!repair.possible || repairs == most_repairs || read_again > most_bytes_read_again) return {};
    if (repair.loses) faults.set_damaged();
    const auto [begin, end] = line_bounds(now, repair.location.line);
    const auto line = now.substr(begin, end - begin);
    faults.note_edit({{}, repair.location.line, column_of_byte(line, repair.begin)},
                     column_of_byte(repair.replacement, repair.replacement.size()) -
                         column_of_byte(line.substr(repair.begin), repair.end - repair.begin));
    std::string next{now};
    next.replace(begin + repair.begin, repair.end - repair.begin, repair.replacement);
    mended = std::move(next);
  }
}

}  // namespace leanside::input
