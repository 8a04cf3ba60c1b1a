// SPDX-License-Identifier: Apache-2.0
#include "page/engine/requests.hpp"

#include <algorithm>
#include <charconv>
#include <optional>
#include <utility>
#include <variant>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/assess_releases.hpp"
#include "leanside/report.hpp"
#include "leanside/site_file.hpp"
#include "leanside/stock.hpp"
#include "leanside/study/purge_question.hpp"
#include "leanside/substance_file.hpp"
#include "page/engine/course.hpp"
#include "report/json/json.hpp"
#include "report/text/first_screen.hpp"
#include "report/words/words.hpp"

namespace leanside::page {
namespace {

using report::dumped;
using report::Json;

// The exit codes of the program (docs/results.md).
enum Code : int { nothing_found = 0, warnings_found = 1, bad_input = 2, failed_to_compute = 3 };

/// The members of the reply, one after the other.
class Reply {
 public:
  explicit Reply(Code code) { text_ = "{\"code\":" + std::to_string(static_cast<int>(code)); }
  /// `json`: a whole JSON text.
  Reply& put(std::string_view key, std::string_view json) {
    text_.append(",\n\"").append(key).append("\":").append(json);
    return *this;
  }
  Reply& put_text(std::string_view key, std::string_view text) { return put(key, dumped(text)); }
  Reply& put_faults(const Diagnostics& faults) {
    Json list = Json::array();
    for (const Diagnostic& fault : faults) {
      list.push_back({{"level", fault.level == DiagnosticLevel::error ? "error" : "notice"},
                      {"file", fault.place.file},
                      {"line", fault.place.line},
                      {"column", fault.place.column},
                      {"message", fault.message}});
    }
    return put("faults", dumped(list));
  }
  std::string finished() { return std::move(text_ += "}"); }

