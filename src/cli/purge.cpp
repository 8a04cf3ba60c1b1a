// SPDX-License-Identifier: Apache-2.0
/// `leanside purge`: how much inert gas keeps a vessel out of the range on its way into and out of service.
#include "leanside/purge.hpp"

#include <fmt/format.h>

#include "cli/site_command.hpp"

namespace leanside::cli {
namespace {

struct PurgeOptions {
  CommonOptions common;
  std::string gas;
  std::string volume;
  std::optional<std::string> flow, pressure, vacuum, impurity, temperature;
  double margin = PurgeQuestion{}.margin;
};

/// A value of an option in SI; empty, with the reason shown, where it is none of `dimension`.
std::optional<Quantity> value_of(const char* option, const std::string& text, Dimension dimension) {
  auto parsed = parse_quantity(text, dimension);
  if (const auto* fault = std::get_if<QuantityFault>(&parsed)) {
    complain(fmt::format("{}: {}", option, fault->message));
    return {};
  }
  return std::get<Quantity>(parsed);
}

/// The question; empty, with the reason shown, where an option is wrong.
std::optional<PurgeQuestion> question_of(const PurgeOptions& options, const Substance& gas) {
  PurgeQuestion question;
  question.margin = options.margin;
  double temperature = zero_celsius + 20.0;
  bool sound = true;
  const auto take = [&](const char* option, const std::optional<std::string>& text, Dimension dimension, auto&& give) {
    if (!text) return;
    const auto value = value_of(option, *text, dimension);
    if (!value) {
      sound = false;
    } else if (!(value->si > 0.0)) {
      complain(fmt::format("{}: must be more than 0", option));
      sound = false;
    } else {
      give(value->gauge ? value->si + question.ambient : value->si);
    }
  };
  take("--volume", options.volume, Dimension::volume, [&](double v) { question.volume = v; });
  take("--flow", options.flow, Dimension::volume_flow, [&](double v) { question.flow = v; });
  take("--pressure", options.pressure, Dimension::pressure, [&](double v) { question.high = v; });
  take("--vacuum", options.vacuum, Dimension::pressure, [&](double v) { question.low = v; });
  take("--oxygen-in-gas", options.impurity, Dimension::fraction, [&](double v) { question.oxygen_in_gas = v; });
  take("--temperature", options.temperature, Dimension::temperature, [&](double v) { temperature = v; });
  if (question.high && *question.high <= question.ambient) {
    complain(fmt::format("--pressure: {} is not more than the pressure of the air; is it \"barg\" that is meant?",
                         format_quantity(*question.high, "bar", 4)));
    sound = false;
  }
  if (question.low && *question.low >= question.ambient) {
    complain("--vacuum: must be less than the pressure of the air, as an absolute pressure such as \"50 mbar\"");
    sound = false;
  }
  const auto limits = choose_limits(gas, "cautious");
  if (!limits) {
    complain(fmt::format("'{}' does not burn, so there is no range to keep out of", gas.id));
    return {};
  }
  if (!sound) return {};
  std::optional<double> heat;
  if (gas.net_heat) heat = gas.net_heat->value;
  question.fuel.lower = lower_limit_at(limits->lower, heat, temperature);
  question.fuel.upper = upper_limit_at(limits->upper, heat, temperature);
  if (gas.oxygen_demand) question.fuel.oxygen_demand = gas.oxygen_demand->value;
  if (gas.limiting_oxygen) question.fuel.limiting_oxygen = gas.limiting_oxygen->value;
  return question;
}

int run(const PurgeOptions& options) {
  const auto table = substances_for(options.common);
  if (!table) return bad_input;
  const Substance* gas = table->find(options.gas);
  if (gas == nullptr) {
    const std::string near = table->nearest(options.gas);
    complain(fmt::format("there is no substance '{}'{} `leanside substances` lists all", options.gas,
                         near.empty() ? "." : fmt::format("; did you mean '{}'?", near)));
    return bad_input;
  }
  const auto question = question_of(options, *gas);
  if (!question) return bad_input;
  const PurgePlan plan = plan_purge(*question);
  return deliver(options.common.format == "json"
                     ? purge_json(*gas, *question, plan)
                     : purge_report(*gas, *question, plan, style_for(options.common, true)));
}

}  // namespace

std::function<int()> add_purge(CLI::App& app) {
  const auto options = std::make_shared<PurgeOptions>();
  CLI::App& command =
      *app.add_subcommand("purge", "How much nitrogen keeps a vessel out of the range, into and out of service");
  command.add_option("GAS", options->gas, "The fuel, such as hydrogen")->required();
  command.add_option("--volume", options->volume, "Of the vessel, such as \"200 L\"")->required()->type_name("VOLUME");
  command.add_option("--flow", options->flow, "Of the purge gas when it sweeps through")->type_name("FLOW");
  command.add_option("--pressure", options->pressure, "Cycles up to this pressure and back")->type_name("PRESSURE");
  command.add_option("--vacuum", options->vacuum, "Cycles down to this absolute pressure and back")
      ->type_name("PRESSURE");
  command.add_option("--oxygen-in-gas", options->impurity, "Oxygen in the purge gas, such as \"100 ppm\"")
      ->type_name("FRACTION");
  command.add_option("--temperature", options->temperature, "Of the vessel; 20 degC where it is left out")
      ->type_name("TEMPERATURE");
  constexpr double least = 0.05, most = 1.0;
  command.add_option("--margin", options->margin, "Share of the target that is purged to")
      ->check(CLI::Range(least, most))
      ->capture_default_str();
  add_common_options(command, options->common, {"text", "json"});
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
