// SPDX-License-Identifier: Apache-2.0
#include "page/engine/course.hpp"

#include <cmath>

#include "leanside/units.hpp"
#include "report/json/json.hpp"

namespace leanside::page {
namespace {

void put_list(std::string& out, const std::vector<double>& values) {
  constexpr int figures = 5;
  out += '[';
  for (std::size_t i = 0; i < values.size(); ++i) {
    if (i > 0) out += ',';
    out += std::isfinite(values[i]) ? format_number(values[i], figures) : "null";
  }
  out += ']';
}

}  // namespace

void Course::Line::add(const hazard::MixtureModel& model, std::span<const double> fraction) {
  lfl_fraction.push_back(model.lfl_fraction(fraction));
  oxygen.push_back(model.oxygen_of(fraction));
  state += word_of(model.state(fraction)).front();
}

Course::OfCase& Course::open(CaseIndex case_index) {
  if (cases_.empty() || cases_.back().case_index != case_index) {
    models_ = std::make_shared<const hazard::MixtureModels>(hazard::mixture_models(site_, case_index));
    cases_.push_back({case_index, {}, std::vector<OfSpace>(site_.spaces.size())});
  }
  return cases_.back();
}

void Course::add(CaseIndex case_index, double time, const FractionField& fractions) {
  OfCase& here = open(case_index);
  here.times.push_back(time);
  for (std::size_t i = 0; i < here.spaces.size(); ++i) {
    here.spaces[i].line.add(models_->of(SpaceIndex{i}), fractions.of(SpaceIndex{i}));
  }
}

void Course::add(CaseIndex case_index, double, const LayerState& layers) {
  OfSpace& space = open(case_index).spaces[layers.space.value];
  if (!space.layers) space.layers.emplace();
  const hazard::MixtureModel& model = models_->of(layers.space);
  space.layers->gas_above = layers.gas_above;
  space.layers->interface.push_back(layers.interface_height);
  space.layers->lower.add(model, layers.lower);
  space.layers->upper.add(model, layers.upper);
}

void Course::put(std::string& out, const Line& line) {
  out += "\"lfl_fraction\":";
  put_list(out, line.lfl_fraction);
  out += ",\"oxygen\":";
  put_list(out, line.oxygen);
  out += ",\"state\":\"" + line.state + "\"";
}

std::string Course::json() const {
  std::string out = "[";
  for (const OfCase& one : cases_) {
    if (out.size() > 1) out += ",\n";
    out += "{\"case\":" + report::dumped(site_.cases[one.case_index.value].id) + ",\"time_s\":";
    put_list(out, one.times);
    out += ",\"spaces\":[";
    for (std::size_t i = 0; i < one.spaces.size(); ++i) {
      const OfSpace& space = one.spaces[i];
      out += (i > 0 ? ",\n{" : "{") + ("\"id\":" + report::dumped(site_.spaces[i].id)) + ",";
      put(out, space.line);
      if (space.layers) {
        out += std::string{",\"gas_above\":"} + (space.layers->gas_above ? "true" : "false") + ",\"interface_m\":";
        put_list(out, space.layers->interface);
        out += ",\"lower\":{";
        put(out, space.layers->lower);
        out += "},\"upper\":{";
        put(out, space.layers->upper);
        out += "}";
      }
      out += "}";
    }
    out += "]}";
  }
  return out + "]";
}

}  // namespace leanside::page
