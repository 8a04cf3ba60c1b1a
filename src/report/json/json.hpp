// SPDX-License-Identifier: Apache-2.0
/// JSON texts built piece by piece: small objects by nlohmann-json, the long lists as text, an entry a line, so that a
/// large building needs no tree in memory.
#pragma once

#include <array>
#include <charconv>
#include <cmath>
#include <optional>
#include <string>
#include <string_view>

#include <nlohmann/json.hpp>

namespace leanside::report {

using Json = nlohmann::ordered_json;  ///< keys stay in the order written

/// On one line. Numbers in the shortest form that reads back exactly; not-a-number and infinity become null; bytes that
/// are no UTF-8 are replaced.
inline std::string dumped(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

/// null where empty.
inline Json or_null(const std::optional<double>& value) { return value ? Json(*value) : Json(nullptr); }

/// A number as dumped() writes it.
inline void append_number(std::string& out, double value) {
  if (!std::isfinite(value)) {
    out += "null";
    return;
  }
  std::array<char, 32> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value);
  const std::string_view written(text.data(), static_cast<std::size_t>(end.ptr - text.data()));
  out += written;
  if (written.find_first_of(".e") == std::string_view::npos) out += ".0";
}

/// An object on one line, for those that there are many of: a tenth of the time of a tree. Keys and words are plain
/// ASCII.
class JsonObject {
 public:
  explicit JsonObject(std::string& out) : out_{out} { out_ += '{'; }
  JsonObject(const JsonObject&) = delete;
  JsonObject& operator=(const JsonObject&) = delete;
  ~JsonObject() { out_ += '}'; }

  /// Where the value of this key goes.
  std::string& at(std::string_view key) {
    if (!first_) out_ += ',';
    first_ = false;
    return out_.append("\"").append(key).append("\":");
  }
  void put(std::string_view key, double value) { append_number(at(key), value); }
  void put(std::string_view key, const std::optional<double>& value) {
    if (value) {
      put(key, *value);
    } else {
      at(key) += "null";
    }
  }
  void put_word(std::string_view key, std::string_view word) { at(key).append("\"").append(word).append("\""); }

 private:
  std::string& out_;
  bool first_ = true;
};

/// `[`, an entry a line, `]`.
class JsonList {
 public:
  JsonList(std::string& out, std::string indent) : out_{out}, indent_{std::move(indent)} { out_ += "["; }
  JsonList(const JsonList&) = delete;
  JsonList& operator=(const JsonList&) = delete;
  ~JsonList() { out_.append(first_ ? "]" : "\n" + indent_ + "]"); }

  /// Where the text of the next entry goes.
  std::string& next() {
    out_.append(first_ ? "\n" : ",\n").append(indent_).append("  ");
    first_ = false;
    return out_;
  }

 private:
  std::string& out_;
  std::string indent_;
  bool first_ = true;
};

}  // namespace leanside::report
