// SPDX-License-Identifier: Apache-2.0
/// The course of a warning in time, each kind in its own unit: shares of the lower limit, oxygen, a toxic gas against
/// its IDLH, pressure.
#include <algorithm>
#include <cmath>
#include <utility>

#include "base/text/lists.hpp"
#include "leanside/advanced/airflow.hpp"
#include "report/html/html.hpp"
#include "report/html/page_parts.hpp"
#include "report/svg/pressure_course.hpp"
#include "report/svg/svg_plot.hpp"
#include "report/words/words.hpp"

namespace leanside::report::page {
namespace {

struct Given {
  const Sources& from;
  const Warning& warning;
  const SpaceResult& result;
  const Space& space;
};

std::vector<PlotPoint> recorded(const Given& of, const std::vector<float>& values, double factor) {
  std::vector<PlotPoint> points;
  const std::vector<double>& times = of.from.courses.times(of.warning.case_index);
  for (std::size_t i = 0; i < std::min(times.size(), values.size()); ++i) {
    points.push_back({times[i], factor * static_cast<double>(values[i])});
  }
  return points;
}

void sort_by_time(std::vector<PlotPoint>& points) {
  std::stable_sort(points.begin(), points.end(),
                   [](const PlotPoint& a, const PlotPoint& b) { return a.time < b.time; });
}

/// The upper limit in % of the lower one, for the mixture that the space holds at its worst; 0 where none is known.
double upper_limit(const Given& of) {
  const auto fuels = fuels_at(of.from.site, of.space.temperature);
  const Instant& worst = of.result.worst.is_steady && of.result.steady.reached ? of.result.steady.at : of.result.peak;
  double lower = 0.0, upper = 0.0;
  for (std::size_t k = 0; k < std::min(fuels.size(), worst.fraction.size()); ++k) {
    if (!fuels[k] || !(worst.fraction[k] > 0.0)) continue;
    lower += worst.fraction[k] / fuels[k]->lower;
    upper += worst.fraction[k] / fuels[k]->upper;
  }
  return upper > 0.0 ? 100.0 * lower / upper : 0.0;
}

double highest(const std::vector<PlotPoint>& points) {
  double out = points.front().value;
  for (const PlotPoint& point : points) out = std::max(out, point.value);
  return out;
}

double lowest(const std::vector<PlotPoint>& points) {
  double out = points.front().value;
  for (const PlotPoint& point : points) out = std::min(out, point.value);
  return out;
}

Plot fuel_plot(const Given& of, const Timeline& line, const SpaceCourse& course) {
  const Criteria& criteria = of.from.site->criteria;
  const PageWords& w = of.from.words;
  Plot plot;
  plot.points = recorded(of, course.lfl_fraction, 100.0);
  // What was computed to the instant: a short peak may lie between two recorded times.
  for (const Step& step : line.steps) {
    if (step.time && step.value) plot.points.push_back({*step.time, 100.0 * *step.value});
  }
  plot.points.push_back({of.result.peak.time, 100.0 * of.result.peak.lfl_fraction});
  sort_by_time(plot.points);
  plot.title = w.plot_of_fuel;
  plot.value_axis = w.axis_of_fuel;
  plot.levels = {{100.0 * criteria.note_at, std::string{w.level_note}},
                 {100.0 * criteria.warn_at, std::string{w.level_margin}},
                 {100.0, std::string{w.level_lower}}};
  const double high = highest(plot.points), upper = upper_limit(of);
  constexpr double room_above = 1.08, whole = 112.0, many = 300.0;
  plot.high = std::max(room_above * high, whole);
  // Far above the limit the levels below it would lie on one another.
  if (high > many) plot.split = 100.0;
  if (upper > 0.0) {
    plot.bands = {{100.0, upper, std::string{w.band_flammable}}};
    plot.levels.push_back({upper, std::string{w.level_upper}});
  }
  plot.value_words = [site = of.from.site](double v) { return percent_of_limit(site, v / 100.0); };
  return plot;
}

Plot oxygen_plot(const Given& of, const SpaceCourse& course) {
  const Criteria& criteria = of.from.site->criteria;
  const PageWords& w = of.from.words;
  Plot plot;
  plot.points = recorded(of, course.oxygen, 100.0);
  plot.title = w.plot_of_oxygen;
  plot.value_axis = w.axis_of_oxygen;
  plot.levels = {{100.0 * criteria.oxygen_low, std::string{w.level_oxygen_low}},
                 {100.0 * criteria.oxygen_high, std::string{w.level_oxygen_high}}};
  plot.low = std::max(0.0, std::floor(std::min(lowest(plot.points), 100.0 * criteria.oxygen_low) - 1.0));
  plot.high = std::min(100.0, std::ceil(std::max(highest(plot.points), 100.0 * criteria.oxygen_high) + 1.0));
  plot.bands = {{0.0, 100.0 * criteria.oxygen_low, std::string{w.band_too_little}},
                {100.0 * criteria.oxygen_high, 100.0, std::string{w.band_too_much}}};
  plot.value_words = [site = of.from.site, &w](double v) {
    return said(w.oxygen_value, percent_of_oxygen(site, v / 100.0));
  };
  return plot;
}

Plot toxic_plot(const Given& of, const ToxicGas& toxic, const SpaceCourse& course) {
  const PageWords& w = of.from.words;
  const Gas& gas = of.from.site->gases[toxic.gas.value];
  constexpr double few = 0.01;  // below it people speak of ppm
  const double factor = std::max(toxic.worst, toxic.idlh) < few ? 1e6 : 100.0;
  const std::string unit = factor > 100.0 ? "ppm" : "%";
  Plot plot;
  if (toxic.gas.value < course.gas.size()) plot.points = recorded(of, course.gas[toxic.gas.value], factor);
  if (plot.points.empty()) return plot;
  const std::string name = gas_name(of.from.site, toxic.gas);
  plot.title = said(w.plot_of_gas, name);
  plot.value_axis = name + ", " + unit;
  plot.levels = {{factor * toxic.idlh, "IDLH"}};
  if (gas.substance.exposure_limit && gas.substance.exposure_limit->value < toxic.idlh) {
    plot.levels.push_back({factor * gas.substance.exposure_limit->value, std::string{w.level_exposure}});
  }
  constexpr double room_above = 1.08;
  plot.high = room_above * std::max(highest(plot.points), factor * toxic.idlh);
  plot.bands = {{factor * toxic.idlh, 2.0 * plot.high, std::string{w.band_dangerous}}};
  plot.value_words = [unit](double v) { return format_number(v, 3) + " " + unit; };
  return plot;
}

Plot pressure_plot(const Given& of) {
  const PageWords& w = of.from.words;
  const auto shown = [&](double pascal) { return in_unit(of.from.site, pascal, "kPa"); };
  const double ambient = shown(of.from.site->conditions.pressure);
  Plot plot;
  PressureCourse course =
      pressure_course(of.from.site, result_of(of.from.assessment, of.warning.case_index), of.warning.space);
  plot.points = std::move(course.points);
  for (PlotPoint& point : plot.points) point.value = shown(1000.0 * point.value);
  plot.title = w.plot_of_pressure;
  plot.value_axis = said(w.axis_of_pressure, unit_words(of.from.site, "kPa"));
  plot.levels = {{ambient, std::string{w.level_ambient}}};
  const double limit = of.space.rated_pressure ? shown(*of.space.rated_pressure) : 1.1 * ambient;
  plot.levels.push_back({limit, std::string{of.space.rated_pressure ? w.level_rated : w.level_tenth}});
  constexpr double room_above = 1.08;
  plot.high = room_above * std::max(highest(plot.points), limit);
  plot.bands = {{limit, 2.0 * plot.high, std::string{w.band_may_burst}}};
  plot.value_words = [unit = unit_words(of.from.site, "kPa")](double v) { return format_number(v, 3) + " " + unit; };
  if (course.joined) plot.remark = w.pressure_joined;
  return plot;
}

/// Without points where nothing was recorded.
Plot plot_for(const Given& of, const Timeline& line) {
  const Subject subject = subject_of(of.warning);
  if (subject == Subject::pressure) return pressure_plot(of);
  const SpaceCourse* course = of.from.courses.find(of.warning.case_index, of.warning.space);
  if (course == nullptr) return {};
  if (of.warning.toxic) return toxic_plot(of, *of.warning.toxic, *course);
  if (subject == Subject::oxygen) return oxygen_plot(of, *course);
  return fuel_plot(of, line, *course);
}

/// The time axis: the whole run, or less of it where nothing happens in most of it.
double end_of_plot(double horizon, const std::vector<PlotPoint>& points, const Timeline& line) {
  double last = 0.0;
  for (const Step& step : line.steps) {
    if (step.time && *step.time < horizon) last = std::max(last, *step.time);
  }
  const double shown = std::max(2.0 * last, horizon / 12.0);
  const double rest = std::abs(value_at(points, shown) - points.back().value);
  return shown < 0.4 * horizon && rest < 0.01 * highest(points) ? shown : horizon;
}

void add_events(Plot& plot, const Timeline& line, bool with_keys) {
  for (const Step& step : line.steps) {
    if (!step.time) continue;
    if (!step.letter.empty()) plot.events.push_back({*step.time, step.letter, step.words});
    if (step.letter.empty() && with_keys && step.value) {
      plot.keys.push_back({{*step.time, 100.0 * *step.value}, step.words});
    }
  }
}

/// The course as numbers: even times and every step.
Table value_table(const Plot& plot, double horizon, const PageWords& w) {
  Table table;
  table.columns = {{std::string{w.time_after_start}, true}, {plot.value_axis, true}};
  std::vector<double> times;
  constexpr int rows = 12;
  for (int i = 0; i <= rows; ++i) times.push_back(plot.end * i / rows);
  for (const PlotKey& key : plot.keys) times.push_back(key.at.time);
  if (plot.end < horizon) times.push_back(horizon);
  std::sort(times.begin(), times.end());
  for (const double time : times) {
    const std::vector<std::string> row{time > 0.0 ? format_duration(time) : std::string{w.start},
                                       plot.value_words(value_at(plot.points, time))};
    if (table.rows.empty() || table.rows.back() != row) table.rows.push_back(row);
  }
  return table;
}

}  // namespace

std::string course_figure(const Sources& from, const Warning& warning, const Timeline& line) {
  const PageWords& w = from.words;
  const double horizon = from.site->criteria.horizon;
  const CaseResult& result = result_of(from.assessment, warning.case_index);
  const Given of{from, warning, result.spaces[warning.space.value], from.site->spaces[warning.space.value]};
  Plot plot = plot_for(of, line);
  if (plot.points.empty())
    return "<p class=\"none\">" + html::text(said(w.no_plot, format_duration(horizon))) + "</p>\n";
  plot.end = end_of_plot(horizon, plot.points, line);
  plot.time_axis = w.time_after_start;
  plot.title = said(w.plot_title, plot.title, where_words(from.site, warning), format_duration(plot.end));
  const Subject subject = subject_of(warning);
  add_events(plot, line, !warning.toxic && subject != Subject::oxygen && subject != Subject::pressure);
  std::string caption = plot.title + ".";
  if (plot.end < horizon) caption += " " + said(w.rest_of_plot, format_duration(horizon));
  if (plot.split > 0.0) caption += " " + std::string{w.split_scale};
  if (!plot.remark.empty()) caption += " " + plot.remark;
  return "<figure>" + svg_plot(plot) + "<figcaption>" + html::text(caption) + "</figcaption>\n<details><summary>" +
         html::text(w.as_numbers) + "</summary>" + html::table(value_table(plot, horizon, w), w.values_of_plot) +
         "</details></figure>\n";
}

}  // namespace leanside::report::page
