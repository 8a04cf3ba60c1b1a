// SPDX-License-Identifier: Apache-2.0
/// Batteries on charge.
#include "leanside/advanced/sources.hpp"

namespace leanside {

std::string_view word_of(Battery battery) {
  switch (battery) {
    case Battery::vented_lead:
      return "vented-lead";
    case Battery::valve_regulated_lead:
      return "valve-regulated-lead";
    case Battery::vented_nickel_cadmium:
      break;
  }
  return "vented-nickel-cadmium";
}

std::string_view word_of(ChargingRegime regime) { return regime == ChargingRegime::float_charge ? "float" : "boost"; }

double gas_current_per_capacity(Battery battery, ChargingRegime regime) {
  const bool boost = regime == ChargingRegime::boost_charge;
  constexpr double per_thousand = 1e-3;
  switch (battery) {
    case Battery::vented_lead:
      return (boost ? 20.0 : 5.0) * per_thousand;
    case Battery::valve_regulated_lead:
      return (boost ? 8.0 : 1.0) * per_thousand;
    case Battery::vented_nickel_cadmium:
      break;
  }
  return (boost ? 50.0 : 5.0) * per_thousand;
}

double charging_hydrogen(double cells, double current) { return cells * current / (2.0 * faraday); }

double charging_airflow_of_standard(double cells, double current) {
  constexpr double seconds_per_hour = 3600.0;
  return 0.05 * cells * current / seconds_per_hour;
}

double charging_opening_of_standard(double airflow) {
  constexpr double square_metres_per_hourly = 28e-4;
  return square_metres_per_hourly * 3600.0 * airflow;
}

}  // namespace leanside
