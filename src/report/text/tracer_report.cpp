// SPDX-License-Identifier: Apache-2.0
/// Air flows found by the decay of a tracer gas: words, and a site file to go on with.
#include <string>
#include <vector>

#include "leanside/study/tracer.hpp"
#include "report/text/text_page.hpp"
#include "report/words/words.hpp"

namespace leanside {
namespace {

using namespace report;

std::string interval(const Estimate& e, double factor, int digits = 3) {
  return format_number(factor * e.low, digits) + " to " + format_number(factor * e.high, digits);
}

std::string confidence_words(const TracerFit& fit) { return percent(fit.confidence, 3) + " interval"; }

/// A basic string of TOML.
std::string toml_text(const std::string& text) {
  std::string out = "\"";
  for (const char c : plain_text(text)) {
    if (c == '"' || c == '\\') out += '\\';
    out += c;
  }
  return out + "\"";
}

std::string hourly_exact(double flow) { return "\"" + format_exact(3600.0 * flow) + " m3/h\""; }

}  // namespace

std::string tracer_text(const Site& site, const TracerFit& fit, const TextStyle& style) {
  TextPage page{style};
  page.line(page.bold("Air change by the decay of a tracer gas: " + plain_text(site.title)));
  page.paragraph(count_of(fit.readings, "reading") + " in " + count_of(fit.spaces.size(), "space") + " over " +
                 format_duration(fit.duration) + ", background " + format_number(fit.background, 4) +
                 (fit.unit.empty() ? "" : " " + plain_text(fit.unit)) + " taken off");
  const std::string unit = unit_words(site, "m3/h");
  const double scale = in_unit(site, 1.0, "m3/h");
  Table spaces{{{"space", false, true},
                {"air changes an hour", true, false},
                {confidence_words(fit), true, false},
                {unit, true, false},
                {confidence_words(fit), true, false}},
               {}};
  for (const TracerSpace& s : fit.spaces) {
    spaces.rows.push_back({label(site, s.space), format_number(3600.0 * s.air_change.value, 3),
                           interval(s.air_change, 3600.0), format_number(scale * s.fresh.value, 3),
                           interval(s.fresh, scale)});
  }
  page.heading(fit.spaces.size() == 1 ? "Air that comes in" : "Air from outside");
  page.table(spaces);
  if (fit.spaces.size() > 1) {
    page.heading("Flows between the spaces and to and from outside, " + unit);
    Table flows{{{"from", false, true}, {"to", false, true}, {unit, true, false}, {confidence_words(fit), true, false}},
                {}};
    for (const TracerFlow& f : fit.flows) {
      flows.rows.push_back(
          {label(site, f.from), label(site, f.to), format_number(scale * f.flow.value, 3), interval(f.flow, scale)});
    }
    page.table(flows);
  }
  const std::string scatter = fit.fixed_error
                                  ? format_number(fit.scatter, 2) + (fit.unit.empty() ? "" : " " + plain_text(fit.unit))
                                  : percent(fit.scatter, 2);
  page.paragraph("The readings lie " + scatter + " off the fit (standard deviation).", " ");
  page.list("Mind", fit.cautions);
  page.list("Assumptions", assumption_sentences(site, fit.assumptions));
  page.put_caution();
  return page.text();
}

std::string tracer_site_file(const Site& site, const TracerFit& fit) {
  std::string out = "# Air flows as the decay of a tracer gas gave them; the best values, without their intervals.\n";
  out += "title = " + toml_text(site.title + ", air flows as measured") + "\n";
  out += "\n[conditions]\ntemperature = \"" + format_exact(site.conditions.temperature) + " K\"\npressure = \"" +
         format_exact(site.conditions.pressure) + " Pa\"\n";
  for (const TracerSpace& s : fit.spaces) {
    const Space& space = site.spaces[s.space.value];
    out += "\n[[space]]\nid = " + toml_text(space.id) + "\n";
    if (!space.name.empty()) out += "name = " + toml_text(space.name) + "\n";
    out += "kind = \"" + std::string{word_of(space.kind)} + "\"\nvolume = \"" + format_exact(space.volume) + " m3\"\n";
    out += "temperature = \"" + format_exact(space.temperature) + " K\"\n";
  }
  std::size_t n = 0;
  for (const TracerFlow& f : fit.flows) {
    const auto side = [&](const Side& s) {
      return s ? toml_text(site.spaces[s->value].id) : std::string{"\"outside\""};
    };
    out += "\n[[airway]]\nid = \"measured-" + std::to_string(++n) + "\"\nkind = \"fan\"\nfrom = " + side(f.from) +
           "\nto = " + side(f.to) + "\nflow = " + hourly_exact(f.flow.value) + " # " + interval(f.flow, 3600.0) + "\n";
  }
  return out;
}

}  // namespace leanside
