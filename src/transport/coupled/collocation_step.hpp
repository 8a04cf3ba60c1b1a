// SPDX-License-Identifier: Apache-2.0
/// One step of the collocation, tried and accepted. How it is controlled stands in collocation.cpp, the equations of
/// its stages in collocation_stages.cpp.
#pragma once

#include <algorithm>
#include <array>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "base/linalg/sparse.hpp"
#include "transport/coupled/collocation.hpp"

namespace leanside::transport {

/// mol/mol
inline constexpr double absolute_tolerance = 1e-12;
/// What iterations settle to is not asked to be finer than this, relative: round-off must not keep them going.
inline constexpr double least_change = 1e-9;

/// Error of a step in units of the tolerance, of the cells that hold gas and of those that it only passes.
struct StepError {
  double stored = 0.0;
  double passing = 0.0;
};

class Collocation {
 public:
  Collocation(const CoupledStretch& stretch, std::vector<double>& x, std::vector<double>& capacity,
              std::vector<double>& stock);

  const std::string& fault() const { return fault_; }

  /// Makes the cells without capacity follow from the others at the start of the stretch; also tells the fastest rate,
  /// 1/s.
  std::optional<double> start();

  /// One step from `begin` of length h; the error is infinite where the flows did not settle.
  std::optional<StepError> try_step(double begin, double h);

  /// Stock of draw d at stage s of the step tried last, mol.
  double stock_at(std::size_t d, std::size_t s, double h) const;

  /// Where in the step tried last the first stock is spent, as a share of it; empty: none is.
  std::optional<std::pair<std::size_t, double>> first_spent(double h) const;

  /// Shortens a step that passes the end of stock d, `share` of it being the first guess, until it ends right there.
  /// Its length; not a number where that could not be done.
  double step_to_end(double begin, double h, std::size_t d, double share);

  void accept(double h, std::span<double> gone);

  bool any_spent() const { return std::find(stock_.begin(), stock_.end(), 0.0) != stock_.end(); }

  CollocationStep step(double begin, double end) const;

 private:
  /// What the cells hold at each stage, by the last moments.
  void find_held(double h);

  /// The moments of all stages for the values found last.
  bool evaluate(double begin, double h);

  /// Newton's step for what moving pairs hold at the stages: V_s - h sum_j a_sj (f_j + f'_j (V_j - V_j before)) = V at
  /// the start. The amounts themselves follow from the flows; this only tells where to look next.
  bool move_pairs(double h);

  bool take_fault(const std::variant<Moment, std::string>& moment);

  double largest_change(const std::vector<double>& a, const std::vector<double>& b) const;

  /// What streams in less what streams out, for cell i of a moment, its columns moved by `shift`.
  void add_algebraic_row(const Moment& moment, std::size_t i, int shift, std::vector<linalg::Entry>& entries) const;

  /// Solves the stages for the moments found last. With `corrected`, what a draw falls by when its gas rises displaces
  /// less as well (a step of Newton's method); without, the outflows are those of the moments.
  bool solve_stages(double h, bool corrected);

  bool solve_all(const std::vector<linalg::Entry>& entries, std::vector<double>& right) const;

  /// Where air goes round through cells without capacity far more than it is replaced, a solution is off by as much
  /// more than round-off. What is amiss there, taken from differences of fractions, tells the rest. `solution`: the
  /// columns `which`, of all stages.
  void refine_passing(linalg::SparseLu& lu, std::vector<double>& solution, std::span<const std::size_t> which) const;

  /// The columns that draws follow come first, each with its own matrix; what they then draw goes to the others.
  bool solve_drawn(double h, bool corrected, const std::vector<linalg::Entry>& entries, std::vector<double>& right);

  /// The highest term of the polynomial over the step stands for what was cut off: smooth solutions come down fast.
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
  bool moving_ = false;                         ///< whether there are moving pairs
  std::array<std::vector<double>, stages> at_;  ///< what cells hold at the stages as far as Newton's method knows
  std::vector<double> before_, held_before_;
  std::vector<std::array<double, stages>> rate_;  ///< mol/s, of each draw at the stages
  double change_ = 0.0;
  std::string fault_;
};

}  // namespace leanside::transport
