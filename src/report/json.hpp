// SPDX-License-Identifier: Apache-2.0
/// JSON texts built piece by piece: small objects by nlohmann-json, the long lists as text, an entry a line, so that a
/// large building needs no tree in memory.
#pragma once

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
