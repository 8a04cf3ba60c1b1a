// SPDX-License-Identifier: Apache-2.0
/// Flows from a decay. One space: straight line through the logarithms. Several: V_i dC_i/dt = sum_j Q_ji (C_j - C_i) -
/// Q_oi C_i with the flows into each space as unknowns (what leaves is then given by the balance), fitted by Levenberg
/// and Marquardt's method with bounds at 0, from several starts.
#pragma once

#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "base/linalg/special.hpp"
#include "leanside/study/sweep.hpp"
#include "leanside/study/tracer.hpp"

namespace leanside::study {

/// One sentence that says what is wrong with the data.
Fault tracer_fault(std::string message);

/// A reading of one space.
struct Reading {
  std::size_t row = 0, space = 0;
  double time = 0.0, value = 0.0;
};

/// Straight line y = a + b x by least squares, with the variance of b.
struct Line {
  double a = 0.0, b = 0.0, variance_of_b = 0.0, scatter = 0.0;
};

class Fitter {
 public:
  Fitter(const Site& site, const TracerData& data, double confidence, std::optional<double> fixed_error);
  Result<TracerFit> run();

 private:
  const std::string& id(std::size_t i) const { return site_.spaces[data_.spaces[i].value].id; }
  double volume(std::size_t i) const { return site_.spaces[data_.spaces[i].value].volume; }

  /// What no method can make up for.
  std::optional<Fault> unfit() const;

  /// First and last reading of a space.
  std::pair<double, double> ends_of(std::size_t i) const;
  void warn_of_short(double falls);
  std::optional<Fault> fit_one();
  /// The same by least squares of the readings themselves.
  std::optional<Fault> fit_one_fixed();
  /// Says where the readings scatter far more than the error that was given.
  void warn_of_scatter();

  /// Deviations from a straight line of the first half against the second: a bend means poor mixing, a change of the
  /// air or a wrong background.
  void curved(const std::vector<double>& x, const std::vector<double>& y, const Line& line);

  double student_half(double freedom) const { return linalg::student_quantile(0.5 + 0.5 * out_.confidence, freedom); }

  // ---- several spaces. Unknowns: Q_ji for j != i, row by row of i; then Q_oi; then the concentrations at time 0.

  std::size_t flows_count() const { return m_ * m_; }
  std::size_t unknowns() const { return flows_count() + m_; }
  /// Place of the flow from j into i; j == i: from outside.
  std::size_t place(std::size_t j, std::size_t i) const { return i * m_ + j; }
  double leaving_outside(const std::vector<double>& p, std::size_t i) const;

  /// By place in readings_: the error that a reading is expected to have, up to a common factor.
  double weight(std::size_t k) const { return 1.0 / error_[k]; }
  /// From the readings at first, from the fit later on: a reading that happens to be low is no better for it.
  void expect_errors(const std::vector<double>& concentrations);

  /// Weighted deviations of all readings, then what a flow to outside below 0 costs.
  std::vector<double> deviations(const std::vector<double>& p) const;
  static double sum_of_squares(const std::vector<double>& r);

  double scale_of(std::size_t k) const { return k < flows_count() ? flow_scale_ : largest_; }

  /// Derivatives of the deviations, deviations x unknowns, column-major, per scaled unknown.
  std::vector<double> jacobian(const std::vector<double>& p) const;

  /// One descent; p is replaced by where it ends.
  double descend(std::vector<double>& p) const;

  /// 1/s, between two readings that stand well over the last digit.
  double fastest_fall(std::size_t i) const;
  std::optional<Fault> fit_several();

  /// How far the values can be trusted, from the curvature of the sum of squares.
  struct Uncertainty {
    double variance = 0.0;           ///< of a weighted reading
    double half = 0.0;               ///< standard errors in half an interval
    std::vector<double> unbounded;   ///< the unknowns where no bound held them, to first order
    std::vector<double> covariance;  ///< unknowns x unknowns, per scaled unknown
  };
  Result<Uncertainty> uncertainty_of(const std::vector<double>& p) const;
  /// Flows and the factor that each is counted with.
  using Terms = std::vector<std::pair<std::size_t, double>>;
  /// A sum of flows, with its interval.
  Estimate estimate(const std::vector<double>& p, const Uncertainty& uncertainty, const Terms& terms) const;
  void report_space(const std::vector<double>& p, const Uncertainty& uncertainty, std::size_t i);
  void report_doubts();
  /// Fills the result with values and intervals.
  std::optional<Fault> report(const std::vector<double>& p);
  void assume();

  const Site& site_;
  const TracerData& data_;
  std::vector<Reading> readings_;
  std::size_t m_;
  double largest_ = 0.0, flow_scale_ = 1.0;
  std::vector<double> error_;
  std::vector<double> largest_in_;  ///< by space
  TracerFit out_;
};

}  // namespace leanside::study
