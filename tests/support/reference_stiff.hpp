// SPDX-License-Identifier: Apache-2.0
/// Boost.odeint's Rosenbrock method of order 4 for (moles + gain (t - t0)) dx/dt = matrix x + drive.
#pragma once

#include <Eigen/Dense>

namespace reference {

/// x at t1, from x = `from` at t0; relative tolerance 1e-11.
Eigen::VectorXd integrate_stiff(const Eigen::MatrixXd& matrix, const Eigen::VectorXd& drive,
                                const Eigen::VectorXd& moles, const Eigen::VectorXd& gain, const Eigen::VectorXd& from,
                                double t0, double t1);

}  // namespace reference
