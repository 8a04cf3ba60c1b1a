// SPDX-License-Identifier: Apache-2.0
/// `leanside purge`: how much inert gas keeps a vessel out of the range on its way into and out of service.
#include "leanside/purge.hpp"

#include <memory>
#include <optional>
#include <utility>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "leanside/study/purge_question.hpp"
#include "leanside/study/purge_replay.hpp"

namespace leanside::cli {
namespace {

struct PurgeOptions {
  CommonOptions common;
  std::string gas;
  PurgeTexts texts;
  std::optional<double> margin;
};

constexpr double least_margin = 0.05, most_margin = 1.0;

/// The question that the options ask.
Outcome<PurgeQuestion> question_of(const PurgeOptions& options, const PurgeSubject& subject) {
  PurgeTexts texts = options.texts;
  if (options.common.units == "us") texts.units = UnitSystem::us;
  auto read = purge_question(subject, texts);
  if (auto* question = std::get_if<PurgeQuestion>(&read)) {
    if (options.margin) question->margin = *options.margin;
    return std::move(*question);
  }
  Error wrong;
  for (const PurgeTextFault& fault : std::get<std::vector<PurgeTextFault>>(read)) {
    wrong.diagnostics.push_back(Error::usage("--" + fault.part + ": " + fault.reason).diagnostics.front());
  }
  return wrong;
}

Outcome<ExitCode> run(const PurgeOptions& options) {
  const auto table = load_substances(options.common);
  if (!table) return table.error();
  const auto found = purge_subject(*table, options.gas);
  if (const auto* reason = std::get_if<std::string>(&found)) return Error::usage(*reason);
  const PurgeSubject& subject = std::get<PurgeSubject>(found);
  const auto question = question_of(options, subject);
  if (!question) return question.error();
  auto answer = Answer::open(options.common, {});
  if (!answer) return answer.error();
  const auto outcome = replayed(subject, *question, plan_purge(*question));
  if (const auto* fault = std::get_if<Fault>(&outcome)) {
    Error error = Error::usage("the plan could not be computed step by step, so there is no answer: " + fault->message);
    error.code = failed_to_compute;
    return error;
  }
  const PurgePlan& plan = std::get<PurgePlan>(outcome);
  return answer->deliver(options.common.format == "json"
                             ? purge_json(subject, *question, plan)
                             : purge_report(subject, *question, plan, style_for(options.common)),
                         exit_code(!plan.into_service.possible || !plan.out_of_service.possible));
}

}  // namespace

Runner add_purge(Program& program) {
  const auto options = std::make_shared<PurgeOptions>();
  Command& command = program.add_subcommand(
      "purge", "How much nitrogen keeps a vessel out of the flammable range, into and out of service?");
  command.add_option("GAS", options->gas, "The substance or mixture, such as hydrogen or natural-gas")->required();
  command.add_option("--volume", options->texts.volume, "Volume of the vessel, such as \"200 L\"")
      ->required()
      ->type_name("VOLUME");
  command.add_option("--flow", options->texts.flow, "Flow of the purge gas that sweeps through, such as \"20 L/min\"")
      ->type_name("FLOW");
  command.add_option("--pressure", options->texts.pressure, "Add a plan of cycles up to this pressure and back")
      ->type_name("PRESSURE");
  command.add_option("--vacuum", options->texts.vacuum, "Add a plan of cycles down to this absolute pressure and back")
      ->type_name("PRESSURE");
  command.add_option("--oxygen-in-gas", options->texts.oxygen_in_gas, "Oxygen in the purge gas, such as \"100 ppm\"")
      ->type_name("FRACTION");
  command.add_option("--temperature", options->texts.temperature, "Temperature of the vessel; 20 degC without it")
      ->type_name("TEMPERATURE");
  command
      .add_option("--margin", options->margin,
                  "Purge to this share of the target, from 0.05 to 1; 0.6 without it, or 0.4 for a gas that burns with "
                  "less than 5 % oxygen")
      ->between(least_margin, most_margin);
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 there is a plan for both ways, 1 there is none for at least one"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
