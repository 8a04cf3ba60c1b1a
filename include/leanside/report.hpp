// SPDX-License-Identifier: Apache-2.0
/// Results as text, JSON, CSV, a page and a picture. Solves nothing.
#pragma once

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "leanside/assess.hpp"
#include "leanside/purge.hpp"
#include "leanside/result.hpp"
#include "leanside/site.hpp"
#include "leanside/substance.hpp"
#include "leanside/units.hpp"

namespace leanside {

namespace hazard {
struct MixtureModels;
}
struct Comparison;
struct FailureStudy;
struct SpreadStudy;
struct SweepPart;
struct Sizing;
struct DetectorPlan;
struct TracerFit;
struct PurgeSubject;
struct SpaceArithmetic;

/// The version, from one place (CMakeLists.txt).
std::string_view version();

/// The caution that every output carries.
std::string_view caution();

struct TextStyle {
  std::size_t width = 100;  ///< columns
  bool colour = false;
  bool unicode = true;
  bool full = true;                   ///< of text_report(): everything; else the first screen alone
  UnitSystem units = UnitSystem::si;  ///< of what is about no site: substances, purging
};

/// The JSON text that a command writes (docs/schema): program, version, command, the files that were read, the caution,
/// and under "answer" the JSON text `answer`, which one of the functions below gives.
std::string json_document(std::string_view command, std::span<const std::string> files, std::string_view answer);

/// The answer for people. First the lines to act on: verdict, findings, what could not be judged, the assumptions that
/// matter most. Where `style.full`, every warning in full, the tables and all assumptions follow. The caution is last.
std::string text_report(const Site& site, const Assessment& assessment, const Diagnostics& notices,
                        const TextStyle& style);

/// The answer for programs (docs/results.md), for json_document(). Every number reads back exactly; not-a-number never
/// appears.
std::string json_report(const Site& site, const Assessment& assessment, const Diagnostics& notices);

/// One row a case and space.
std::string csv_report(const Site& site, const Assessment& assessment);

/// The spaces and the airways of a site as tables that import_schedule() reads (docs/site-file.md): flows and sizes as
/// they are with systems, before any event; the ducts that return air makes necessary are left out.
std::string spaces_csv(const Site& site);
std::string airways_csv(const Site& site);
/// The warnings and the findings of an answer, a row each, the worst first (docs/results.md).
std::string warnings_csv(const Site& site, const Assessment& assessment);
std::string findings_csv(const Site& site, const Assessment& assessment);
/// The air flows at the start of every case, a row for each airway, with the pressure across it where one was solved.
std::string flows_csv(const Site& site, const Assessment& assessment);

/// The course in time as CSV: `case,time_s,space,gas,fraction`, a row for each tracked gas, one for `oxygen` and one
/// for `lfl_fraction` (docs/results.md). Refers to the site, which must outlive it.
class SeriesTable {
 public:
  explicit SeriesTable(const Site& site);
  static std::string_view header();
  /// Appends to `out` the rows of all spaces at `time` s; `fractions` has a column a tracked gas.
  void append(std::string& out, CaseIndex case_index, double time, const FractionField& fractions);
  /// The rows of both layers of a room, `ID:lower` and `ID:upper`, and `interface_m`, the height of their interface.
  void append(std::string& out, CaseIndex case_index, double time, const LayerState& layers);

 private:
  void know(CaseIndex case_index);
  void put_rows(std::string& out, CaseIndex case_index, double time, SpaceIndex space, const std::string& id,
                std::span<const double> x) const;

  const Site* site_;
  std::optional<CaseIndex> case_;                        ///< the case of models_
  std::shared_ptr<const hazard::MixtureModels> models_;  ///< what the fractions mean in each space
};

/// How one space stands at the times of a course: by the place of the time.
struct SpaceCourse {
  std::vector<float> lfl_fraction;
  std::vector<float> oxygen;            ///< mol/mol
  std::vector<std::vector<float>> gas;  ///< mol/mol, by GasIndex; empty of a gas without an IDLH
};

/// The course in time of every case, kept for the plots of a page: give it what AssessOptions::series receives. Of a
/// case that is complete only the spaces are kept in which something happens. Refers to the site.
class CourseRecord {
 public:
  explicit CourseRecord(const Site& site) : site_{&site}, cases_(site.cases.size()) {}
  void add(CaseIndex case_index, double time, const FractionField& fractions);
  const std::vector<double>& times(CaseIndex case_index) const { return cases_[case_index.value].times; }
  /// Null where the space stays as clean as at the start, or where nothing was recorded.
  const SpaceCourse* find(CaseIndex case_index, SpaceIndex space) const;

