// SPDX-License-Identifier: Apache-2.0
/// Who streams to whom at one moment (docs/methods.md, sections 2 and 3), in dense matrices.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Dense>

#include "second_opinion/model.hpp"

namespace second_opinion {

using Matrix = Eigen::Matrix<Real, Eigen::Dynamic, Eigen::Dynamic>;
using Vector = Eigen::Matrix<Real, Eigen::Dynamic, 1>;

struct Layers;

/// How everything is switched after the events so far.
struct Moment {
  std::vector<bool> airway_on, release_on;
  std::vector<double> flow, open, temperature;
};
Moment first_moment(const Site& site);
void apply(const Event& event, Moment& moment);

/// mol that a space holds at ambient pressure.
Real holds(const Site& site, const Moment& moment, std::size_t space);

/// Streams, mol/s. Index n, the number of spaces, is outside.
struct Streams {
  Matrix rate;                          ///< from row to column
  Vector released;                      ///< into each space, air in it included
  Vector stored;                        ///< gained by closed vessels
  Vector leak;                          ///< assumed, > 0 from outside
  Vector pressure;                      ///< Pa at the floor over outside there; 0 where none was solved
  std::vector<Real> forward, backward;  ///< by airway
  std::vector<bool> overflows;
  struct Assumed {
    int first = outside, second = outside;
    Real forward = 0, backward = 0;
  };
  std::vector<Assumed> through_shut;  ///< all that leaks by assumption; part of the above
  std::string fault;                  ///< why there is no balance
  Real through = 0;                   ///< the largest stream, for what counts as nothing
};

/// `released` mol/s into each space. `density` kg/m3 by space and `pressure` Pa, where to begin, for sites with
/// pressures.
Streams balance(const Site& site, const Moment& moment, const Vector& released, const Vector& density,
                Vector* pressure = nullptr, const Layers* layers = nullptr);

/// What bursts out of spaces at one moment, mol: fans and exchanges stand still.
Streams burst(const Site& site, const Moment& moment, const Vector& surplus);

/// Equation (4) with (5) and junctions put in: dx/dt = a x + b for the spaces that hold gas (others have zero rows),
/// and what leaves each space, y = out x + out_gas. Columns of b are gases.
struct Linear {
  Matrix a, b, out, out_gas;
};
/// `gas` mol/s of each gas into each space, `held` mol.
Linear linear_system(const Site& site, const Streams& streams, const Matrix& gas, const Vector& held);

/// Spaces from which streams lead to outside.
std::vector<bool> has_way_out(const Site& site, const Streams& streams);

}  // namespace second_opinion
