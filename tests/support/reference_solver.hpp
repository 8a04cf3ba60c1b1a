// SPDX-License-Identifier: Apache-2.0
/// An independent, deliberately simple solver of a Site: dense matrices, junctions eliminated algebraically, the matrix
/// exponential (or Boost.odeint) in time. Shares no code with the engine but the plain data of site.hpp; it is what the
/// engine is held against.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Dense>

#include "leanside/advanced/airflow.hpp"
#include "leanside/site.hpp"

namespace reference {

/// A stretch of time in which nothing is switched.
struct Stretch {
  double begin = 0.0, end = 0.0;  ///< s
  leanside::SiteState state;
};

/// The stretches of a case from 0 to `horizon`, and the state that it tends to.
std::vector<Stretch> timeline(const leanside::Site& site, std::size_t case_index, double horizon);
leanside::SiteState final_state(const leanside::Site& site, std::size_t case_index);

/// Balanced molar flows, mol/s. Index `n` (the number of spaces) is outside.
struct Flows {
  Eigen::MatrixXd rate;                   ///< (n+1) x (n+1): from row to column
  Eigen::VectorXd released;               ///< into each space, everything together
  Eigen::VectorXd leak;                   ///< assumed, > 0 from outside
  Eigen::VectorXd storage;                ///< gained by sealed vessels
  std::vector<double> forward, backward;  ///< by airway, first side to second and back
};

/// Empty where no balance exists.
std::optional<Flows> balance(const leanside::Site& site, const leanside::SiteState& state);

/// The linear system of one stretch: N dx/dt = rows of `full` for stored spaces, 0 = the others. Unknowns: the spaces,
/// then one outlet for each space with mixing_factor > 1. `source`: one column a tracer.
struct System {
  Eigen::MatrixXd full, source;
  std::vector<std::size_t> stored, algebraic;  ///< unknowns that hold gas, and those that only pass it on
  Eigen::MatrixXd reduced, drive;              ///< N dx/dt = reduced x + drive, junctions eliminated; rows as `stored`
  Eigen::MatrixXd recover, recover_constant;   ///< algebraic unknowns = recover x + recover_constant
};
std::optional<System> assemble(const leanside::Site& site, const Flows& flows, const leanside::SiteState& state);

enum class Method { exponential, rosenbrock };

/// Fractions in time, space x gas.
class Transient {
 public:
  /// Empty where some stretch has no balance.
  static std::optional<Transient> solve(const leanside::Site& site, std::size_t case_index, double horizon,
                                        Method method);

  /// Fractions at ascending `times` within the horizon.
  std::vector<Eigen::MatrixXd> at(const std::vector<double>& times) const;
  /// Balanced flows by stretch.
  const std::vector<Flows>& flows() const { return flows_; }
  const std::vector<Stretch>& stretches() const { return stretches_; }
  /// Moles held at the start of each stretch, by space.
  const std::vector<Eigen::VectorXd>& moles() const { return moles_; }
  /// Moles held at time t.
  Eigen::VectorXd moles_at(double t) const;
  /// Whether the space passes any flow at t (a dead junction has no fraction).
  bool alive(std::size_t space, double t) const;

 private:
  std::size_t stretch_of(double t) const;
  Eigen::MatrixXd advance(std::size_t stretch, const Eigen::MatrixXd& from, double t0, double t1) const;
  Eigen::MatrixXd expand(std::size_t stretch, const Eigen::MatrixXd& stored) const;

  const leanside::Site* site_ = nullptr;
  Method method_ = Method::exponential;
  std::vector<Stretch> stretches_;
  std::vector<Flows> flows_;
  std::vector<System> systems_;
  std::vector<Eigen::VectorXd> moles_;
  std::vector<Eigen::MatrixXd> starts_;  ///< stored unknowns at the start of each stretch
};

/// What the case tends to. `closed[i]`: gas that is in space i never gets out of its part.
struct Steady {
  Eigen::MatrixXd fractions;  ///< meaningful where not closed
  std::vector<bool> closed;
  std::vector<bool> reaches_outside;
  std::vector<bool> alive;
};
std::optional<Steady> steady(const leanside::Site& site, std::size_t case_index);

}  // namespace reference
