// SPDX-License-Identifier: Apache-2.0
#include "report/svg/symbols.hpp"

#include <string_view>
#include <variant>

#include <fmt/format.h>

#include "base/text/markup.hpp"

namespace leanside::report::svg {
namespace {

/// Outlines around the foot of the symbol, y upwards negative.
std::string_view outline(Symbol what) {
  switch (what) {
    case Symbol::cylinder:  // a bottle with a shoulder and a valve
      return "M-4 0V-15C-4 -19 -1.5 -19 -1.5 -21H1.5C1.5 -19 4 -19 4 -15V0ZM-3 -23H3";
    case Symbol::liquid:  // a puddle with vapour above it
      return "M-11 -1C-8 -5 8 -5 11 -1C8 1 -8 1 -11 -1ZM-5 -7v-5M0 -8v-6M5 -7v-5";
    case Symbol::battery:
      return "M-9 0V-11H9V0ZM-6 -11v-3h3v3M3 -11v-3h3v3";
    case Symbol::reaction:  // a conical flask with bubbles
      return "M-9 0L-2.5 -12V-18H2.5V-12L9 0ZM-5.5 -6H5.5";
    case Symbol::leak:  // a point that gas leaves on all sides
      return "M-3 -8a3 3 0 1 0 6 0a3 3 0 1 0 -6 0M0 -13v-5M5 -11l4 -4M-5 -11l-4 -4M6 -8h5M-6 -8h-5";
    case Symbol::flame:
      return "M0 0C-7 0 -8 -8 -3 -12C-2 -10 -1 -9.5 0 -9.5C2 -13 0 -17 -1 -20C6 -17 9 -9 6 -4C5 -1.5 3 0 0 0Z";
    case Symbol::vessel:
      return "M-7 0V-14A7 5 0 0 1 7 -14V0Z";
    case Symbol::cabinet:
      return "M-8 0V-20H8V0ZM0 -20V0M-2 -11v3M2 -11v3";
  }
  return {};
}

std::string_view name_of(Symbol what) { return what == Symbol::flame ? "symbol flame" : "symbol"; }

}  // namespace

Symbol symbol_of(const Release& release) {
  struct Of {
    Symbol operator()(const SteadyRelease&) const { return Symbol::leak; }
    Symbol operator()(const DumpRelease&) const { return Symbol::leak; }
    Symbol operator()(const FittingsRelease&) const { return Symbol::leak; }
    Symbol operator()(const OrificeRelease&) const { return Symbol::leak; }
    Symbol operator()(const CylinderRelease&) const { return Symbol::cylinder; }
    Symbol operator()(const SpillRelease&) const { return Symbol::liquid; }
    Symbol operator()(const BoilingRelease&) const { return Symbol::liquid; }
    Symbol operator()(const ReactionRelease&) const { return Symbol::reaction; }
    Symbol operator()(const ChargingRelease&) const { return Symbol::battery; }
  };
  return std::visit(Of{}, release.kind);
}

std::string symbol(Symbol what, double x, double y) {
  return fmt::format("<path class=\"{}\" transform=\"translate({} {})\" d=\"{}\"/>", name_of(what), html::number(x),
                     html::number(y), outline(what));
}

}  // namespace leanside::report::svg
