// SPDX-License-Identifier: Apache-2.0
#define BOOST_UBLAS_NDEBUG 1  // its own checks recompute every factorisation

#include "support/reference_stiff.hpp"

#include <algorithm>
#include <utility>
#include <vector>

#include <boost/numeric/ublas/storage.hpp>

// uBLAS of Boost 1.74 asks std::allocator for construct(), which C++20 took away: its storage is put on std::vector
// here.
namespace boost::numeric::ublas {

template <class T>
class VectorBacked : public storage_array<unbounded_array<T>> {
 public:
  using allocator_type = std::allocator<T>;
  using size_type = std::size_t;
  using difference_type = std::ptrdiff_t;
  using value_type = T;
  using const_reference = const T&;
  using reference = T&;
  using const_pointer = const T*;
  using pointer = T*;
  using const_iterator = const_pointer;
  using iterator = pointer;

  VectorBacked() = default;
  explicit VectorBacked(size_type size) : values_(size) {}
  VectorBacked(size_type size, const T& value) : values_(size, value) {}
  void resize(size_type size) { values_.resize(size); }
  void resize(size_type size, T value) { values_.resize(size, value); }
  size_type max_size() const { return values_.max_size(); }
  bool empty() const { return values_.empty(); }
  size_type size() const { return values_.size(); }
  reference operator[](size_type i) { return values_[i]; }
  const_reference operator[](size_type i) const { return values_[i]; }
  iterator begin() { return values_.data(); }
  iterator end() { return values_.data() + values_.size(); }
  const_iterator begin() const { return values_.data(); }
  const_iterator end() const { return values_.data() + values_.size(); }

 protected:
  std::vector<T> values_;
};

#define LEANSIDE_TEST_STORAGE(T)                                                    \
  template <>                                                                       \
  class unbounded_array<T, std::allocator<T>> : public VectorBacked<T> {            \
   public:                                                                          \
    using VectorBacked<T>::VectorBacked;                                            \
    unbounded_array& assign_temporary(unbounded_array& other) {                     \
      swap(other);                                                                  \
      return *this;                                                                 \
    }                                                                               \
    void swap(unbounded_array& other) { values_.swap(other.values_); }              \
    friend void swap(unbounded_array& one, unbounded_array& two) { one.swap(two); } \
  };
LEANSIDE_TEST_STORAGE(double)
LEANSIDE_TEST_STORAGE(std::size_t)
#undef LEANSIDE_TEST_STORAGE

}  // namespace boost::numeric::ublas

#include <boost/numeric/odeint.hpp>

namespace reference {

Eigen::VectorXd integrate_stiff(const Eigen::MatrixXd& matrix, const Eigen::VectorXd& drive,
                                const Eigen::VectorXd& moles, const Eigen::VectorXd& gain, const Eigen::VectorXd& from,
                                double t0, double t1) {
  namespace odeint = boost::numeric::odeint;
  namespace ublas = boost::numeric::ublas;
  using State = ublas::vector<double>;
  // Time rides along as the last unknown, so that the system is autonomous and its Jacobian whole.
  const Eigen::Index n = from.size();
  const auto slope = [&](const State& x) {
    const Eigen::VectorXd value = matrix * Eigen::Map<const Eigen::VectorXd>(&x[0], n) + drive;
    const double elapsed = x[static_cast<std::size_t>(n)];
    return Eigen::VectorXd(value.cwiseQuotient(moles + gain * elapsed));
  };
  const auto rhs = [&](const State& x, State& dxdt, double) {
    const Eigen::VectorXd value = slope(x);
    std::copy(value.begin(), value.end(), dxdt.begin());
    dxdt[static_cast<std::size_t>(n)] = 1.0;
  };
  const auto jacobian = [&](const State& x, ublas::matrix<double>& j, const double&, State& dfdt) {
    const Eigen::VectorXd value = slope(x);
    const auto last = static_cast<std::size_t>(n);
    for (Eigen::Index r = 0; r < n; ++r) {
      const auto row = static_cast<std::size_t>(r);
      const double held = moles(r) + gain(r) * x[last];
      for (Eigen::Index c = 0; c < n; ++c) j(row, static_cast<std::size_t>(c)) = matrix(r, c) / held;
      j(row, last) = -gain(r) / held * value(r);
      j(last, row) = 0.0;
    }
    j(last, last) = 0.0;
    std::fill(dfdt.begin(), dfdt.end(), 0.0);
  };
  State x(static_cast<std::size_t>(n) + 1);
  std::copy(from.begin(), from.end(), x.begin());
  x[static_cast<std::size_t>(n)] = 0.0;
  auto stepper = odeint::make_controlled<odeint::rosenbrock4<double>>(1e-20, 1e-11);
  odeint::integrate_adaptive(stepper, std::make_pair(rhs, jacobian), x, 0.0, t1 - t0, std::min(1e-3, t1 - t0));
  return Eigen::Map<const Eigen::VectorXd>(&x[0], n);
}

}  // namespace reference
