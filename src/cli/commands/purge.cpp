// SPDX-License-Identifier: Apache-2.0
/// `leanside purge`: how much inert gas keeps a vessel out of the range on its way into and out of service.
#include "leanside/purge.hpp"

#include <memory>

#include <fmt/format.h>

#include "cli/io/answer.hpp"
#include "cli/io/load.hpp"
#include "leanside/study/purge_replay.hpp"

namespace leanside::cli {
namespace {

struct PurgeOptions {
  CommonOptions common;
  std::string gas;
  std::string volume;
  std::optional<std::string> flow, pressure, vacuum, impurity, temperature;
  double margin = PurgeQuestion{}.margin;
};

/// What an option may be, SI, and the same in words. The bounds are ours: beyond them a value is a slip, gases are far
/// from ideal or the rules for the limits no longer hold.
struct Bounds {
  double least, most;
  const char* words;
};
constexpr Bounds volumes{1e-6, 1e6, "from 1 mL to 1000000 m3"};
constexpr Bounds flows{1e-10, 1e3, "from 0.006 mL/min to 1000 m3/s"};
constexpr Bounds high_pressures{1.1e5, 3e7, "from 1.1 bar to 300 bar, as an absolute pressure or as \"2 barg\""};
constexpr Bounds low_pressures{10.0, 9e4, "from 0.1 mbar to 0.9 bar, as an absolute pressure such as \"50 mbar\""};
constexpr Bounds oxygen_shares{0.0, 1.0, "from 0 % to 100 %"};
constexpr Bounds temperatures{zero_celsius - 100.0, zero_celsius + 200.0, "from -100 degC to 200 degC"};
constexpr double least_margin = 0.05, most_margin = 1.0;

/// Significant figures in which the pressures are printed, and so used.
constexpr int pressure_figures = 4;

/// Reads the options, collecting what is wrong with each.
class Reader {
 public:
  explicit Reader(double ambient) : ambient_{ambient} {}
  bool sound() const { return wrong_.diagnostics.empty(); }
  const Error& wrong() const { return wrong_; }

  std::optional<double> take(const char* option, const std::optional<std::string>& text, Dimension dimension,
                             const Bounds& bounds) {
    if (!text) return {};
    const auto parsed = parse_quantity(*text, dimension);
    if (const auto* fault = std::get_if<QuantityFault>(&parsed)) return refuse(option, fault->message);
    const Quantity& quantity = std::get<Quantity>(parsed);
    const double value = quantity.gauge ? quantity.si + ambient_ : quantity.si;
    // Written so that a value that is not a number is refused too.
    if (value >= bounds.least && value <= bounds.most) return value;
    return refuse(option, fmt::format("{} is out of bounds; expected {}", *text, bounds.words));
  }

  std::optional<double> refuse(const char* option, const std::string& reason) {
    wrong_.diagnostics.push_back(Error::usage(fmt::format("{}: {}", option, reason)).diagnostics.front());
    return {};
  }

 private:
  double ambient_;
  Error wrong_;
};

/// The question that the options ask.
Outcome<PurgeQuestion> question_of(const PurgeOptions& options, const PurgeSubject& subject) {
  PurgeQuestion question;
  Reader reader{question.ambient};
  question.margin = options.margin;
  question.volume = reader.take("--volume", options.volume, Dimension::volume, volumes).value_or(question.volume);
  question.flow = reader.take("--flow", options.flow, Dimension::volume_flow, flows);
  question.high = reader.take("--pressure", options.pressure, Dimension::pressure, high_pressures);
  question.low = reader.take("--vacuum", options.vacuum, Dimension::pressure, low_pressures);
  question.oxygen_in_gas =
      reader.take("--oxygen-in-gas", options.impurity, Dimension::fraction, oxygen_shares).value_or(0.0);
  question.temperature = reader.take("--temperature", options.temperature, Dimension::temperature, temperatures)
                             .value_or(zero_celsius + 20.0);
  // The plan is for the pressures as they are printed, on the side that purges less.
  if (question.high) question.high = rounded_down_to(*question.high, pressure_figures);
  if (question.low) question.low = rounded_up_to(*question.low, pressure_figures);
  if (reader.sound() && subject.autoignition && question.temperature >= *subject.autoignition) {
    reader.refuse("--temperature", fmt::format("{} ignites by itself in air at {}; expected less", subject.id,
                                               format_quantity(*subject.autoignition, "degC")));
  }
  if (!reader.sound()) return reader.wrong();
  question.gas = vessel_gas(subject, question.temperature);
  return question;
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
  command.add_option("--volume", options->volume, "Volume of the vessel, such as \"200 L\"")
      ->required()
      ->type_name("VOLUME");
  command.add_option("--flow", options->flow, "Flow of the purge gas that sweeps through, such as \"20 L/min\"")
      ->type_name("FLOW");
  command.add_option("--pressure", options->pressure, "Add a plan of cycles up to this pressure and back")
      ->type_name("PRESSURE");
  command.add_option("--vacuum", options->vacuum, "Add a plan of cycles down to this absolute pressure and back")
      ->type_name("PRESSURE");
  command.add_option("--oxygen-in-gas", options->impurity, "Oxygen in the purge gas, such as \"100 ppm\"")
      ->type_name("FRACTION");
  command.add_option("--temperature", options->temperature, "Temperature of the vessel; 20 degC without it")
      ->type_name("TEMPERATURE");
  command.add_option("--margin", options->margin, "Purge to this share of the target, from 0.05 to 1")
      ->between(least_margin, most_margin)
      ->capture_default_str();
  add_common_options(command, options->common, {{"text", "json"}, true, true});
  command.footer(exit_codes("0 there is a plan for both ways, 1 there is none for at least one"));
  return [options] { return run(*options); };
}

}  // namespace leanside::cli
