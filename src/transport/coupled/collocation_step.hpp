// SPDX-License-Identifier: Apache-2.0
/// One step of the collocation, tried and accepted. collocation.cpp controls the steps; the equations of the stages are
/// in collocation_stages.cpp, everything else here in collocation_step.cpp.
#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "base/linalg/anderson.hpp"
#include "base/linalg/repeated_lu.hpp"
#include "base/linalg/sparse.hpp"
#include "transport/coupled/collocation.hpp"
#include "transport/coupled/moment.hpp"

namespace leanside::transport {

/// mol/mol
inline constexpr double absolute_tolerance = 1e-12;
/// Iterations need not settle more closely than this, relative: round-off must not keep them going.
inline constexpr double least_change = 1e-9;

/// Error of a step in units of the tolerance: of the cells that hold gas, and of those that gas only passes.
struct StepError {
  double stored = 0.0;
  double passing = 0.0;
};

class Collocation {
 public:
  Collocation(const CoupledStretch& stretch, std::vector<double>& x, std::vector<double>& capacity,
              std::vector<double>& stock);

  const std::string& fault() const { return fault_; }

  /// Solves for the cells that hold nothing at the start of the stretch. Gives the fastest rate of any cell, 1/s; empty
  /// after a fault.
  std::optional<double> start();

  /// One step from `begin` of length h, s. The error is infinite if the flows did not settle; empty after a fault.
  std::optional<StepError> try_step(double begin, double h);

  /// Stock of draw d at stage s of the step tried last, mol.
  double stock_at(std::size_t d, std::size_t s, double h) const;

  /// The first draw whose stock is used up in the step tried last, and when, as a share of the step; empty: none.
  std::optional<std::pair<std::size_t, double>> first_spent(double h) const;

  /// Shortens a step that passes the end of stock d until it ends right there; `share` of it is the first guess. Gives
  /// its length, s; NaN if that failed.
  double step_to_end(double begin, double h, std::size_t d, double share);

  void accept(double h, std::span<double> gone);

  bool any_spent() const { return std::find(stock_.begin(), stock_.end(), 0.0) != stock_.end(); }

  CollocationStep step(double begin, double end) const;

 private:
  /// The first guess of the stages: the polynomial of the last step, continued; at the start of a stretch, or for a
  /// step much longer than the last one, the values at its start. Only where to begin: the iterations end at the same
  /// answer.
  void guess_stages(double h);

  /// What the cells hold at each stage by the moments found last.
  void find_held(double h);

  /// The moments of all stages for the values found last; at the `first` iteration also how fast moving pairs follow
  /// what they hold. That is good enough for the iterations that follow.
  bool evaluate(double begin, double h, bool first);

  /// Newton's step for what moving pairs hold at the stages: V_s - h sum_j a_sj (f_j + f'_j (V_j - V_j before)) = V at
  /// the start. It only says where to evaluate next; the moles themselves follow from the flows.
  bool move_pairs(double h);

  /// Where to evaluate next, from where the moments were evaluated and what was found with them.
  void accelerate(const std::array<std::vector<double>, stages>& at,
                  const std::array<std::vector<double>, stages>& held);

  bool take_fault(const std::variant<Moment, std::string>& moment);

  double largest_change(const std::vector<double>& a, const std::vector<double>& b) const;

  /// What streams into cell i less what streams out, at one moment; `shift` is added to row and columns.
  static void add_algebraic_row(const Moment& moment, std::size_t i, std::size_t shift,
                                std::vector<linalg::Entry>& entries);

  /// The equations of all stages without the draws: entries of the matrix, and its right-hand side.
  std::vector<linalg::Entry> stage_equations(double h, std::vector<double>& right);

  /// Solves the stages for the moments found last. `corrected`: a draw that falls as its gas rises also displaces less
  /// (a step of Newton's method); otherwise the outflows are those of the moments.
  bool solve_stages(double h, bool corrected);

  bool solve_all(const std::vector<linalg::Entry>& entries, std::vector<double>& right);

  /// Where much air goes round through cells that hold nothing and little of it is replaced, the solution loses digits.
  /// The residual, computed from differences of fractions, corrects it. `solution`: the columns `case_index`, all
  /// stages.
  void refine_passing(const linalg::SparseLu& lu, std::span<double> solution,
                      std::span<const std::size_t> case_index) const;

  /// First the columns that draws follow, each with its own matrix; then the others, which get what was drawn.
  bool solve_drawn(double h, bool corrected, const std::vector<linalg::Entry>& entries, std::vector<double>& right);
  bool solve_drawn_column(std::size_t column, double h, bool corrected, std::vector<linalg::Entry> entries,
                          std::span<double> right);
  void add_from_other_draws(std::size_t column, double h, std::span<double> right) const;
  bool solve_other_columns(std::span<const std::size_t> others, double h, const std::vector<linalg::Entry>& entries,
                           std::vector<double>& right);

  /// The highest term of the polynomial over the step estimates the error: the terms of a smooth solution fall fast.
  StepError error() const;

  std::vector<double>& x_;
  std::vector<double>& capacity_;
  std::vector<double>& stock_;
  std::vector<double> whole_stock_;
  std::size_t columns_, rows_;
  const MomentAt& moment_at_;
  bool fixed_;
  double relative_tolerance_;
  std::array<std::vector<double>, stages> stage_;
  std::array<Moment, stages> moments_;
  std::array<std::vector<double>, stages> held_;
  std::vector<MovingPair> slopes_;              ///< of the moving pairs, at the start of the step
  bool moving_ = false;                         ///< whether there are moving pairs
  std::array<std::vector<double>, stages> at_;  ///< mol at the stages by Newton's method: where moments are evaluated
  std::vector<double> before_, held_before_;
  double last_length_ = 0.0;  ///< s, of the step accepted last; 0: none in this stretch
  std::array<std::vector<double>, stages> last_x_, last_held_;  ///< of that step
  std::vector<std::array<double, stages>> rate_;                ///< mol/s, of each draw at the stages
  double change_ = 0.0;
  /// Of the columns that draws follow, each with its own pattern; the last one of all others.
  std::vector<linalg::RepeatedLu> factors_;
  linalg::RepeatedLu pair_factors_;
  std::size_t entries_before_ = 0;  ///< how many the equations of the stages had last
  linalg::Anderson anderson_;
  std::string fault_;
};

}  // namespace leanside::transport
