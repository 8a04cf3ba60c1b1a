// SPDX-License-Identifier: Apache-2.0
#include "leanside/study/purge_question.hpp"

#include <utility>

#include "leanside/units.hpp"

namespace leanside {
namespace {

/// What a quantity may be, SI, and the same in words: metric, and in the units of the USA, there a little narrower.
struct Bounds {
  double least, most;
  const char *si, *us;
};
constexpr Bounds volumes{1e-6, 1e6, "from 1 mL to 1000000 m3", "from 0.00004 ft3 to 35300000 ft3"};
constexpr Bounds flows{1e-10, 1e3, "from 0.006 mL/min to 1000 m3/s", "from 0.0000003 cfm to 2110000 cfm"};
constexpr Bounds high_pressures{1.1e5, 3e7, "from 1.1 bar to 300 bar, as an absolute pressure or as \"2 barg\"",
                                "from 16 psi to 4350 psi, as an absolute pressure or as \"30 psig\""};
constexpr Bounds low_pressures{10.0, 9e4, "from 0.1 mbar to 0.9 bar, as an absolute pressure such as \"50 mbar\"",
                               "from 0.0015 psi to 13 psi, as an absolute pressure such as \"1 psi\""};
constexpr Bounds oxygen_shares{0.0, 1.0, "from 0 % to 100 %", "from 0 % to 100 %"};
constexpr Bounds temperatures{zero_celsius - 100.0, zero_celsius + 200.0, "from -100 degC to 200 degC",
                              "from -148 degF to 392 degF"};

/// Significant figures in which the pressures are printed, and so used.
constexpr int pressure_figures = 4;

/// Reads the texts, collecting what is wrong with each.
class Reader {
 public:
  Reader(double ambient, UnitSystem units) : ambient_{ambient}, units_{units} {}

  std::optional<double> take(const char* part, const std::optional<std::string>& text, Dimension dimension,
                             const Bounds& bounds) {
    if (!text) return {};
    const auto parsed = parse_quantity(*text, dimension);
    if (const auto* fault = std::get_if<QuantityFault>(&parsed)) return refuse(part, fault->message);
    const Quantity& quantity = std::get<Quantity>(parsed);
    const double value = quantity.gauge ? quantity.si + ambient_ : quantity.si;
    // Written so that a value that is not a number is refused too.
    if (value >= bounds.least && value <= bounds.most) return value;
    return refuse(part, *text + " is out of bounds; expected " + (units_ == UnitSystem::us ? bounds.us : bounds.si));
  }

  std::optional<double> refuse(const char* part, std::string reason) {
    faults.push_back({part, std::move(reason)});
    return {};
  }

  std::vector<PurgeTextFault> faults;

 private:
  double ambient_;
  UnitSystem units_;
};

}  // namespace

double usual_purge_margin(const VesselGas& gas) {
  constexpr double usual = 0.6, for_little_oxygen = 0.4, little_oxygen = 0.05;
  double weighed = 0.0, lower = 0.0;  // by the share of each fuel in the lower-limit fraction
  bool known = false;
  for (std::size_t k = 0; k < gas.fuels.size(); ++k) {
    const double share = gas.shares[k] / gas.fuels[k].lower;
    lower += share;
    weighed += share * gas.fuels[k].limiting_oxygen.value_or(0.0);
    known = known || gas.fuels[k].limiting_oxygen;
  }
  return known && weighed < little_oxygen * lower ? for_little_oxygen : usual;
}

std::variant<PurgeQuestion, std::vector<PurgeTextFault>> purge_question(const PurgeSubject& subject,
                                                                        const PurgeTexts& texts) {
  PurgeQuestion question;
  Reader reader{question.ambient, texts.units};
  question.volume = reader.take("volume", texts.volume, Dimension::volume, volumes).value_or(question.volume);
  question.flow = reader.take("flow", texts.flow, Dimension::volume_flow, flows);
  question.high = reader.take("pressure", texts.pressure, Dimension::pressure, high_pressures);
  question.low = reader.take("vacuum", texts.vacuum, Dimension::pressure, low_pressures);
  question.oxygen_in_gas =
      reader.take("oxygen-in-gas", texts.oxygen_in_gas, Dimension::fraction, oxygen_shares).value_or(0.0);
  constexpr double room_temperature = zero_celsius + 20.0;
  question.temperature =
      reader.take("temperature", texts.temperature, Dimension::temperature, temperatures).value_or(room_temperature);
  // The plan is for the pressures as they are printed, on the side that purges less.
  if (question.high) question.high = rounded_down_to(*question.high, pressure_figures);
  if (question.low) question.low = rounded_up_to(*question.low, pressure_figures);
  if (reader.faults.empty() && subject.autoignition && question.temperature >= *subject.autoignition) {
    reader.refuse("temperature", subject.id + " ignites by itself in air at " +
                                     format_quantity(*subject.autoignition, "degC", 3, texts.units) +
                                     "; expected less");
  }
  if (!reader.faults.empty()) return std::move(reader.faults);
  question.gas = vessel_gas(subject, question.temperature);
  question.margin = usual_purge_margin(question.gas);
  return question;
}

}  // namespace leanside
