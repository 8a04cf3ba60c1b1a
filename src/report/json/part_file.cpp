// SPDX-License-Identifier: Apache-2.0
/// A part of a sweep as the text of a file: JSON, numbers in the form that reads back exactly.
#include <algorithm>
#include <cmath>
#include <limits>
#include <string>
#include <string_view>

#include "leanside/study/failures.hpp"
#include "leanside/study/spread.hpp"
#include "report/json/json.hpp"

namespace leanside {
namespace {

using namespace report;

constexpr double never = std::numeric_limits<double>::infinity();

/// Infinity is null in JSON.
double number_or_never(const Json& json) { return json.is_null() ? never : json.get<double>(); }
Json finite_or_null(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

// ---- spread

/// 0 where nothing happens; else [worst, time, flags].
void append_value(std::string& out, const SpreadValue& value) {
  const int flags =
      (value.over_limit ? 1 : 0) | (value.oxygen ? 2 : 0) | (value.pressure ? 4 : 0) | (value.endless ? 8 : 0);
  if (value.worst == 0.0 && value.time == never && flags == 0) {
    out += '0';
    return;
  }
  out += '[';
  append_number(out, value.worst);
  out += ',';
  append_number(out, value.time);
  out += ',' + std::to_string(flags) + ']';
}

SpreadValue value_of(const Json& json) {
  SpreadValue value;
  value.time = never;
  if (!json.is_array()) return value;
  value.worst = number_or_never(json.at(0));
  value.time = number_or_never(json.at(1));
  const int flags = json.at(2).get<int>();
  value.over_limit = (flags & 1) != 0;
  value.oxygen = (flags & 2) != 0;
  value.pressure = (flags & 4) != 0;
  value.endless = (flags & 8) != 0;
  return value;
}

void put(std::string& out, const SpreadShare& share) {
  const SpreadOptions& options = share.options;
  out += ",\n\"options\": " + dumped({{"draws", options.draws},
                                      {"seed", options.seed},
                                      {"shape", word_of(options.shape)},
                                      {"steady_only", options.steady_only},
                                      {"case", options.only ? Json(options.only->value) : Json(nullptr)}});
  out += ",\n\"rows\": " + dumped({share.part.rows, share.part.row_begin, share.part.row_end});
  out += ",\n\"values\": ";
  const std::size_t rows = share.part.row_end - share.part.row_begin;
  const std::size_t one = rows == 0 ? 0 : share.part.values.size() / rows;
  JsonList list{out, ""};
  for (std::size_t row = 0; row < rows; ++row) {
    std::string& line = list.next();
    for (std::size_t k = 0; k < one; ++k) {
      line += k == 0 ? '[' : ',';
      append_value(line, share.part.values[row * one + k]);
    }
    line += ']';
  }
}

SpreadShare spread_share(const Json& json) {
  SpreadShare share;
  const Json& options = json.at("options");
  share.options.draws = options.at("draws").get<std::size_t>();
  share.options.seed = options.at("seed").get<std::uint64_t>();
  share.options.shape = options.at("shape").get<std::string>() == word_of(SpreadShape::two_piece)
                            ? SpreadShape::two_piece
                            : SpreadShape::triangular;
  share.options.steady_only = options.at("steady_only").get<bool>();
  if (!options.at("case").is_null()) share.options.only = CaseIndex{options.at("case").get<std::size_t>()};
  share.part.rows = json.at("rows").at(0).get<std::size_t>();
  share.part.row_begin = json.at("rows").at(1).get<std::size_t>();
  share.part.row_end = json.at("rows").at(2).get<std::size_t>();
  for (const Json& row : json.at("values")) {
    for (const Json& value : row) share.part.values.push_back(value_of(value));
  }
  return share;
}

// ---- failures

Json outcome_json(const FailureOutcome& outcome) {
  Json consequences = Json::array(), unreached = Json::array(), leaks = Json::array();
  for (const Consequence& h : outcome.consequences) {
    consequences.push_back({h.space.value, static_cast<int>(h.severity), finite_or_null(h.lfl_fraction), h.oxygen,
                            h.pressure, or_null(h.time), static_cast<int>(h.subject),
                            h.gas ? Json(h.gas->value) : Json(nullptr), h.gas_fraction,
                            h.release ? Json(h.release->value) : Json(nullptr), or_null(h.starts)});
  }
  for (const LeakReliance& leak : outcome.leaks) leaks.push_back({leak.space.value, leak.inflow});
  for (const SpaceIndex space : outcome.unreached) unreached.push_back(space.value);
  Json starved = Json::array();
  for (const AirwayIndex fan : outcome.starved) starved.push_back(fan.value);
  return Json::array({outcome.failures, consequences, outcome.gone, unreached, outcome.fault, leaks, starved});
}

FailureOutcome outcome_of(const Json& json) {
  FailureOutcome out;
  out.failures = json.at(0).get<std::vector<std::size_t>>();
  for (const Json& h : json.at(1)) {
    Consequence consequence;
    consequence.space = SpaceIndex{h.at(0).get<std::size_t>()};
    consequence.severity = static_cast<Severity>(h.at(1).get<int>());
    consequence.lfl_fraction = number_or_never(h.at(2));
    consequence.oxygen = h.at(3).get<double>();
    consequence.pressure = h.at(4).get<double>();
    if (!h.at(5).is_null()) consequence.time = h.at(5).get<double>();
    consequence.subject = static_cast<Subject>(h.at(6).get<int>());
    if (!h.at(7).is_null()) consequence.gas = GasIndex{h.at(7).get<std::size_t>()};
    consequence.gas_fraction = h.at(8).get<double>();
    if (!h.at(9).is_null()) consequence.release = ReleaseIndex{h.at(9).get<std::size_t>()};
    if (!h.at(10).is_null()) consequence.starts = h.at(10).get<double>();
    out.consequences.push_back(consequence);
  }
  out.gone = json.at(2).get<std::size_t>();
  for (const Json& space : json.at(3)) out.unreached.push_back(SpaceIndex{space.get<std::size_t>()});
  out.fault = json.at(4).get<std::string>();
  for (const Json& fan : json.at(6)) out.starved.push_back(AirwayIndex{fan.get<std::size_t>()});
  for (const Json& leak : json.at(5)) {
    out.leaks.push_back({SpaceIndex{leak.at(0).get<std::size_t>()}, leak.at(1).get<double>()});
  }
  return out;
}

void put(std::string& out, const FailuresShare& share) {
  const FailureOptions& options = share.options;
  out += ",\n\"options\": " + dumped({{"pairs", options.pairs}, {"in_time", static_cast<int>(options.in_time)}});
  out += ",\n\"cases\": ";
  JsonList list{out, ""};
  for (std::size_t k = 0; k < share.cases.size(); ++k) {
    const FailurePart& part = share.parts[k];
    std::string& entry = list.next();
    entry += "{\"case\": " + std::to_string(share.cases[k].value);
    entry += ", \"counts\": " +
             dumped({part.pairs_solved, part.by_update, part.afresh, part.pairs_worse, part.moments_left_out});
    for (const auto& [key, outcomes] : {std::pair{"singles", &part.singles}, std::pair{"pairs", &part.pairs}}) {
      entry.append(", \"").append(key).append("\": ");
      JsonList lines{entry, "  "};
      for (const FailureOutcome& outcome : *outcomes) lines.next() += dumped(outcome_json(outcome));
    }
    entry += "}";
  }
}

FailuresShare failures_share(const Json& json) {
  FailuresShare share;
  share.options.pairs = json.at("options").at("pairs").get<bool>();
  share.options.in_time = static_cast<InTime>(json.at("options").at("in_time").get<int>());
  for (const Json& entry : json.at("cases")) {
    share.cases.push_back(CaseIndex{entry.at("case").get<std::size_t>()});
    FailurePart part;
    part.pairs_solved = entry.at("counts").at(0).get<std::size_t>();
    part.by_update = entry.at("counts").at(1).get<std::size_t>();
    part.afresh = entry.at("counts").at(2).get<std::size_t>();
    part.pairs_worse = entry.at("counts").at(3).get<std::size_t>();
    part.moments_left_out = entry.at("counts").at(4).get<std::size_t>();
    for (const Json& outcome : entry.at("singles")) part.singles.push_back(outcome_of(outcome));
    for (const Json& outcome : entry.at("pairs")) part.pairs.push_back(outcome_of(outcome));
    share.parts.push_back(std::move(part));
  }
  return share;
}

}  // namespace

std::string part_text(const SweepPart& part) {
  std::string out = "{\n\"leanside_part\": ";
  out += dumped({{"version", part.version},
                 {"study", std::holds_alternative<SpreadShare>(part.share) ? "spread" : "failures"},
                 {"shard", part.shard.index},
                 {"of", part.shard.count}});
  out += ",\n\"file\": " + dumped(part.file) + ",\n\"text\": " + dumped(part.text);
  out += ",\n\"substances_file\": " + dumped(part.substances_file) + ",\n\"substances\": " + dumped(part.substances);
  std::visit([&](const auto& share) { put(out, share); }, part.share);
  return out + "\n}\n";
}

namespace {

/// Whether a text begins as part_text() writes it. Parsing takes many times the memory of the text: what is no part is
/// refused before.
bool begins_as_part(std::string_view text) {
  for (const std::string_view next : {"{", "\"leanside_part\""}) {
    text.remove_prefix(std::min(text.find_first_not_of(" \t\r\n"), text.size()));
    if (!text.starts_with(next)) return false;
    text.remove_prefix(next.size());
  }
  return true;
}

}  // namespace

std::variant<SweepPart, std::string> parse_part(std::string_view text) {
  constexpr const char* expected = "it is not what a run with --shard writes";
  if (!begins_as_part(text)) return std::string{expected};
  try {
    const Json json = Json::parse(text);
    if (!json.is_object() || !json.contains("leanside_part")) return std::string{expected};
    const Json& head = json.at("leanside_part");
    SweepPart part;
    part.version = head.at("version").get<std::string>();
    part.shard.index = head.at("shard").get<std::size_t>();
    part.shard.count = head.at("of").get<std::size_t>();
    constexpr std::size_t most_shards = 1'000'000;
    if (part.shard.count < 1 || part.shard.count > most_shards) return std::string{expected};
    part.file = json.at("file").get<std::string>();
    part.text = json.at("text").get<std::string>();
    part.substances_file = json.at("substances_file").get<std::string>();
    part.substances = json.at("substances").get<std::string>();
    if (head.at("study").get<std::string>() == "spread") {
      part.share = spread_share(json);
    } else {
      part.share = failures_share(json);
    }
    return part;
  } catch (const Json::parse_error&) {
    return std::string{expected} + ", or it was cut off";
  } catch (const Json::exception&) {
    return std::string{expected} + ", or it was changed since";
  }
}

}  // namespace leanside
