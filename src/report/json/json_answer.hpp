// SPDX-License-Identifier: Apache-2.0
/// The parts that the JSON of every study has: an object with a key a line, long lists with an entry a line, ids.
#pragma once

#include <string>
#include <string_view>
#include <utility>

#include "leanside/site.hpp"
#include "report/json/json.hpp"

namespace leanside::report {

/// `{`, a key a line, `}`.
class JsonKeys {
 public:
  /// `before_first`: what stands between the bracket and the first key.
  explicit JsonKeys(std::string& out, std::string_view before_first = "") : out_{out} {
    out_.append("{").append(before_first);
  }
  JsonKeys(const JsonKeys&) = delete;
  JsonKeys& operator=(const JsonKeys&) = delete;
  ~JsonKeys() { out_ += '}'; }

  /// Where the value of this key goes.
  std::string& at(std::string_view key) {
    if (!first_) out_ += ",\n";
    first_ = false;
    return out_.append("\"").append(key).append("\": ");
  }
  void put(std::string_view key, const Json& value) { at(key) += dumped(value); }
  /// A list with what `json_of` makes of each of `things`, an entry a line.
  template <class Things, class JsonOf>
  void put_each(std::string_view key, const Things& things, const JsonOf& json_of) {
    JsonList list{at(key), ""};
    for (const auto& thing : things) list.next() += dumped(json_of(thing));
  }

 private:
  std::string& out_;
  bool first_ = true;
};

/// The answer about a site: which one, then what `put` adds.
template <class Put>
std::string answer_about(const Site& site, const Put& put) {
  std::string out;
  {
    JsonKeys keys{out, "\n"};
    keys.put("site", {{"title", site.title}, {"file", site.file}});
    put(keys);
    out += '\n';
  }
  return out + "\n";
}

inline Json id_of(const Site& site, SpaceIndex space) { return site.spaces[space.value].id; }
inline Json id_of(const Site& site, AirwayIndex airway) { return site.airways[airway.value].id; }
inline Json id_of(const Site& site, ReleaseIndex release) { return site.releases[release.value].id; }
inline Json id_of(const Site& site, SystemIndex system) { return site.systems[system.value].id; }
inline Json id_of(const Site& site, CaseIndex case_index) { return site.cases[case_index.value].id; }
inline Json id_of(const Site& site, GasIndex gas) { return site.gases[gas.value].substance.id; }
inline Json id_of(const Site& site, const Side& side) { return side ? id_of(site, *side) : Json("outside"); }

/// What `json_of` makes of each of `things`, on one line.
template <class Things, class JsonOf>
Json array_of(const Things& things, const JsonOf& json_of) {
  Json out = Json::array();
  for (const auto& thing : things) out.push_back(json_of(thing));
  return out;
}

template <class Indices>
Json ids_of(const Site& site, const Indices& indices) {
  return array_of(indices, [&](const auto& index) { return id_of(site, index); });
}

/// null if it is NaN or infinite.
inline Json finite_or_null(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

}  // namespace leanside::report
