// SPDX-License-Identifier: Apache-2.0
#include "report/json/assumption_json.hpp"

#include "leanside/report.hpp"
#include "report/words/words.hpp"

namespace leanside::report {
namespace {

/// The ids of things that the site lists, under a key; nothing where there are none.
template <class IndexType, class Thing>
void put_ids(Json& out, const char* key, const std::vector<IndexType>& indices, const std::vector<Thing>& things) {
  if (indices.empty()) return;
  Json ids = Json::array();
  for (const IndexType index : indices) ids.push_back(things[index.value].id);
  out[key] = std::move(ids);
}

}  // namespace

Json assumption_json(const Site& site, const Assumption& assumption, const std::string& sentence) {
  Json out{{"kind", word_of(assumption.kind)}};
  put_ids(out, "cases", assumption.cases, site.cases);
  put_ids(out, "spaces", assumption.spaces, site.spaces);
  put_ids(out, "airways", assumption.airways, site.airways);
  put_ids(out, "releases", assumption.releases, site.releases);
  if (!assumption.names.empty()) out["names"] = assumption.names;
  if (!assumption.values.empty()) {
    out["quantity"] = quantity_of(assumption.kind);
    out["values"] = assumption.values;
  }
  out["sentence"] = sentence;
  return out;
}

Json assumptions_json(const Site& site, const std::vector<Assumption>& assumptions, std::size_t cases) {
  Json out = Json::array();
  for (const Assumption& one : assumptions) {
    out.push_back(assumption_json(site, one, assumption_sentence(site, one) + case_words(site, one, cases)));
  }
  return out;
}

}  // namespace leanside::report