 private:
  struct OfCase {
    std::vector<double> times;
    std::vector<SpaceCourse> spaces;  ///< by SpaceIndex
  };
  const Site* site_;
  std::vector<OfCase> cases_;  ///< by CaseIndex
  std::optional<CaseIndex> open_;
  std::shared_ptr<const hazard::MixtureModels> models_;
};

/// How a page came about, so that the run can be repeated.
struct RunRecord {
  std::string command;      ///< as it would be typed
  std::string file_digest;  ///< SHA-256 of the site file, in hexadecimal
  std::string substances_file;
  std::string substances_digest;
  std::vector<std::string> cases_left_out = {};  ///< names of the cases that were not computed on request
};

/// How much of a page is wanted, and in which language.
struct PageOptions {
  bool summary = false;                     ///< the first side alone, for one sheet of paper
  std::string language = "en";              ///< one of page_languages()
  const DetectorPlan* detectors = nullptr;  ///< null: not computed, the page says how to
};
/// The languages that the fixed words of a page are there in.
std::vector<std::string> page_languages();

/// One self-contained HTML page to print and hand over. The first side has the verdict, what to do and who did it, a
/// picture, the scope and the caution. Then the worst of every space and case, a section for each finding, inventory,
/// detectors, ventilation, assumptions and sources. Every text of the user is escaped; nothing is loaded or run.
std::string html_report(const Site& site, const Assessment& assessment, const Diagnostics& notices,
                        const CourseRecord& courses, const RunRecord& run, const PageOptions& options = {});

/// The offline page `page` (an HTML file) with a site file in it, which it shows when it is opened. Gives `page` as it
/// is where that has no place for one.
std::string page_with_site(std::string_view page, const std::string& file, std::string_view text);

/// The picture of a site in one case, a whole SVG file: spaces with their worst state, airways with their flow at time
/// 0, releases.
std::string site_picture(const Site& site, const CaseResult& result);

/// The arithmetic of one space in the steady state of a case, step by step with its sources, so that a person can
/// repeat it with a calculator. Each step is a line `name = expression = value unit`.
std::string explanation(const Site& site, const SpaceArithmetic& arithmetic, const TextStyle& style);
std::string explanation_json(const Site& site, const SpaceArithmetic& arithmetic);

/// The same in the model of the space that `result` shows; of a layered room for both layers, with what the far end
/// of the layer of gas holds. `json`: for programs, of a layered room the layer of gas alone. A fault where the steady
/// state cannot be computed.
Result<std::string> explained(const Site& site, const CaseResult& result, SpaceIndex space, bool json,
                              const TextStyle& style);

/// The starters of a site file that `leanside new` offers: "store", "prep-room", ...
std::vector<std::string> starter_names();
/// The text of one; empty where there is none of that name.
std::string_view starter(std::string_view name);

/// SHA-256 of `bytes` in hexadecimal. Source: FIPS 180-4.
std::string sha256(std::string_view bytes);

/// What is assumed, in a sentence that begins with a small letter and ends without a full stop; without its cases.
std::string assumption_sentence(const Site& site, const Assumption& assumption);

/// One sentence a person can act on, and what would help.
std::string summary_sentence(const Site& site, const Warning& warning);
std::string remedy_sentence(const Site& site, const Warning& warning);

/// Each release, or one alone, as it is understood: peak, total, how long, and how much air it could bring to its
/// limit. The assessment is that of the case `normal`.
std::string release_report(const Site& site, const Assessment& assessment, std::optional<ReleaseIndex> only,
                           const TextStyle& style);
std::string release_json(const Site& site, const Assessment& assessment, std::optional<ReleaseIndex> only);

/// The reactions that a release can name.
std::string reaction_list(const TextStyle& style);
std::string reaction_list_json();

/// What the file has in store, and what should be kept apart.
std::string stock_report(const Site& site, const Stock& stock, const TextStyle& style);
std::string stock_json(const Site& site, const Stock& stock);

/// How to purge a vessel of a gas into and out of service; where no purging makes that safe, why and what would.
std::string purge_report(const PurgeSubject& subject, const PurgeQuestion& question, const PurgePlan& plan,
                         const TextStyle& style);
std::string purge_json(const PurgeSubject& subject, const PurgeQuestion& question, const PurgePlan& plan);

/// What a change did, for people and for programs (docs/studies.md).
std::string comparison_text(const Site& site_before, const Assessment& before, const Site& site_after,
                            const Assessment& after, const Comparison& comparison, const TextStyle& style);
std::string comparison_json(const Site& site_before, const Assessment& before, const Site& site_after,
                            const Assessment& after, const Comparison& comparison);

/// The other studies (leanside/study), likewise.
/// `studies`: one for each case that was looked at.
std::string failures_text(const Site& site, std::span<const FailureStudy> studies, const TextStyle& style);
std::string failures_json(const Site& site, std::span<const FailureStudy> studies);
std::string sizing_text(const Site& site, const Sizing& sizing, const TextStyle& style);
std::string sizing_json(const Site& site, const Sizing& sizing);
std::string detectors_text(const Site& site, const DetectorPlan& plan, const TextStyle& style);
std::string detectors_json(const Site& site, const DetectorPlan& plan);
std::string spread_text(const Site& site, const SpreadStudy& study, const TextStyle& style);
std::string spread_json(const Site& site, const SpreadStudy& study);
/// A part of a sweep as the text of a file, and back; where it is none, why not.
std::string part_text(const SweepPart& part);
std::variant<SweepPart, std::string> parse_part(std::string_view text);
std::string tracer_text(const Site& site, const TracerFit& fit, const TextStyle& style);
std::string tracer_json(const Site& site, const TracerFit& fit);
/// A site file of the spaces that were measured and of the flows that were found, one-way fans between them.
std::string tracer_site_file(const Site& site, const TracerFit& fit);

/// The card of a substance: limits by source, stoichiometric fraction, density against air, sources.
std::string substance_card(const Substance& substance, const TextStyle& style);
std::string mixture_card(const Mixture& mixture, const SubstanceTable& table, const TextStyle& style);

/// All substances and mixtures, a line each, with the cautious pair of limits.
std::string substance_list(const SubstanceTable& table, const TextStyle& style);

/// The same for programs, SI units.
std::string substance_json(const Substance& substance);
std::string mixture_json(const Mixture& mixture);
std::string substance_list_json(const SubstanceTable& table);

}  // namespace leanside