 private:
  std::string text_;
};

std::string refused(const Diagnostics& faults) { return Reply{bad_input}.put_faults(faults).finished(); }
std::string refused(std::string message) {
  return refused(Diagnostics{{DiagnosticLevel::error, {}, std::move(message)}});
}
std::string refused(const Fault& fault, const std::string& file) {
  if (!fault.diagnostics.empty()) return refused(fault.diagnostics);
  const Diagnostics faults{{DiagnosticLevel::error, {file, 0, 0}, fault.message}};
  return Reply{fault.is_bad_input() ? bad_input : failed_to_compute}.put_faults(faults).finished();
}

std::string value_of(const Request& request, std::string_view name, std::string otherwise = {}) {
  const auto found = request.find(name);
  return found == request.end() ? std::move(otherwise) : found->second;
}

/// Columns of a text, as wide as a window.
std::size_t width_of(const Request& request) {
  constexpr std::size_t least = 30, most = 100;
  std::size_t columns = most;
  const std::string text = value_of(request, "columns");
  std::from_chars(text.data(), text.data() + text.size(), columns);
  return std::clamp(columns, least, most);
}

/// The site of a request, or the reply that says what is wrong with it.
struct Loaded {
  std::string file;
  SiteReading reading;
  const Site& site() const { return *reading.usable(); }
};
std::variant<Loaded, std::string> loaded(const Request& request) {
  Loaded out;
  out.file = value_of(request, "file", "site.toml");
  out.reading = parse_site(value_of(request, "text"), out.file, built_in_substances());
  if (out.reading.usable() == nullptr) return refused(out.reading.diagnostics);
  return out;
}

std::string document(const std::string& command, const std::string& file, std::string_view answer) {
  std::vector<std::string> files;
  if (!file.empty()) files.push_back(file);
  return json_document(command, files, answer);
}

template <class T>
std::optional<std::size_t> place_of(const std::vector<T>& list, std::string_view id) {
  const auto found = std::find_if(list.begin(), list.end(), [&](const T& one) { return one.id == id; });
  if (found == list.end()) return {};
  return static_cast<std::size_t>(found - list.begin());
}

Json words_of(const report::FirstScreenWords& words) {
  Json findings = Json::array();
  for (const report::FindingWords& one : words.findings) {
    findings.push_back(
        {{"severity", word_of(one.severity)}, {"where", one.where}, {"when", one.when}, {"act", one.act}});
  }
  return {{"verdict", words.verdict},
          {"findings", std::move(findings)},
          {"look_at", words.look_at},
          {"not_judged", words.not_judged},
          {"assumptions", words.assumptions}};
}

std::string check(const Request& request) {
  const auto read = loaded(request);
  if (const auto* reply = std::get_if<std::string>(&read)) return *reply;
  const auto& from = std::get<Loaded>(read);
  const Site& site = from.site();
  AssessOptions options;
  if (const std::string only = value_of(request, "case"); !only.empty()) {
    const auto place = place_of(site.cases, only);
    if (!place) return refused("there is no case '" + only + "'");
    options.only = CaseIndex{*place};
  }
  if (const std::string points = value_of(request, "points"); !points.empty()) {
    std::from_chars(points.data(), points.data() + points.size(), options.series_points);
    constexpr std::size_t most_points = 2000;
    options.series_points = std::clamp<std::size_t>(options.series_points, 1, most_points);
  }
  Course course{site};
  options.series = [&](CaseIndex case_index, double time, const FractionField& fractions) {
    course.add(case_index, time, fractions);
  };
  options.layer_series = [&](CaseIndex case_index, double time, const LayerState& layers) {
    course.add(case_index, time, layers);
  };
  const auto outcome = assess(site, options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return refused(*fault, from.file);
  const auto& answer = std::get<Assessment>(outcome);
  return Reply{calls_for_action(answer) ? warnings_found : nothing_found}
      .put_faults(from.reading.diagnostics)
      .put("document", document("check", from.file, json_report(site, answer, from.reading.diagnostics)))
      .put("screen", dumped(words_of(report::first_screen_words(site, answer))))
      .put("course", course.json())
      .finished();
}

/// As the command `explain` of the program does it.
std::string explain(const Request& request) {
  const auto read = loaded(request);
  if (const auto* reply = std::get_if<std::string>(&read)) return *reply;
  const auto& from = std::get<Loaded>(read);
  const Site& site = from.site();
  const auto space = place_of(site.spaces, value_of(request, "space"));
  const auto case_place = place_of(site.cases, value_of(request, "case", "normal"));
  if (!space || !case_place) return refused("there is no such space or case");
  AssessOptions options;
  options.only = CaseIndex{*case_place};
  const auto outcome = assess(site, options);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return refused(*fault, from.file);
  const auto& assessment = std::get<Assessment>(outcome);
  Site timed = site;
  timed.criteria.horizon = assessment.horizon;
  Assessment here;
  here.warnings = assessment.warnings;
  here.not_judged = assessment.not_judged;
  std::erase_if(here.warnings, [&](const Warning& warning) { return warning.space.value != *space; });
  std::erase_if(here.not_judged, [&](const NotJudged& open) { return open.space != SpaceIndex{*space}; });
  TextStyle style;
  style.width = width_of(request);
  const auto told = [&](bool json) {
    return explained(timed, assessment.cases.front(), SpaceIndex{*space}, json, style);
  };
  const auto json = told(true);
  if (const auto* fault = std::get_if<Fault>(&json)) return refused(*fault, from.file);
  const auto words = told(false);
  if (const auto* fault = std::get_if<Fault>(&words)) return refused(*fault, from.file);
  return Reply{calls_for_action(here) ? warnings_found : nothing_found}
      .put_faults(from.reading.diagnostics)
      .put("document", document("explain", from.file, std::get<std::string>(json)))
      .put_text("text", std::get<std::string>(words))
      .finished();
}

std::string stock(const Request& request) {
  const auto read = loaded(request);
  if (const auto* reply = std::get_if<std::string>(&read)) return *reply;
  const auto& from = std::get<Loaded>(read);
  const Stock held = stock_of(from.site());
  return Reply{nothing_found}
      .put_faults(from.reading.diagnostics)
      .put("document", document("stock", from.file, stock_json(from.site(), held)))
      .put_text("text", stock_report(from.site(), held, TextStyle{}))
      .finished();
}

std::string release(const Request& request) {
  const auto read = loaded(request);
  if (const auto* reply = std::get_if<std::string>(&read)) return *reply;
  const auto& from = std::get<Loaded>(read);
  const auto outcome = assess_releases(from.site(), {}, true);
  if (const auto* fault = std::get_if<Fault>(&outcome)) return refused(*fault, from.file);
  const auto& normal = std::get<Assessment>(outcome);
  return Reply{nothing_found}
      .put_faults(from.reading.diagnostics)
      .put("document", document("release", from.file, release_json(from.site(), normal, {})))
      .put_text("text", release_report(from.site(), normal, {}, TextStyle{}))
      .finished();
}

/// As the command `purge` of the program does it.
std::string purge(const Request& request) {
  const auto found = purge_subject(built_in_substances(), value_of(request, "gas"));
  if (const auto* reason = std::get_if<std::string>(&found)) return refused(*reason);
  const auto& subject = std::get<PurgeSubject>(found);
  const auto told = [&](std::string_view name) -> std::optional<std::string> {
    std::string text = value_of(request, name);
    if (text.empty()) return {};
    return text;
  };
  const auto read = purge_question(
      subject, {told("volume"), told("flow"), told("pressure"), told("vacuum"), told("oxygen"), told("temperature")});
  if (const auto* faults = std::get_if<std::vector<PurgeTextFault>>(&read)) {
    Diagnostics list;
    for (const PurgeTextFault& fault : *faults) {
      const std::string part = fault.part == "oxygen-in-gas" ? "oxygen" : fault.part;  // as the request names it
      list.push_back({DiagnosticLevel::error, {}, part + ": " + fault.reason});
    }
    return refused(list);
  }
  const auto& question = std::get<PurgeQuestion>(read);
  const auto outcome = replayed(subject, question, plan_purge(question));
  if (const auto* fault = std::get_if<Fault>(&outcome)) return refused(*fault, {});
  const auto& plan = std::get<PurgePlan>(outcome);
  TextStyle style;
  style.width = width_of(request);
  return Reply{plan.into_service.possible && plan.out_of_service.possible ? nothing_found : warnings_found}
      .put("document", document("purge", "", purge_json(subject, question, plan)))
      .put_text("text", purge_report(subject, question, plan, style))
      .finished();
}

std::string substances(const Request&) {
  return Reply{nothing_found}
      .put("document", document("substances", "", substance_list_json(built_in_substances())))
      .finished();
}

std::string reactions(const Request&) {
  return Reply{nothing_found}.put("document", document("reactions", "", reaction_list_json())).finished();
}

std::string starters(const Request&) {
  Json texts = Json::object();
  for (const std::string& name : starter_names()) texts[name] = starter(name);
  return Reply{nothing_found}.put("starters", dumped(texts)).put_text("example", built_in_site()).finished();
}

}  // namespace

Request unpacked(std::string_view packed) {
  Request out;
  const auto next = [&] {
    std::size_t bytes = 0;
    const auto* const end = packed.data() + packed.size();
    const auto read = std::from_chars(packed.data(), end, bytes);
    packed.remove_prefix(std::min(static_cast<std::size_t>(read.ptr - packed.data()) + 1, packed.size()));
    std::string one{packed.substr(0, bytes)};
    packed.remove_prefix(one.size());
    return one;
  };
  while (!packed.empty()) {
    std::string name = next();
    out[std::move(name)] = next();
  }
  return out;
}

std::string reply_to(const Request& request) {
  constexpr std::pair<std::string_view, std::string (*)(const Request&)> commands[] = {
      {"check", check}, {"explain", explain},       {"stock", stock},         {"release", release},
      {"purge", purge}, {"substances", substances}, {"reactions", reactions}, {"starters", starters}};
  const std::string command = value_of(request, "command");
  for (const auto& [name, answer] : commands) {
    if (name == command) return answer(request);
  }
  return refused("there is no command '" + command + "'");
}

}  // namespace leanside::page
